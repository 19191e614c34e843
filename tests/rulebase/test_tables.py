"""Tables of rule files: what a table says of its columns, what rows must stand, and rows laid over rows."""

from __future__ import annotations

import pytest

from advisor.errors import FaultyFile
from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.layers import merge
from advisor.rulebase.reading.yaml_reader import parse_yaml
from tests.rulebase.small_base import BASE, compiled, faults_of

MINERALS = """\
minerals:
  pyrite: {title: Pyrite, formula: FeS2, density: 5 g/ml, kind: sulphide, source: practice}
  galena: {title: Galena, formula: PbS, density: 7.5 g/ml, kind: sulphide, source: practice}
  quartz: {title: Quartz, formula: SiO2, density: 2.6 g/ml, kind: silicate, source: practice}
tables:
  products:
    title: Where each product goes
    key: formula
    columns: {formula: formula, place: slag | metal | gas}
    rows:
      - {formula: FeS, place: slag}
      - {formula: Pb, place: metal}
    source: practice
  uptake:
    title: Iron taken up
    key: mineral
    columns:
      mineral: minerals
      least: reaction of mineral
      likely: reaction of mineral into products.formula
      low: share
      likely_note: text
      high: share
    every: [{mineral: minerals.sulphide}]
    rising: {Fe: [least, likely]}
    may_be_left_out: [likely_note]
    rows:
      - {mineral: pyrite, least: 2 FeS2 + Fe -> 3 FeS + S, likely: FeS2 + Fe -> 2 FeS, low: 0.1, high: 0.5}
      - {mineral: galena, least: PbS -> PbS, likely: PbS + Fe -> Pb + FeS, low: 0, high: 1}
    source: practice
  answers:
    title: What an answer stands for
    key: [fact, value]
    columns: {fact: facts, value: option of fact, mineral: minerals | none}
    every: [{fact: place, value: facts.place}]
    rows:
      - {fact: place, value: outdoors, mineral: quartz}
      - {fact: place, value: shed, mineral: none}
      - {fact: place, value: none, mineral: none}
      - {fact: wet, value: "yes", mineral: none}
    source: practice
  single:
    title: One figure
    key: []
    columns: {low: g/ml, likely: g/ml, high: g/ml}
    rows: [{low: 1, likely: 2, high: 3}]
    source: practice
  loose:
    title: Rows without a key
    columns: {text: text}
    rows: [{text: one}, {text: two}]
    source: practice
"""


def test_the_small_tables_have_no_fault() -> None:
    assert len(compiled(MINERALS).tables["uptake"].rows) == 2


FAULTS: dict[str, tuple[str, str, str, str]] = {
    "unknown word": ("mineral: galena, least", "mineral: galenit, least", "'galenit' does not stand here", "galena"),
    "unbalanced": ("FeS2 + Fe -> 2 FeS,", "FeS2 + Fe -> 3 FeS,", "does not balance", "numbers"),
    "no reaction": ("least: PbS -> PbS", "least: PbS", "is not a reaction", "write it like"),
    "wrong substance": (
        "least: PbS -> PbS",
        "least: ZnS -> ZnS",
        "PbS does not stand on the left",
        "a reaction of PbS",
    ),
    "unknown product": ("Pb + FeS,", "PbFe + S,", "it makes PbFe and S, which is not among", "to products"),
    "range": ("low: 0.1, high: 0.5", "low: 0.6, high: 0.5", "low, high are 0.6, 0.5", "rising order"),
    "not a share": ("low: 0, high: 1}", "low: 0, high: 1.5}", "1.5 is no share", "0 to 1"),
    "below zero": ("low: 1, likely: 2", "low: -1, likely: 2", "-1 is no g/ml", "0 or more"),
    "equations": (
        "least: 2 FeS2 + Fe -> 3 FeS + S",
        "least: FeS2 + 2 Fe -> Fe3S2",
        "use 2, 1 Fe for one part",
        "rising order",
    ),
    "number as text": ("low: 0.1", "low: little", "'little' is not a number", "a plain number in share"),
    "text as number": ("text: one", "text: 1904", "1904 is not text", 'in quotes: "1904"'),
    "column missing": ("low: 0.1, high: 0.5", "low: 0.1", "the column 'high' is missing", "add it: share"),
    "unknown option": ("value: shed", "value: hut", "'hut' does not stand here", "outdoors, shed, none"),
    "unknown fact": ("fact: wet", "fact: wett", "'wett' does not stand here", "closest: wet"),
    "formula": ("formula: FeS,", "formula: Qq,", "not an element", "FeS2"),
    "twice": ("formula: Pb,", "formula: FeS,", "a row of this key already stands at more-1.yaml:11", "keep one"),
    "two rows": (
        "[{low: 1, likely: 2, high: 3}]",
        "[{low: 1, likely: 2, high: 3}, {low: 1, likely: 2, high: 4}]",
        "a row of this key already stands",
        "keep one",
    ),
    "key": ("    key: mineral\n", "    key: minerall\n", "'minerall' is not a column", "closest: mineral"),
    "schema": ("rising: {Fe: [least, likely]}", "rising: {Fe: [leest, likely]}", "'leest' is not a column", "least"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_row_that_is_not_what_its_table_says_is_one_fault_with_its_line(name: str) -> None:
    old, new, wrong, right = FAULTS[name]
    assert MINERALS.count(old) == 1, f"{old!r} stands {MINERALS.count(old)} times"
    faults = [fault for fault in faults_of(MINERALS.replace(old, new)) if wrong in fault.wrong]
    assert len(faults) == 1, [str(fault) for fault in faults_of(MINERALS.replace(old, new))]
    assert right in faults[0].right
    assert faults[0].file == "more-1.yaml"
    assert faults[0].line in range(1, MINERALS.count("\n") + 1)


def test_a_mineral_without_the_row_it_needs_is_a_fault_of_the_mineral_that_says_what_to_add() -> None:
    own = """\
minerals:
  stibnite: {title: Stibnite, formula: Sb2S3, density: 4.6 g/ml, kind: sulphide, source: practice}
"""
    (fault,) = faults_of(MINERALS, own)
    assert (fault.file, fault.line, fault.where) == ("more-2.yaml", 2, "minerals stibnite")
    assert fault.wrong == "the table uptake (more-1.yaml:14) has no row with mineral: stibnite"
    row = "{mineral: stibnite, least: ..., likely: ..., low: ..., high: ..., source: ...}"
    assert fault.right == f"add  tables: {{uptake: {{rows: [{row}]}}}}"


def test_an_option_without_the_row_it_needs_is_a_fault_of_the_option() -> None:
    changed = BASE.replace(
        "      none: {label: no place", "      cave: {label: cave, means: dark}\n      none: {label: no place"
    )
    with pytest.raises(FaultyFile) as caught:
        compile_rule_base(merge([("base", [parse_yaml(changed, "base.yaml"), parse_yaml(MINERALS, "more.yaml")])]))
    (fault,) = caught.value.faults
    assert (fault.file, fault.where) == ("base.yaml", "facts place, options.cave")
    assert "no row with fact: place, value: cave" in fault.wrong


def test_a_table_that_asks_for_more_rows_than_can_be_worked_with_is_refused_at_once() -> None:
    words = " | ".join(f"w{number}" for number in range(200))
    own = f"""\
tables:
  wide:
    title: Wide
    columns: {{a: text, b: text}}
    every: [{{a: {words}, b: {words}}}]
    rows: [{{a: x, b: y}}]
    source: practice
"""
    (fault,) = faults_of(own)
    assert fault.wrong == "this asks for too many rows"


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("minerals.pyrite", "pyrite"),
        ("facts.wet", "yes"),
        ("materials but soda", "lead"),
        ("elements of pyrite", "x"),
        ("element", "Fe"),
        ("products.metal", "Pb"),
    ],
)
def test_every_kind_of_column_can_be_written(column: str, value: str) -> None:
    own = table("one", f"{{a: {value}}}", f"title: One\n    columns: {{a: {column}}}\n    ")
    if column.startswith("elements of"):
        assert "is not a number" in faults_of(MINERALS, own)[0].wrong
    else:
        assert compiled(MINERALS, own).tables["one"].rows[0]["a"] == value


def test_what_does_not_hold_reactions_cannot_rise_by_a_substance() -> None:
    faults = faults_of(MINERALS.replace("rising: {Fe: [least, likely]}", "rising: {Fe: [low, high]}"))
    assert {fault.wrong for fault in faults} == {"'low' holds no reaction", "'high' holds no reaction"}


# --- Rows laid over rows -----------------------------------------------------------------------------------


def over(*own: str) -> RuleBase:
    """The small tables with files of one shop laid over them."""
    documents = [parse_yaml(BASE, "base.yaml"), parse_yaml(MINERALS, "more.yaml")]
    mine = [parse_yaml(text, f"own-{number}.yaml") for number, text in enumerate(own, 1)]
    return compile_rule_base(merge([("shipped", documents), ("our shop", mine)]))


def faults_over(*own: str) -> list[str]:
    with pytest.raises(FaultyFile) as caught:
        over(*own)
    return [str(fault) for fault in caught.value.faults]


def table(name: str, rows: str, more: str = "") -> str:
    return f"tables:\n  {name}:\n    {more}rows: [{rows}]\n    source: memory\n"


GALENA = "{mineral: galena, least: PbS -> PbS, likely: PbS + Fe -> Pb + FeS, low: 0.5, high: 0.6}"


def test_a_shops_row_replaces_the_row_of_its_key_alone_and_is_told() -> None:
    rule_base = over(table("uptake", GALENA))
    rows = {row["mineral"]: row for row in rule_base.tables["uptake"].rows}
    assert list(rows) == ["pyrite", "galena"]
    assert (rows["galena"]["low"], rows["pyrite"]["low"]) == (0.5, 0.1)
    assert rows["galena"]["source"] == "from memory, not checked against a text"
    assert rows["pyrite"]["source"] == "common practice, no source"
    (override,) = rule_base.overrides
    assert (override.section, override.id, override.how) == ("tables", "uptake, galena", "replaced")


def test_a_shops_new_row_is_added_and_nothing_is_replaced() -> None:
    rule_base = over(table("products", "{formula: SO2, place: gas}"))
    assert [row["formula"] for row in rule_base.tables["products"].rows] == ["FeS", "Pb", "SO2"]
    assert rule_base.overrides == ()


def test_a_table_replaced_whole_must_be_complete_too() -> None:
    assert [row["mineral"] for row in over(table("uptake", GALENA)).tables["uptake"].rows] == ["pyrite", "galena"]
    (fault,) = faults_over(table("uptake", GALENA, "whole: true\n    "))
    assert "minerals pyrite: the table uptake (more.yaml:14) has no row with mineral: pyrite" in fault


def test_the_one_row_of_a_table_of_one_row_is_replaced() -> None:
    rule_base = over(table("single", "{low: 2, likely: 3, high: 4}"))
    assert [row["likely"] for row in rule_base.tables["single"].rows] == [3]
    assert rule_base.overrides[0].id == "single, its one row"


def test_rows_without_a_key_can_only_be_replaced_whole() -> None:
    (fault,) = faults_over(table("loose", "{text: three}"))
    assert "has no key, so single rows of it cannot be changed; write all of its rows, and  whole: true" in fault
    rule_base = over(table("loose", "{text: three}", "whole: true\n    "))
    assert [row["text"] for row in rule_base.tables["loose"].rows] == ["three"]
    assert (rule_base.overrides[0].id, rule_base.overrides[0].how) == ("loose", "replaced whole")


@pytest.mark.parametrize("more", ["", "whole: true\n    "])
@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Take {gram} of {what}.", ["nothing is put into {gram}, {what}; places of this text are {grams}, {of}"]),
        ("Take {grams}, {grams}.", []),
        ("Take some.", []),
    ],
)
def test_a_text_laid_over_another_has_no_places_that_the_other_has_not(more: str, text: str, says: list[str]) -> None:
    head = "title: Ours\n    key: name\n    columns: {name: name, text: text}\n    "
    lower = table("said", '{name: a, text: "Take {grams} of {of}."}, {name: b, text: As it is.}', head)
    own = table("said", f'{{name: a, text: "{text}"}}, {{name: c, text: "A new one with {{any}}."}}', more)
    documents = [parse_yaml(part, f"{number}.yaml") for number, part in enumerate((BASE, MINERALS, lower))]
    merged = merge([("shipped", documents), ("our shop", [parse_yaml(own, "own.yaml")])])
    assert [f"{fault.wrong}; {fault.right}" for fault in merged.faults] == says


def test_columns_stand_once_and_a_table_that_nobody_began_is_a_fault() -> None:
    (fault,) = faults_over(table("loose", "{text: x}", "title: Ours\n    columns: {text: text}\n    "))
    assert "own-1.yaml:5" in fault or "own-1.yaml:4" in fault
    assert "the title and columns of this table stand at more.yaml:" in fault
    (fault,) = faults_over(table("uptak", GALENA))
    assert "there is no such table to add rows to; begin it with a title and its columns" in fault
    assert "uptake" in fault


def test_rows_of_one_layer_may_stand_in_several_files_in_any_order() -> None:
    head = table("ours", "{name: a}", "title: Ours\n    key: name\n    columns: {name: text}\n    ")
    rows = table("ours", "{name: b}")
    for files in ((head, rows), (rows, head)):
        assert {row["name"] for row in over(*files).tables["ours"].rows} == {"a", "b"}
    (fault,) = faults_over(head, table("ours", "{name: a}"))
    assert "a row of this key already stands at own-1.yaml:6" in fault


# --- What the program asks of the rules ----------------------------------------------------------------------


def test_what_the_program_reads_and_nobody_wrote_is_a_fault_with_what_to_put_back() -> None:
    (fault,) = faults_of("needs:\n  facts: [wet, wetness]\n")
    assert str(fault) == (
        "more-1.yaml:2: needs wetness: the program reads wetness of the facts, and it is not there; "
        "put it back under  facts:"
    )


def test_an_option_that_the_program_reads_is_asked_for_where_its_fact_stands() -> None:
    (fault,) = faults_of("needs:\n  facts: [place.outdoors, place.cellar]\n")
    assert (fault.file, fault.where) == ("base.yaml", "facts place, options")
    assert fault.wrong == "the program reads the option 'cellar', and it is not there"
