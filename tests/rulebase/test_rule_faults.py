"""Faulty rule files: each fault is reported with file, line, what is wrong, and what would be right."""

from __future__ import annotations

import pytest

from advisor.errors import Fault, FaultyFile
from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.reading.layers import merge
from advisor.rulebase.reading.yaml_reader import parse_yaml
from tests.rulebase.small_base import BASE, compiled, faults_of, faults_when


def test_the_small_rule_base_itself_has_no_fault() -> None:
    rule_base = compiled()
    assert rule_base.layers == ("invented rules",)
    assert list(rule_base.arguments) == ["wet-spits", "sulphide-wants-roast", "pot-for-melting"]


ARGUMENT = """\
arguments:
  - id: one-more
    about: route.melt
    says: against
    strength: slight
    when: wet
    reason: Invented.
    source: practice
"""
FACT = """\
facts:
  colour:
    label: colour
    group: batch
    kind: quantity
    ask: Which?
    find_out: Look.
    explain: Invented.
    unit: "%"
    least: 0 %
    most: 50 %
    when_unknown: {low: 0 %, likely: 5 %, high: 10 %}
"""
STEP = """\
steps:
  - id: one-more
    stage: fire
    order: 2
    when: wet
    do: Heat {soda}.
    look_for: "{dry_mass}"
    temperature: {low: 800 C, likely: 900 C, high: 1000 C}
    time: 20 min
    uses: [soda]
    hazards: [steam]
    acts: [melt soda]
    source: practice
"""
HAZARD = """\
hazards:
  - id: one-more
    title: Heat
    severity: deadly
    when: hot_enough
    harm: It burns.
    controls:
      - do: Keep away.
        when: wet
        source: memory
    stop_if: [It hurts.]
    source: practice
    comes_with: [fire, pour metal]
    provided: not wet
"""
QUANTITY = """\
quantities:
  one_more:
    title: one more
    unit: ml
    cases:
      - when: wet
        formula: mass / 2 g/ml
      - when: not wet
        formula: 5 ml
    reason: Invented.
    source: practice
"""
AMOUNT = """\
amounts:
  - id: one-more
    material: lead
    when: shelf has lead
    of: dry_mass
    parts: {low: 0.5, likely: 1, high: 2}
    reason: Invented.
    source: practice
"""
MATERIAL = """\
materials:
  salt:
    title: Salt
    bulk_density: {low: 1 g/ml, likely: 1.1 g/ml, high: 1.2 g/ml}
    price: price
    stock: mass
    source: practice
"""
TABLE = """\
tables:
  some_figures:
    title: Some figures
    columns: {heat: C, name: text}
    rows:
      - {heat: 5, name: five, source: "invented-1900, p. 1"}
      - {heat: 6, name: six}
    source: practice
"""
MINERAL = """\
minerals:
  pyrite:
    title: Pyrite
    formula: FeS2
    density: 4.9 to 5.2 g/ml
    kind: sulphide
    source: practice
"""
EXPECTATION = """\
expectations:
  - id: one-more
    title: More
    when: wet
    formula: lead + soda * 2
    looks: Grey.
    source: practice
"""
CHECK = """\
checks:
  - id: one-more
    formula: mass * share
    at_most: 100 g
    say: Too much.
"""
REFERRAL = """\
referrals:
  - id: one-more
    when: wet
    who: The office
    decides: Water
    source: practice
"""
THRESHOLD = """\
thresholds:
  one_more:
    value: 10 %
    means: some
    reason: Invented.
    source: practice
"""
DECISION = """\
decisions:
  extra:
    title: Extra
    question: What else?
    fallback: nothing
    stops: [nothing]
    tie_order: [nothing, much]
    options:
      nothing: {title: Nothing, summary: Nothing.}
      much: {title: Much, summary: Much.}
"""
SOURCE = """\
sources:
  invented-1901:
    kind: published
    author: B. Nobody
    title: Also made up
    year: about 1901
"""
FINDING = """\
findings:
  one_more:
    means: one more
    when: wet and rich_in_sulphide
"""


def line_in_base(piece: str) -> int:
    return BASE[: BASE.index(piece)].count("\n") + 1


WHOLE = {
    "argument": ARGUMENT,
    "fact": FACT,
    "step": STEP,
    "hazard": HAZARD,
    "quantity": QUANTITY,
    "amount": AMOUNT,
    "material": MATERIAL,
    "table": TABLE,
    "mineral": MINERAL,
    "expectation": EXPECTATION,
    "check": CHECK,
    "referral": REFERRAL,
    "threshold": THRESHOLD,
    "decision": DECISION,
    "source": SOURCE,
    "finding": FINDING,
}


@pytest.mark.parametrize("text", WHOLE.values(), ids=WHOLE)
def test_each_entry_is_in_order_before_it_is_broken(text: str) -> None:
    compiled(text)


# kind of entry; what is exchanged in it, for what; line of the fault; where; what is wrong; what would be right
# fmt: off
BROKEN = [
    # keys
    ("argument", "    when: wet\n", "", 2, "arguments one-more, when", "the key 'when' is missing", "add it"),
    ("argument", "arguments:", "argument:", 1, "", "unknown key 'argument'", "(closest: arguments)"),
    ("hazard", "    stop_if: [It hurts.]\n", "", 2, "hazards one-more, stop_if", "'stop_if' is missing", "add it"),
    ("fact", "    label: colour\n", "", 2, "facts colour, label", "'label' is missing", "add it"),
    ("fact", "unit:", "units:", 9, "facts colour, units", "unknown key 'units'", "(closest: unit)"),
    ("step", "likely: 900 C, ", "", 8, "temperature.likely", "'likely' is missing", "add it"),
    # shapes
    ("argument", "arguments:\n  -", "arguments:\n   ", 1, "arguments", "does not fit here", "write a list"),
    ("argument", "when: wet", "when: true", 6, "arguments one-more, when", "true does not fit", "write text"),
    ("argument", "when: wet", "when: [wet]", 6, "arguments one-more, when", "does not fit", "write text"),
    ("argument", "when: wet", "when:", 6, "arguments one-more, when", "does not fit", "write text"),
    ("argument", "about: route.melt", "about: {a: 1}", 3, "arguments one-more, about", "not fit",
     "write text or a list"),
    ("argument", "about: route.melt", "about: []", 3, "arguments one-more, about", "not fit", "at least 1"),
    ("step", "order: 2", "order: second", 4, "steps one-more, order", "'second' does not fit", "write a number"),
    ("step", "order: 2", "order: -1", 4, "steps one-more, order", "'-1' does not fit", "at least"),
    ("step", "uses: [soda]", "uses: soda", 10, "steps one-more, uses", "'soda' does not fit", "write a list"),
    ("hazard", "controls:\n      - do: Keep away.\n        when: wet\n        source: memory", "controls: []", 7,
     "hazards one-more, controls", "does not fit", "at least 1"),
    ("table", "{heat: 6, name: six}", "[6, six]", 7, "tables some_figures, rows.1", "not fit", "write a mapping"),
    ("amount", "low: 0.5", "low: 5", 6, "amounts one-more, parts", "does not fit", "low <= likely <= high"),
    ("argument", "id: one-more", "id: One More", 2, "arguments One More, id", "'One More' is not a valid name", "-"),
    ("finding", "one_more:", "one-more:", 2, "findings one-more", "'one-more' is not a valid name", "_"),
    # words from a closed list
    ("argument", "says: against", "says: maybe", 4, "arguments one-more, says", "'maybe'", "'rule_out', 'for'"),
    ("hazard", "severity: deadly", "severity: mild", 4, "hazards one-more, severity", "'mild'", "'grave'"),
    ("argument", "strength: slight", "strength: huge", 5, "arguments one-more, strength", "no strength 'huge'",
     "use one of slight, strong"),
    ("argument", "    strength: slight\n", "", 2, "arguments one-more", "this does not fit",
     "speaks against needs a strength"),
    ("argument", "says: against", "says: rule_out", 2, "arguments one-more", "this does not fit", "has no strength"),
    ("step", "stage: fire", "stage: fyre", 3, "steps one-more, stage", "no stage 'fyre'", "before, fire, after"),
    ("fact", "group: batch", "group: bach", 4, "facts colour, group", "no group 'bach'", "batch, room"),
    ("mineral", "kind: sulphide", "kind: sulfide", 6, "minerals pyrite, kind", "'sulfide'", "'sulphide'"),
    # names that do not exist
    ("argument", "about: route.melt", "about: rute.melt", 3, "arguments one-more, about", "no decision 'rute'",
     "(closest: route)"),
    ("argument", "about: route.melt", "about: route.meld", 3, "arguments one-more, about", "no option 'meld'",
     "(closest: melt)"),
    ("argument", "about: route.melt", "about: melt", 3, "arguments one-more, about", "no decision 'melt'",
     "decision.option"),
    ("argument", "about: route.melt", "about: [route.melt, vessel.pot]", 3, "arguments one-more, about",
     "two decisions", "one argument for each"),
    ("argument", "when: wet", "when: wett", 6, "arguments one-more, when", "'wett' is not a fact", "(closest: wet)"),
    ("argument", "when: wet", "when: place is outdors", 6, "when", "no option 'outdors'", "(closest: outdoors)"),
    ("argument", "when: wet", "when: shelf has nitr", 6, "when", "no option 'nitr'", "(closest: nitre)"),
    ("argument", "when: wet", "when: share > share_limitt", 6, "when", "'share_limitt' is not a threshold", "unit"),
    ("argument", "when: wet", "when: share > mass", 6, "when", "'mass' is not a threshold", "number with a unit"),
    ("hazard", "when: hot_enough", "when: hot_enouh", 5, "hazards one-more, when", "'hot_enouh'",
     "(closest: hot_enough)"),
    ("hazard", "        when: wet", "        when: wett", 9, "hazards one-more, controls.0.when", "'wett'", "closest"),
    ("finding", "wet and rich_in_sulphide", "wet and two_more", 4, "findings one_more, when", "'two_more'", "declared"),
    ("finding", "wet and rich_in_sulphide", "one_more or wet", 4, "findings one_more, when", "'one_more'", "declared"),
    ("step", "[melt soda]", "[meld soda]", 12, "steps one-more, acts.0", "there is no act 'meld'", "(closest: melt)"),
    ("step", "[melt soda]", "[melt soda, melt sodaa]", 12, "steps one-more, acts.1", "no material or thing 'sodaa'",
     "(closest: soda)"),
    ("step", "[melt soda]", "[melt soda, fire soda]", 12, "steps one-more, acts.1", "'fire' gathers several acts",
     "say which: melt, pour"),
    ("step", "[melt soda]", "[melt soda, pour metal]", 12, "steps one-more, acts.1",
     "'metal' gathers several materials",
     "say which: lead"),
    ("step", "[melt soda]", "[melting]", 12, "steps one-more, acts.0", "'melting' is no act", "melt litharge"),
    ("step", "    acts: [melt soda]\n    source", "    acts: [melt lead]\n    source", 12, "steps one-more, acts",
     "this uses soda, and no act says", "weigh soda"),
    ("hazard", "[fire, pour metal]", "[fire, poor metal]", 13, "hazards one-more, comes_with.1",
     "there is no act 'poor'",
     "(closest: pour)"),
    ("hazard", "[fire, pour metal]", "[fire, pour mettle]", 13, "hazards one-more, comes_with.1",
     "no material, thing or kind 'mettle'", "(closest: metal)"),
    ("hazard", "    comes_with: [fire, pour metal]\n", "", 2, "hazards one-more", "this does not fit",
     "it comes with some acts"),
    ("step", "uses: [soda]", "uses: [sodaa]", 10, "steps one-more, uses", "there is no 'sodaa'", "(closest: soda)"),
    ("step", "hazards: [steam]", "hazards: [steem]", 11, "steps one-more, hazards", "no 'steem'", "(closest: steam)"),
    ("step", "{soda}", "{sody}", 6, "steps one-more, do", "'{sody}' is not a material", "(closest: soda)"),
    ("step", "{dry_mass}", "{mass}", 7, "steps one-more, look_for", "'{mass}' is not", "name an existing one"),
    ("step", "Heat {soda}.", "Heat {soda ash}.", 6, "steps one-more, do", "a brace stands here", "{soda_ash}"),
    ("amount", "material: lead", "material: led", 3, "amounts one-more, material", "no material 'led'",
     "(closest: lead)"),
    ("amount", "of: dry_mass", "of: dry_mas", 5, "amounts one-more, of", "'dry_mas' is not", "(closest: dry_mass)"),
    ("material", "price: price", "price: prize", 5, "materials salt, price", "no fact 'prize'", "(closest: price)"),
    ("material", "price: price", "price: mass", 5, "materials salt, price", "'mass' is not a price", "money/kg"),
    ("material", "stock: mass", "stock: mas", 6, "materials salt, stock", "no fact 'mas'", "(closest: mass)"),
    ("material", "stock: mass", "stock: price", 6, "materials salt, stock", "'price' is not a mass", "a fact in g"),
    ("decision", "fallback: nothing", "fallback: nowt", 5, "decisions extra, fallback", "no option 'nowt'", "nothing"),
    ("decision", "stops: [nothing]", "stops: [nowt]", 6, "decisions extra, stops", "no option 'nowt'", "nothing, much"),
    ("decision", "tie_order: [nothing,", "tie_order: [nowt,", 7, "decisions extra, tie_order", "'nowt'", "much"),
    # sources
    ("argument", "source: practice", "source: practise", 8, "arguments one-more, source", "no source 'practise'",
     "(closest: practice)"),
    ("argument", "source: practice", "source: invented-1900", 8, "arguments one-more, source", "without a place",
     "page, table or section"),
    ("argument", "source: practice", "source: [practice, 'invented-1900, ']", 8, "source", "without a place", "page"),
    ("hazard", "source: memory", "source: invented-1900", 10, "controls.0.source", "without a place", "page"),
    ("threshold", "source: practice", "source: nobody-1850, p. 1", 6, "thresholds one_more, source",
     "no source 'nobody-1850'", "declare it under sources"),
    ("referral", "source: practice", "source: nobody", 6, "referrals one-more, source", "no source 'nobody'",
     "declare"),
    ("expectation", "source: practice", "source: nobody", 7, "expectations one-more, source", "no source", "declare"),
    ("quantity", "source: practice", "source: nobody", 11, "quantities one_more, source", "no source", "declare"),
    ("material", "source: practice", "source: nobody", 7, "materials salt, source", "no source", "declare"),
    ("mineral", "source: practice", "source: nobody", 7, "minerals pyrite, source", "no source", "declare"),
    ("table", "    source: practice", "    source: nobody", 8, "tables some_figures, source", "no source", "declare"),
    ("table", ", p. 1", "", 6, "tables some_figures, rows.0.source", "without a place", "page"),
    ("table", "    source: practice\n", "", 7, "tables some_figures, rows.1", "no source", "name one"),
    ("table", "name: six", "nam: six", 7, "rows.1.nam", "'nam' is not a column", "(closest: name)"),
    ("source", "    author: B. Nobody\n", "", 2, "sources invented-1901", "this does not fit", "needs author, title"),
    ("source", "B. Nobody", "not named", 2, "sources invented-1901", "does not fit", "'not named' is no name and no"),
    ("source", "about 1901", "unknown", 2, "sources invented-1901", "does not fit", "'unknown' is no name and no year"),
    ("source", "about 1901", "about 1901\n    not_shown: [year]", 2, "sources invented-1901", "does not fit",
     "not_shown for those it does not show"),
    # conditions
    ("argument", "when: wet", "when: place is", 6, "when", "the end stands where an option", "option"),
    ("argument", "when: wet", "when: (wet", 6, "when", "where ')' is needed", "close the parenthesis"),
    ("argument", "when: wet", "when: place", 6, "when", "'place' is of kind choice", "write a test"),
    ("argument", "when: wet", "when: share", 6, "when", "'share' is of kind quantity", "write a test"),
    ("argument", "when: wet", "when: wet is dry", 6, "when", "'wet' is of kind yes_no", "choice or a decision"),
    ("argument", "when: wet", "when: shelf is soda", 6, "when", "'shelf' is of kind several", "choice"),
    ("argument", "when: wet", "when: place has shed", 6, "when", "'place' is of kind choice", "a list"),
    ("argument", "when: wet", "when: wet > 5 %", 6, "when", "'wet' is of kind yes_no", "quantity"),
    ("argument", "when: wet", "when: share > 5 g", 6, "when", "'5 g' is a mass, but share is a share", "in %"),
    ("argument", "when: wet", "when: share > heat_limit", 6, "when", "'heat_limit' is a temperature", "in %"),
    ("argument", "when: wet", "when: share > 5", 6, "when", "'5' has no unit", "5 %"),
    ("argument", "when: wet", "when: mass > 8 oz", 6, "when", "two weights", "known unit"),
    ("argument", "when: wet", "when: mass > 8 stones", 6, "when", "'stones' is not a unit", "known unit"),
    ("argument", "when: wet", "when: share > 150 %", 6, "when", "outside the sensible values", "from 0 % to 100 %"),
    ("argument", "when: wet", "when: mass > 0", 6, "when", "outside the sensible values", "from 1 g to 5000 g"),
    ("argument", "when: wet", "when: pots > 50", 6, "when", "outside the sensible values", "from 0 to 10"),
    ("argument", "when: wet", "when: share between 9 % and 5 %", 6, "when", "backwards", "smaller amount first"),
    ("argument", "when: wet", "when: route is melt", 6, "arguments one-more, when", "'route', which is decided later",
     "before 'route'"),
    ("argument", "when: wet", "when: vessel is pot", 6, "arguments one-more, when", "'vessel', which is decided later",
     "before 'route'"),
    ("argument", "about: route.melt\n    says: against\n    strength: slight",
     "about: [route.melt, route.stop]\n    says: rule_out\n    kind: danger", 3, "arguments one-more, about",
     "'stop' is the fallback", "speak against it"),
    # amounts and formulas
    ("threshold", "value: 10 %", "value: ten %", 3, "thresholds one_more, value", "'ten %' is not an amount", "5 %"),
    ("threshold", "value: 10 %", "value: 10 oz", 3, "thresholds one_more, value", "'10 oz' is not an amount", "unit"),
    ("threshold", "value: 10 %", "value: 5 to 10 %", 3, "thresholds one_more, value", "is not an amount", "a number"),
    ("fact", 'unit: "%"', "unit: stones", 9, "facts colour, unit", "'stones' is not a unit", "unit of the fact"),
    ("fact", "least: 0 %", "least: 0 g", 10, "facts colour, least", "measures a mass", "unit of the fact"),
    ("fact", "most: 50 %", "most: much", 11, "facts colour, most", "'much' is not an amount", "unit of the fact"),
    ("fact", "most: 50 %", "most: 0 %", 11, "facts colour, most", "not above the least", "in order"),
    ("fact", "high: 10 %", "high: 60 %", 12, "facts colour, when_unknown", "leaves the sensible values", "in order"),
    ("fact", "likely: 5 %", "likely: 50 %", 12, "facts colour, when_unknown", "low <= likely <= high", "in order"),
    ("fact", "kind: quantity", "kind: yes_no", 2, "facts colour", "does not fit", "belong to a quantity only"),
    ("fact", '    unit: "%"\n', "", 2, "facts colour", "does not fit", "a quantity needs unit"),
    ("step", "time: 20 min", "time: 20 C", 9, "steps one-more, time", "measures a temperature", "amount in min"),
    ("step", "time: 20 min", "time: a while", 9, "steps one-more, time", "'a while' is not an amount", "5 to 10 min"),
    ("step", "high: 1000 C", "high: 100 C", 8, "steps one-more, temperature", "low <= likely <= high", "in C"),
    ("material", "low: 1 g/ml", "low: 1 g", 4, "materials salt, bulk_density", "measures a mass", "g/ml"),
    ("quantity", "unit: ml", "unit: mll", 4, "quantities one_more, unit", "'mll' is not a unit", "known unit"),
    ("quantity", "formula: 5 ml", "formula: 5 g", 9, "quantities one_more, cases.1.formula", "does not give ml", "ml"),
    ("quantity", "mass / 2 g/ml", "mass + 2 ml", 7, "cases.0.formula", "a mass and a volume", "one kind"),
    ("quantity", "mass / 2 g/ml", "mas / 2 g/ml", 7, "cases.0.formula", "'mas' is not a quantity", "closest: mass"),
    ("quantity", "mass / 2 g/ml", "mass / - volume", 7, "cases.0.formula", "stands after a sign", "a number"),
    ("quantity", "when: wet", "when: wett", 6, "quantities one_more, cases.0.when", "'wett'", "(closest: wet)"),
    ("quantity", "    reason", "    formula: 5 ml\n    reason", 2, "quantities one_more", "does not fit",
     "either a formula or cases"),
    ("amount", "of: dry_mass", "of: share", 5, "amounts one-more, of", "this is not a mass", "grams"),
    ("expectation", "lead + soda * 2", "lead + share", 5, "expectations one-more, formula", "a mass and a share",
     "kind"),
    ("expectation", "lead + soda * 2", "lead * soda", 5, "expectations one-more, formula", "not a mass", "grams"),
    ("check", "formula: mass * share", "formula: lead", 3, "checks one-more, formula", "'lead' is not a quantity",
     "use"),
    ("check", "at_most: 100 g", "at_most: 100 %", 4, "checks one-more, at_most", "something else than", "same kind"),
    ("check", "at_most: 100 g", "at_least: 100 %", 4, "checks one-more, at_least", "something else than", "same kind"),
    ("check", "at_most: 100 g", "ask_back: true", 2, "checks one-more", "does not fit", "at_most or at_least"),
    ("check", "at_most: 100 g", "when: wet", 2, "checks one-more", "does not fit", "at_most or at_least"),
    ("check", "at_most: 100 g", "at_most: mass", 4, "checks one-more, at_most", "'mass' is not a quantity", "use"),
    ("mineral", "4.9 to 5.2 g/ml", "5 g", 5, "minerals pyrite, density", "'g' measures a mass", "amount in g/ml"),
    # names that would mean two things
    ("finding", "one_more:", "wet:", 2, "findings wet", "a fact or decision has the same name", "another name"),
    ("finding", "one_more:", "route:", 2, "findings route", "a fact or decision has the same name", "another name"),
    ("quantity", "one_more:", "heat:", 2, "quantities heat", "a fact or threshold has the same name", "another name"),
    ("threshold", "one_more:", "wet:", 2, "thresholds wet", "a fact has the same name", "another name"),
    ("decision", "extra:", "wet:", 2, "decisions wet", "a fact has the same name", "another name"),
    ("material", "salt:", "dry_mass:", 2, "materials dry_mass", "a quantity has the same name", "another name"),
    ("material", "salt:", "heat_limit:", 2, "materials heat_limit", "a threshold has the same name", "another name"),
    ("material", "salt:", "mass:", 2, "materials mass", "a fact has the same name", "another name"),
    # what needs itself
    ("quantity", "formula: 5 ml", "formula: one_more", 2, "quantities one_more", "computed from itself", "circle"),
]
# fmt: on


@pytest.mark.parametrize(
    ("kind", "old", "new", "line", "where", "wrong", "right"), BROKEN, ids=[f"{c[0]}: {c[2]}"[:60] for c in BROKEN]
)
def test_one_fault_is_reported_with_its_place_and_its_remedy(
    kind: str, old: str, new: str, line: int, where: str, wrong: str, right: str
) -> None:
    assert WHOLE[kind].count(old) == 1, "the piece to exchange must stand once in the entry"
    (fault,) = faults_of(WHOLE[kind].replace(old, new))
    assert (fault.file, fault.line) == ("more-1.yaml", line)
    assert fault.where.endswith(where)
    assert wrong in fault.wrong
    assert right in fault.right
    assert str(fault).startswith(f"more-1.yaml:{line}: ")
    assert "pydantic" not in str(fault)
    assert "constrained" not in str(fault)


@pytest.mark.parametrize(
    ("old", "new", "where", "wrong", "right"),
    [
        ("format: 1", "format: 2", "base format", "'2' stands here", "use one of 1"),
        ("{slight: 1, strong: 8}", "{slight: 0, strong: 8}", "base strengths", "does not fit", "at least"),
        ("  title: Invented rules\n", "", "base title", "the key 'title' is missing", "add it"),
    ],
)
def test_a_fault_of_the_base_section_is_reported(old: str, new: str, where: str, wrong: str, right: str) -> None:
    (fault,) = faults_when(old, new)
    assert fault.file == "base.yaml"
    assert fault.line in (1, line_in_base(old))
    assert where in fault.where
    assert wrong in fault.wrong
    assert right in fault.right


@pytest.mark.parametrize(
    ("kind", "old", "new", "line", "where", "right", "missing"),
    [
        ("argument", "when: wet", "wen: wet", 6, "arguments one-more, wen", "(closest: when)", "when"),
        ("hazard", "do: Keep", "doo: Keep", 8, "hazards one-more, controls.0.doo", "known keys are do, when", "do"),
        ("decision", "summary: Much.", "summry: Much.", 10, "options.much.summry", "(closest: summary)", "summary"),
        ("fact", "{low: 0", "{lowest: 0", 12, "facts colour, when_unknown.lowest", "low, likely, high", "low"),
    ],
)
def test_a_misspelt_key_is_reported_with_the_key_that_is_now_missing(
    kind: str, old: str, new: str, line: int, where: str, right: str, missing: str
) -> None:
    unknown, lacking = sorted(faults_of(WHOLE[kind].replace(old, new)), key=lambda fault: fault.right == "add it")
    assert (unknown.file, unknown.line) == ("more-1.yaml", line)
    assert unknown.where.endswith(where)
    assert right in unknown.right
    assert lacking.wrong == f"the key '{missing}' is missing"


@pytest.mark.parametrize(
    ("kind", "old", "new", "stands"),
    [
        ("argument", "id: one-more", "id: wet-spits", "  - {id: wet-spits"),
        ("fact", "colour:", "wet:", "  wet: {"),
        ("hazard", "id: one-more", "id: steam", "  - {id: steam"),
        ("threshold", "one_more:", "share_limit:", "  share_limit: {"),
    ],
)
def test_a_name_that_already_stands_is_reported_with_the_first_place(
    kind: str, old: str, new: str, stands: str
) -> None:
    (fault,) = faults_of(WHOLE[kind].replace(old, new, 1))
    assert (fault.file, fault.line) == ("more-1.yaml", 2)
    assert fault.wrong == f"this id already stands at base.yaml:{line_in_base(stands)}"
    assert fault.right == "give it an id of its own"


def test_two_base_sections_in_one_layer_are_a_fault() -> None:
    base = BASE[: BASE.index("sources:")]
    (fault,) = faults_of("retire: []\n" + base)
    assert (fault.file, fault.line) == ("more-1.yaml", 2)
    assert "a second base section (the first stands in base.yaml)" in fault.wrong


def test_rules_without_a_base_section_are_a_fault() -> None:
    with pytest.raises(FaultyFile) as caught:
        compile_rule_base(merge([("own", [parse_yaml("facts: {}", "x.yaml")])]))
    assert "no file holds a 'base' section" in caught.value.faults[0].wrong


@pytest.mark.parametrize("text", ["- 1", "just text", "5"])
def test_a_file_that_is_no_mapping_is_no_rule_file(text: str) -> None:
    (fault,) = faults_of(text)
    assert (fault.file, fault.line, fault.wrong) == ("more-1.yaml", 1, "this is not a rule file")


@pytest.mark.parametrize("text", ["", "# nothing yet\n", "facts: {}\narguments: []\n"])
def test_a_file_without_rules_is_no_fault(text: str) -> None:
    compiled(text)


def test_a_circle_through_several_formulas_is_reported_for_each_of_them() -> None:
    faults = faults_of(
        "quantities:\n"
        "  first: {title: a, unit: g, formula: second * 2, reason: r, source: practice}\n"
        "  second: {title: b, unit: g, formula: lead + 1 g, reason: r, source: practice}\n"
        "  apart: {title: c, unit: g, formula: first * 2, reason: r, source: practice}\n"
        "amounts:\n"
        "  - {id: circle, material: lead, when: wet, of: first, parts: {low: 1, likely: 1, high: 1}, reason: r,\n"
        "     source: practice}\n"
    )
    assert {(fault.where, fault.wrong) for fault in faults} == {
        ("quantities first", "its amount is computed from itself"),
        ("quantities second", "its amount is computed from itself"),
        ("materials lead", "its amount is computed from itself"),
    }


def test_quantities_may_use_each_other_in_any_order() -> None:
    compiled(
        "quantities:\n"
        "  first: {title: a, unit: g, formula: second * 2, reason: r, source: practice}\n"
        "  second: {title: b, unit: g, formula: soda + dry_mass, reason: r, source: practice}\n"
    )


def test_a_finding_about_a_decision_counts_as_testing_it() -> None:
    finding = "findings:\n  melting: {means: melting, when: route is melt}\n"
    (fault,) = faults_of(finding, ARGUMENT.replace("when: wet", "when: melting"))
    assert "'route', which is decided later" in fault.wrong
    compiled(finding, ARGUMENT.replace("when: wet", "when: melting").replace("route.melt", "vessel.pot"))


@pytest.mark.parametrize(
    ("implied", "field", "wrong"),
    [
        ("{when: share = 0 %, value: perhaps}", "implied.0.value", "neither yes nor no"),
        ("{when: share = 0 g, value: no}", "implied.0.when", "is a mass"),
        ("{when: sunny, value: no}", "implied.0.when", "this tests the fact itself"),
        ("{when: route is melt, value: no}", "implied", "this tests a decision"),
        ("{when: nothing, value: no}", "implied.0.when", "'nothing' is not a fact"),
    ],
)
def test_a_value_that_cannot_follow_is_a_fault(implied: str, field: str, wrong: str) -> None:
    sunny = (
        "facts:\n  sunny: {label: sunny, group: room, kind: yes_no, ask: Sun?, find_out: Look., explain: Invented.,\n"
    )
    (fault,) = faults_of(f"{sunny}    implied: [{implied}]}}\n")
    assert fault.where == f"facts sunny, {field}"
    assert wrong in fault.wrong


@pytest.mark.parametrize(
    ("text", "wrong", "right"),
    [
        ("retire:\n  - {section: arguments, id: wet-spitz, reason: r}\n", "no such entry", "(closest: wet-spits)"),
        ("retire:\n  - {section: rules, id: wet-spits, reason: r}\n", "'rules' stands here", "'arguments'"),
        ("retire:\n  - {section: arguments, id: wet-spits}\n", "'reason' is missing", "add it"),
        ("retire:\n  - {section: hazards, id: steam, reason: r}\n", "there is no 'steam'", "name an existing one"),
    ],
)
def test_retiring_what_is_not_there_or_still_needed_is_a_fault(text: str, wrong: str, right: str) -> None:
    (fault,) = faults_of(text)
    assert wrong in fault.wrong
    assert right in fault.right


def test_an_entry_named_like_a_key_of_entries_brings_the_keys_of_its_own_kind() -> None:
    faults = faults_of(FACT.replace("colour:", "options:", 1).replace("label: colour", "labl: colour"))
    unknown = next(fault for fault in faults if "unknown key" in fault.wrong)
    assert "find_out" in unknown.right
    assert "(closest: label)" in unknown.right


def test_several_faults_in_several_files_are_all_reported_in_order() -> None:
    faults = faults_of(
        ARGUMENT.replace("when: wet", "when: wett").replace("source: practice", "source: nobody"),
        STEP.replace("stage: fire", "stage: fyre").replace("{soda}", "{sody}").replace("[steam]", "[steem]"),
        QUANTITY.replace("formula: 5 ml", "formula: 5 g"),
    )
    assert [(fault.file, fault.line) for fault in faults] == [
        ("more-1.yaml", 6),
        ("more-1.yaml", 8),
        ("more-2.yaml", 3),
        ("more-2.yaml", 6),
        ("more-2.yaml", 11),
        ("more-3.yaml", 9),
    ]


def test_several_wrong_shapes_in_several_files_are_all_reported() -> None:
    faults = faults_of(
        ARGUMENT.replace("says: against", "says: maybe").replace("reason:", "raeson:"),
        "findings: [a]\nwhat: 1\n",
    )
    assert sorted(fault.wrong for fault in faults if fault.file == "more-1.yaml") == [
        "'maybe' stands here",
        "the key 'reason' is missing",
        "unknown key 'raeson'",
    ]
    assert [(fault.line, fault.where) for fault in faults if fault.file == "more-2.yaml"] == [(1, "findings"), (2, "")]


def test_the_same_faulty_text_is_reported_wherever_it_stands() -> None:
    text = ARGUMENT.replace("when: wet", "when: (wet")
    faults = faults_of(text + text.replace("arguments:\n", "").replace("one-more", "two-more"))
    assert [fault.where for fault in faults] == ["arguments one-more, when", "arguments two-more, when"]


def test_the_message_of_a_faulty_file_holds_every_fault_on_its_own_line() -> None:
    faults = [Fault("b.yaml", 2, "x", "w", "r"), Fault("a.yaml", 0, "", "w", "r"), Fault("b.yaml", 1, "", "w", "r")]
    assert str(FaultyFile(faults)).splitlines() == ["a.yaml: w; r", "b.yaml:1: w; r", "b.yaml:2: x: w; r"]


def test_a_retired_argument_keeps_its_id_and_never_speaks() -> None:
    rule_base = compiled(ARGUMENT + "    status: retired\n")
    argument = rule_base.arguments["one-more"]
    for bits in (1, 2, 3):
        assert argument.condition.truth([bits] * len(rule_base.variables)) == 0


def test_arguments_carry_the_weight_of_their_strength_and_stance() -> None:
    arguments = compiled(ARGUMENT).arguments
    assert arguments["one-more"].weight == -1
    assert arguments["sulphide-wants-roast"].weight == 8
    assert arguments["wet-spits"].weight == 0
    assert arguments["sulphide-wants-roast"].sources[0].text == "A. Nobody, Made up for a test (1900), p. 3"
    assert arguments["wet-spits"].sources[0].text == "common practice, no source"


def test_each_row_of_a_table_names_its_own_source_or_that_of_the_table_in_full() -> None:
    table = compiled(TABLE).tables["some_figures"]
    assert [row["source"] for row in table.rows] == [
        "A. Nobody, Made up for a test (1900), p. 1",
        "common practice, no source",
    ]
    assert [(row["heat"], row["name"]) for row in table.rows] == [(5, "five"), (6, "six")]


def test_a_mineral_keeps_the_whole_range_of_its_density() -> None:
    density = compiled(MINERAL).minerals["pyrite"].density_g_per_ml
    assert (density.low, density.high) == (4.9, 5.2)


def test_two_options_of_a_fact_that_say_no_are_a_fault() -> None:
    text = """facts:
  look:
    {label: look, group: batch, kind: choice, ask: Any?, find_out: Look., explain: Invented.,
     options: {none: {label: not any, means: nothing}, unseen: {label: unseen, means: not looked, says_no: true}}}
"""
    (fault,) = faults_of(text)
    assert (fault.line, fault.where) == (4, "facts look, options")
    assert fault.wrong == "'none' and 'unseen' each say no"
