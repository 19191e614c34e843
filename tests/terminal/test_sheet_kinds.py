"""``advisor sheet`` beside the plan: the sheet of a correction, the chart of faults, and what the foot names."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from advisor.rulebase.model import RuleBase
from tests.conftest import ROOT
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, flat

FINE, BAD_INPUT = 0, 2
PIECE = ROOT / "cases" / "diagnosis" / "matt-bead-from-bismuth.yaml"
SMELT = ROOT / "cases" / "iron-smelt-trade-check-weights.yaml"


def test_a_correction_has_a_sheet_with_its_cause_its_steps_and_its_dangers(quick: Preloaded, program: Program) -> None:
    result = quick.run("sheet", "--observations", PIECE, "--text", "--output", "-", at=program)
    assert result.status == FINE
    page = flat(result.out)
    diagnosis = quick.run("diagnose", "--observations", PIECE, "--json", at=program).json
    assert diagnosis["remedy"]["title"] in page
    assert diagnosis["causes"][0]["title"] in page
    assert [h["title"] for h in diagnosis["hazards"] if h["title"].lower() not in page.lower()] == []
    assert f"advisor diagnose --observations {PIECE}"[:40] in page or "advisor diagnose --observations FILE" in page


def test_a_plan_and_a_piece_have_a_sheet_each(quick: Preloaded, program: Program) -> None:
    result = quick.run("sheet", "--answers", SMELT, "--observations", PIECE, at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "a sheet is of one of them" in result.err


def test_the_chart_of_faults_shows_every_picture_of_the_diagnosis(
    quick: Preloaded, program: Program, diagnosing: RuleBase
) -> None:
    assert quick.run("sheet", "--faults", at=program).status == FINE
    chart = (program.folder / "faults.html").read_text(encoding="utf-8")
    pictures = [
        option.label
        for fact in diagnosing.facts.values()
        for option in (fact.entry.options or {}).values()
        if option.picture
    ]
    assert chart.count("<svg ") == len(pictures) > 40
    assert [label for label in pictures if f"<b>{label}</b>" not in chart] == []
    ids = re.findall(r' id="([^"]+)"', chart)
    assert len(ids) == len(set(ids))
    assert "<script" not in chart
    assert quick.run("sheet", "--faults", at=program).status == BAD_INPUT


def test_the_foot_names_answers_that_the_next_consultation_leaves_alone(quick: Preloaded, program: Program) -> None:
    last = program.home / "last-route.yaml"
    last.parent.mkdir(parents=True, exist_ok=True)
    last.write_text(SMELT.read_text(encoding="utf-8").replace("../", f"{ROOT}/"), encoding="utf-8")
    result = quick.run("sheet", at=program)
    if result.status == BAD_INPUT:
        pytest.fail(result.err)
    (page,) = program.folder.glob("sheet-*.html")
    beside = page.with_suffix(".yaml")
    assert beside.read_text(encoding="utf-8") == last.read_text(encoding="utf-8")
    assert beside.name in page.read_text(encoding="utf-8")
    assert "last-route" not in page.read_text(encoding="utf-8")


@pytest.mark.parametrize("case", ["iron-smelt-trade-check-weights", "nearly-clean-gold-at-89"])
def test_a_text_sheet_takes_four_pages_with_weights_and_stop_signs_on_the_first(
    case: str, quick: Preloaded, program: Program
) -> None:
    result = quick.run("sheet", "--answers", ROOT / "cases" / f"{case}.yaml", "--text", "--output", "-", at=program)
    pages = result.out.split("\f")
    assert len(pages) <= 4
    assert "WEIGH OUT" in pages[0]
    assert "STOP IF" in pages[0]
    assert "CAN KILL" in pages[0]


def test_a_wide_weight_says_what_to_begin_with_in_the_same_words_as_the_first_screen(
    quick: Preloaded, program: Program
) -> None:
    sheet = quick.run("sheet", "--answers", SMELT, "--text", "--output", "-", at=program).out
    screen = quick.run("route", "--answers", SMELT, at=program).out
    wide = re.search(r"borax, anhydrous +(from [\d.]+ g)", screen)
    assert wide is not None
    assert wide[1] in sheet
    assert Path(SMELT).is_file()
