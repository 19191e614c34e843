"""``advisor route --answers``: what comes out, how it is read, and that it is the same every time."""

from __future__ import annotations

import json
import os
import re
import subprocess
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.batches import PYRITIC
from tests.conftest import ROOT
from tests.terminal.conftest import PERHAPS, STOPPED
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import COMMAND, Program, Result, control_characters, crash, first_difference, flat

ADVICE, UNEXPECTED, BAD_INPUT, STOP = 0, 1, 2, 3
INVENTED = "The gold room of a small mine that does not exist; invented."


def as_yaml(answers: dict[str, Any], **more: str) -> str:
    """A batch file in YAML, written as a person writes it."""
    lines = [f"{key}: {value}" for key, value in more.items()] + ["answers:"]
    for name, value in answers.items():
        lines.append(f"  {name}: {'[' + ', '.join(value) + ']' if isinstance(value, list) else value}")
    return "\n".join(lines) + "\n"


def section(text: str, heading: str) -> str:
    """What stands under one heading of the advice, up to the next heading."""
    parts = re.split(r"^([A-Z][^\n]*)\n-+\n", text, flags=re.MULTILINE)
    found = [body for title, body in zip(parts[1::2], parts[2::2], strict=True) if title.startswith(heading)]
    assert len(found) == 1, f"there are {len(found)} headings {heading}"
    return found[0]


# Exit statuses


def test_advice_ends_with_status_0_and_nothing_on_standard_error(advised: Result) -> None:
    assert advised.status == ADVICE
    assert advised.err == ""
    assert "ROUTE " in advised.out


def test_stopping_work_ends_with_status_3_and_a_page(stopped: Result, stopped_json: Result) -> None:
    assert stopped.status == stopped_json.status == STOP
    assert stopped.err == stopped_json.err == ""
    assert stopped_json.json["stop"] is True
    assert f"STOP       {stopped_json.json['route_title']}" in stopped.lines


def test_a_stop_says_by_which_answer_and_what_would_lift_it(stopped: Result, stopped_json: Result) -> None:
    first, *others = stopped_json.json["lifts"]
    said = flat(stopped.out)
    assert f"{flat(first['because'])} You said: {'; '.join(first['seen'])}." in said
    assert f"LIFTED BY {flat(first['lifted_by'])}" in said
    assert first["seen"] == ["signs of mercury: yes"]
    assert {lift["truth"] for lift in (first, *others)} == {"holds"}


def test_a_wrong_answer_ends_with_status_2_and_no_advice(quick: Preloaded, program: Program) -> None:
    path = program.write("wrong.json", {**PYRITIC, "dryness": "soggy"})
    result = quick.run("route", "--answers", path, at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "dryness" in result.err
    assert "soggy" in result.err


def test_answering_from_a_file_and_asking_do_not_go_together(quick: Preloaded, program: Program) -> None:
    path = program.write("batch.json", PYRITIC)
    for option in (["--resume"], ["--save", "mine.yaml"]):
        result = quick.run("route", "--answers", path, *option, at=program)
        assert (result.status, result.out) == (BAD_INPUT, "")
        assert "--answers" in result.err
    assert not program.home.exists()


def test_knowing_nothing_is_an_answer_and_the_advice_is_the_cautious_one(quick: Preloaded) -> None:
    path = quick.program.write("nothing.json", dict.fromkeys(PYRITIC, "not known"))
    result = quick.run("route", "--answers", path, "--json")
    advice = result.json
    assert result.status == STOP
    assert advice["outcome"] == "find_out"
    assert any("mercury" in hazard["id"] for hazard in advice["hazards"])
    assert {note["fact"] for note in advice["assumptions"]} & {"mercury_signs", "mercury_history"}


# Ways to give the answers


@pytest.fixture(scope="module")
def ways(quick: Preloaded) -> dict[str, Result]:
    """The same answers, given in every way there is."""
    write = quick.program.write
    case = as_yaml(
        PERHAPS,
        description=INVENTED,
        invented="yes",
        advice="{route: smelt_iron, collector: lead}",
        why="Made for this test.",
        checked_against="[nothing, made for this test]",
    )
    files = {
        "yaml": write("batch.yaml", as_yaml(PERHAPS)),
        "yml": write("batch.yml", as_yaml(PERHAPS)),
        "json": write("batch.json", json.dumps({"answers": PERHAPS}, indent=2)),
        "json with tabs": write("tabs.json", json.dumps({"answers": PERHAPS}, indent="\t")),
        "facts alone": write("facts.json", PERHAPS),
        "case": write("case.yaml", case),
        "Windows line ends": write("crlf.yaml", as_yaml(PERHAPS).replace("\n", "\r\n")),
        "byte order mark": write("bom.yaml", "\ufeff" + as_yaml(PERHAPS)),
        "name with blanks": write("der Ofen – früh [1].yaml", as_yaml(PERHAPS)),
    }
    typed = {
        "YAML on standard input": as_yaml(PERHAPS),
        "JSON on standard input": json.dumps({"answers": PERHAPS}),
        "indented JSON on standard input": json.dumps({"answers": PERHAPS}, indent="\t"),
    }
    results = {name: quick.run("route", "--answers", path, "--json") for name, path in files.items()}
    results |= {name: quick.run("route", "--answers", "-", "--json", stdin=text) for name, text in typed.items()}
    return results


WAYS = [
    "yaml",
    "yml",
    "json",
    "json with tabs",
    "facts alone",
    "case",
    "Windows line ends",
    "byte order mark",
    "name with blanks",
    "YAML on standard input",
    "JSON on standard input",
    "indented JSON on standard input",
]


@pytest.mark.parametrize("way", WAYS)
def test_every_way_to_give_the_answers_gives_the_same_document(
    ways: dict[str, Result], advised_json: Result, way: str
) -> None:
    assert ways[way].err == ""
    assert first_difference(ways[way].raw, advised_json.raw) == ""


def test_every_way_was_tried(ways: dict[str, Result]) -> None:
    assert sorted(ways) == sorted(WAYS)


def test_a_title_is_shown_and_stands_in_the_document(quick: Preloaded, program: Program) -> None:
    path = program.write("batch.yaml", as_yaml(PYRITIC, title="Invented lot 7"))
    assert "Batch: Invented lot 7" in quick.run("route", "--answers", path, "--all").lines
    assert quick.run("route", "--answers", path, "--json", "--title", "Lot 8").json["title"] == "Lot 8"


def test_answers_are_shown_back_as_they_were_understood(quick: Preloaded) -> None:
    answers = {**PYRITIC, "batch_mass": "0.1 kg", "top_temperature": "2282 F", "gold_share": "4 to 6 %"}
    result = quick.run("route", "--answers", quick.program.write("units.json", answers), "--show", "answers")
    understood = section(result.out, "YOUR ANSWERS")
    for line in ("- batch mass: 100 g", "- top temperature: 1250 °C", "- gold share: 4 to 6 %"):
        assert line in understood.splitlines()


# The JSON document


@pytest.fixture(scope="module")
def schema(shared: Program) -> dict[str, Any]:
    """The schema that the program prints for the advice."""
    printed = shared.run("schema", "advice")
    assert (printed.status, printed.err) == (0, "")
    jsonschema.Draft202012Validator.check_schema(printed.written_json)
    return dict(printed.written_json)


def test_the_document_fits_the_schema_that_the_program_prints(
    schema: dict[str, Any], advised_json: Result, stopped_json: Result
) -> None:
    validator = jsonschema.Draft202012Validator(schema)
    for result in (advised_json, stopped_json):
        assert [error.message for error in validator.iter_errors(result.written_json)] == []


def test_the_schema_refuses_a_document_with_a_part_missing_or_added(
    schema: dict[str, Any], advised_json: Result
) -> None:
    validator = jsonschema.Draft202012Validator(schema)
    for key in ("hazards", "route", "steps", "rules"):
        assert not validator.is_valid({name: part for name, part in advised_json.written_json.items() if name != key})
    assert not validator.is_valid({**advised_json.written_json, "surprise": 1})


def test_the_schema_of_answers_accepts_every_way_to_write_them(program: Program) -> None:
    printed = program.run("schema", "answers")
    jsonschema.Draft202012Validator.check_schema(printed.written_json)
    validator = jsonschema.Draft202012Validator(printed.written_json)
    for answers in (PYRITIC, PERHAPS, STOPPED):
        assert validator.is_valid({"title": "Lot 7", "answers": answers})
    assert not validator.is_valid({"title": "Lot 7"})
    assert not validator.is_valid({"answer": PYRITIC})


def test_the_document_is_strict_json_in_one_line_feed_ended_piece(advised_json: Result) -> None:
    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    json.loads(advised_json.raw, parse_constant=refuse)
    assert advised_json.raw.endswith(b"}\n")
    assert b"\r" not in advised_json.raw
    assert control_characters(advised_json.out) == []


@pytest.mark.parametrize(
    "locale", [{"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}, {"PYTHONIOENCODING": "latin-1"}]
)
def test_the_document_can_be_written_whatever_the_terminal_can_show(
    shared: Program, advised_json: Result, locale: dict[str, str]
) -> None:
    result = shared.route(PERHAPS, "--json", **locale)
    assert result.status == ADVICE, result.err[-300:]
    assert json.loads(result.raw.decode("utf-8")) == advised_json.written_json


# The same every time


def test_the_same_answers_give_the_same_bytes(shared: Program, advised: Result, advised_json: Result) -> None:
    assert first_difference(shared.route(PERHAPS, "--all").raw, advised.raw) == ""
    assert first_difference(shared.route(PERHAPS, "--json").raw, advised_json.raw) == ""


def test_the_order_of_the_answers_does_not_matter(shared: Program, advised_json: Result) -> None:
    turned = {name: PERHAPS[name] for name in reversed(PERHAPS)}
    turned["reagents"] = list(reversed(turned["reagents"]))
    assert first_difference(shared.route(turned, "--json", PYTHONHASHSEED="1").raw, advised_json.raw) == ""


def test_the_working_folder_home_and_language_do_not_matter(
    program: Program, advised: Result, advised_json: Result, tmp_path: Path
) -> None:
    # A home of its own and no cache yet, from a folder that has rules of its own lying about.
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "base.yaml").write_text("this is no rule file\n", encoding="utf-8")
    path = program.write("elsewhere.json", PERHAPS)
    changed = {"ADVISOR_CACHE": str(tmp_path / "new-cache"), "LC_ALL": "tr_TR.UTF-8", "TZ": "Asia/Kathmandu"}
    assert (
        first_difference(program.run("route", "--answers", path, "--all", cwd=tmp_path, **changed).raw, advised.raw)
        == ""
    )
    assert (
        first_difference(
            program.run("route", "--answers", path, "--json", cwd=Path("/"), **changed).raw, advised_json.raw
        )
        == ""
    )


def test_a_damaged_cache_changes_nothing(program: Program, advised_json: Result, tmp_path: Path) -> None:
    own = {"ADVISOR_CACHE": str(tmp_path / "own-cache")}
    program.route(PERHAPS, "--json", **own)
    (stored,) = [path for path in (tmp_path / "own-cache").rglob("*") if path.is_file()]
    whole = stored.read_bytes()
    for content in (whole[:-1], whole[:40] + b"?" + whole[41:], b"\xff\x00"):
        stored.write_bytes(content)
        result = program.route(PERHAPS, "--json", **own)
        assert (result.status, result.err) == (ADVICE, "")
        assert first_difference(result.raw, advised_json.raw) == ""
        assert stored.read_bytes() != content, "the damaged file was not mended"


def test_a_computer_without_the_fast_yaml_reader_reads_the_same(
    program: Program, advised_json: Result, tmp_path: Path
) -> None:
    (tmp_path / "startup").mkdir()
    (tmp_path / "startup" / "sitecustomize.py").write_text("import yaml\ndel yaml.CSafeLoader\n", encoding="utf-8")
    slow = {"PYTHONPATH": f"{tmp_path / 'startup'}{os.pathsep}{program.environment()['PYTHONPATH']}"}
    result = program.route(program.write("batch.yaml", as_yaml(PERHAPS)), "--json", **slow)
    assert (result.status, result.err) == (ADVICE, "")
    assert first_difference(result.raw, advised_json.raw) == ""


def test_no_clock_and_no_folder_of_this_machine_stands_in_the_document(advised_json: Result, shared: Program) -> None:
    assert str(ROOT) not in advised_json.out
    assert str(shared.folder) not in advised_json.out


# Hazards and reasons in the text


@pytest.fixture(params=["advised", "explained_stop", "explained"])
def text_and_document(request: pytest.FixtureRequest) -> tuple[Result, Any]:
    """A page of text and the document it was made from."""
    text = request.getfixturevalue(request.param)
    document = request.getfixturevalue("stopped_json" if request.param == "explained_stop" else "advised_json")
    return text, document.json


def test_every_hazard_of_the_document_stands_in_the_text_with_controls_and_stop_signs(
    text_and_document: tuple[Result, Any],
) -> None:
    text, advice = text_and_document
    hazards = flat(section(text.out, "HAZARDS"))
    assert advice["hazards"]
    for hazard in advice["hazards"]:
        assert flat(hazard["title"]) in hazards
        assert flat(hazard["harm"]) in hazards
        assert hazard["controls"]
        for control in hazard["controls"]:
            assert f"+ {flat(control['do'])}" in hazards
        assert hazard["stop_if"]
        for sign in hazard["stop_if"]:
            assert f"STOP if: {flat(sign)}" in hazards
        if hazard["authority"]:
            assert f"Who decides: {flat(hazard['authority'])}" in hazards


def test_the_worst_hazards_come_first(text_and_document: tuple[Result, Any]) -> None:
    text, advice = text_and_document
    ranks = [["deadly", "grave", "moderate"].index(hazard["severity"]) for hazard in advice["hazards"]]
    assert ranks == sorted(ranks)
    places = [flat(text.out).index(f": {flat(hazard['title'])}") for hazard in advice["hazards"]]
    assert places == sorted(places)


def test_hazards_come_before_anything_is_weighed_or_heated(advised: Result) -> None:
    assert advised.out.index("HAZARDS (") < advised.out.index("WEIGH OUT") < advised.out.index("THE PLAN")


def test_the_deadly_hazards_stand_once_more_at_the_end(advised: Result, advised_json: Result) -> None:
    end = flat(advised.out[advised.out.index("Can kill here: ") :])
    for hazard in advised_json.json["hazards"]:
        assert (flat(hazard["title"]) in end) == (hazard["severity"] == "deadly")


def test_every_step_and_weight_of_the_document_stands_in_the_text(advised: Result, advised_json: Result) -> None:
    plan = flat(section(advised.out, "THE PLAN"))
    for step in advised_json.json["steps"]:
        assert flat(step["do"]) in plan
        if step["look_for"]:
            assert flat(step["look_for"]) in plan
    weights = section(advised.out, "WEIGH OUT")
    assert advised_json.json["amounts"]
    for amount in advised_json.json["amounts"].values():
        assert f"[ ] {amount['title']}" in weights


def test_no_placeholder_of_a_rule_is_left_in_the_text(advised: Result, stopped: Result) -> None:
    for result in (advised, stopped):
        assert re.findall(r"\{[a-z_]+\}", result.out) == []


def test_what_is_not_known_is_said_with_what_was_assumed(advised: Result, advised_json: Result) -> None:
    assumed = flat(section(advised.out, "WHAT WAS ASSUMED"))
    notes = advised_json.json["assumptions"]
    assert {"quartz_share"} <= {note["fact"] for note in notes}
    for note in notes:
        assert flat(note["assumed"]) in assumed
        assert flat(note["find_out"]) in assumed


def test_explaining_shows_every_test_with_what_was_seen(explained: Result, advised_json: Result) -> None:
    seen = flat(explained.out)
    shown = 0
    for decision in advised_json.json["decisions"]:
        for option in decision["options"]:
            for argument in option["arguments"] + option["silent"]:
                if argument["says"] == "require" and option["state"] != "chosen":
                    continue  # Shown once, under the option that it requires.
                assert flat(argument["reason"]) in seen
                assert f"Rule {argument['id']} in {argument['file']}:{argument['line']}" in seen
                for test in argument["tests"]:
                    assert f"{flat(test['words'])}: {test['truth']}; seen: {flat(test['seen'])}" in seen
                    shown += 1
    assert shown > 50


def test_explaining_shows_what_failed_as_well_as_what_held(explained: Result) -> None:
    for verdict in ("holds", "fails", "open"):
        assert f": {verdict}; seen:" in flat(explained.out)


def test_every_rule_named_in_an_explanation_can_be_shown(explained: Result, quick: Preloaded) -> None:
    named = re.findall(r"Rule (\S+) in rules/", explained.out)
    shown = quick.run("rules", "show", named[0])
    assert shown.status == 0
    assert named[0] in shown.out


def test_every_source_of_an_argument_that_speaks_is_named(advised: Result) -> None:
    reasons = section(advised.out, "WHY")
    spoken = re.findall(r"^ +- (?:for|against|rules it out|requires it)", reasons, re.MULTILINE)
    assert len(spoken) > 5
    assert reasons.count("Source: ") >= len(spoken)


# Plain text


@pytest.mark.parametrize("name", ["advised", "explained", "stopped"])
def test_piped_text_has_no_escape_codes_and_at_most_80_columns(name: str, request: pytest.FixtureRequest) -> None:
    result = request.getfixturevalue(name)
    assert control_characters(result.out) == []
    assert [line for line in result.lines if len(line) > 80] == []


@pytest.fixture(scope="module")
def by_width(quick: Preloaded) -> dict[str, Result]:
    """The same whole text for every width that is set, sensible or not."""
    path = quick.program.write("perhaps.json", PERHAPS)
    return {width: quick.run("route", "--answers", path, "--all", COLUMNS=width) for width in ("40", "80", *ODD_WIDTHS)}


ODD_WIDTHS = ["1", "wide", "99999999999"]


@pytest.mark.parametrize("width", ["40", "80"])
def test_no_line_is_wider_than_the_columns_that_are_set(by_width: dict[str, Result], width: str) -> None:
    assert by_width[width].status == ADVICE
    assert [line for line in by_width[width].lines if len(line) > int(width)] == []


@pytest.mark.parametrize("width", ["40", "80", *ODD_WIDTHS])
def test_no_width_loses_a_hazard(by_width: dict[str, Result], advised_json: Result, width: str) -> None:
    assert (by_width[width].status, by_width[width].err) == (ADVICE, "")
    shown = flat(by_width[width].out)
    for hazard in advised_json.json["hazards"]:
        assert flat(hazard["title"]) in shown
        assert all(flat(sign) in shown for sign in hazard["stop_if"])


@pytest.mark.parametrize("terminal", [{"TERM": "dumb", "NO_COLOR": "1", "LINES": "2"}, {"TERM": None, "HOME": None}])
def test_a_poor_terminal_gets_the_same_text(quick: Preloaded, advised: Result, terminal: dict[str, str | None]) -> None:
    path = quick.program.write("perhaps.json", PERHAPS)
    assert first_difference(quick.run("route", "--answers", path, "--all", **terminal).raw, advised.raw) == ""


def test_a_terminal_without_the_degree_sign_still_gets_every_line(shared: Program, advised: Result) -> None:
    result = shared.route(PERHAPS, "--all", LC_ALL="C", PYTHONCOERCECLOCALE="0", PYTHONUTF8="0")
    assert (result.status, result.err) == (ADVICE, "")
    assert len(result.raw.splitlines()) == len(advised.lines)


HOSTILE = "\x1b[2J\x1b]0;owned\x07\x9b31m[red]x[/red] [bold] :bomb: \x08\u202e{batch_mass} %s"


def test_a_title_is_shown_as_it_is_and_never_obeyed(quick: Preloaded) -> None:
    write = quick.program.write
    shown = quick.run("route", "--answers", write("batch.json", PYRITIC), "--title", HOSTILE)
    assert "[red]x[/red] [bold] :bomb:" in shown.out
    assert "{batch_mass} %s" in shown.out
    assert control_characters(shown.out) == []
    result = quick.run("route", "--answers", write("titled.json", {"title": HOSTILE, "answers": PYRITIC}))
    assert control_characters(result.out + result.err.replace("\n", "")) == []


def test_json_holds_no_letter_that_a_screen_would_obey_and_loses_none(quick: Preloaded) -> None:
    orders = "\x00\x1b\x7f\x9b\u061c\u200e\u200f\u2028\u202a\u202e\u2066\u2069"
    title = f"Lot {orders[1:]} 7"
    given = quick.program.write("batch.json", {"title": "Lot", "answers": PYRITIC})
    result = quick.run("route", "--answers", given, "--title", title, "--json")
    assert [letter for letter in orders if letter in result.out] == []
    assert result.json["title"] == title


def test_a_title_in_any_script_is_shown_as_it_is(quick: Preloaded) -> None:
    title = "Lot\u00a07, \u6bcd\u5ca9 \u06a9\u0627\u0646\u200c\u0647\u0627 \u0915\u094d\u200d\u0937"
    result = quick.run("route", "--answers", quick.program.write("batch.json", PYRITIC), "--all", "--title", title)
    (shown,) = [line for line in result.lines if line.startswith("Batch: ")]
    assert "?" not in shown


# Readers that go away


def test_a_reader_that_leaves_early_sees_no_traceback(shared: Program) -> None:
    path = shared.write("batch.yaml", as_yaml(PERHAPS))
    for command in (f'route --answers "{path}" --all', f'route --answers "{path}" --json'):
        result = shell(shared, f'{{ "$@" {command}; echo "$?" >&2; }} | head -n 1')
        assert result.err == f"{ADVICE}\n"
        assert len(result.lines) == 1


def test_output_that_cannot_be_written_is_a_sentence_and_not_a_traceback(shared: Program) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    path = shared.write("batch.yaml", as_yaml(PERHAPS))
    for options in ("", "--json"):
        result = shell(shared, f'"$@" route --answers "{path}" {options} > /dev/full')
        assert crash(result.err) == ""
        assert result.status not in (ADVICE, STOP)


@pytest.mark.parametrize("command", ["route --answers batch.yaml", "--version", "journal start --answers batch.yaml"])
def test_what_nobody_could_see_is_not_done(shared: Program, command: str) -> None:
    shared.write("batch.yaml", as_yaml(PERHAPS))
    result = shell(shared, f'"$@" {command} >&-')
    assert result.status == UNEXPECTED
    assert result.err.startswith("standard output is closed")
    assert not (shared.home / "journal.sqlite").exists()


def test_standard_input_that_is_closed_is_a_sentence_and_not_a_traceback(shared: Program) -> None:
    result = shell(shared, '"$@" route --answers - <&-')
    assert result.status == BAD_INPUT
    assert "standard input" in result.err
    assert crash(result.err) == ""


def test_standard_input_without_end_is_given_up(shared: Program) -> None:
    # 800 MB of room is plenty for the program and too little for a reader that never stops.
    result = shell(shared, 'ulimit -v 800000; head -c 2000000000 /dev/zero | "$@" route --answers -')
    assert result.status == BAD_INPUT
    assert "standard input" in result.err
    assert crash(result.err) == ""


def shell(program: Program, line: str) -> Result:
    """Run one line of shell; ``"$@"`` stands for the program."""
    done = subprocess.run(
        ["sh", "-c", line, "sh", *COMMAND],
        cwd=program.folder,
        env=program.environment(),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=60,
        check=False,
    )
    return Result(done.returncode, done.stdout, done.stderr.decode("utf-8", "replace"))
