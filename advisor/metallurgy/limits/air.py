"""Measured air against named limits, averaged over the shift.

The average is the law's own: each value times its hours, together, over eight hours. What nobody measured of a shift
is taken to be as bad as the worst that was. An average hides its peaks, so a long sample can show that the air is
over a short limit and never that it is not.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.air.exposure import ExposureLimit
from advisor.metallurgy.common.bounds import within
from advisor.words import tr

Finding = Literal["over", "at_limit", "below", "not_shown"]
FINDINGS: Mapping[Finding, str] = {
    "over": tr("over"),
    "at_limit": tr("at the limit"),
    "below": tr("below"),
    "not_shown": tr("not shown"),
}
"""What is said of measured air beside a limit."""

_SHIFT_H = 8.0
_SHORT_MIN = 15.0
_SLACK = 1e-9


@frozen
class Sample:
    """One measured value.

    Attributes:
        mg_m3: What the air held over the time of the sample, in mg/m3.
        hours: How long it was taken, in h.

    Raises:
        InputError: If it cannot be.
    """

    mg_m3: float
    hours: float

    def __post_init__(self) -> None:
        within(tr("the measured air"), self.mg_m3, "mg/m3", 0, 1e6)
        within(tr("the time of a sample"), self.hours, "h", 0, 24, open_low=True)


def average_of_8_h(samples: Sequence[Sample], shift_h: float) -> float:
    """Time-weighted average over eight hours, in mg/m3.

    Args:
        samples: What was measured, one after the other in one shift.
        shift_h: Length of the shift, in h; what was not measured of it counts as the worst value.

    Returns:
        2 h at 150, 2 h at 75 and 4 h at 50 give 81.25.

    Raises:
        InputError: If nothing was measured, or more hours than the shift has.

    Source: 29 CFR 1910.1000, paragraph (d)(1)(i).
    """
    within(tr("the length of the shift"), shift_h, "h", 1, 24)
    if not samples:
        raise InputError(tr("no measured air is given; give each value with its time"))
    measured_h = sum(sample.hours for sample in samples)
    if measured_h > shift_h + _SLACK:
        raise InputError(
            tr(
                "the samples together last {measured_h:g} h and the shift {shift_h:g} h; give the samples of one shift",
                measured_h=measured_h,
                shift_h=shift_h,
            )
        )
    worst = max(sample.mg_m3 for sample in samples)
    dose = sum(sample.mg_m3 * sample.hours for sample in samples) + worst * max(0.0, shift_h - measured_h)
    return dose / _SHIFT_H


def judged(limit: ExposureLimit, samples: Sequence[Sample], shift_h: float) -> tuple[float, Finding]:
    """The value that a limit looks at, in mg/m3, and whether the air is over it.

    Limits over a shift look at the average of eight hours; with more hours worked the average of eight grows as the
    limit of the lead rule shrinks (400 over the hours, 29 CFR 1910.1025, paragraph (c)(2)), which is the same. Short
    limits and what is deadly look at the worst sample, and one that lasted longer than a quarter of an hour cannot
    show that there was no peak.
    """
    if limit.kind in ("shift", "action"):
        value = average_of_8_h(samples, shift_h)
        return value, _finding(limit, value)
    worst = max(samples, key=lambda sample: sample.mg_m3)
    found = _finding(limit, worst.mg_m3)
    short_enough = all(sample.hours * 60 <= _SHORT_MIN + _SLACK for sample in samples)
    return worst.mg_m3, "not_shown" if found == "below" and not short_enough else found


def _finding(limit: ExposureLimit, value: float) -> Finding:
    if limit.is_over(value):
        return "over"
    return "at_limit" if value >= limit.mg_m3 * (1 - _SLACK) else "below"
