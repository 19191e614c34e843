"""Statistics of a few results: the spread of the next one, and a control chart of single values."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from advisor.frozen import frozen
from advisor.words import tr

INTERVAL_SOURCE = (
    "D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers, 3rd ed., 2003,"
    " p. 269, equation 8-29 (prediction interval of one future observation)"
)
CHART_SOURCE = (
    "D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers, 3rd ed., 2003,"
    " p. 616, equations 16-18 and 16-19 (control chart for individuals)"
)
RANGE_TO_DEVIATION = 1.128
"""d2 for two values: mean range over standard deviation (Montgomery and Runger, p. 616)."""

RANGE_LIMIT = 3.267
"""D4 for two values: upper limit of the moving range over its mean (Montgomery and Runger, p. 616)."""

LONG_RUN = 8
"""Values in a row on one side of the mean that count as a signal (from memory, not checked)."""


def t_quantile(inside: float, degrees: int) -> float:
    """The t that encloses a share of Student's distribution between -t and t.

    Args:
        inside: That share, above 0 and below 1.
        degrees: Degrees of freedom, at least 1.

    Raises:
        ValueError: If either is out of bounds.

    Source: finite series for whole degrees of freedom (from memory), solved by halving; the tests check it against
    NIST Technical Note 1297, table B.1.

    Example:
        >>> round(t_quantile(0.95, 10), 2)
        2.23
    """
    if not 0 < inside < 1 or degrees < 1:
        raise ValueError(tr("no t for {inside} and {degrees} degrees of freedom", inside=inside, degrees=degrees))
    low, high = 0.0, 1.0
    while _share_within(high, degrees) < inside:
        high *= 2
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if _share_within(middle, degrees) < inside else (low, middle)
    return (low + high) / 2


def _share_within(t: float, degrees: int) -> float:
    """Share of Student's distribution between -t and t."""
    angle = math.atan(t / math.sqrt(degrees))
    cosine = math.cos(angle)
    odd = degrees % 2
    term, total = (cosine, 0.0) if odd else (1.0, 0.0)
    if degrees > 1:
        for step in range(3 if odd else 2, degrees + 1, 2):
            total += term
            term *= cosine * cosine * (step - 1) / step
    total *= math.sin(angle)
    return 2 / math.pi * (angle + total) if odd else total


def prediction_interval(
    values: Sequence[float], inside: float, least_deviation: float = 0.0
) -> tuple[float, float, float]:
    """Where the next value of the same kind will lie, with a stated share of all such intervals being right.

    Args:
        values: Results so far, at least two; taken as normally spread.
        inside: Share of intervals that hold the next value.
        least_deviation: Standard deviation to use where the values agree more closely by chance.

    Returns:
        Low end, mean and high end.

    Raises:
        ValueError: If there are fewer than two values.

    Source: Montgomery and Runger 2003, p. 269, equation 8-29.
    """
    count = len(values)
    if count < 2:
        raise ValueError(tr("an interval needs at least two values"))
    # Loaded here, as below: it takes longer than all that a plan without experience needs.
    from statistics import fmean

    mean = fmean(values)
    deviation = max(least_deviation, math.sqrt(math.fsum((one - mean) ** 2 for one in values) / (count - 1)))
    reach = t_quantile(inside, count - 1) * deviation * math.sqrt(1 + 1 / count)
    return mean - reach, mean, mean + reach


@frozen
class IndividualsChart:
    """A control chart of single values.

    Attributes:
        values: The values, oldest first.
        mean: Their mean.
        mean_range: Mean of the differences between neighbours, without sign.
        low: Lower control limit.
        high: Upper control limit.
        range_high: Upper limit of the differences.
        beyond: Positions of values beyond a limit.
        based_on: Positions of the values that the mean and the limits come from.
        runs: Positions that end a run of eight or more values on one side of the mean.
    """

    values: tuple[float, ...]
    mean: float
    mean_range: float
    low: float
    high: float
    range_high: float
    beyond: tuple[int, ...]
    based_on: tuple[int, ...]
    runs: tuple[int, ...]


def individuals_chart(values: Sequence[float], undisturbed: Sequence[int] | None = None) -> IndividualsChart:
    """Mean and limits of single values by their moving range.

    Args:
        values: The values, oldest first.
        undisturbed: Positions of the values that limits may come from, at least two; left out, all of them. The others
            are held against the same limits.

    Returns:
        The chart; the limits are the mean plus and minus 3 mean ranges / 1.128, which is 2.66 mean ranges.

    Raises:
        ValueError: If there are fewer than two values that limits may come from.

    Source: Montgomery and Runger 2003, p. 616, equations 16-18 and 16-19; the run of eight is from memory.
    """
    based_on = tuple(range(len(values)) if undisturbed is None else undisturbed)
    if len(based_on) < 2:
        raise ValueError(tr("a chart needs at least two values"))
    from statistics import fmean

    calm = [values[place] for place in based_on]
    mean = fmean(calm)
    mean_range = fmean(abs(later - earlier) for earlier, later in pairwise(calm))
    reach = 3 * mean_range / RANGE_TO_DEVIATION
    low, high = mean - reach, mean + reach
    beyond = tuple(place for place, value in enumerate(values) if not low <= value <= high)
    range_high = RANGE_LIMIT * mean_range
    return IndividualsChart(
        tuple(values), mean, mean_range, low, high, range_high, beyond, based_on, _runs(values, mean)
    )


def settled_chart(values: Sequence[float], undisturbed: Sequence[int], fewest: int) -> IndividualsChart:
    """A chart whose limits come from values that lie inside them.

    What lies beyond the first limits is left out and the limits are drawn again, until none of those they come from
    lies beyond; so one bad value cannot hide itself by widening them. Where two neighbours differ by more than the
    upper limit of the differences, the one further from the middle value is left out too.

    Args:
        values: The values, oldest first.
        undisturbed: Positions of the values that limits may come from, at least two.
        fewest: With fewer of them nothing more is left out.

    Raises:
        ValueError: If there are fewer than two values that limits may come from.

    Source: ``individuals_chart``; to draw limits again without what lies beyond them is practice.
    """
    from statistics import median

    calm = list(undisturbed)
    while True:
        chart = individuals_chart(values, calm)
        middle = median(values[place] for place in calm)
        odd = {place for place in calm if place in chart.beyond}
        for one, other in pairwise(calm):
            if abs(values[other] - values[one]) > chart.range_high:
                odd.add(max((one, other), key=lambda place: abs(values[place] - middle)))
        if not odd or len(calm) - len(odd) < max(2, fewest):
            return chart
        calm = [place for place in calm if place not in odd]


def _runs(values: Sequence[float], mean: float) -> tuple[int, ...]:
    """Where a value makes eight or more in a row on one side of the mean."""
    found, side, length = [], 0, 0
    for place, value in enumerate(values):
        now = (value > mean) - (value < mean)
        length = length + 1 if now == side and now else 1
        side = now
        if length >= LONG_RUN:
            found.append(place)
    return tuple(found)
