"""What the shop's own batches say about the next one, and how far it moves an expected range.

Nothing here knows where the results are kept; whoever keeps them hands them over as an ``Experience``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import field

from advisor.frozen import frozen
from advisor.units import Range
from advisor.units.statistics import INTERVAL_SOURCE, prediction_interval

FEWEST = 3
"""Batches before the shop's results say anything (practice)."""

MOST = 20
"""Only the last so many batches count, so that old habits fade (practice)."""

INSIDE = 0.9
"""Share of intervals that hold the next batch: nine in ten (practice)."""

LEAST_SPREAD = 0.01
"""Scatter that is always allowed for, as a standard deviation of the ratio: equal results prove no more (practice)."""

ODD_FACTOR = 5.0
"""A result five times too large or too small is a slip or an accident, and is left out and counted (practice)."""


@frozen
class Way:
    """One way of working; results of one say nothing about another.

    Attributes:
        route: The route.
        collector: The collector, or ``none``.
        cupel: The kind of cupel, or ``none``.
    """

    route: str
    collector: str
    cupel: str


@frozen
class Evidence:
    """What came of the batches of one way.

    Attributes:
        ratios: Bead found over bead expected by the rules alone, one for each batch, oldest first.
        odd: Batches left out because their ratio is beyond all measure.
        losses: Gold not accounted for as a share of the gold that went in, where it could be balanced.
        bismuth_ratios: Bismuth for 1 g of bead where the bead came out clean.
    """

    ratios: tuple[float, ...] = ()
    odd: int = 0
    losses: tuple[float, ...] = ()
    bismuth_ratios: tuple[float, ...] = ()

    @property
    def batches(self) -> int:
        """Batches that count."""
        return len(self.ratios)

    @property
    def speaks(self) -> bool:
        """Whether there are enough of them."""
        return self.batches >= FEWEST


@frozen
class Experience:
    """The shop's own results by way of working."""

    ways: Mapping[Way, Evidence] = field(default_factory=dict)

    def of(self, route: str, collector: str, cupel: str) -> Evidence:
        """The evidence for one way; empty if there is none."""
        return self.ways.get(Way(route, collector, cupel), Evidence())


def evidence_from(
    ratios: list[float], losses: tuple[float, ...] = (), bismuth_ratios: tuple[float, ...] = ()
) -> Evidence:
    """The evidence in the results of one way, oldest first; odd ones are left out and counted, old ones fade."""
    plain = [ratio for ratio in ratios if 1 / ODD_FACTOR <= ratio <= ODD_FACTOR]
    return Evidence(tuple(plain[-MOST:]), len(ratios) - len(plain), losses[-MOST:], bismuth_ratios[-MOST:])


def ratio_interval(evidence: Evidence) -> Range | None:
    """The ratio of bead found to bead expected that the next batch will show; None with too few batches.

    The ratios are taken as log-normal: their logarithms are averaged, and the interval is that of one future
    observation at nine in ten.

    Source: Montgomery and Runger 2003, p. 269, equation 8-29, on logarithms; level and least scatter are practice.
    """
    if not evidence.speaks:
        return None
    logs = [math.log(ratio) for ratio in evidence.ratios]
    return Range(*(math.exp(end) for end in prediction_interval(logs, INSIDE, LEAST_SPREAD)))


def shifted(expected: Range, evidence: Evidence, *, most: float = math.inf) -> Range:
    """An expected amount, moved and narrowed to what this shop gets.

    With fewer than three batches, or where the shop's interval holds the whole expected range and so says nothing
    more than it, the expected range comes back as it was.

    Args:
        expected: What the rules expect.
        evidence: The shop's results on the same way.
        most: Greatest amount that can be, for example all the metal there is.

    Returns:
        The range to expect, from 0 to ``most``.

    Example:
        Ratios of 0.90, 0.92 and 0.94 move 10 (8 to 11) to 9.2 (8.5 to 9.9).
    """
    ratio = ratio_interval(evidence)
    if ratio is None or expected.likely <= 0:
        return expected
    found = ratio.scaled(expected.likely)
    if found.low <= expected.low and found.high >= expected.high:
        return expected
    low, likely, high = (min(max(value, 0.0), most) for value in (found.low, found.likely, found.high))
    return Range(low, likely, high)


def shop_ratio(evidence: Evidence) -> Range | None:
    """Bismuth for 1 g of metal that was enough in this shop, for a cupellation; None with too few clean beads.

    The range is what was used, from least to most. The bead stands for the alloy: base metal that went into the
    cupel makes the ratio larger, which is the cautious side.
    """
    used = sorted(evidence.bismuth_ratios)
    if len(used) < FEWEST:
        return None
    # Loaded here: most plans have no experience behind them yet.
    from statistics import fmean

    middle = used[len(used) // 2] if len(used) % 2 else fmean(used[len(used) // 2 - 1 : len(used) // 2 + 1])
    return Range(used[0], middle, used[-1])


def in_words(evidence: Evidence, *, moved: bool = True) -> str:
    """From how many batches it speaks, and how; ``moved`` tells whether they changed the expected range."""
    odd = f" {evidence.odd} left out as beyond all measure; look at their entries." if evidence.odd else ""
    if not moved:
        return f"Your {evidence.batches} batches on this way scatter more widely than that, so the range stays.{odd}"
    return f"From {evidence.batches} batches of yours on this way; nine in ten like them lie inside.{odd}"


SOURCE = f"this shop's own results; {INTERVAL_SOURCE}"
