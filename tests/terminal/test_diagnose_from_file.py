"""``advisor diagnose --observations``: what comes out, how it is read, and that it is the same every time."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from advisor.present.text.outcomes import first_sentence
from tests.batches import MATT_BEAD, PYRITIC
from tests.conftest import ROOT
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, Result, control_characters, crash, first_difference, flat
from tests.terminal.test_no_network_or_writes import everything_under, watched
from tests.terminal.test_route_from_file import HOSTILE, as_yaml, section

DONE, BAD_INPUT, STOP = 0, 2, 3

PLAN: dict[str, Any] = {**PYRITIC, "reagents": [*PYRITIC["reagents"], "bismuth"], "lead_rules": "forbidden"}
"""The ordinary batch with bismuth in place of lead. Invented."""

LEAKING: dict[str, Any] = {"look_at": "crucible", "pot_outside": "bright_spot"}
"""A pot that is letting go. Invented."""

MATTE: dict[str, Any] = {
    "look_at": "cold_mould",
    "mould_layers": "matte_between",
    "matte_kind": "lead",
    "matte_rod": "eaten_through",
    "matte_depth": "layer",
    "matte_again": "no",
    "matte_weighed": "30 g",
}
"""Matte on the button, and nothing left of the rod. Invented."""

KEYS = [
    "document",
    "version",
    "program",
    "rules",
    "title",
    "looked_at",
    "stop",
    "settled",
    "causes",
    "remedy",
    "lifts",
    "figures",
    "not_computed",
    "steps",
    "hazards",
    "referrals",
    "next_batch",
    "wrong_route",
    "changed_plan",
    "unasked",
    "answers",
]
"""The keys of the first version; within it keys are only ever added."""


def observed(program: Program, seen: dict[str, Any], name: str = "seen.yaml", **more: str) -> Path:
    """A file of observations whose plan stands beside it."""
    program.write("plan.yaml", as_yaml(PLAN, title="Invented lot 7"))
    return program.write(name, as_yaml(seen, **{"plan": "plan.yaml", **more}))


def run(quick: Preloaded, seen: dict[str, Any], *options: str | Path, **more: str) -> Result:
    """The diagnosis of what was seen, with the plan named in the file."""
    return quick.run("diagnose", "--observations", observed(quick.program, seen, **more), *options)


@pytest.fixture(scope="module")
def bead(quick: Preloaded) -> Result:
    """The whole text for the matt bead."""
    return run(quick, MATT_BEAD, "--all")


@pytest.fixture(scope="module")
def bead_json(quick: Preloaded) -> Result:
    """The document for the matt bead."""
    return run(quick, MATT_BEAD, "--json")


@pytest.fixture(scope="module")
def explained(quick: Preloaded) -> Result:
    """The explained text for the matt bead."""
    return run(quick, MATT_BEAD, "--explain")


@pytest.fixture(scope="module")
def leaking(quick: Preloaded) -> Result:
    """The whole text for a pot that is letting go."""
    return run(quick, LEAKING, "--all")


@pytest.fixture(scope="module")
def matte(quick: Preloaded) -> Result:
    """The document for matte on the button."""
    return run(quick, MATTE, "--json")


# Exit statuses


def test_a_correction_ends_with_status_0_and_nothing_on_standard_error(bead: Result, bead_json: Result) -> None:
    assert (bead.status, bead.err) == (bead_json.status, bead_json.err) == (DONE, "")
    assert "CAUSE  A little collector is left in the bead (clear)" in bead.lines
    assert "NOW    Cupel it again with a little bismuth" in bead.lines
    assert bead_json.json["remedy"]["chosen"] == "recupel_bismuth"


def test_danger_now_ends_with_status_3_and_no_work_at_the_pot(quick: Preloaded, leaking: Result) -> None:
    assert (leaking.status, leaking.err) == (STOP, "")
    document = run(quick, LEAKING, "--json")
    assert document.status == STOP
    assert document.json["stop"] is True
    assert document.json["remedy"]["chosen"] == "leave_it"
    assert document.json["figures"] == {}
    assert {"going-back-too-soon", "standing-in-the-fume"} <= {hazard["id"] for hazard in document.json["hazards"]}
    assert "NOW    Leave it and keep away" in leaking.lines


def test_a_piece_that_is_set_aside_ends_with_status_3_and_says_what_would_lift_it(quick: Preloaded) -> None:
    result = run(quick, {**MATT_BEAD, "mercury_signs": "yes"}, "--json")
    assert result.status == STOP
    assert result.json["remedy"]["chosen"] == "set_aside"
    first, *others = result.json["lifts"]
    page = flat(run(quick, {**MATT_BEAD, "mercury_signs": "yes"}, "--all").out)
    assert f"{flat(first['because'])} You said: {'; '.join(first['seen'])}." in page
    assert f"LIFTED BY {flat(first['lifted_by'])}" in page
    for lift in others:
        assert first_sentence(flat(lift["because"])) in page
        assert f"Lifted by: {first_sentence(flat(lift['lifted_by']))}" in page


def test_every_worked_diagnosis_can_be_run_as_it_stands(quick: Preloaded) -> None:
    for path in sorted((ROOT / "cases" / "diagnosis").glob("ma*.yaml")):
        result = quick.run("diagnose", "--observations", path, "--json")
        assert result.status in (DONE, STOP), (path.name, result.err)
        assert (result.status == STOP) == result.json["stop"], path.name


# The document


@pytest.fixture(scope="module")
def schema(quick: Preloaded) -> dict[str, Any]:
    """The schema that the program prints for the diagnosis."""
    printed = quick.run("schema", "diagnosis")
    assert (printed.status, printed.err) == (DONE, "")
    jsonschema.Draft202012Validator.check_schema(printed.written_json)
    return dict(printed.written_json)


def test_the_document_fits_the_schema_that_the_program_prints(
    schema: dict[str, Any], bead_json: Result, matte: Result
) -> None:
    validator = jsonschema.Draft202012Validator(schema)
    for result in (bead_json, matte):
        assert [error.message for error in validator.iter_errors(result.written_json)] == []


def test_the_schema_refuses_a_document_with_a_part_missing_or_added(schema: dict[str, Any], bead_json: Result) -> None:
    validator = jsonschema.Draft202012Validator(schema)
    for key in ("causes", "remedy", "steps", "hazards", "rules"):
        assert not validator.is_valid({name: part for name, part in bead_json.json.items() if name != key})
    assert not validator.is_valid({**bead_json.written_json, "surprise": 1})


def test_no_key_of_the_first_version_has_gone(bead_json: Result) -> None:
    document = bead_json.json
    assert [key for key in document if key in KEYS] == KEYS
    assert (document["document"], document["version"]) == ("diagnosis", 2)
    cause = document["causes"][0]
    assert {"id", "title", "means", "taken", "sure", "support_low", "support_now", "support_high", "taken_at"} <= set(
        cause
    )
    assert {"speaks_for", "speaks_against", "not_seen", "wrong_route", "sources"} <= set(cause)
    assert {"chosen", "title", "summary", "settled", "reason", "then", "options"} <= set(document["remedy"])
    line = document["next_batch"][0]
    assert {"kind", "id", "title", "do", "was", "becomes", "was_g", "becomes_g", "only_if", "because"} <= set(line)


def test_the_document_is_strict_json_without_control_characters(bead_json: Result) -> None:
    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    json.loads(bead_json.raw, parse_constant=refuse)
    assert bead_json.raw.endswith(b"}\n")
    assert b"\r" not in bead_json.raw
    assert control_characters(bead_json.out) == []


def test_no_folder_of_this_machine_stands_in_the_document(bead_json: Result, quick: Preloaded) -> None:
    assert str(ROOT) not in bead_json.out
    assert str(quick.program.folder) not in bead_json.out


# The text


@pytest.mark.parametrize("name", ["bead", "explained", "leaking"])
def test_piped_text_has_no_escape_codes_and_at_most_80_columns(name: str, request: pytest.FixtureRequest) -> None:
    result: Result = request.getfixturevalue(name)
    assert control_characters(result.out) == []
    assert [line for line in result.lines if len(line) > 80] == []
    assert re.findall(r"\{[a-z_]+\}", result.out) == []


def test_cause_and_correction_stand_at_the_top(bead: Result) -> None:
    for words in (
        "CAUSE  A little collector is left in the bead (clear)",
        "NOW    Cupel it again with a little bismuth",
    ):
        assert words in bead.lines[:8]


def test_the_hazards_come_before_the_steps_and_none_is_left_out(bead: Result, bead_json: Result) -> None:
    assert bead.out.index("HAZARDS (") < bead.out.index("WHAT TO DO WITH THIS PIECE")
    hazards = flat(section(bead.out, "HAZARDS"))
    end = flat(bead.out[bead.out.index("Can kill here: ") :])
    for hazard in bead_json.json["hazards"]:
        assert flat(hazard["title"]) in hazards
        for control in hazard["controls"]:
            assert f"+ {flat(control['do'])}" in hazards
        for sign in hazard["stop_if"]:
            assert f"STOP if: {flat(sign)}" in hazards
        assert (flat(hazard["title"]) in end) == (hazard["severity"] == "deadly")


def test_every_step_and_figure_of_the_document_stands_in_the_text(bead: Result, bead_json: Result) -> None:
    work = flat(section(bead.out, "WHAT TO DO WITH THIS PIECE"))
    for step in bead_json.json["steps"]:
        assert flat(step["do"]) in work
    assert {"bismuth_for_bead", "cupel_for_bismuth_bead"} <= set(bead_json.json["figures"])
    computed = flat(section(bead.out, "COMPUTED FOR THIS PIECE"))
    for figure in bead_json.json["figures"].values():
        assert f"- {figure['title']}: " in computed


def test_what_spoke_for_the_cause_stands_there_with_its_source(bead: Result, bead_json: Result) -> None:
    why = flat(section(bead.out, "WHY"))
    taken = [cause for cause in bead_json.json["causes"] if cause["taken"]]
    assert taken
    for cause in taken:
        assert flat(cause["means"]) in why
        for note in cause["speaks_for"]:
            assert flat(note["reason"]) in why
    assert "Source: common practice, no source" in why


def test_explaining_shows_rules_tests_sources_and_how_each_figure_was_reached(
    explained: Result, bead_json: Result, bead: Result
) -> None:
    seen = flat(explained.out)
    for cause in bead_json.json["causes"]:
        if not cause["taken"]:
            continue
        for note in cause["speaks_for"]:
            assert f"Rule {note['id']} in {note['file']}:{note['line']}" in seen
            for test in note["tests"]:
                assert f"{flat(test['words'])}: {test['truth']}; seen: {flat(test['seen'])}" in seen
    for figure in bead_json.json["figures"].values():
        assert f"How: {flat(figure['how'])}. Source: {flat(figure['source'])}" in seen
        assert f"How: {flat(figure['how'])}" not in flat(bead.out)
    assert len(explained.lines) > len(bead.lines)


def test_every_rule_named_in_an_explanation_stands_in_the_file_and_line_it_says(explained: Result) -> None:
    named = re.findall(r"Rule (\S+) in (rules/\S+\.yaml):(\d+)", flat(explained.out))
    assert {"collector-left-1", "collector-left-put-right-2"} <= {rule for rule, _, _ in named}
    for rule, file, line in named:
        written = (ROOT / file).read_text(encoding="utf-8").splitlines()[int(line) - 1]
        assert re.match(r"\s+(- (when|remedy|id): |put_right:)", written), (rule, written)


def test_answers_are_shown_back_and_those_of_the_plan_are_there_too(bead: Result) -> None:
    answers = section(bead.out, "YOUR ANSWERS").splitlines()
    for line in (
        "- top of the bead: matt",
        "- weight of the bead: 12 g",
        "- batch mass: 100 g",
        "- the collector used: bismuth",
    ):
        assert line in answers


def test_what_could_still_change_it_is_named_when_it_was_not_looked_at(quick: Preloaded) -> None:
    result = run(quick, {"look_at": "bead", "bead_surface": "matt"}, "--show", "answers")
    shown = flat(section(result.out, "YOUR ANSWERS"))
    assert "Not answered, and could still change this advice: " in shown
    assert "bead under the hammer" in shown
    document = run(quick, {"look_at": "bead", "bead_surface": "matt"}, "--json").json
    assert not document["settled"]
    assert "bead_hammer" in {missing["fact"] for missing in document["unasked"]}


# The next batch


def test_the_next_batch_says_what_was_planned_and_what_it_becomes_in_grams(quick: Preloaded, matte: Result) -> None:
    lines = [line for line in matte.json["next_batch"] if line["kind"] == "amount" and line["was_g"]]
    assert lines
    shown = flat(section(run(quick, MATTE, "--show", "next").out, "FOR THE NEXT BATCH"))
    for line in lines:
        assert line["was_g"]["likely"] < line["becomes_g"]["likely"]
        assert f"this batch {line['was']}; next time {line['becomes']}" in shown
    assert all(f"Because of: {line['because']}" in shown for line in lines)


def test_without_a_plan_there_are_no_planned_weights_and_no_changed_plan(quick: Preloaded) -> None:
    path = quick.program.write("alone.yaml", as_yaml({**PLAN, **MATTE}))
    document = quick.run("diagnose", "--observations", path, "--json").json
    assert document["next_batch"]
    assert all(line["was"] is None and line["was_g"] is None for line in document["next_batch"])
    assert document["changed_plan"] is None


def test_what_the_piece_teaches_about_the_concentrate_changes_the_route(quick: Preloaded) -> None:
    seen = {"look_at": "cold_mould", "mould_layers": "speiss_between", "speiss_look": "not known"}
    result = run(quick, seen, "--show", "next")
    shown = flat(section(result.out, "FOR THE NEXT BATCH"))
    assert "The route itself was wrong for this concentrate" in shown
    assert "Known now: signs of arsenic: yes" in shown
    assert "With that the route becomes: " in shown


# Ways to give it


@pytest.fixture(scope="module")
def ways(quick: Preloaded) -> dict[str, Result]:
    """The same observations, given in every way there is."""
    write = quick.program.write
    plan = write("plan.yaml", as_yaml(PLAN, title="Invented lot 7"))
    (quick.program.folder / "deep").mkdir(exist_ok=True)
    write("deep/plan-there.yaml", as_yaml(PLAN, title="Invented lot 7"))
    document = {"plan": "plan.yaml", "answers": MATT_BEAD}
    named = {
        "plan beside it": observed(quick.program, MATT_BEAD),
        "JSON": write("seen.json", json.dumps(document, indent=2)),
        "plan in its own folder": write("deep/seen.yaml", as_yaml(MATT_BEAD, plan="plan-there.yaml")),
        "plan named in full": write("full.yaml", as_yaml(MATT_BEAD, plan=f'"{plan}"')),
        "Windows line ends": write("crlf.yaml", as_yaml(MATT_BEAD, plan="plan.yaml").replace("\n", "\r\n")),
    }
    results = {name: quick.run("diagnose", "--observations", path, "--json") for name, path in named.items()}
    alone = write("no-plan.yaml", as_yaml(MATT_BEAD))
    results["plan on the command line"] = quick.run("diagnose", "--observations", alone, "--plan", plan, "--json")
    other = write("other.yaml", as_yaml(MATT_BEAD, plan="nowhere.yaml"))
    results["plan on the command line before the one named"] = quick.run(
        "diagnose", "--observations", other, "--plan", plan, "--json"
    )
    typed = as_yaml(MATT_BEAD, plan="plan.yaml")
    results["standard input"] = quick.run("diagnose", "--observations", "-", "--json", stdin=typed)
    results["JSON on standard input"] = quick.run(
        "diagnose", "--observations", "-", "--json", stdin=json.dumps(document)
    )
    return results


def test_every_way_to_give_observations_and_plan_gives_the_same_document(
    ways: dict[str, Result], bead_json: Result
) -> None:
    for name, result in ways.items():
        assert result.err == "", name
        assert first_difference(result.raw, bead_json.raw) == "", name


def test_an_answer_of_the_file_goes_before_that_of_the_plan(quick: Preloaded) -> None:
    document = run(quick, {**MATT_BEAD, "collector_used": "lead", "batch_mass": "90 g"}, "--json").json
    answers = {answer["fact"]: answer["value"] for answer in document["answers"]}
    assert (answers["collector_used"], answers["batch_mass"]) == ("lead", "90 g")


def test_a_title_can_be_given_and_is_shown(quick: Preloaded) -> None:
    assert run(quick, MATT_BEAD, "--title", "Bead of the night", "--json").json["title"] == "Bead of the night"
    titled = run(quick, MATT_BEAD, "--all", title="Invented bead 3")
    assert "Batch: Invented bead 3" in titled.lines


def test_a_title_is_shown_as_it_is_and_never_obeyed(quick: Preloaded) -> None:
    shown = run(quick, MATT_BEAD, "--all", "--title", HOSTILE)
    assert "[red]x[/red] [bold] :bomb:" in shown.out
    assert control_characters(shown.out) == []


def test_what_belongs_to_another_stage_is_noted_and_changes_nothing(quick: Preloaded, bead_json: Result) -> None:
    result = run(quick, {**MATT_BEAD, "mould_layers": "matte_between", "bar_hammer": "breaks"}, "--json")
    assert result.status == DONE
    for part in ("causes", "remedy", "figures", "steps", "next_batch"):
        assert result.json[part] == bead_json.json[part], part


# The same every time


def test_the_same_observations_give_the_same_bytes(quick: Preloaded, bead: Result, bead_json: Result) -> None:
    assert first_difference(run(quick, MATT_BEAD, "--all").raw, bead.raw) == ""
    turned = {name: MATT_BEAD[name] for name in reversed(MATT_BEAD)}
    again = run(quick, turned, "--json")
    assert first_difference(again.raw, bead_json.raw) == ""


def test_a_program_that_starts_anew_says_the_same(program: Program, bead: Result) -> None:
    path = observed(program, MATT_BEAD)
    result = program.run("diagnose", "--observations", path, "--all", PYTHONHASHSEED="1")
    assert (result.status, result.err) == (DONE, "")
    assert first_difference(result.raw, bead.raw) == ""


def test_a_poor_terminal_gets_the_same_text(quick: Preloaded, bead: Result) -> None:
    path = observed(quick.program, MATT_BEAD)
    dumb = quick.run("diagnose", "--observations", path, "--all", TERM="dumb", NO_COLOR="1", LINES="2", COLUMNS="80")
    bare = quick.run("diagnose", "--observations", path, "--all", TERM=None, HOME=None)
    for result in (dumb, bare):
        assert first_difference(result.raw, bead.raw) == ""


def test_a_terminal_of_plain_letters_still_gets_every_line(program: Program, bead: Result) -> None:
    plain = {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}
    result = program.run("diagnose", "--observations", observed(program, MATT_BEAD), "--all", **plain)
    assert (result.status, result.err) == (DONE, "")
    assert len(result.raw.splitlines()) == len(bead.lines)


# Files that cannot be used


WRONG: dict[str, tuple[dict[str, Any], str, int]] = {
    "unknown observation": ({"look_at": "bead", "bead_surfce": "matt"}, r"'bead_surfce'.*closest: bead_surface", 4),
    "unknown option": ({"look_at": "bead", "bead_surface": "mat"}, r"bead_surface: 'mat' is not an option.*matt", 4),
    "unknown stage": ({"look_at": "beads"}, r"look_at: 'beads' is not an option.*closest: bead", 3),
    "impossible weight": ({"look_at": "bead", "bead_weighed": "900 kg"}, r"bead_weighed: 900000 g is outside", 4),
    "wrong unit": ({"look_at": "bead", "bead_weighed": "12 ml"}, r"bead_weighed: 'ml' measures a volume", 4),
    "no amount": ({"look_at": "bead", "bead_weighed": "heavy"}, r"bead_weighed: 'heavy'", 4),
    "two places": ({"look_at": ["bead", "bar"]}, r"look_at: .*list", 3),
}


def test_what_cannot_be_read_is_one_sentence_with_file_and_line(quick: Preloaded) -> None:
    for name, (seen, said, line) in WRONG.items():
        result = quick.run("diagnose", "--observations", observed(quick.program, seen, "wrong.yaml"))
        assert (result.status, result.out) == (BAD_INPUT, ""), name
        assert len(result.err.splitlines()) == 1
        assert f"wrong.yaml:{line}: " in result.err
        assert re.search(said, result.err), result.err
        assert crash(result.err) == ""


def test_a_plan_that_is_not_there_is_one_sentence_that_names_it(quick: Preloaded) -> None:
    missing = run(quick, MATT_BEAD, plan="nowhere.yaml")
    asked = run(quick, MATT_BEAD, "--plan", "not-here.yaml")
    for result, name in ((missing, "nowhere.yaml"), (asked, "not-here.yaml")):
        assert (result.status, result.out) == (BAD_INPUT, "")
        assert len(result.err.splitlines()) == 1
        assert f"{name} is not a readable file" in result.err


def test_a_plan_with_a_fault_is_refused_by_its_own_name_and_line(quick: Preloaded) -> None:
    broken = quick.program.write("broken.yaml", as_yaml({**PLAN, "dryness": "soggy"}))
    result = run(quick, MATT_BEAD, "--plan", broken)
    assert (result.status, result.out) == (BAD_INPUT, "")
    line = broken.read_text(encoding="utf-8").splitlines().index("  dryness: soggy") + 1
    assert f"broken.yaml:{line}: dryness: 'soggy'" in result.err


def test_observations_that_contradict_the_plan_are_refused_with_both_named(quick: Preloaded) -> None:
    result = run(quick, {**MATT_BEAD, "sulphide_minerals": []})
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "seen.yaml" in result.err
    assert "sulphide_share" in result.err
    assert "sulphide minerals" in result.err
    assert len(result.err.splitlines()) == 1


def test_observations_of_a_file_and_asking_do_not_go_together(quick: Preloaded, program: Program) -> None:
    path = observed(program, MATT_BEAD)
    for option in (["--resume"], ["--save", "mine.yaml"]):
        result = quick.run("diagnose", "--observations", path, *option, at=program)
        assert (result.status, result.out) == (BAD_INPUT, "")
        assert "--observations" in result.err
    assert not program.home.exists()


def test_a_file_of_observations_is_no_file_of_route_answers(quick: Preloaded) -> None:
    result = quick.run("route", "--answers", observed(quick.program, MATT_BEAD))
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "'look_at' is not a fact" in result.err


def test_a_fault_is_refused_the_same_way_when_json_is_wanted(quick: Preloaded) -> None:
    result = run(quick, {"look_at": "beads"}, "--json", "--explain")
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "'beads'" in result.err


# Nothing else is touched


def test_nothing_is_written_outside_the_home_and_the_cache_and_nobody_is_called(
    program: Program, tmp_path: Path
) -> None:
    path = observed(program, MATT_BEAD)
    before = everything_under(program.folder)
    cache = tmp_path / "own-cache"
    arguments = ("diagnose", "--observations", path, "--json", "--explain")
    result, seen = watched(program, tmp_path, *arguments, ADVISOR_CACHE=str(cache))
    assert result.status == DONE, result.err
    assert [line for line in seen if line.startswith("call ")] == []
    written = [Path(line.removeprefix("write ")) for line in seen if line.startswith("write ")]
    allowed = (cache, Path("/dev/null"))
    assert [place for place in written if not any(place.is_relative_to(folder) for folder in allowed)] == []
    assert everything_under(program.folder) == before
    assert not program.home.exists()
