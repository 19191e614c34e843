"""Small rule bases whose arguments, hazards and implied values are drawn at random, to be searched through whole."""

from __future__ import annotations

from random import Random

from advisor.errors import FaultyFile
from advisor.rulebase.model import RuleBase
from tests.rulebase.small_base import compiled

_FACTS = """\
facts:
  tool:
    label: tool
    group: room
    kind: choice
    ask: Which?
    find_out: Look.
    explain: Invented.
    options: {{a: {{label: first, means: one}}, b: {{label: second, means: two}}, c: {{label: third, means: three}}}}
    implied:
      - {{when: "{tool_when}", value: {tool}}}
      - {{when: "{other_when}", value: b}}
  spare:
    {{label: spare, group: room, kind: yes_no, ask: Spare?, find_out: Look., explain: Invented.,
     implied: [{{when: "{spare_when}", value: {spare}}}]}}
  bins:
    label: bins
    group: room
    kind: several
    ask: Which?
    find_out: Look.
    explain: Invented.
    options: {{red: {{label: red bin, means: one}}, blue: {{label: blue bin, means: two}}}}
    implied: [{{when: "{bins_when}", value: [red]}}]
decisions:
  lid:
    title: Lid
    question: Which lid?
    fallback: open
    tie_order: [{ties}]
    options:
      open: {{title: Open, summary: None., base: {base}}}
      clay: {{title: Clay, summary: Clay.}}
      iron: {{title: Iron, summary: Iron.}}
"""

_DECISIONS = {
    "route": ("stop", "melt", "roast"),
    "vessel": ("none", "pot"),
    "lid": ("open", "clay", "iron"),
}


def _leaf(random: Random, decided: tuple[str, ...], facts: tuple[str, ...]) -> str:
    tests = {
        "wet": ["wet"],
        "place": ["place is outdoors", "place not in (shed, none)", "place is not shed", "place in (none, outdoors)"],
        "shelf": ["shelf has soda", "shelf lacks nitre", "shelf has any of (nitre, lead)", "shelf has none of (lead)"],
        "share": ["share > share_limit", "share <= share_limit", "share between 5 % and 30 %", "share = 0 %"],
        "heat": ["heat >= heat_limit", "hot_enough"],
        "tool": ["tool is a", "tool in (b, c)", "tool is not b"],
        "spare": ["spare"],
        "bins": ["bins has red", "bins has all of (red, blue)", "bins lacks blue"],
    }
    if decided and random.random() < 0.25:
        name = random.choice(decided)
        return f"{name} is {random.choice(_DECISIONS[name])}"
    leaf = random.choice(tests[random.choice(facts)])
    return leaf if random.random() < 0.75 else f"not ({leaf})"


_ALL_FACTS = ("wet", "place", "shelf", "share", "heat", "tool", "spare", "bins")


def _condition(random: Random, decided: tuple[str, ...] = (), facts: tuple[str, ...] = _ALL_FACTS) -> str:
    parts = [_leaf(random, decided, facts) for _ in range(random.choice((1, 1, 2, 2, 3)))]
    if len(parts) == 1:
        return parts[0]
    joint = random.choice((" and ", " or "))
    if len(parts) == 3 and random.random() < 0.6:
        inner = random.choice((" and ", " or "))
        return f"({parts[0]}{inner}{parts[1]}){joint}{parts[2]}"
    return joint.join(parts)


def _arguments(random: Random) -> str:
    lines = ["arguments:"]
    decided: tuple[str, ...] = ()
    for name, options in _DECISIONS.items():
        for number in range(random.randint(3, 9)):
            says = random.choice(("rule_out", "rule_out", "for", "for", "for", "against", "against", "require"))
            # The first one is what is left when all others are struck.
            among = options[1:] if says == "rule_out" else options
            drawn = random.sample(among, min(len(among), random.choice((1, 1, 2))))
            about = ", ".join(f"{name}.{option}" for option in drawn)
            strength = f"strength: {random.choice(('slight', 'strong'))}, "
            strength = strength if says in ("for", "against") else "kind: means, "
            lines.append(
                f"  - {{id: {name}-drawn-{number}, about: [{about}], says: {says}, {strength}"
                f'when: "{_condition(random, decided)}", reason: Invented., source: practice}}'
            )
        decided = (*decided, name)
    return "\n".join(lines)


def _hazards(random: Random) -> str:
    lines = ["hazards:"]
    for number in range(4):
        lines.append(
            f"  - {{id: drawn-{number}, title: Drawn {number}, severity: grave, "
            f'when: "{_condition(random, tuple(_DECISIONS))}", harm: It hurts., controls: [{{do: Care.}}], '
            "stop_if: [It hurts.], source: practice}"
        )
    return "\n".join(lines)


def drawn_base(random: Random) -> RuleBase:
    """A drawn rule base without faults; two values may follow for one of its facts."""
    while True:
        facts = _FACTS.format(
            tool_when=_condition(random, facts=("wet", "place", "share")),
            tool=random.choice(("a", "c")),
            other_when=_condition(random, facts=("wet", "shelf", "heat")),
            spare_when=_condition(random, facts=("tool", "shelf", "place")),
            spare=random.choice(("yes", "no")),
            bins_when=_condition(random, facts=("spare", "wet")),
            ties=", ".join(random.sample(_DECISIONS["lid"], random.randint(0, 3))),
            base=random.choice((-100, -1, 0)),
        )
        try:
            return compiled(facts, _arguments(random), _hazards(random))
        except FaultyFile:
            continue
