"""Laws of ranges: whatever the true values are, the true result lies inside."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.units import Range

numbers = st.floats(-1e6, 1e6)
shares = st.floats(0.0, 1.0)
ranges = st.lists(numbers, min_size=3, max_size=3).map(lambda three: Range(*sorted(three)))
positive = st.lists(st.floats(1e-3, 1e6), min_size=3, max_size=3).map(lambda three: Range(*sorted(three)))
divisors = st.one_of(positive, positive.map(lambda r: Range(-r.high, -r.likely, -r.low)))


def member(of: Range, share: float) -> float:
    """A value inside the range; the ends come out exactly."""
    if share == 0.0:
        return of.low
    return of.high if share == 1.0 else min(max(of.low + share * (of.high - of.low), of.low), of.high)


def inside(value: float, of: Range) -> bool:
    return of.low <= value <= of.high


def within(small: Range, large: Range) -> bool:
    return large.low <= small.low and small.high <= large.high


@st.composite
def nested(draw: Any, source: st.SearchStrategy[Range] = ranges) -> tuple[Range, Range]:
    """A range, and another one inside it."""
    large = draw(source)
    ends = sorted(member(large, draw(shares)) for _ in range(3))
    return large, Range(*ends)


PLAIN: list[tuple[str, Callable[[Range, Range], Range], Callable[[float, float], float]]] = [
    ("sum", lambda a, b: a + b, lambda x, y: x + y),
    ("difference", lambda a, b: a - b, lambda x, y: x - y),
    ("product", lambda a, b: a * b, lambda x, y: x * y),
    ("least", Range.least, min),
    ("most", Range.most, max),
]
SEVERAL = pytest.mark.parametrize(("of_ranges", "of_numbers"), [case[1:] for case in PLAIN], ids=[c[0] for c in PLAIN])


@SEVERAL
@given(a=ranges, b=ranges, x=shares, y=shares)
def test_the_result_holds_that_of_any_two_members(
    of_ranges: Any, of_numbers: Any, a: Range, b: Range, x: float, y: float
) -> None:
    assert inside(of_numbers(member(a, x), member(b, y)), of_ranges(a, b))


@given(a=ranges, b=divisors, x=shares, y=shares)
def test_the_quotient_holds_that_of_any_two_members(a: Range, b: Range, x: float, y: float) -> None:
    assert inside(member(a, x) / member(b, y), a / b)


def test_a_quotient_is_not_missed_by_a_rounding_error() -> None:
    assert inside(1.0, Range.exact(49) / Range.exact(49))


@SEVERAL
@given(a=ranges, b=ranges)
def test_the_likely_value_is_that_of_the_likely_values(of_ranges: Any, of_numbers: Any, a: Range, b: Range) -> None:
    result = of_ranges(a, b)
    assert result.likely == of_numbers(a.likely, b.likely)
    assert result.low <= result.likely <= result.high


@given(a=ranges, b=divisors)
def test_the_likely_quotient_is_that_of_the_likely_values(a: Range, b: Range) -> None:
    assert (a / b).likely == a.likely / b.likely


@SEVERAL
@given(a=nested(), b=nested())
def test_knowing_more_never_widens_a_result(
    of_ranges: Any, of_numbers: Any, a: tuple[Range, Range], b: tuple[Range, Range]
) -> None:
    assert of_numbers is not None
    assert within(of_ranges(a[1], b[1]), of_ranges(a[0], b[0]))


@given(a=nested(), b=nested(divisors))
def test_knowing_more_never_widens_a_quotient(a: tuple[Range, Range], b: tuple[Range, Range]) -> None:
    assert within(a[1] / b[1], a[0] / b[0])


@SEVERAL
@given(a=ranges, b=ranges)
def test_each_end_is_reached_by_some_members(of_ranges: Any, of_numbers: Any, a: Range, b: Range) -> None:
    result = of_ranges(a, b)
    corners = [of_numbers(x, y) for x in (a.low, a.high) for y in (b.low, b.high)]
    assert (result.low, result.high) == (min(corners), max(corners))


@pytest.mark.parametrize("of_ranges", [c[1] for c in PLAIN if c[0] != "difference"])
@given(a=ranges, b=ranges)
def test_order_does_not_matter(of_ranges: Any, a: Range, b: Range) -> None:
    assert of_ranges(a, b) == of_ranges(b, a)


@given(ranges, divisors)
def test_a_range_minus_itself_holds_zero_and_over_itself_holds_one(a: Range, b: Range) -> None:
    assert inside(0.0, a - a)
    assert inside(1.0, b / b)


@given(st.lists(ranges, min_size=1, max_size=5))
def test_the_hull_holds_every_range_and_nothing_beyond_their_ends(several: list[Range]) -> None:
    hull = Range.hull(several)
    assert all(within(one, hull) for one in several)
    assert hull.low in {one.low for one in several}
    assert hull.high in {one.high for one in several}
    assert hull.likely == several[0].likely


@given(ranges, numbers)
def test_scaling_is_multiplying_by_a_number_of_any_sign(a: Range, factor: float) -> None:
    scaled = a.scaled(factor)
    assert {scaled.low, scaled.high} == {a.low * factor, a.high * factor}
    assert scaled.low <= scaled.likely <= scaled.high


@given(numbers, numbers)
def test_a_range_known_by_its_ends_has_its_middle_as_likely_value(a: float, b: float) -> None:
    low, high = sorted((a, b))
    made = Range.between(low, high)
    assert (made.low, made.high) == (low, high)
    assert made.likely == pytest.approx((low + high) / 2)
    assert made.is_exact == (low == high)
    assert Range.exact(low) == Range(low, low, low)


@pytest.mark.parametrize(
    "three",
    [(2, 1, 3), (1, 4, 3), (3, 2, 1), (math.nan, 1, 2), (0, math.nan, 2), (0, 1, math.inf), (-math.inf, 0, 1)],
)
def test_numbers_out_of_order_or_without_end_make_no_range(three: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="a range needs"):
        Range(*three)


@pytest.mark.parametrize("divisor", [Range(0, 1, 2), Range(-2, -1, 0), Range(-1, 0, 1), Range.exact(0)])
def test_nothing_is_divided_by_a_range_that_holds_zero(divisor: Range) -> None:
    with pytest.raises(ZeroDivisionError, match="holds zero"):
        Range.exact(1) / divisor


def test_a_result_too_large_for_a_number_is_an_error_and_not_infinity() -> None:
    with pytest.raises(ValueError, match="finite"):
        Range.exact(1e200) * Range.exact(1e200)


def test_ranges_cannot_be_changed() -> None:
    with pytest.raises(AttributeError):
        Range.exact(1).low = 0  # type: ignore[misc]
