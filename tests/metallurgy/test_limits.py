"""What was measured against named limits: the laws' own examples and wording."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import InputError
from advisor.metallurgy.air.exposure import ExposureLimit, limit_table
from advisor.metallurgy.calculators import run_computation
from advisor.metallurgy.common.document import Calculation
from advisor.metallurgy.common.inputs import from_words
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.limits.air import Sample, average_of_8_h, judged
from advisor.metallurgy.limits.blood import BloodRule, blood_finding
from advisor.metallurgy.limits.leach import LeachLimit
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import Document


def measured(shipped: RuleBase, words: str) -> Calculation:
    return run_computation("limits", Document("command line", from_words(words.split()), {(): 0}), shipped)


def osha(shipped: RuleBase, kind: str) -> ExposureLimit:
    limits = Tables(shipped).once(limit_table)
    return next(one for one in limits if one.agent == "lead" and one.body.startswith("OSHA") and one.kind == kind)


def verdict(calculation: Calculation) -> str:
    return next(said.text for group in calculation.groups for said in group.said if said.kind == "verdict")


# --- Air -----------------------------------------------------------------------------------------------


def test_the_average_over_a_shift_is_that_of_the_example_in_the_law() -> None:
    # 29 CFR 1910.1000 (d)(1)(ii): two hours at 150, two at 75 and four at 50 are 81.25.
    samples = [Sample(150, 2), Sample(75, 2), Sample(50, 4)]
    assert average_of_8_h(samples, 8) == pytest.approx(81.25)


@pytest.mark.parametrize(("hours", "just_allowed"), [(8, 0.050), (10, 0.040), (12, 400 / 12 / 1000)])
def test_a_longer_shift_with_lead_allows_four_hundred_over_its_hours(
    shipped: RuleBase, hours: float, just_allowed: float
) -> None:
    # 29 CFR 1910.1025 (c)(2): 400 divided by the hours worked, in µg/m3; (c)(1): greater than, so at it is not over.
    limit = osha(shipped, "shift")
    assert judged(limit, [Sample(just_allowed, hours)], hours)[1] == "at_limit"
    assert judged(limit, [Sample(just_allowed * 1.001, hours)], hours)[1] == "over"
    assert judged(limit, [Sample(just_allowed * 0.999, hours)], hours)[1] == "below"


def test_duties_begin_at_the_action_level_and_not_only_above_it(shipped: RuleBase) -> None:
    # 29 CFR 1910.1025 (d) to (k): "at or above the action level".
    assert judged(osha(shipped, "action"), [Sample(0.030, 8)], 8)[1] == "over"


@given(value=st.floats(0.0, 10.0), other=st.floats(0.0, 10.0), hours=st.floats(0.1, 4.0), shift=st.floats(8.0, 16.0))
def test_what_was_not_measured_counts_as_the_worst_that_was(
    value: float, other: float, hours: float, shift: float
) -> None:
    part = average_of_8_h([Sample(value, hours), Sample(other, hours)], shift)
    assert part >= average_of_8_h([Sample(value, shift / 2), Sample(other, shift / 2)], shift) - 1e-9
    assert part <= max(value, other) * shift / 8 + 1e-9


def test_a_long_sample_never_shows_that_there_was_no_peak(shipped: RuleBase) -> None:
    danger = osha(shipped, "shift")
    peaks = [one for one in Tables(shipped).once(limit_table) if one.agent == "lead" and one.kind == "danger"]
    assert judged(peaks[0], [Sample(1.0, 2)], 8)[1] == "not_shown"
    # The ceiling of a quarter of an hour: NIOSH 1994, IDLH documentation, arsenic and sulphur dioxide.
    assert judged(peaks[0], [Sample(1.0, 0.25)], 8)[1] == "below"
    assert judged(peaks[0], [Sample(1.0, 0.3)], 8)[1] == "not_shown"
    assert judged(peaks[0], [Sample(100.0, 2)], 8)[1] == "over"
    assert judged(danger, [Sample(0.01, 2)], 8)[1] == "below"


def test_deadly_air_is_a_stop_and_air_under_every_limit_is_cleared_of_nothing(shipped: RuleBase) -> None:
    deadly = measured(shipped, "agent=lead air.a.mg_m3=120 air.a.time=15min")
    assert deadly.stop
    assert "Out of this air at once" in verdict(deadly)
    low = measured(shipped, "agent=lead air.a.mg_m3=0.0001 air.a.time=8h")
    assert not low.stop
    assert "does not show" in verdict(low)
    assert " safe" not in verdict(low)


def test_a_gas_may_be_given_in_ppm(shipped: RuleBase) -> None:
    both = [
        measured(shipped, f"agent=sulphur_dioxide air.a.{given} air.a.time=8h").figure("average_8_h_mg_m3").likely
        for given in ("ppm=2", f"mg_m3={2 * 64.066 / 24.465}")
    ]
    # 29 CFR 1910.1000, table Z-1: ppm at 25 °C and 760 torr, 24.45 l to the mole.
    assert both[0] == pytest.approx(both[1], rel=1e-3)


# --- Blood ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tests", "leave", "confirm"),
    [
        # 29 CFR 1910.1025 (k)(1)(i)(A): a periodic and a follow-up test at or above 60.
        ([60], True, True),
        ([59.9], False, False),
        ([61, 62], True, False),
        # (B): mean of the last three at or above 50, but not where the last is below 40.
        ([55, 52, 45], True, False),
        ([50, 50, 50], True, False),
        ([50, 50, 49], False, False),
        ([58, 56, 39], False, False),
        ([58, 56, 40], True, False),
        ([55, 54], False, False),
    ],
)
def test_lead_in_blood_removes_as_the_law_says(
    shipped: RuleBase, tests: list[float], leave: bool, confirm: bool
) -> None:
    rules = BloodRule.by_rule(Tables(shipped).rows("blood_lead_limits"))
    found = blood_finding(tests, rules, removed=False)
    assert (found.leave, found.confirm) == (leave, confirm)
    assert found.may_return is None


@pytest.mark.parametrize(("tests", "may"), [([39, 38], True), ([40, 38], False), ([39], False), ([62, 39], False)])
def test_two_tests_in_a_row_below_forty_let_somebody_return(shipped: RuleBase, tests: list[float], may: bool) -> None:
    # 29 CFR 1910.1025 (k)(1)(iii)(A)(1).
    rules = BloodRule.by_rule(Tables(shipped).rows("blood_lead_limits"))
    assert blood_finding(tests, rules, removed=True).may_return is may


def test_leaving_lead_work_is_a_stop_and_no_level_is_called_harmless(shipped: RuleBase) -> None:
    assert measured(shipped, "blood_lead.may=62").stop
    assert measured(shipped, "blood_lead.may=45 removed=yes").stop
    low = measured(shipped, "blood_lead.may=12")
    assert not low.stop
    assert "no level is known" in verdict(low)
    said = " ".join(one.text for group in low.groups for one in group.said)
    assert "example of law" in said


# --- Leach test ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("element", "code", "level"),
    [
        ("arsenic", "D004", 5.0),
        ("barium", "D005", 100.0),
        ("cadmium", "D006", 1.0),
        ("chromium", "D007", 5.0),
        ("lead", "D008", 5.0),
        ("mercury", "D009", 0.2),
        ("selenium", "D010", 1.0),
        ("silver", "D011", 5.0),
    ],
)
def test_the_levels_of_a_leach_test_stand_as_printed_and_count_from_themselves(
    shipped: RuleBase, element: str, code: str, level: float
) -> None:
    # 40 CFR 261.24, table 1; (a): "at the concentration equal to or greater than the respective value".
    limit = LeachLimit.from_rows(Tables(shipped).rows("leach_limits"))[element]
    assert (limit.code, limit.value) == (code, level)
    assert limit.is_hazardous(level)
    assert not limit.is_hazardous(level * 0.999)


def test_waste_at_its_level_is_hazardous_and_below_it_is_not_called_harmless(shipped: RuleBase) -> None:
    assert "Hazardous waste by lead:" in verdict(measured(shipped, "leach.lead=5 leach.arsenic=1"))
    assert "not known" in verdict(measured(shipped, "leach.lead=1"))


@pytest.mark.parametrize("call", [lambda: Sample(-1, 1), lambda: Sample(1, 0), lambda: average_of_8_h([], 8)])
def test_measured_air_that_cannot_be_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(InputError):
        call()
