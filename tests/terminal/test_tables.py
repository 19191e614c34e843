"""A shop's own tables, minerals and options through the real command line: a missing or wrong row is never a number."""

from __future__ import annotations

import json
import re

import pytest

from advisor.rulebase.reading.yaml_reader import read_document
from tests.conftest import ROOT
from tests.terminal.preloaded import Warm
from tests.terminal.program import Result, crash, flat

FINE, BAD_INPUT = 0, 2
SMELT = ROOT / "cases" / "iron-smelt-trade-check-weights.yaml"
CHARGE = ("collector=litharge", "mineral_masses.quartz=80g", "mineral_masses.gold=5g", "dry_mass=105g")

BORNITE = """\
minerals:
  bornite: {title: bornite, formula: Cu5FeS4, density: 5 to 5.1 g/ml, kind: sulphide, source: memory}
tables:
  heating:
    rows: [{mineral: bornite, reaction: 2 Cu5FeS4 -> 5 Cu2S + 2 FeS + S, source: memory}]
  iron_uptake:
    rows:
      - mineral: bornite
        least: 2 Cu5FeS4 -> 5 Cu2S + 2 FeS + S
        likely: 2 Cu5FeS4 + Fe -> 5 Cu2S + 3 FeS
        most: 2 Cu5FeS4 + Fe -> 5 Cu2S + 3 FeS
        source: memory
  reducing_power:
    rows:
      - mineral: bornite
        low: 4.5
        likely: 5.5
        high: 6.5
        least: 4 Cu5FeS4 + 23 O2 -> 10 Cu2O + 4 FeO + 16 SO2
        most: 4 Cu5FeS4 + 31 O2 -> 10 Cu2O + 4 FeO + 16 SO3
        source: memory
  roasting:
    rows: [{mineral: bornite, reaction: 4 Cu5FeS4 + 29 O2 -> 20 CuO + 2 Fe2O3 + 16 SO2, source: calculation}]
"""
OPTION = "      bornite: {label: bornite, means: bronze with a purple tarnish}\n"


def fact_with_bornite() -> str:
    """The fact about sulphides as a shop would copy it, with one option more."""
    text = (ROOT / "rules" / "facts" / "batch.yaml").read_text(encoding="utf-8")
    start = text.index("  sulphide_minerals:")
    end = text.index("\n  weathering:", start)
    fact = text[start:end] + "\n"
    return "facts:\n" + fact.replace("    options:\n", f"    options:\n{OPTION}")


def checked(warm: Warm, **files: str) -> Result:
    for name, text in files.items():
        warm.write(f"own/{name}.yaml", text)
    return warm.run("rules", "check", "--rules", "own")


def refused(result: Result, *said: str) -> None:
    assert result.status == BAD_INPUT, result.out[-500:]
    assert not crash(result.err)
    for words in said:
        assert words in flat(result.err)


def test_a_mineral_with_all_its_rows_stands_in_one_file_and_is_reckoned_with(warm: Warm) -> None:
    assert checked(warm, bornite=BORNITE).status == FINE
    for method, wanted in (("nitre", "nitre  "), ("iron", "iron taken up ")):
        result = warm.run("charge", f"method={method}", "mineral_masses.bornite=20g", *CHARGE, "--rules", "own")
        assert result.status == FINE, result.err
        line = next(line for line in result.lines if line.startswith(wanted))
        assert not line.endswith(" 0 g")


@pytest.mark.parametrize("name", ["heating", "iron_uptake", "reducing_power", "roasting"])
def test_a_mineral_that_lacks_a_row_is_one_fault_that_names_the_mineral_and_the_row(warm: Warm, name: str) -> None:
    start = BORNITE.index(f"  {name}:")
    following = re.search(r"^  \w+:$", BORNITE[start + 1 :], re.MULTILINE)
    end = len(BORNITE) if following is None else start + 1 + following.start()
    result = checked(warm, bornite=BORNITE[:start] + BORNITE[end:])
    refused(
        result, "bornite.yaml:2: minerals bornite: the table " + name, f"tables: {{{name}: {{rows: [{{mineral: bornite"
    )
    assert "1 fault. Correct it and run" in flat(result.err)


def test_an_option_that_stands_for_no_mineral_is_a_fault_of_the_option(warm: Warm) -> None:
    files = {"bornite": BORNITE, "fact": fact_with_bornite()}
    said = "facts sulphide_minerals, options.bornite: the table sulphides_as_minerals"
    refused(checked(warm, **files), said, "add tables: {sulphides_as_minerals: {rows: [{option: bornite, mineral: ...")
    for command in (("route", "--answers", str(SMELT)), ("charge", "method=iron", "mineral_masses.pyrite=9g", *CHARGE)):
        refused(warm.run(*command, "--rules", "own"), said)
    row = "tables:\n  sulphides_as_minerals:\n    rows: [{option: bornite, mineral: bornite, source: practice}]\n"
    assert checked(warm, row=row).status == FINE


def test_a_shops_single_row_leaves_the_other_rows_and_is_told(warm: Warm) -> None:
    own = """\
tables:
  iron_uptake:
    rows:
      - mineral: pyrrhotite
        least: Fe7S8 -> 7 FeS + S
        likely: Fe7S8 -> 7 FeS + S
        most: Fe7S8 + Fe -> 8 FeS
        source: practice
"""
    result = checked(warm, ours=own)
    assert result.status == FINE
    assert "- tables iron_uptake, pyrrhotite: replaced by own" in flat(result.out)
    shipped = warm.run("route", "--answers", SMELT)
    ours = warm.run("route", "--answers", SMELT, "--rules", "own")
    rods = [[line for line in run.lines if "iron rod" in line] for run in (shipped, ours)]
    assert rods[0] == rods[1] != []


def test_a_table_replaced_whole_that_lacks_a_mineral_is_refused(warm: Warm) -> None:
    rows = read_document(ROOT / "rules" / "metallurgy" / "charge.yaml").data["tables"]["iron_uptake"]["rows"]
    kept = "".join(f"      - {json.dumps(row)}\n" for row in rows if row["mineral"] != "pyrite")
    own = f"tables:\n  iron_uptake:\n    whole: true\n    rows:\n{kept}"
    result = checked(warm, ours=own)
    refused(
        result, "minerals pyrite: the table iron_uptake", "has no row with mineral: pyrite; add tables: {iron_uptake"
    )
    refused(warm.run("route", "--answers", SMELT, "--rules", "own"), "minerals pyrite: the table iron_uptake")


ROWS = {
    "low above high": (
        "fume_shares: {rows: [{step: lead_on_cupel, low: 0.5, likely: 0.015, high: 0.05, source: memory}]}",
        "low, likely, high are 0.5, 0.015, 0.05; write them in rising order",
    ),
    "unbalanced": (
        "heating: {rows: [{mineral: galena, reaction: 2 PbS -> PbS, source: memory}]}",
        "'2 PbS -> PbS' does not balance: 2 Pb on the left, 1 on the right; correct the numbers",
    ),
    "misspelt": (
        "heating: {rows: [{mineral: pyrit, reaction: FeS2 -> FeS + S, source: memory}]}",
        "'pyrit' does not stand here; write one of pyrite,",
    ),
    "between its equations": (
        "reducing_power: {rows: [{mineral: galena, low: 2.6, likely: 9, high: 9, least: PbS + O2 -> Pb + SO2,"
        " most: 2 PbS + 3 O2 -> 2 Pb + 2 SO3, source: memory}]}",
        "the reducing power of galena is given as 9, and its equations allow",
    ),
}


@pytest.mark.parametrize("name", ROWS)
def test_a_wrong_row_is_a_fault_of_the_check_and_of_every_command(warm: Warm, name: str) -> None:
    row, said = ROWS[name]
    refused(checked(warm, ours=f"tables:\n  {row}\n"), said)
    result = warm.run("route", "--answers", SMELT, "--rules", "own")
    refused(result, said)
    assert result.out == ""


def test_a_material_without_its_row_among_the_reagents_is_a_fault_of_the_material(warm: Warm) -> None:
    own = "materials:\n  potash: {title: potash, formula: K2CO3, bulk_density: 1 g/ml, source: memory}\n"
    refused(
        checked(warm, ours=own), "own/ours.yaml:2: materials potash: the table reagents", "{reagent: potash, title: "
    )


def test_an_id_and_a_name_are_told_which_sign_stands_between_their_words(warm: Warm) -> None:
    argument = "arguments:\n  - {id: my_gas, about: route.stop, says: for, strength: fair, when: tongs, reason: R.}\n"
    refused(
        checked(warm, ours=argument),
        "'my_gas' is not a valid name; use lower-case letters, digits and single - between",
    )
    finding = "findings:\n  my-gas: {means: gas, when: tongs}\n"
    refused(
        checked(warm, ours=finding),
        "'my-gas' is not a valid name; use lower-case letters, digits and single _ between",
    )
