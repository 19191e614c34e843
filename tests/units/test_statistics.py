"""The statistics against published figures, and what the shop's results do to an expected range."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.experience import Evidence, evidence_from, in_words, ratio_interval, shifted, shop_ratio
from advisor.units import Range
from advisor.units.statistics import individuals_chart, prediction_interval, settled_chart, t_quantile

# NIST Technical Note 1297 (1994), appendix B, table B.1: t for fractions of 68.27, 90, 95, 95.45, 99 and 99.73 %.
FRACTIONS = (0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973)
T_TABLE = {
    1: (1.84, 6.31, 12.71, 13.97, 63.66, 235.80),
    2: (1.32, 2.92, 4.30, 4.53, 9.92, 19.21),
    3: (1.20, 2.35, 3.18, 3.31, 5.84, 9.22),
    4: (1.14, 2.13, 2.78, 2.87, 4.60, 6.62),
    7: (1.08, 1.89, 2.36, 2.43, 3.50, 4.53),
    10: (1.05, 1.81, 2.23, 2.28, 3.17, 3.96),
    20: (1.03, 1.72, 2.09, 2.13, 2.85, 3.42),
    50: (1.01, 1.68, 2.01, 2.05, 2.68, 3.16),
    100: (1.005, 1.660, 1.984, 2.025, 2.626, 3.077),
}

# Montgomery and Runger 2003, table 16-3, p. 617: concentration of a chemical process, hour by hour.
CONCENTRATION = (
    102.0, 94.8, 98.3, 98.4, 102.0, 98.5, 99.0, 97.7, 100.0, 98.1,
    101.3, 98.7, 101.1, 98.4, 97.0, 96.7, 100.3, 101.4, 97.2, 101.0,
)  # fmt: skip

# The worked example of the NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.2, as others repeat it;
# the page itself was not read.
FLOW = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)


@pytest.mark.parametrize("degrees", T_TABLE)
def test_t_is_that_of_the_published_table(degrees: int) -> None:
    for inside, published in zip(FRACTIONS, T_TABLE[degrees], strict=True):
        # The last printed figure, and that the printed fractions are themselves rounded.
        room = 0.006 if inside < 0.99 else 0.012
        assert t_quantile(inside, degrees) == pytest.approx(published, abs=max(room, published * 2e-4))


@pytest.mark.parametrize(("inside", "degrees"), [(0, 3), (1, 3), (0.9, 0), (-1, 3)])
def test_t_outside_its_bounds_is_refused(inside: float, degrees: int) -> None:
    with pytest.raises(ValueError, match="no t for"):
        t_quantile(inside, degrees)


def test_the_prediction_interval_is_that_of_the_published_example() -> None:
    # Montgomery and Runger 2003, example 8-8, p. 269: n 22, mean 13.71, s 3.55 give 6.16 to 21.26 at 95 %.
    count, mean, deviation = 22, 13.71, 3.55
    step = deviation * math.sqrt((count - 1) / count)
    values = [mean + step] * (count // 2) + [mean - step] * (count // 2)
    low, middle, high = prediction_interval(values, 0.95)
    assert (round(low, 2), round(middle, 2), round(high, 2)) == (6.16, 13.71, 21.26)


def test_values_that_agree_by_chance_are_taken_to_scatter_by_the_least_deviation() -> None:
    close, wide = (prediction_interval([5.0, 5.0, 5.0], 0.9, least) for least in (0.0, 0.1))
    assert close == (5.0, 5.0, 5.0)
    # t(0.9, 2) = 2.920, Montgomery and Runger 2003, table IV
    assert wide[2] - 5.0 == pytest.approx(2.920 * 0.1 * math.sqrt(1 + 1 / 3), rel=1e-3)


def test_the_chart_has_the_limits_of_the_published_example() -> None:
    chart = individuals_chart(CONCENTRATION)
    assert chart.mean == pytest.approx(99.1, abs=0.05)
    assert chart.mean_range == pytest.approx(2.59, abs=0.005)
    # The book works with the rounded mean and range.
    assert (chart.low, chart.high) == (pytest.approx(92.21, abs=0.06), pytest.approx(105.99, abs=0.06))
    assert chart.range_high == pytest.approx(3.267 * 2.59, abs=0.02)
    assert (chart.beyond, chart.runs) == ((), ())


def test_what_lies_beyond_the_published_limits_is_a_signal_and_never_moves_them() -> None:
    # The printed limits are 92.21 and 105.99: a value just inside is none, one just outside is one.
    published = individuals_chart(CONCENTRATION)
    calm = range(len(CONCENTRATION))
    for value, signalled in ((92.4, False), (105.8, False), (92.0, True), (106.2, True)):
        chart = individuals_chart((*CONCENTRATION, value), calm)
        assert (chart.low, chart.high, chart.mean) == (published.low, published.high, published.mean)
        assert chart.beyond == ((len(CONCENTRATION),) if signalled else ())
    # Called undisturbed like the others, it is found all the same and left out of the limits.
    hidden = settled_chart((*CONCENTRATION[:8], 80.0, *CONCENTRATION[8:]), range(len(CONCENTRATION) + 1), 5)
    assert (hidden.beyond, 8 in hidden.based_on) == ((8,), False)
    assert (hidden.low, hidden.high) == (pytest.approx(published.low), pytest.approx(published.high))


@given(st.lists(st.floats(-50, 50), min_size=5, max_size=20), st.data())
def test_limits_that_have_settled_hold_all_they_come_from_or_have_too_few_to_leave_out_more(
    values: list[float], data: st.DataObject
) -> None:
    chart = settled_chart(values, range(len(values)), 5)
    assert len(chart.based_on) >= 5
    inside = all(chart.low <= values[place] <= chart.high for place in chart.based_on)
    beyond = [place for place in chart.based_on if place in chart.beyond]
    assert inside or len(chart.based_on) - len(beyond) < 5
    # A further value that is not among them changes no limit.
    further = data.draw(st.floats(-1e3, 1e3))
    again = individuals_chart([*values, further], chart.based_on)
    assert (again.low, again.mean, again.high) == (chart.low, chart.mean, chart.high)


def test_the_chart_has_the_limits_of_the_handbook_example() -> None:
    chart = individuals_chart(FLOW)
    found = tuple(round(value, 4) for value in (chart.mean, chart.mean_range, chart.low, chart.high))
    assert found == (50.81, 1.8778, 45.8159, 55.8041)


def test_a_value_far_out_and_a_long_run_are_signals() -> None:
    assert individuals_chart([1, 2, 1, 2, 1, 2, 1, 2, 1, 30]).beyond == (9,)
    assert individuals_chart([5, 1, 5, 1, 4, 4, 4, 4, 4, 4, 4, 4, 0.5, 1]).runs == (11,)
    assert individuals_chart([5, 1, 5, 1, 4, 4, 4, 4, 4, 4, 4, 1, 0.5, 1]).runs == ()


# The shop's experience

RATIOS = st.lists(st.floats(0.25, 4), min_size=3, max_size=12)
EXPECTED = st.lists(st.floats(0.01, 1000), min_size=3, max_size=3).map(lambda ends: Range(*sorted(ends)))


def test_steady_results_move_and_narrow_the_range() -> None:
    found = shifted(Range(8, 10, 11), evidence_from([0.90, 0.92, 0.94]))
    assert (round(found.low, 1), round(found.likely, 1), round(found.high, 1)) == (8.5, 9.2, 9.9)


@pytest.mark.parametrize("ratios", [[], [0.9], [0.9, 0.9]])
def test_fewer_than_three_batches_say_nothing(ratios: list[float]) -> None:
    assert shifted(Range(8, 10, 11), evidence_from(ratios)) == Range(8, 10, 11)
    assert ratio_interval(evidence_from(ratios)) is None


def test_results_that_scatter_more_than_the_plan_change_nothing() -> None:
    assert shifted(Range(8, 10, 11), evidence_from([0.5, 1.0, 1.9])) == Range(8, 10, 11)


def test_equal_results_never_promise_an_exact_bead() -> None:
    found = shifted(Range(8, 10, 11), evidence_from([0.9] * 20))
    assert found.high - found.low > 0.2


def test_more_batches_of_the_same_scatter_narrow_the_range() -> None:
    few, many = (shifted(Range(5, 10, 20), evidence_from([0.9, 0.92, 0.94] * turns)) for turns in (1, 5))
    assert many.high - many.low < few.high - few.low


def test_accidents_are_left_out_and_counted() -> None:
    evidence = evidence_from([0.9, 0.92, 1000, 0.94, 0.01])
    assert (evidence.batches, evidence.odd) == (3, 2)
    assert "3 batches" in in_words(evidence)
    assert "2 left out" in in_words(evidence)


def test_old_batches_fade() -> None:
    assert evidence_from([2.0] * 30 + [0.9] * 20).ratios == (0.9,) * 20


@given(EXPECTED, RATIOS, st.floats(1, 1.5))
def test_a_shifted_range_is_ordered_and_within_what_can_be(expected: Range, ratios: list[float], room: float) -> None:
    most = expected.high * room
    found = shifted(expected, evidence_from(ratios), most=most)
    assert 0 <= found.low <= found.likely <= found.high <= most


@given(EXPECTED, RATIOS)
def test_a_shifted_range_is_never_wider_on_both_sides(expected: Range, ratios: list[float]) -> None:
    found = shifted(expected, evidence_from(ratios))
    wider = found.low < expected.low and found.high > expected.high
    assert not wider


@given(EXPECTED, RATIOS)
def test_the_order_of_the_batches_does_not_matter(expected: Range, ratios: list[float]) -> None:
    one, other = (shifted(expected, evidence_from(order)) for order in (ratios, ratios[::-1]))
    for a, b in zip((one.low, one.likely, one.high), (other.low, other.likely, other.high), strict=True):
        assert a == pytest.approx(b, rel=1e-9)


def test_bismuth_that_was_enough_needs_three_clean_beads() -> None:
    assert shop_ratio(Evidence(bismuth_ratios=(2.0, 3.0))) is None
    assert shop_ratio(Evidence(bismuth_ratios=(3.0, 2.0, 2.4))) == Range(2.0, 2.4, 3.0)
    assert shop_ratio(Evidence(bismuth_ratios=(3.0, 2.0, 2.4, 2.6))) == Range(2.0, 2.5, 3.0)
