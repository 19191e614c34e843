"""``advisor sheet`` from outside: where it writes, what it refuses, and that a consultation offers it."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.terminal.consult.keys import LEAVE, SHEET
from tests.batches import PYRITIC
from tests.conftest import ROOT
from tests.terminal.conftest import STOPPED, Operator
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, Result, control_characters, crash, flat

FINE, BAD_INPUT, STOP = 0, 2, 3
NAMED = {"title": "Night shift 7/3, invented", "answers": PYRITIC}


def sheet(quick: Preloaded, program: Program, *arguments: str | Path, stdin: str | bytes = b"") -> Result:
    return quick.run("sheet", *arguments, at=program, stdin=stdin)


def test_it_writes_a_page_named_after_the_batch_into_the_current_folder(quick: Preloaded, program: Program) -> None:
    result = sheet(quick, program, "--answers", program.write("a.json", NAMED))
    assert (result.status, result.out) == (FINE, "")
    page = program.folder / "sheet-night-shift-7-3-invented.html"
    assert page.name in flat(result.err)
    html = page.read_text(encoding="utf-8")
    assert html.startswith("<!DOCTYPE html>")
    assert "Night shift 7/3, invented" in html
    assert "advisor route --answers" in html


def test_without_a_name_it_is_named_after_the_route(quick: Preloaded, program: Program) -> None:
    assert sheet(quick, program, "--answers", program.write("a.json", {"answers": PYRITIC})).status == FINE
    assert (program.folder / "sheet-smelt-iron.html").is_file()


def test_a_sheet_that_is_there_is_kept_unless_forced_and_any_other_file_is_kept_in_any_case(
    quick: Preloaded, program: Program
) -> None:
    answers, kept = program.write("a.json", NAMED), program.write("kept.html", "mine")
    for force in ((), ("--force",)):
        refused = sheet(quick, program, "--answers", answers, "--output", kept, *force)
        assert refused.status == BAD_INPUT
        assert "no sheet" in refused.err
        assert kept.read_text() == "mine"
    kept.unlink()
    assert sheet(quick, program, "--answers", answers, "--output", kept).status == FINE
    refused = sheet(quick, program, "--answers", answers, "--output", kept)
    assert refused.status == BAD_INPUT
    assert "--force" in refused.err
    assert sheet(quick, program, "--answers", answers, "--output", kept, "--force").status == FINE
    assert kept.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_other_answers_beside_a_sheet_are_written_over_only_when_forced(quick: Preloaded, program: Program) -> None:
    last = program.home / "last-route.yaml"
    last.parent.mkdir(parents=True)
    old = "# Answers of a consultation; of another batch.\nanswers: {}\n"
    beside, page = program.write("page.yaml", old), program.folder / "page.html"
    last.write_text("# Answers of a consultation; of this batch.\nanswers: {mercury_history: now}\n", encoding="utf-8")
    refused = sheet(quick, program, "--output", page)
    assert refused.status == BAD_INPUT
    assert f"{beside} exists already" in refused.err
    assert beside.read_text(encoding="utf-8") == old
    assert not page.exists()
    assert sheet(quick, program, "--output", page, "--force").status == STOP
    assert beside.read_bytes() == last.read_bytes()
    # The same answers stand there already, so only the sheet is in the way.
    page.unlink()
    assert sheet(quick, program, "--output", page).status == STOP


def test_the_same_answers_give_the_same_bytes(quick: Preloaded, program: Program) -> None:
    answers = program.write("a.json", NAMED)
    runs = [sheet(quick, program, "--answers", answers, "--output", "-") for _ in range(2)]
    assert runs[0].raw == runs[1].raw
    assert runs[0].err == ""


def test_answers_come_from_standard_input_too(quick: Preloaded, program: Program) -> None:
    case = (ROOT / "cases" / "scarlet-grains-of-cinnabar.yaml").read_bytes()
    result = sheet(quick, program, "--answers", "-", "--output", "-", stdin=case)
    assert result.status == STOP
    assert '<p class="stop">STOP</p>' in result.out


def test_text_goes_into_a_text_file(quick: Preloaded, program: Program) -> None:
    result = sheet(quick, program, "--answers", program.write("a.json", NAMED), "--text")
    assert result.status == FINE
    text = (program.folder / "sheet-night-shift-7-3-invented.txt").read_text(encoding="ascii")
    assert "CAN KILL" in text
    assert "\f" in text


def test_a_stop_keeps_its_exit_status_and_has_no_weights(quick: Preloaded, program: Program) -> None:
    result = sheet(quick, program, "--answers", program.write("a.json", {"answers": STOPPED}), "--output", "-")
    assert result.status == STOP
    assert "Weigh out" not in result.out


@pytest.mark.parametrize("paper", ["A4", "a4", "letter"])
def test_the_paper_is_named_in_the_page(paper: str, quick: Preloaded, program: Program) -> None:
    result = sheet(quick, program, "--answers", program.write("a.json", NAMED), "--output", "-", "--paper", paper)
    assert f"size: {'letter' if paper == 'letter' else 'A4'} portrait" in result.out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "advisor route"),
        (("--answers", "missing.yaml"), "missing.yaml"),
        (("--paper", "foolscap"), "--paper A4"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(
    arguments: tuple[str, ...], said: str, quick: Preloaded, program: Program
) -> None:
    result = sheet(quick, program, *arguments)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert said in result.err
    assert crash(result.err) == ""
    assert list(program.folder.glob("sheet-*")) == []


@pytest.mark.parametrize("place", ["nowhere/sheet.html", "."])
def test_a_place_that_cannot_be_written_is_refused(place: str, quick: Preloaded, program: Program) -> None:
    result = sheet(quick, program, "--answers", program.write("a.json", NAMED), "--output", place, "--force")
    assert result.status == BAD_INPUT
    assert "cannot be written" in result.err


@pytest.mark.parametrize("title", ["../../etc/passwd", "/", "..", "\x1b[2J\u202e", "a" * 10_000, "<script>"])
def test_a_hostile_name_leads_to_no_other_folder(title: str, quick: Preloaded, program: Program) -> None:
    result = sheet(quick, program, "--answers", program.write("a.json", {"answers": PYRITIC}), "--title", title)
    assert result.status == FINE
    (page,) = program.folder.glob("*.html")
    assert page.parent == program.folder
    assert page.name.startswith("sheet-")
    assert len(page.name) < 80
    assert control_characters(result.err) == []
    assert "<script>" not in page.read_text(encoding="utf-8")


def test_a_consultation_offers_the_sheet_and_writes_it_beside_an_older_one(operator: Operator) -> None:
    operator.to_the_advice()
    program = operator.talk.program
    older = program.write("sheet-smelt-iron.html", "older")
    assert f"{SHEET} sheet" in flat(operator.page)
    said = operator.talk.say(SHEET)
    assert "sheet-smelt-iron-2.html" in flat(said)
    assert older.read_text() == "older"
    assert (program.folder / "sheet-smelt-iron-2.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    operator.talk.say(LEAVE)
    assert operator.talk.status == FINE


def test_after_a_consultation_the_sheet_needs_no_file_name(operator: Operator, quick: Preloaded) -> None:
    operator.to_the_end()
    assert operator.talk.status == FINE
    result = sheet(quick, operator.talk.program)
    assert result.status == FINE
    assert list(operator.talk.program.folder.glob("sheet-*.html"))
