"""Generated rule bases of any size: forty invented facts, rules of two to four tests each.

The same rules are written as rule files of the advisor here and as rules of CLIPS in ``clips_engine``; both are
asked with the same drawn answers.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random

from advisor.engine.state import Answers
from advisor.rulebase.model import Several
from advisor.units import Range

SIGNS = [f"sign_{number}" for number in range(14)]
KINDS = {f"kind_{number}": [f"k{number}_{letter}" for letter in "abcd"] for number in range(14)}
SHELVES = {f"shelf_{number}": [f"s{number}_{letter}" for letter in "abc"] for number in range(4)}
MASSES = [f"mass_{number}" for number in range(8)]
LIMITS_G = [10 * step for step in range(1, 10)]
OPTIONS = ["fallback", *(f"option_{letter}" for letter in "bcdefgh")]
STRENGTHS = {"slight": 1, "fair": 3, "strong": 8}
BASE_OF_FALLBACK = -1000
RULES_IN_A_FILE = 1000

Drawn = dict[str, bool | str | frozenset[str] | int]
"""A full set of answers: yes or no, an option, the items on a shelf, or grams that are no limit."""


@dataclass(frozen=True, slots=True)
class Check:
    """One test of a rule: a sign, an option, an item or a mass above a limit; or its opposite."""

    fact: str
    wanted: str | int | None
    holds: bool


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: all its tests together speak about an option or attach a hazard.

    Attributes:
        says: ``for``, ``against``, ``rule_out`` or ``hazard``.
        about: The option; its own name for a hazard.
        strength: Named strength; empty for the others.
    """

    name: str
    checks: tuple[Check, ...]
    says: str
    about: str
    strength: str = ""


def generated_rules(count: int, seed: int = 1) -> list[Rule]:
    """So many rules: half speak for, a fifth against, a tenth rule out and a fifth attach a hazard."""
    random = Random(seed)
    return [_rule(number, random) for number in range(count)]


def _rule(number: int, random: Random) -> Rule:
    names = random.sample([*SIGNS, *KINDS, *SHELVES, *MASSES], random.choice((2, 3, 3, 4)))
    checks = tuple(_check(name, random) for name in names)
    says = random.choices(("for", "against", "rule_out", "hazard"), (5, 2, 1, 2))[0]
    if says == "hazard":
        return Rule(f"rule-{number}", checks, says, f"rule-{number}")
    options = OPTIONS[1:] if says == "rule_out" else OPTIONS
    strength = "" if says == "rule_out" else random.choice(list(STRENGTHS))
    return Rule(f"rule-{number}", checks, says, random.choice(options), strength)


def _check(name: str, random: Random) -> Check:
    holds = random.random() < 0.7
    if name in SIGNS:
        return Check(name, None, holds)
    if name in MASSES:
        return Check(name, random.choice(LIMITS_G), holds)
    return Check(name, random.choice(KINDS.get(name) or SHELVES[name]), holds)


def drawn_answers(random: Random) -> Drawn:
    """A full set of answers."""
    drawn: Drawn = {name: random.random() < 0.5 for name in SIGNS}
    drawn.update({name: random.choice(options) for name, options in KINDS.items()})
    drawn.update({name: frozenset(item for item in items if random.random() < 0.5) for name, items in SHELVES.items()})
    drawn.update({name: 10 * random.randrange(10) + 5 for name in MASSES})
    return drawn


def as_answers(drawn: Drawn) -> Answers:
    """Drawn answers as the inference takes them."""
    return {name: _value(value) for name, value in drawn.items()}


def _value(value: bool | str | frozenset[str] | int) -> bool | str | Several | Range:
    if isinstance(value, frozenset):
        return Several(value)
    return Range.exact(float(value)) if type(value) is int else value


def write_rule_files(rules: list[Rule], folder: Path) -> None:
    """The rules as rule files in a folder."""
    (folder / "base.yaml").write_text("\n".join(_head()) + "\n", encoding="utf-8")
    for start in range(0, len(rules), RULES_IN_A_FILE):
        some = rules[start : start + RULES_IN_A_FILE]
        arguments = [line for rule in some if rule.says != "hazard" for line in _argument(rule)]
        hazards = [line for rule in some if rule.says == "hazard" for line in _hazard(rule)]
        lines = [*(["arguments:", *arguments] if arguments else []), *(["hazards:", *hazards] if hazards else [])]
        (folder / f"rules-{start:06}.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")


def _head() -> Iterator[str]:
    yield "base: {title: Generated rules, format: 1, strengths: {slight: 1, fair: 3, strong: 8},"
    yield "  groups: {all: All}, stages: {work: Work}}"
    yield "sources: {practice: {kind: practice}}"
    yield "decisions:"
    yield "  choice: {title: Choice, question: Which?, fallback: fallback,"
    yield f"    tie_order: [{', '.join(OPTIONS)}],"
    yield "    options: {"
    for option in OPTIONS:
        base = BASE_OF_FALLBACK if option == "fallback" else 0
        yield f"      {option}: {{title: The {option}, summary: Invented., base: {base}}},"
    yield "    }}"
    yield "facts:"
    for name in SIGNS:
        yield _fact(name, "yes_no", "")
    for kind, facts in (("choice", KINDS), ("several", SHELVES)):
        for name, options in facts.items():
            shown = ", ".join(f"{option}: {{label: {option}, means: invented}}" for option in options)
            yield _fact(name, kind, f", options: {{{shown}}}")
    for name in MASSES:
        unknown = "{low: 0 g, likely: 50 g, high: 100 g}"
        yield _fact(name, "quantity", f", unit: g, least: 0 g, most: 100 g, when_unknown: {unknown}")


def _fact(name: str, kind: str, more: str) -> str:
    return f"  {name}: {{label: {name}, group: all, kind: {kind}, ask: '?', find_out: Look., explain: Invented.{more}}}"


def _argument(rule: Rule) -> Iterator[str]:
    strength = f", strength: {rule.strength}" if rule.strength else ", kind: means"
    yield f"- {{id: {rule.name}, about: choice.{rule.about}, says: {rule.says}{strength},"
    yield f"   when: '{_words(rule)}', reason: Invented., source: practice}}"


def _hazard(rule: Rule) -> Iterator[str]:
    yield f"- {{id: {rule.name}, title: Hazard, severity: grave, when: '{_words(rule)}', harm: Invented.,"
    yield "   controls: [{do: Nothing.}], stop_if: [It hurts.], source: practice}"


def _words(rule: Rule) -> str:
    return " and ".join(_condition(check) for check in rule.checks)


def _condition(check: Check) -> str:
    if check.wanted is None:
        return check.fact if check.holds else f"not {check.fact}"
    if isinstance(check.wanted, int):
        return f"{check.fact} {'>' if check.holds else '<='} {check.wanted} g"
    if check.fact in SHELVES:
        return f"{check.fact} {'has' if check.holds else 'lacks'} {check.wanted}"
    return f"{check.fact} {'is' if check.holds else 'is not'} {check.wanted}"
