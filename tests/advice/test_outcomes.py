"""Hours and sittings, what stands under FIRST, and the way that can do without what takes longer."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import Sitting
from advisor.advice.notes.preparations import way_without
from advisor.advice.plan.hours import hours_of
from advisor.advice.plan.planned_batch import work_out
from advisor.engine import conclude, conclude_forced, state_of
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.layers import merge
from advisor.rulebase.reading.yaml_reader import parse_yaml
from advisor.units import Range
from tests.batches import advice_of
from tests.conftest import ROOT
from tests.rulebase.small_base import BASE, faults_of
from tests.shipped import CASES, advice_of_case, batch_of, route_rules

SMELTS = ("iron-smelt-trade-check-weights", "nitre-within-the-old-limits", "split-with-lead-and-litharge")

SECTIONS = """\
preparations:
  get_soda:
    {title: Get soda, order: 1, lacking: shelf lacks soda, wanted: "route is roast", waits: the roast, do: Buy it.,
     done_when: It is there., time: 3 d, tonight: false, source: practice}
looks:
  paper:
    {title: A pinch on paper, do: Squeeze and count., minutes: 7, tells: [wet, share], source: practice}
"""


def small(*texts: str) -> RuleBase:
    base = BASE.replace("strong: 8}", "strong: 8, not_tonight: 1}")
    documents = [parse_yaml(text, f"{n}.yaml") for n, text in enumerate((base, *texts))]
    return compile_rule_base(merge([("invented rules", documents)]))


def case(rule_base: RuleBase, name: str, **changed: Any) -> Advice:
    path = ROOT / "cases" / f"{name}.yaml"
    if rule_base is route_rules() and not changed:
        return advice_of_case(path)
    batch = read_batch(path, rule_base)
    return build_advice(conclude(rule_base, {**batch.answers, **changed}), batch.title, look_for_changes=False)


def test_a_look_tells_facts_that_there_are() -> None:
    assert list(small(SECTIONS).looks["paper"].entry.tells) == ["wet", "share"]
    (fault,) = faults_of(WRONG_LOOK)
    assert "there is no fact 'shere'" in str(fault)
    assert "closest: share" in str(fault)


WRONG_LOOK = """\
looks:
  paper: {title: A pinch, do: Count., minutes: 7, tells: [shere], source: practice}
"""


def test_facts_that_one_look_tells_stand_under_it_once(shipped: RuleBase) -> None:
    found = case(shipped, "new-hand-knows-little")
    ids = [look.id for look in found.looks]
    assert len(ids) == len(set(ids))
    told = [one.fact for look in found.looks for one in look.tells]
    assert len(told) == len(set(told))
    loupe = next(look for look in found.looks if look.id == "loupe")
    assert len(loupe.tells) > 2
    assert loupe.do == shipped.looks["loupe"].entry.do


def test_every_shipped_look_tells_facts_of_the_route_and_has_a_source(shipped: RuleBase) -> None:
    assert len(shipped.looks) >= 5
    told = [fact for look in shipped.looks.values() for fact in look.entry.tells]
    assert len(told) == len(set(told))
    assert all(look.sources for look in shipped.looks.values())


def test_the_way_without_needs_nothing_that_takes_longer_than_tonight(shipped: RuleBase) -> None:
    found = case(shipped, "torch-too-cold-for-gold")
    assert [one.tonight for one in found.first].count(False) > 0
    assert found.without is not None
    assert found.without.id not in (found.route, "stop")
    answers = read_batch(ROOT / "cases" / "torch-too-cold-for-gold.yaml", shipped).answers
    taken = conclude_forced(shipped, answers, state_of(shipped, answers), {"route": found.without.id})
    assert all(one.tonight for one in taken.preparations())


def test_where_everything_can_be_done_tonight_no_way_without_is_named(shipped: RuleBase) -> None:
    found = case(shipped, "damp-rich-gold-in-a-hurry")
    assert found.first
    assert found.without is None
    batch = read_batch(ROOT / "cases" / "damp-rich-gold-in-a-hurry.yaml", shipped)
    assert way_without(conclude(shipped, batch.answers)) is None


def test_what_is_waited_for_a_day_is_not_for_tonight_and_not_in_the_hours(shipped: RuleBase) -> None:
    masked = case(shipped, "sheet-lead-for-rich-gold")
    found = case(shipped, "rich-gold-and-no-fume-mask")
    assert [one.tonight for one in found.first if one.id == "get_fume_mask"] == [False]
    assert found.hours == masked.hours
    assert [one.hours for one in found.sittings] == [one.hours for one in masked.sittings]


def test_hours_are_preparations_for_tonight_and_steps_and_the_same_side_by_side(shipped: RuleBase) -> None:
    damp = advice_of(shipped, dryness="damp", time_available="60 h")
    dry = advice_of(shipped, time_available="60 h")
    assert damp.hours is not None
    assert dry.hours is not None
    assert damp.hours.likely > dry.hours.likely
    assert len(damp.sittings) == 1
    assert damp.sittings[0].fits
    drying = sum(one.time_min.high for one in damp.first if one.tonight) / 60
    counted = [step for step in damp.steps if not shipped.steps[step.id].entry.not_counted]
    assert len(counted) < len(damp.steps)
    steps = sum(step.time_min.high for step in counted if step.time_min) / 60
    assert damp.hours.high == pytest.approx(drying + steps, rel=1e-3)
    batch = read_batch(ROOT / "cases" / "clean-gold-melted-with-borax.yaml", shipped)
    found = build_advice(conclude(shipped, batch.answers), look_for_changes=False)
    assert found.side_by_side
    assert found.hours is not None
    assert found.side_by_side[0].hours.high == pytest.approx(found.hours.high, rel=1e-3)


def test_sittings_part_all_steps_and_end_only_where_work_may_stop(shipped: RuleBase) -> None:
    found = advice_of(shipped, time_available="5 h")
    assert len(found.sittings) > 1
    ends = _steps_of(found.sittings)
    assert ends == [step.number for step in found.steps]
    for one in found.sittings[:-1]:
        last = next(step for step in found.steps if step.number == one.last_step)
        assert shipped.steps[last.id].entry.may_break_after
    for one in found.sittings:
        assert one.fits == (one.hours.high <= 5.0 + 1e-3)


def _steps_of(sittings: tuple[Sitting, ...]) -> list[int]:
    return [
        number
        for one in sittings
        if one.first_step is not None and one.last_step is not None
        for number in range(one.first_step, one.last_step + 1)
    ]


def test_a_cold_button_may_wait_and_a_melt_or_a_cupel_never(shipped: RuleBase) -> None:
    breaks = {step.entry.id: step.entry.stage for step in shipped.steps.values() if step.entry.may_break_after}
    assert {"part-clean-button", "roast-weigh", "smelt-weigh-litharge"} <= set(breaks)
    assert not {"heat", "pour", "cupel", "charge"} & set(breaks.values())
    hot = [name for name in breaks if shipped.steps[name].temperature_c is not None]
    assert hot == []


def test_without_fire_no_hours_are_counted(shipped: RuleBase) -> None:
    found = case(shipped, "stibnite-needs-a-plant")
    assert found.route == "send_out"
    assert (found.hours, found.sittings) == (None, ())


def test_weights_are_provisional_where_a_preparation_changes_what_they_hang_on(shipped: RuleBase) -> None:
    assert "batch mass" in advice_of(shipped, dryness="damp").provisional
    assert advice_of(shipped).provisional == ()


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_nothing_is_weighed_and_nothing_lit_before_it_is_found_out(path: Path, shipped: RuleBase) -> None:
    found = advice_of_case(path)
    if found.outcome == "find_out":
        assert (found.amounts, found.steps, found.quantities, found.expectations) == ({}, (), {}, ())
        assert (found.computed, found.side_by_side, found.hours, found.sittings) == (None, (), None, ())
        assert found.looks
        assert 1 <= len(found.remaining) <= 3
    else:
        assert found.looks == found.remaining == ()
    if found.outcome == "stop":
        assert all(lift.truth == "holds" for lift in found.lifts)
    if found.hours is not None:
        steps = [shipped.steps[step.id] for step in found.steps]
        conclusions = conclude(shipped, batch_of(path).answers)
        assert found.hours.high == pytest.approx(
            hours_of(work_out(conclusions, Tables(shipped)).weigher, steps).high, rel=1e-3
        )


@pytest.mark.parametrize("hours", [3, 8, 10, 15, 20])
@pytest.mark.parametrize(
    "case", ["copper-and-no-buyer", "clean-gold-melted-with-borax", "rich-gold-cupelled-in-portions", *SMELTS]
)
def test_several_sittings_are_printed_where_first_says_to_part_the_work_and_nowhere_else(
    case: str, hours: int, shipped: RuleBase
) -> None:
    batch = read_batch(ROOT / "cases" / f"{case}.yaml", shipped)
    minutes = Range.exact(hours * 60.0)
    found = build_advice(conclude(shipped, {**batch.answers, "time_available": minutes}), look_for_changes=False)
    parts = [one for one in found.first if shipped.preparations[one.id].entry.parts_the_work]
    assert (len(found.sittings) > 1) == (len(parts) == 1)
    assert len(parts) <= 1
    assert found.outcome in ("work", "first")
    assert bool(parts) <= (found.outcome == "first")
    assert all(one.time_min.high == 0 for one in parts)
    assert all(one.first_step is not None or one.hours.high > 0 for one in found.sittings)
