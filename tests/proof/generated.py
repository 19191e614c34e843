"""Rule bases made up at random, small or large, to try the proof on; all of it is invented."""

from __future__ import annotations

from random import Random

import yaml

from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.layers import merge
from advisor.rulebase.reading.yaml_reader import parse_yaml

HEAD = {
    "base": {
        "title": "Invented rules",
        "format": 1,
        "strengths": {"slight": 1, "fair": 3, "strong": 8},
        "groups": {"one": "One"},
        "stages": {"first": "First"},
    },
    "sources": {"practice": {"kind": "practice"}},
}


class Maker:
    """Makes one rule base up.

    Attributes:
        random: The source of chance.
        kinds: Kind of each fact.
        decisions: Options of each decision; the first is the fallback.
    """

    def __init__(self, seed: int, facts: int, decisions: int, options: int) -> None:
        self.random = Random(seed)
        kinds = ("yes_no", "choice", "quantity", "several")
        self.kinds = {f"fact{n}": kinds[n % 4] for n in range(facts)}
        self.decisions = {f"decision{n}": [f"d{n}o{o}" for o in range(options)] for n in range(decisions)}

    def test(self, earlier: tuple[str, ...] = ()) -> str:
        """One test of a fact or of an earlier decision."""
        pick = self.random.choice
        if earlier and self.random.random() < 0.3:
            decision = pick(earlier)
            return f"{decision} is {pick(self.decisions[decision])}"
        fact = pick(list(self.kinds))
        kind = self.kinds[fact]
        if kind == "yes_no":
            return pick([fact, f"not {fact}"])
        if kind == "choice":
            return f"{fact} {pick(['is', 'is not'])} {pick(['red', 'green', 'blue'])}"
        if kind == "several":
            return f"{fact} {pick(['has', 'lacks'])} {pick(['this', 'that'])}"
        return f"{fact} {pick(['<', '<=', '>', '>=', '='])} {pick([10, 20])} g"

    def condition(self, earlier: tuple[str, ...] = (), depth: int = 2) -> str:
        """A condition of up to a few tests."""
        if depth == 0 or self.random.random() < 0.35:
            return self.test(earlier)
        joint = self.random.choice([" and ", " or "])
        count = self.random.choice([2, 2, 3])
        return joint.join(f"({self.condition(earlier, depth - 1)})" for _ in range(count))

    def fact(self, name: str) -> dict[str, object]:
        """One fact."""
        kind = self.kinds[name]
        entry: dict[str, object] = {"label": name, "group": "one", "kind": kind, "ask": "What?", "find_out": "Look."}
        entry["explain"] = "Invented."
        if kind == "choice":
            entry["options"] = {option: {"label": option, "means": option} for option in ("red", "green", "blue")}
        if kind == "several":
            entry["options"] = {option: {"label": option, "means": option} for option in ("this", "that")}
        if kind == "quantity":
            unknown = {"low": "5 g", "likely": "15 g", "high": "25 g"}
            entry |= {"unit": "g", "least": "0 g", "most": "100 g", "when_unknown": unknown}
        return entry

    def argument(self, number: int, wild: float) -> dict[str, object]:
        """One argument; a wild one may require anything."""
        names = list(self.decisions)
        place = self.random.randrange(len(names))
        decision = names[place]
        fallback, *others = self.decisions[decision]
        says = self.random.choice(["for", "against", "for", "against", "rule_out"])
        about = self.random.sample(others, self.random.choice([1, 1, 2]))
        if self.random.random() < 0.12:
            says, about = "require", [fallback]
            if self.random.random() < wild:
                about = self.random.sample(self.decisions[decision], self.random.choice([1, 2]))
        entry: dict[str, object] = {
            "id": f"argument-{number}",
            "about": [f"{decision}.{option}" for option in about],
            "says": says,
            "when": self.condition(tuple(names[:place])),
            "reason": "Invented.",
            "source": "practice",
        }
        if says in ("for", "against"):
            entry["strength"] = self.random.choice(["slight", "fair", "strong"])
        else:
            entry["kind"] = "danger"
        return entry

    def hazard(self, number: int) -> dict[str, object]:
        """One hazard with two controls."""
        return {
            "id": f"hazard-{number}",
            "title": f"Hazard {number}",
            "severity": "grave",
            "when": self.condition(tuple(self.decisions)),
            "harm": "Invented.",
            "controls": [{"do": "This."}, {"do": "That.", "when": self.test(tuple(self.decisions))}],
            "stop_if": ["It hisses."],
            "source": "practice",
        }

    def decision(self, name: str, ordered: bool) -> dict[str, object]:
        """One decision; with ``ordered`` every tie is broken."""
        fallback, *others = self.decisions[name]
        order = [fallback, *others] if ordered else [fallback, *others[: self.random.randrange(len(others))]]
        options = {o: {"title": o, "summary": o, "base": -100 if o == fallback else 0} for o in (fallback, *others)}
        return {"title": name, "question": "Which?", "fallback": fallback, "tie_order": order, "options": options}

    def invariant(self, number: int) -> dict[str, object]:
        """One invariant, true or not."""
        entry: dict[str, object] = {"id": f"invariant-{number}", "means": "Invented.", "reason": "Invented."}
        entry |= {"when": self.condition(tuple(self.decisions), 1), "source": "practice"}
        if self.random.random() < 0.5:
            return entry | {"then": self.condition(tuple(self.decisions), 1)}
        return entry | {self.random.choice(["hazards", "without_hazards"]): [f"hazard-{self.random.randrange(2)}"]}

    def worse(self, number: int) -> dict[str, object]:
        """An order of danger of one fact."""
        fact = self.random.choice(list(self.kinds))
        orders = {"yes_no": ["no", "yes"], "choice": ["green", "blue", "red"], "quantity": "more", "several": "less"}
        entry: dict[str, object] = {"id": f"worse-{number}", "fact": fact, "order": orders[self.kinds[fact]]}
        return entry | {"never_adds": [self.test(tuple(self.decisions))], "reason": "Invented.", "source": "practice"}


def generated(
    rules: int, seed: int = 0, *, facts: int = 40, decisions: int = 4, options: int = 6, wild: float = 0.0,
    ordered: bool = True, implied: int = 3, promises: int = 10,
) -> RuleBase:  # fmt: skip
    """A made-up rule base.

    Args:
        rules: How many arguments and hazards it has together.
        seed: Decides everything that is left to chance.
        facts: How many facts, of all kinds in turn.
        decisions: How many decisions.
        options: How many options each has.
        wild: How often a requirement asks for something else than the fallback.
        ordered: Whether the tie orders name every option.
        implied: How many facts follow from others.
        promises: How many invariants and orders of danger there are.
    """
    maker = Maker(seed, facts, decisions, options)
    hazards = max(2, rules // 4)
    content: dict[str, object] = {
        **HEAD,
        "facts": {name: maker.fact(name) for name in maker.kinds},
        "decisions": {name: maker.decision(name, ordered) for name in maker.decisions},
        "arguments": [maker.argument(n, wild) for n in range(max(1, rules - hazards))],
        "hazards": [maker.hazard(n) for n in range(hazards)],
        "invariants": [maker.invariant(n) for n in range(promises)],
        "worse": [maker.worse(n) for n in range(promises // 2)],
    }
    _add_implied(maker, content, implied)
    text = yaml.safe_dump(content, sort_keys=False, width=100)
    return compile_rule_base(merge([("invented rules", [parse_yaml(text, "invented.yaml")])]))


def _add_implied(maker: Maker, content: dict[str, object], count: int) -> None:
    """Let some facts follow from others; a later fact only from an earlier one, so that there is no circle."""
    values: dict[str, tuple[str | list[str], ...]] = {
        "yes_no": ("yes", "no"),
        "choice": ("red", "green", "red"),
        "quantity": ("10 g", "20 g"),
        "several": (["this"], ["that"]),
    }
    names = list(maker.kinds)
    facts = content["facts"]
    assert isinstance(facts, dict)
    for name in maker.random.sample(names[1:], min(count, len(names) - 1)):
        for value in values[maker.kinds[name]]:
            test = maker.test()
            if names.index(test.removeprefix("not ").split()[0]) < names.index(name):
                # A copy, since a list that stands twice would be written as an alias.
                entry = {"when": test, "value": value if isinstance(value, str) else [*value]}
                facts[name].setdefault("implied", []).append(entry)
