"""The shipped tables: every seeded fault is seen, and nothing that a computation reads is left to chance."""

from __future__ import annotations

from functools import cache

import pytest

from advisor.errors import FaultyFile
from advisor.metallurgy.charge.tables import charge_data
from advisor.metallurgy.check import faults_of
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.layers import merge
from advisor.rulebase.reading.yaml_reader import Document, parse_yaml
from tests.conftest import ROOT

FILES = {
    str(path.relative_to(ROOT)): path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "rules").rglob("*.yaml"))
    if "consultation:" not in path.read_text(encoding="utf-8")
}
CHARGE, MINERALS = "rules/metallurgy/charge.yaml", "rules/metallurgy/minerals.yaml"

SEEDED: dict[str, tuple[str, str, str, str]] = {
    "a row deleted": (
        CHARGE,
        "      - {mineral: galena, reaction: PbS -> PbS, source: practice}\n",
        "",
        "minerals galena: the table heating",
    ),
    "iron uptake of pyrite deleted": (
        CHARGE,
        "      - mineral: pyrite\n        least: 2 FeS2 + Fe -> 3 FeS + S\n        likely: FeS2 + Fe -> 2 FeS\n"
        "        most: FeS2 + Fe -> 2 FeS\n        source: calculation\n",
        "",
        "minerals pyrite: the table iron_uptake",
    ),
    "reducing power out of its equations": (
        CHARGE,
        "        likely: 11.0\n        high: 12.95",
        "        likely: 12.9\n        high: 12.95",
        "the reducing power of pyrite is given as 12.9",
    ),
    "ends exchanged": (
        CHARGE,
        "        low: 8.64\n        likely: 11.0",
        "        low: 11.5\n        likely: 11.0",
        "low, likely, high are 11.5, 11, 12.95",
    ),
    "unbalanced": (CHARGE, "reaction: FeS2 -> FeS + S,", "reaction: FeS2 -> FeS + 2 S,", "does not balance"),
    "reaction of another mineral": (
        CHARGE,
        "reaction: FeS2 -> FeS + S,",
        "reaction: Fe7S8 -> 7 FeS + S,",
        "FeS2 does not stand on the left",
    ),
    "product unknown": (
        CHARGE,
        "      - {formula: Cu2S, place: sulphide, role: none, density: 5.5, source: memory}\n",
        "",
        "makes Cu2S, which is not among species.formula; add a row for Cu2S to species",
    ),
    "place misspelt": (
        CHARGE,
        "{formula: Pb, place: metal,",
        "{formula: Pb, place: metall,",
        "'metall' does not stand here",
    ),
    "method misspelt": (
        CHARGE,
        "{ore: iron, part: soda_ash,",
        "{ore: irn, part: soda_ash,",
        "there is no row with ore: iron, part: soda_ash",
    ),
    "single row doubled": (
        CHARGE,
        "      - {low: 1.8, likely: 2.2, high: 2.8, source: memory}\n",
        "      - {low: 1.8, likely: 2.2, high: 2.8, source: memory}\n" * 2,
        "a row of this key already stands",
    ),
    "assay mineral without its element": (
        MINERALS,
        "{element: Cu, mineral: chalcopyrite,",
        "{element: Cu, mineral: pyrite,",
        "'Cu' does not stand here; write an element that FeS2 holds",
    ),
    "band not a share": (MINERALS, "high: 0.06,", "high: 6,", "6 is no share"),
    "kind without its rows": (
        MINERALS,
        "kind: oxide\n    note: Red streak",
        "kind: sulphide\n    note: Red streak",
        "minerals hematite: the table reducing_power",
    ),
    "element without a product": (
        "rules/metallurgy/roasting.yaml",
        "      - {element: Zn, product: ZnO, goes: residue, when: likely, source: memory}\n",
        "",
        "minerals sphalerite: the table roast_products",
    ),
    "two likely products": (
        "rules/metallurgy/roasting.yaml",
        "product: Fe3O4, goes: residue, when: possible",
        "product: Fe3O4, goes: residue, when: likely",
        "there is not exactly one likely product of Fe",
    ),
    "stage missing": (
        "rules/metallurgy/roasting.yaml",
        "      - {mineral: galena, stage: burn, low: 450, likely: 525, high: 600, source: memory}\n",
        "",
        "no row with mineral: galena, stage: burn",
    ),
    "note that the program says": (
        "rules/metallurgy/notes.yaml",
        "      - key: bead_stop\n        text: It is done.\n        source: practice\n",
        "",
        "no row with key: bead_stop",
    ),
    "limit that the program says": (
        CHARGE,
        "- limit: rod-too-light",
        "- limit: rod-light",
        "no row with limit: rod-too-light",
    ),
    "a note deleted": (
        "rules/metallurgy/notes.yaml",
        "      - key: air_over_limits\n",
        "      - key: air_over_limit\n",
        "no row with key: air_over_limits",
    ),
    "what is reckoned with deleted": (
        "rules/metallurgy/notes.yaml",
        "      - {what: heat, low: 750, likely: 900, high: 1050, source: practice}\n",
        "",
        "no row with what: heat",
    ),
    "time misspelt": (
        "rules/metallurgy/cupellation.yaml",
        "{collector: lead, part: drive,",
        "{collector: lead, part: driv,",
        "no row with collector: lead, part: drive",
    ),
    "agent of a limit unknown": (
        "rules/metallurgy/exposure.yaml",
        "agent: arsenic, title: arsenic",
        "agent: arsenik, title: arsenic",
        "'arsenik' does not stand here",
    ),
    "answer without a mineral": (
        "rules/metallurgy/from-answers.yaml",
        "      - {option: stibnite, mineral: stibnite, source: practice}\n",
        "",
        "facts sulphide_minerals, options.stibnite: the table sulphides_as_minerals",
    ),
    "answer unknown": (
        "rules/metallurgy/from-answers.yaml",
        "value: a_little",
        "value: little",
        "'little' does not stand here",
    ),
    "a fact gone that the program reads": (
        "rules/needs.yaml",
        "    - room_volume\n",
        "    - room_volumes\n",
        "the program reads room_volumes of the facts",
    ),
}


def compiled(file: str, old: str, new: str) -> RuleBase:
    assert FILES[file].count(old) == 1, f"{old!r} stands {FILES[file].count(old)} times in {file}"
    changed = parse_yaml(FILES[file].replace(old, new), file)
    documents = [changed if name == file else as_it_is(name) for name in FILES]
    return compile_rule_base(merge([("seeded", documents)]))


@cache
def as_it_is(name: str) -> Document:
    """A shipped file, read once for all faults."""
    return parse_yaml(FILES[name], name)


@pytest.mark.parametrize("name", SEEDED)
def test_a_fault_seeded_into_the_shipped_tables_is_told_with_file_and_line(name: str) -> None:
    file, old, new, said = SEEDED[name]
    try:
        faults = faults_of(compiled(file, old, new))
    except FaultyFile as problem:
        faults = list(problem.faults)
    told = [str(fault) for fault in faults if said in str(fault)]
    assert told, [str(fault) for fault in faults]
    assert all(fault.line for fault in faults)


def test_a_row_that_says_nothing_happens_weighs_nothing_and_is_not_shown(shipped: RuleBase) -> None:
    charge = Tables(shipped).once(charge_data)
    for name in ("quartz", "calcite", "gold", "ilmenite", "zinc_oxide"):
        assert charge.iron[name].iron.high == 0
        assert charge.iron[name].likely.right == charge.heating[name].right, name


def test_every_mineral_says_what_heat_iron_and_a_roast_make_of_it(shipped: RuleBase) -> None:
    tables = Tables(shipped)
    for name in shipped.minerals:
        assert name in tables.once(charge_data).heating
        assert name in tables.once(charge_data).iron
        assert any(row["mineral"] == name for row in tables.rows("roasting"))
