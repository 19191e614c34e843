"""``advisor rules``: check, list, show and schema, and the shop's own rules laid over the shipped ones."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from advisor.rulebase.model import RuleBase
from advisor.terminal.rules.commands import SECTIONS
from tests.batches import PYRITIC
from tests.conftest import ROOT
from tests.terminal.conftest import PERHAPS
from tests.terminal.preloaded import Preloaded, Warm
from tests.terminal.program import Program, Result, control_characters, crash, flat

FINE, BAD_INPUT = 0, 2

OWN_ARGUMENT = """\
arguments:
  - id: own-tongs-are-short
    about: route.send_out
    says: against
    strength: slight
    when: tongs
    reason: Our tongs are short, so we know what we are doing. Invented.
    lifted_by: buy longer tongs
    source: practice
"""


# Check


def test_the_shipped_rules_have_no_faults(shared: Program, diagnosing: RuleBase) -> None:
    result = shared.run("rules", "check")
    assert (result.status, result.err) == (FINE, "")
    assert "No faults in shipped rules" in flat(result.out)
    for name in ("facts", "arguments", "hazards", "steps"):
        assert f"{len(getattr(diagnosing, name))} {name}" in flat(result.out)


def test_what_is_no_rule_file_is_left_alone(warm: Warm) -> None:
    warm.write("own/notes.txt", "this is no rule file")
    warm.write("own/deeper/nothing.yaml", "# nothing yet\n")
    assert warm.run("rules", "check", "--rules", "own").status == FINE


@dataclass(frozen=True, slots=True)
class Faulty:
    """One faulty file of rules.

    Attributes:
        content: What stands in it.
        line: The line that must be named.
        said: What must be said, as a pattern.
    """

    content: str | bytes
    line: int
    said: str


def own(old: str, new: str) -> str:
    """The sound argument with one part written wrong, under an id of its own."""
    assert old in OWN_ARGUMENT
    return OWN_ARGUMENT.replace(old, new)


TOGETHER: dict[str, dict[str, Faulty]] = {
    "form": {
        "malformed": Faulty("arguments: [\n", 2, "YAML"),
        "anchors": Faulty("arguments: &a []\n", 1, "anchor"),
        "tags": Faulty("arguments: !!python/object:os.system []\n", 1, "tag"),
        "duplicate key": Faulty("arguments: []\narguments: []\n", 2, "twice"),
        "control character": Faulty(own("Our tongs", '"\\e[31mOur').replace("ted.", 'ted."'), 7, "control"),
    },
    "shape": {
        "a list": Faulty("- a\n", 1, "rule file"),
        "unknown section": Faulty("argumants: []\n", 1, "argumants.*arguments"),
        "number as a key": Faulty("1: 2\n", 1, "'1'"),
        "unknown key": Faulty(OWN_ARGUMENT + "    colour: red\n", 10, "colour"),
        "no source": Faulty(own("    source: practice\n", ""), 2, "source"),
        "odd id": Faulty(own("own-tongs-are-short", "Own Tongs"), 2, "Own Tongs"),
        "retired without a reason": Faulty("retire:\n  - {section: hazards, id: lead-fume}\n", 2, "reason"),
        "unknown section to retire": Faulty("retire:\n  - {section: facts, id: tongs, reason: x}\n", 2, "facts"),
    },
    "meaning": {
        "unknown fact": Faulty(own("when: tongs", "when: thongs"), 6, "thongs.*tongs"),
        "unknown option of a fact": Faulty(own("when: tongs", "when: dryness is soggy"), 6, "soggy"),
        "wrong unit": Faulty(own("when: tongs", "when: batch_mass > 5 ml"), 6, "volume|ml"),
        "half a condition": Faulty(own("when: tongs", "when: tongs and"), 6, "and|end"),
        "deep brackets": Faulty(own("when: tongs", "when: " + "(" * 900 + "tongs" + ")" * 900), 6, "deep"),
        "deep negation": Faulty(own("when: tongs", "when: " + "not " * 400 + "tongs"), 6, "deep"),
        "unknown decision": Faulty(own("route.send_out", "rote.send_out"), 3, "rote.*route"),
        "unknown option": Faulty(own("route.send_out", "route.nowhere"), 3, "nowhere"),
        "unknown strength": Faulty(own("slight", "huge"), 5, "huge.*slight"),
        "unknown source": Faulty(own("practice", "nobody-1899"), 9, "nobody-1899"),
        "stopping ruled out": Faulty(
            own("send_out", "stop").replace("against", "rule_out").replace("    strength: slight\n", ""), 3, "stop"
        ),
    },
}
"""Faults that do not hide each other, so that one check must report all of them."""

ALONE: dict[str, Faulty] = {
    "unknown section with brackets": Faulty("notes [mine]: 1\n", 1, "notes"),
    "unknown section with round brackets": Faulty("notes (mine): 1\n", 1, "notes"),
    "unknown key with brackets": Faulty(OWN_ARGUMENT + "    colour [x]: red\n", 10, "colour"),
    "not UTF-8": Faulty("# \xe9\n".encode("latin-1"), 1, "UTF-8"),
    "binary": Faulty(b"\x00\x01\x02", 1, "YAML|text|binary"),
    "nothing to retire": Faulty("retire:\n  - {section: hazards, id: nothing, reason: x}\n", 2, "nothing"),
    "the same id twice": Faulty(OWN_ARGUMENT + OWN_ARGUMENT.replace("arguments:\n", ""), 10, "own-tongs-are-short"),
    "circle of formulas": Faulty(
        "quantities:\n  dry_mass: {title: t, unit: g, formula: gold_mass, reason: r, source: practice}\n", 2, "itself"
    ),
}
"""Faults that are tried one at a time."""


@pytest.fixture(scope="module")
def faulty(quick: Preloaded) -> dict[str, Result]:
    """What the check says about each kind of fault."""
    folders: dict[str, str] = {}
    for group, files in {**TOGETHER, **{name: {name: fault} for name, fault in ALONE.items()}}.items():
        for name, fault in files.items():
            content = fault.content
            if group == "meaning" and isinstance(content, str):
                content = content.replace("own-tongs-are-short", f"own-{name.replace(' ', '-')}")
            quick.program.write(f"faulty/{group}/{name}.yaml", content)
            folders[name] = f"faulty/{group}"
    runs = {folder: quick.run("rules", "check", "--rules", folder) for folder in set(folders.values())}
    return {name: runs[folder] for name, folder in folders.items()}


@pytest.mark.parametrize("name", [*TOGETHER["form"], *TOGETHER["shape"], *TOGETHER["meaning"], *ALONE])
def test_a_faulty_rule_is_reported_with_its_file_and_line(faulty: dict[str, Result], name: str) -> None:
    fault = {**TOGETHER["form"], **TOGETHER["shape"], **TOGETHER["meaning"], **ALONE}[name]
    result = faulty[name]
    assert crash(result.err) == ""
    assert (result.status, result.out) == (BAD_INPUT, "")
    (line,) = [line for line in result.err.splitlines() if f"/{name}.yaml:{fault.line}: " in line]
    assert re.search(fault.said, line), line
    assert control_characters(result.err) == []


def test_two_faults_in_one_argument_are_both_reported(quick: Preloaded, program: Program) -> None:
    program.write("own/own.yaml", own("when: tongs", "when: thongs").replace("slight", "huge"))
    result = quick.run("rules", "check", "--rules", "own", at=program)
    assert result.status == BAD_INPUT
    assert "own/own.yaml:5: " in result.err
    assert "own/own.yaml:6: " in result.err


def test_a_file_that_is_no_text_hides_no_fault_of_another(quick: Preloaded, program: Program) -> None:
    program.write("own/picture.yaml", b"\x89\xff\x00")
    program.write("own/own.yaml", "argumants: []\n")
    program.write("own/zeal.yaml", "arguments: [\n")
    result = quick.run("rules", "check", "--rules", "own", at=program)
    assert result.status == BAD_INPUT
    for name in ("picture", "own", "zeal"):
        assert f"own/{name}.yaml:" in result.err


def test_a_hazard_that_steps_name_cannot_be_switched_off(quick: Preloaded, program: Program) -> None:
    program.write("own/own.yaml", "retire:\n  - {section: hazards, id: lead-fume, reason: We like it. Invented.}\n")
    result = quick.run("rules", "check", "--rules", "own", at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "lead-fume" in result.err


def test_own_rules_that_require_two_things_at_once_end_in_a_stop_or_a_sentence(warm: Warm) -> None:
    rule = (
        "  - {{id: own-{0}, about: route.{0}, says: require, kind: means,\n"
        "     when: tongs, reason: r, lifted_by: l, source: practice}}\n"
    )
    warm.write("own/own.yaml", "arguments:\n" + rule.format("split") + rule.format("stop"))
    result = warm.route(PYRITIC, "--json", "--rules", "own")
    assert crash(result.err) == ""
    assert result.status == BAD_INPUT or result.json["stop"]


def test_a_formula_that_divides_by_zero_never_weighs_out_nothing(warm: Warm) -> None:
    warm.write(
        "own/own.yaml",
        "quantities:\n  dry_mass: {title: dry mass, unit: g, formula: batch_mass / 0, reason: r, source: practice}\n",
    )
    result = warm.route(PYRITIC, "--json", "--rules", "own")
    assert result.status == BAD_INPUT or result.json["amounts"], "a plan without a single weight"


def test_faulty_rules_of_ones_own_give_no_advice(warm: Warm) -> None:
    warm.write("own/own.yaml", OWN_ARGUMENT.replace("when: tongs", "when: thongs"))
    result = warm.route(PYRITIC, "--rules", "own")
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "own/own.yaml:6: " in result.err


def test_a_correction_by_a_computation_that_does_not_exist_is_refused_by_the_check_and_by_a_diagnosis(
    warm: Warm,
) -> None:
    own_correction = (
        "consultation: diagnose\ncorrections:\n  my_bead:\n    computation: dull_bead\n    inputs:\n"
        "      bead_mass_g: bead_weighed\n      bead_look: bead_look\n      colector: = lead\n"
        "    outputs:\n      my_lead: {output: lead_to_add_g, title: lead}\n"
    )
    warm.write("own/mine.yaml", own_correction)
    warm.write("seen.yaml", "answers: {look_at: bead}\n")
    checked = warm.run("rules", "check", "--rules", "own")
    diagnosed = warm.run("diagnose", "--observations", "seen.yaml", "--rules", "own")
    for result in (checked, diagnosed):
        assert result.status == BAD_INPUT
        assert not crash(result.err)
        said = flat(result.err)
        assert "mine.yaml:8: corrections my_bead, inputs.colector: unknown input 'colector'" in said
        assert "closest: collector" in said
        assert "mine.yaml:10: corrections my_bead, outputs.my_lead: 'dull_bead' has no output 'lead_to_add_g'" in said
        assert "mine.yaml:3: corrections my_bead, inputs: 'collector' (collector) is missing" in said


@pytest.mark.parametrize("folder", ["nowhere", "empty", "file.yaml"])
def test_a_folder_without_rules_is_refused_with_a_sentence(quick: Preloaded, program: Program, folder: str) -> None:
    (program.folder / "empty").mkdir()
    program.write("file.yaml", OWN_ARGUMENT)
    result = quick.run("rules", "check", "--rules", folder, at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert folder in result.err
    assert len(result.err.splitlines()) == 1


# List and show


def test_the_sections_are_listed_with_their_size(shared: Program, diagnosing: RuleBase) -> None:
    result = shared.run("rules", "list")
    assert result.status == FINE
    for name in SECTIONS:
        assert re.search(rf"^  {name} +{len(getattr(diagnosing, name))} ", result.out, re.MULTILINE), name


@pytest.mark.parametrize("section", SECTIONS)
def test_every_entry_of_a_section_is_listed_at_80_columns(quick: Preloaded, diagnosing: RuleBase, section: str) -> None:
    result = quick.run("rules", "list", section)
    assert (result.status, result.err) == (FINE, "")
    starts = [line.split("  ")[0] for line in result.lines if not line.startswith(" ")]
    assert starts == list(getattr(diagnosing, section))
    assert [line for line in result.lines if len(line) > 80] == []
    assert control_characters(result.out) == []


def test_a_section_that_does_not_exist_names_the_closest(quick: Preloaded) -> None:
    result = quick.run("rules", "list", "hazard")
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "hazards" in result.err


def test_one_rule_of_each_kind_is_shown_with_where_it_stands(quick: Preloaded, diagnosing: RuleBase) -> None:
    argument = next(a for a in diagnosing.arguments.values() if a.entry.lifted_by and a.entry.says == "rule_out")
    shown = flat(quick.run("rules", "show", argument.entry.id).out)
    assert flat(argument.entry.reason) in shown
    assert flat(argument.entry.lifted_by or "") in shown
    assert f"{argument.origin.file}:{argument.origin.line}" in shown
    assert "source: " in shown
    hazard = next(iter(diagnosing.hazards.values()))
    shown = flat(quick.run("rules", "show", hazard.entry.id).out)
    assert all(flat(control.do) in shown for control in hazard.entry.controls)
    assert all(flat(sign) in shown for sign in hazard.entry.stop_if)


@pytest.mark.parametrize("wanted", ["tongs", "route", "lead"])
def test_facts_decisions_and_materials_are_shown_with_who_uses_them(quick: Preloaded, wanted: str) -> None:
    result = quick.run("rules", "show", wanted)
    assert result.status == FINE
    assert re.search(r"used by: \w", flat(result.out))
    assert [line for line in result.lines if len(line) > 80] == []


def test_a_table_and_a_mineral_are_shown_with_their_rows_and_source(quick: Preloaded) -> None:
    table = flat(quick.run("rules", "show", "iron_uptake").out)
    assert "tables: iron_uptake" in table
    assert "key: mineral" in table
    assert "mineral: pyrite; least: 2 FeS2 + Fe -> 3 FeS + S" in table
    assert "stands in rules/metallurgy/charge.yaml" in table
    mineral = flat(quick.run("rules", "show", "galena").out)
    assert "formula: PbS" in mineral
    assert "kind: sulphide" in mineral
    assert "source: " in mineral


def test_a_rule_that_does_not_exist_names_the_closest(quick: Preloaded) -> None:
    result = quick.run("rules", "show", "leed")
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "lead" in result.err


# Schema


def test_the_schema_that_the_program_prints_is_that_of_the_shipped_files(shared: Program, tmp_path: Path) -> None:
    """Which every rule file fits: ``tests/test_editor_lines.py``."""
    printed = shared.run("schema", "rules")
    assert printed.out == (ROOT / "rules" / "rules.schema.json").read_text(encoding="utf-8")
    jsonschema.Draft202012Validator.check_schema(printed.json)
    assert not jsonschema.Draft202012Validator(printed.json).is_valid({"argumants": []})
    written = shared.run("schema", "rules", "--output", tmp_path / "new" / "rules.schema.json")
    assert written.status == FINE
    assert (tmp_path / "new" / "rules.schema.json").read_bytes() == printed.raw


def test_a_schema_that_does_not_exist_is_refused_with_a_sentence(program: Program) -> None:
    result = program.run("schema", "advise")
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "advice" in result.err


# The shop's own rules


@pytest.fixture(scope="module")
def own_folder(shared: Program, advised_json: Result) -> Path:
    """A folder that adds one argument, replaces a threshold and switches one referral off."""
    referral = advised_json.json["referrals"][0]["id"]
    shared.write("own rules/argument.yaml", OWN_ARGUMENT)
    path = shared.write(
        "own rules/limits.yaml",
        "retire:\n"
        f"  - {{section: referrals, id: {referral}, reason: Our inspector sits in the next room. Invented.}}\n",
    )
    return path.parent


@pytest.fixture(scope="module")
def own_advice(shared: Program, own_folder: Path) -> Any:
    """The document when the shop's own rules are laid over the shipped ones."""
    return shared.route(PERHAPS, "--json", "--rules", own_folder).json


def test_the_shops_own_rules_are_named_in_the_document(own_advice: Any, own_folder: Path, advised_json: Result) -> None:
    referral = advised_json.json["referrals"][0]["id"]
    assert own_advice["rules"]["layers"][1:] == [str(own_folder)]
    assert own_advice["rules"]["fingerprint"] != advised_json.json["rules"]["fingerprint"]
    (override,) = own_advice["rules"]["overrides"]
    assert (override["section"], override["id"], override["how"]) == ("referrals", referral, "switched off")
    assert "next room" in override["reason"]
    assert referral not in [note["id"] for note in own_advice["referrals"]]


def test_the_shops_own_argument_speaks_and_says_where_it_stands(own_advice: Any) -> None:
    (route,) = [decision for decision in own_advice["decisions"] if decision["id"] == "route"]
    (send_out,) = [option for option in route["options"] if option["id"] == "send_out"]
    (own,) = [argument for argument in send_out["arguments"] if argument["id"] == "own-tongs-are-short"]
    assert own["truth"] == "holds"
    assert own["file"].endswith("argument.yaml")
    assert own["line"] == 2


def test_the_shops_own_rules_are_named_in_the_text(
    shared: Program, own_folder: Path, advised: Result, advised_json: Result
) -> None:
    result = shared.route(PERHAPS, "--rules", own_folder, "--all")
    shown = flat(result.out)
    assert f"Your own rules: {own_folder}" in shown
    assert f"referrals {advised_json.json['referrals'][0]['id']}: switched off" in shown
    assert "next room" in shown
    assert "Your own rules" not in advised.out


def test_the_check_names_what_the_shops_own_rules_replace(shared: Program, own_folder: Path) -> None:
    result = shared.run("rules", "check", "--rules", own_folder)
    assert result.status == FINE
    assert "switched off" in result.out
    assert str(own_folder) in flat(result.out)


def test_the_settings_name_the_shops_own_rules_for_every_run(
    program: Program, own_folder: Path, own_advice: Any
) -> None:
    program.home.mkdir()
    (program.home / "settings.yaml").write_text(f"rules:\n  - {own_folder}\n", encoding="utf-8")
    assert program.route(PERHAPS, "--json").json == own_advice


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ("- a\n", "settings.yaml"),
        ("rulez: a\n", "settings.yaml:1: "),
        ("rules: {a: b}\n", "settings.yaml:1: "),
        ("rules:\n  - /nowhere/at/all\n", "/nowhere/at/all"),
        ("rules: [\n", "settings.yaml:"),
    ],
)
def test_settings_that_cannot_be_used_are_refused_with_a_sentence(
    quick: Preloaded, program: Program, settings: str, said: str
) -> None:
    program.home.mkdir()
    (program.home / "settings.yaml").write_text(settings, encoding="utf-8")
    # Refused before any rule is read, so what is loaded already does not count.
    result = quick.run("rules", "check", at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert said in result.err
    assert crash(result.err) == ""


def test_a_later_folder_lies_over_an_earlier_one(quick: Preloaded, program: Program) -> None:
    program.write("a/own.yaml", OWN_ARGUMENT)
    program.write("b/own.yaml", OWN_ARGUMENT.replace("Our tongs are short", "Our tongs are long"))
    result = quick.run("rules", "show", "own-tongs-are-short", "--rules", "a", "--rules", "b", at=program)
    assert "Our tongs are long" in flat(result.out)
    result = quick.run("rules", "check", "--rules", "a", "--rules", "b", at=program)
    assert "arguments own-tongs-are-short: replaced by b" in flat(result.out)
