"""The four outcomes as a person reads them: work after what is first, what to find out, why it stops."""

from __future__ import annotations

import pytest

from tests.batches import MATT_BEAD, PYRITIC
from tests.conftest import ROOT
from tests.terminal.conftest import STOPPED
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import LINES, Result, control_characters, flat

OK, NO_WORK = 0, 3
DAMP = {**PYRITIC, "dryness": "damp"}


def shown(quick: Preloaded, name: str, *arguments: str) -> Result:
    return quick.run("route", "--answers", ROOT / "cases" / f"{name}.yaml", *arguments)


@pytest.fixture(scope="module")
def damp(quick: Preloaded) -> Result:
    return quick.run("route", "--answers", quick.program.write("damp.json", DAMP), "--all")


@pytest.fixture(scope="module")
def little_known(quick: Preloaded) -> Result:
    return shown(quick, "new-hand-knows-little")


@pytest.fixture(scope="module")
def kitchen(quick: Preloaded) -> Result:
    return shown(quick, "kitchen-beside-the-furnace")


def test_the_route_comes_first_then_the_preparations_then_everything_else(damp: Result) -> None:
    assert damp.status == OK
    places = [damp.out.index(words) for words in ("ROUTE ", "HOURS ", "FIRST\n", "HAZARDS (", "WEIGH OUT", "THE PLAN")]
    assert places == sorted(places)
    first = flat(damp.out[damp.out.index("FIRST\n") : damp.out.index("HAZARDS (")])
    assert "1. " in first
    assert "Done when: " in first
    assert "Waits for it: " in first


def test_weights_that_a_preparation_changes_are_called_provisional(damp: Result, advised: Result) -> None:
    weights = flat(damp.out[damp.out.index("WEIGH OUT") :])
    assert "PROVISIONAL: what stands under FIRST changes batch mass" in weights
    assert "advisor route" in weights
    assert "PROVISIONAL" not in advised.out


def test_what_takes_longer_stands_under_not_tonight_beside_the_way_without(quick: Preloaded) -> None:
    result = shown(quick, "torch-too-cold-for-gold", "--all")
    document = shown(quick, "torch-too-cold-for-gold", "--json").json
    part = flat(result.out[result.out.index("NOT TONIGHT\n") : result.out.index("HAZARDS (")])
    for one in document["first"]:
        assert one["title"] in part
    assert f"TONIGHT, WITHOUT IT: {document['without']['title']}" in part


def test_hours_that_do_not_hold_the_work_are_parted_into_sittings(quick: Preloaded) -> None:
    short = quick.run(
        "route", "--answers", quick.program.write("short.json", {**PYRITIC, "time_available": "9 h"}), "--all"
    )
    said = flat(short.out)
    assert "You have 9 h: that takes " in said
    assert "SITTINGS -------- Break off only where one ends: all cold, shut and labelled. 1. " in said
    long = quick.run(
        "route", "--answers", quick.program.write("long.json", {**PYRITIC, "time_available": "48 h"}), "--all"
    )
    assert "You have 48 h: that holds it." in flat(long.out)
    assert "SITTINGS" not in long.out


def test_what_to_find_out_fits_on_one_screen_and_holds_no_weight_and_no_fire(little_known: Result) -> None:
    assert little_known.status == NO_WORK
    assert len(little_known.lines) <= LINES
    for words in ("WEIGH OUT", "THE PLAN", "HAZARDS (", "ROUTES SIDE BY SIDE", "You have", "°C"):
        assert words not in little_known.out
    said = flat(little_known.out)
    assert "FIND OUT FIRST. NOTHING IS WEIGHED OR LIT BEFORE." in said
    assert "Loupe and needle, all cold, 20 min: " in said
    assert "MAY BE Soda smelt" in said
    assert "light nothing" in said


def test_what_is_missing_in_a_file_is_named_what_tells_most_first(quick: Preloaded) -> None:
    answers = {name: value for name, value in PYRITIC.items() if name not in ("mercury_history", "gold_share")}
    result = quick.run("route", "--answers", quick.program.write("gaps.json", answers), "--all")
    assert result.status == NO_WORK
    assert "Not answered yet, what tells most first: mercury history" in flat(result.out)


def test_a_stop_is_one_screen_with_its_one_reason(kitchen: Result, quick: Preloaded) -> None:
    mercury = quick.run("route", "--answers", quick.program.write("mercury.json", STOPPED))
    for result in (kitchen, mercury):
        assert result.status == NO_WORK
        assert len(result.lines) <= LINES
        assert result.out.count("LIFTED BY") == 1
        assert "\nNOW       1 " in result.out
        assert "not asked" not in result.out
        assert "quartz" not in result.out.lower()
    assert "You said: people living here: yes." in flat(kitchen.out)


def test_what_stands_behind_a_stop_is_shown_when_it_is_to_be_explained(explained_stop: Result) -> None:
    for words in ("HAZARDS (", "THE PLAN", "WHY: THE ARGUMENTS", "YOUR ANSWERS"):
        assert words in explained_stop.out


@pytest.mark.parametrize("page", ["damp", "little_known", "kitchen"])
def test_every_page_keeps_to_80_columns_without_colour(page: str, request: pytest.FixtureRequest) -> None:
    result: Result = request.getfixturevalue(page)
    assert max(map(len, result.lines)) <= 80
    assert control_characters(result.out) == []


@pytest.mark.parametrize("name", ["new-hand-knows-little", "arsenic-not-known"])
def test_no_weight_and_no_fire_step_is_given_before_it_is_found_out(name: str, quick: Preloaded) -> None:
    document = shown(quick, name, "--json").json
    assert document["outcome"] == "find_out"
    assert (document["amounts"], document["steps"], document["quantities"]) == ({}, [], {})
    assert (document["side_by_side"], document["computed"], document["sittings"]) == ([], None, [])
    sheet = quick.run("sheet", "--answers", ROOT / "cases" / f"{name}.yaml", "--text", "--output", "-")
    assert sheet.status == NO_WORK
    assert "FIND OUT FIRST" in sheet.out
    for words in ("WEIGH OUT", "SCHEDULE", "HOURS", "weighed ___"):
        assert words not in sheet.out


def test_a_stop_sheet_says_why_and_what_to_do_now(quick: Preloaded) -> None:
    path = ROOT / "cases" / "kitchen-beside-the-furnace.yaml"
    sheet = quick.run("sheet", "--answers", path, "--text", "--output", "-")
    assert sheet.status == NO_WORK
    said = flat(sheet.out)
    assert "You said: people living here: yes." in said
    assert "WHAT TO DO NOW" in said


def test_a_diagnosis_stops_with_its_reason_and_what_to_do_with_the_piece(quick: Preloaded) -> None:
    answers = {**MATT_BEAD, "mercury_signs": "yes", "collector_used": "lead", "work_done": "smelt_iron"}
    path = quick.program.write("bead.json", {"answers": answers})
    result = quick.run("diagnose", "--observations", path, "--all")
    document = quick.run("diagnose", "--observations", path, "--json").json
    assert result.status == NO_WORK
    assert document["outcome"] in ("stop", "find_out")
    assert "WEIGH OUT" not in result.out
    assert ("NOW, WITH THIS PIECE" in result.out) == (document["outcome"] == "stop")
    assert document["figures"] == {}
