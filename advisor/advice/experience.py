"""What the shop's own batches say about the next one, and how far it moves an expected range.

Nothing here knows where the results are kept; whoever keeps them hands them over as an ``Experience``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field, replace

from advisor.frozen import frozen
from advisor.units import Range
from advisor.units.statistics import INTERVAL_SOURCE, prediction_interval
from advisor.words import tr, tr_many

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
class Use:
    """What one clean batch took of a material.

    Attributes:
        batch: Its number.
        ratio: What was weighed over what the rules alone plan.
        eaten: What was used up over what the rules alone plan, where the rest was weighed too: an iron rod.
    """

    batch: int
    ratio: float
    eaten: float | None = None


@frozen
class Lesson:
    """A weight that a diagnosis changed.

    Attributes:
        source: Where it was learned, in words, for example ``batch 6``.
        factor: The weight to take over what the rules alone plan.
        because: The cause that the diagnosis found.
    """

    source: str
    factor: Range
    because: str


@frozen
class Learned:
    """What the next plan takes of a material instead of what the rules leave open.

    Attributes:
        factor: The weight to take over what the rules alone plan; its range stands for that of the rule.
        source: From which batches, in words.
        why: Why, in a sentence.
    """

    factor: Range
    source: str
    why: str


@frozen
class Evidence:
    """What came of the batches of one way.

    Attributes:
        ratios: Bead found over bead expected by the rules alone, one for each batch, oldest first.
        odd: Batches left out because their ratio is beyond all measure.
        losses: Gold not accounted for as a share of the gold that went in, where it could be balanced.
        bismuth_ratios: Bismuth for 1 g of bead where the bead came out clean.
        used: What clean batches took of each material, since a diagnosis last changed it; oldest first.
        lessons: The last weight of each material that a diagnosis changed.
    """

    ratios: tuple[float, ...] = ()
    odd: int = 0
    losses: tuple[float, ...] = ()
    bismuth_ratios: tuple[float, ...] = ()
    used: Mapping[str, tuple[Use, ...]] = field(default_factory=dict)
    lessons: Mapping[str, Lesson] = field(default_factory=dict)

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

    def with_lessons(self, taught: Mapping[Way, Mapping[str, Lesson]]) -> Experience:
        """The same with lessons that no journal holds; they go before its own."""
        ways = dict(self.ways)
        for way, lessons in taught.items():
            before = ways.get(way, Evidence())
            used = {name: uses for name, uses in before.used.items() if name not in lessons}
            ways[way] = replace(before, used=used, lessons={**before.lessons, **lessons})
        return Experience(ways)


def learned(evidence: Evidence) -> dict[str, Learned]:
    """What the next plan on this way takes of each material, by what the shop's batches taught.

    Clean batches since the last diagnosis count from three on: the range is what they took, from least to most, and the
    middle one is taken. Until then the last diagnosis that changed a weight has the say. What was eaten of a rod is the
    least of it.
    """
    found = {name: _from_lesson(lesson) for name, lesson in evidence.lessons.items()}
    for name, uses in evidence.used.items():
        if len(uses) >= FEWEST:
            found[name] = _from_uses(uses[-MOST:])
    return found


def lessons_from(
    changes: Iterable[tuple[str, Range, str]], by_rules_g: Mapping[str, float], lay_g: Mapping[str, float], source: str
) -> dict[str, Lesson]:
    """The lessons of one diagnosis.

    Args:
        changes: Each changed material, how many times its weight it becomes, and the cause; the first of a material
            counts, so the best supported cause comes first.
        by_rules_g: What the rules alone planned of each material.
        lay_g: What was weighed of each, or else planned.
        source: The batch, in words.
    """
    found: dict[str, Lesson] = {}
    for name, factor, because in changes:
        if name not in found and by_rules_g.get(name, 0.0) > 0 and name in lay_g:
            found[name] = Lesson(source, factor.scaled(lay_g[name] / by_rules_g[name]), because)
    return found


def _from_lesson(lesson: Lesson) -> Learned:
    return Learned(
        lesson.factor, lesson.source, tr("{because}, in {batch}", because=lesson.because, batch=lesson.source)
    )


def _from_uses(uses: Sequence[Use]) -> Learned:
    ratios = sorted(use.ratio for use in uses)
    eaten = [use.eaten for use in uses if use.eaten is not None]
    low = min(ratios[0], max(eaten)) if eaten else ratios[0]
    numbers = [str(use.batch) for use in uses]
    source = tr("batches {numbers} and {last}", numbers=", ".join(numbers[:-1]), last=numbers[-1])
    return Learned(
        Range(low, _middle(ratios), ratios[-1]),
        source,
        tr("What was enough in {batches} clean batches", batches=len(uses)),
    )


def _middle(ordered: Sequence[float]) -> float:
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


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
    return Range(used[0], _middle(used), used[-1])


def in_words(evidence: Evidence, *, moved: bool = True) -> str:
    """From how many batches it speaks, and how; ``moved`` tells whether they changed the expected range."""
    if moved:
        said = tr(
            "From {batches} batches of yours on this way; nine in ten like them lie inside.", batches=evidence.batches
        )
    else:
        said = tr(
            "Your {batches} batches on this way scatter more widely than that, so the range stays.",
            batches=evidence.batches,
        )
    if not evidence.odd:
        return said
    odd = tr_many(
        "{count} left out as beyond all measure; look at its entries.",
        "{count} left out as beyond all measure; look at their entries.",
        evidence.odd,
    )
    return f"{said} {odd}"


_OWN_RESULTS = tr("this shop's own results")
SOURCE = f"{_OWN_RESULTS}; {INTERVAL_SOURCE}"
