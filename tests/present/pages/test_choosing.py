"""What stands on a sheet: no hazard and no step is lost, and what is left out is counted."""

from __future__ import annotations

import pytest

from advisor.present.pages.choosing import make_sheet
from advisor.present.pages.detail import LEVELS, SMALLEST_PT, TEXT
from advisor.present.pages.fitting import line_count
from advisor.present.pages.model import Sheet
from advisor.present.pages.paper import paper_named
from advisor.present.pages.plain import sheet_text
from advisor.present.pages.words import ascii_words, between, clean, cut, first_sentence, shortened
from advisor.rulebase.model import RuleBase
from tests.batches import advice_of
from tests.present.conftest import CASES, Advices

AGAIN = "advisor route --answers batch.yaml"
FULL = ("iron-smelt-trade-check-weights", "split-with-lead-and-litharge", "bismuth-pouch-on-a-cement-cupel")


def step_numbers(sheet: Sheet) -> list[int]:
    listed = [step.number for phase in sheet.phases for step in phase.steps]
    return sorted(listed + [int(number) for weight in sheet.weights for number in weight.step.split()])


@pytest.mark.parametrize("name", CASES)
def test_every_hazard_is_on_the_sheet_and_the_worst_stand_first(name: str, advices: Advices) -> None:
    advice, sheet = advices[name], advices.fitted(name).sheet
    idle = advice.outcome in ("stop", "find_out")
    # Where nothing is begun, what is only not ruled out is counted and not told.
    wanted = [hazard.title for hazard in advice.hazards if hazard.certain or not idle]
    assert [hazard.title for hazard in sheet.hazards] == wanted
    hidden = len(advice.hazards) - len(wanted)
    assert any("of work that is not begun, not ruled out" in line for line in sheet.left_out) == bool(hidden)
    order = ["deadly", "grave", "moderate"]
    places = [order.index(hazard.severity) for hazard in sheet.hazards]
    assert places == sorted(places)


@pytest.mark.parametrize("level", range(len(LEVELS)))
@pytest.mark.parametrize("name", FULL)
def test_at_every_level_what_can_kill_or_maim_keeps_its_control_and_its_stop_signs(
    name: str, level: int, advices: Advices
) -> None:
    notes = {hazard.title: hazard for hazard in advices[name].hazards}
    for hazard in make_sheet(advices[name], LEVELS[level], AGAIN).hazards:
        if hazard.severity == "deadly":
            assert hazard.controls
            assert list(hazard.signs) == [clean(sign) for sign in notes[hazard.title].stop_if]
        if hazard.severity == "grave":
            assert hazard.controls
            assert hazard.signs


@pytest.mark.parametrize("name", CASES)
def test_every_step_is_on_the_sheet_once_under_the_phase_that_leads_through_it(name: str, advices: Advices) -> None:
    sheet = advices.fitted(name).sheet
    assert step_numbers(sheet) == [step.number for step in advices[name].steps]
    led = {number: phase.title for phase in advices[name].phases for number in phase.steps}
    under = {step.number: phase.title for phase in sheet.phases for step in phase.steps}
    assert {number: title for number, title in under.items() if led.get(number, title) != title} == {}


@pytest.mark.parametrize("name", CASES)
def test_a_stop_shows_why_and_what_lifts_it_and_no_weight(name: str, advices: Advices) -> None:
    advice, sheet = advices[name], advices.fitted(name).sheet
    assert sheet.stop == advice.stop
    assert bool(sheet.stops) == advice.stop
    if advice.stop:
        assert not sheet.weights
        assert not sheet.expected
        assert all(stop.why and stop.lifted_by for stop in sheet.stops)
        assert len(sheet.stops) == max(1, len(advice.lifts))
    else:
        assert [weight.title for weight in sheet.weights] == [amount.title for amount in advice.amounts.values()]


@pytest.mark.parametrize("name", FULL)
def test_what_is_left_out_is_counted(name: str, advices: Advices) -> None:
    advice = advices[name]
    said = "; ".join(make_sheet(advice, LEVELS[0], AGAIN).left_out)
    controls = sum(len(hazard.controls) for hazard in advice.hazards)
    signs = sum(
        len(hazard.stop_if) - (1 if hazard.severity == "grave" else 0)
        for hazard in advice.hazards
        if hazard.severity != "deadly"
    )
    looks = sum(bool(step.look_for) for step in advice.steps)
    assert f"{controls} controls of {len(advice.hazards)} hazards in full" in said
    assert f"{signs} more stop signs" in said
    assert f"the full text of {len(advice.steps)} steps" in said
    assert f"what to look for in {looks} of them" in said


def test_the_fullest_level_leaves_out_no_control_sign_or_step(advices: Advices) -> None:
    advice = advices["damp-rich-gold-in-a-hurry"]
    sheet = make_sheet(advice, LEVELS[-1], AGAIN)
    assert sheet.left_out == ("reasons, what was worked out, and sources",)
    for note, hazard in zip(advice.hazards, sheet.hazards, strict=True):
        assert len(hazard.controls) == len(note.controls)
        assert len(hazard.signs) == len(note.stop_if)


def test_a_hazard_that_is_only_not_ruled_out_says_so(shipped: RuleBase) -> None:
    advice = advice_of(shipped, second_person="not known")
    sheet = make_sheet(advice, LEVELS[0], AGAIN)
    assert sheet.cautious
    assert [hazard.certain for hazard in sheet.hazards] == [hazard.certain for hazard in advice.hazards]
    assert not all(hazard.certain for hazard in sheet.hazards)


def test_a_sheet_of_what_to_find_out_has_looks_with_blanks_and_no_weight_and_no_step(advices: Advices) -> None:
    advice, sheet = advices["new-hand-knows-little"], advices.fitted("new-hand-knows-little").sheet
    assert advice.outcome == "find_out"
    assert sheet.banner == "FIND OUT FIRST"
    assert 3 <= len(sheet.looks) <= 5
    assert [look.do for look in sheet.looks] == [look.do for look in advice.looks[:5]]
    assert 1 <= len(sheet.remaining) <= 4
    assert (sheet.weights, sheet.phases, sheet.expected, sheet.first, sheet.hours) == ((), (), (), (), ())
    assert advices.fitted("new-hand-knows-little").pages == 1


def test_preparations_and_hours_stand_on_the_sheet_before_the_steps(advices: Advices) -> None:
    advice, sheet = advices["damp-rich-gold-in-a-hurry"], advices.fitted("damp-rich-gold-in-a-hurry").sheet
    assert advice.outcome == "first"
    assert len(sheet.first) == len(advice.first) > 0
    assert "PROVISIONAL" in sheet.provisional
    text = sheet_text(sheet)
    assert text.index("FIRST, BEFORE ANYTHING IS LIT") < text.index("HOURS") < text.index("SCHEDULE")


def test_body_type_is_never_smaller_than_nine_points_and_hazard_titles_never_than_eleven() -> None:
    assert SMALLEST_PT >= 9
    for level in (*LEVELS, TEXT):
        assert level.base_pt >= SMALLEST_PT
        assert level.title_pt >= 11
        assert not level.named & {"deadly", "grave"}
        assert "deadly" in level.signs


def test_every_shipped_hazard_and_step_has_a_brief_text(shipped: RuleBase) -> None:
    missing = [h.entry.id for h in shipped.hazards.values() if not h.entry.brief]
    missing += [s.entry.id for s in shipped.steps.values() if not s.entry.brief]
    assert missing == []


def test_a_rule_without_a_brief_text_lends_its_first_sentence_and_a_long_one_ends_in_dots() -> None:
    assert shortened(None, "Melt it. Then wait.") == "Melt it."
    assert shortened("Melt.", "Melt it. Then wait.") == "Melt."
    long = shortened(None, "word " * 60)
    assert long.endswith("word...")
    assert len(long) <= 110


def test_the_ordinary_batch_has_a_blank_for_the_fineness(shipped: RuleBase) -> None:
    sheet = make_sheet(advice_of(shipped), LEVELS[0], AGAIN)
    assert sheet.expected[-1].title == "Fineness"
    assert "800" in sheet.expected[-1].range


def test_words_are_made_safe_for_paper() -> None:
    assert clean("a\nb\x1b[31m\u202ec") == "a b?[31m?c"
    assert clean("z" + "\u0301" * 50) == "\u017a" + "\u0301" * 2
    assert cut("abc", 3) == "abc"
    assert cut("a" * 100, 20) == "a" * 17 + "..."
    assert first_sentence("One. Two.") == "One."
    assert ascii_words("1100–1220 °C, Zoë 金") == "1100-1220 C, Zoe ?"
    assert between(1.0, 1.0, "g") == "1 g"
    assert between(43.2, 57.6, "g") == "43.2–57.6 g"


def test_a_longer_text_never_takes_fewer_lines() -> None:
    lines = [line_count("word " * count, 9, 200) for count in range(40)]
    assert lines == sorted(lines)
    assert line_count("m" * 100, 10, 100) >= 8


def test_an_unknown_paper_is_refused_and_known_ones_are_found_in_any_case() -> None:
    assert paper_named("a4") is paper_named("A4")
    with pytest.raises(Exception, match="--paper A4"):
        paper_named("foolscap")
