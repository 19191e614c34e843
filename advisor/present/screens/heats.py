"""How hot and how long: the heats of a plan in their order, and the rest of the time in one row."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import Span, StepNote
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.frozen import frozen
from advisor.present.text.notes import heat_words
from advisor.units.measures import format_number
from advisor.words import tr

_LONGEST_IN_MIN = 200
_MIN_PER_H = 60
_NONE = Span(low=0.0, likely=0.0, high=0.0)


@frozen
class Heat:
    """A row of the table.

    Attributes:
        phase: The phase it belongs to.
        called: What is done.
        heat_c: How hot, in degrees Celsius.
        time_min: How long, in minutes.
    """

    phase: str
    called: str
    heat_c: Span
    time_min: Span

    @property
    def words(self) -> str:
        """The heat in words."""
        return heat_words(self.heat_c, "-")

    @property
    def time(self) -> str:
        """The time in words."""
        if self.time_min.high <= _LONGEST_IN_MIN:
            return f"{_ends(self.time_min)} min" if self.time_min.high > 0 else ""
        return f"{_ends(self.time_min, _MIN_PER_H)} h"


def _ends(span: Span, unit: float = 1) -> str:
    """The ends of a range, as short as a table wants them."""
    figures = 4 if unit == 1 else 2
    low, high = format_number(span.low / unit, figures), format_number(span.high / unit, figures)
    return low if low == high else f"{low}-{high}"


def heats_of(document: Advice | Diagnosis) -> list[Heat]:
    """The heats of a plan in order; neighbours of one name are one heat, their times together."""
    of_step = {number: phase.title for phase in document.phases for number in phase.steps}
    heats: list[Heat] = []
    for step in document.steps:
        if step.temperature_c is None:
            continue
        one = _heat(step, of_step.get(step.number, step.stage_title))
        if heats and heats[-1].called == one.called:
            heats[-1] = _joined(heats[-1], one, one.called)
        else:
            heats.append(one)
    return heats


def _heat(step: StepNote, phase: str) -> Heat:
    assert step.temperature_c is not None
    called = (step.called or step.stage_title.lower()) + ("?" if step.only_if else "")
    return Heat(phase, called, step.temperature_c, step.time_min or _NONE)


def _joined(one: Heat, other: Heat, called: str) -> Heat:
    """Two heats as one: from the lowest to the highest, the times together."""
    heat, time = (one.heat_c, other.heat_c), (one.time_min, other.time_min)
    return Heat(
        one.phase,
        called,
        Span(low=min(h.low for h in heat), likely=max(h.likely for h in heat), high=max(h.high for h in heat)),
        Span(low=sum(t.low for t in time), likely=sum(t.likely for t in time), high=sum(t.high for t in time)),
    )


def fewer(heats: Sequence[Heat]) -> list[Heat] | None:
    """The same in one row less; None where no row may go.

    The last two neighbours of one phase whose heats meet become one row, then a heat that comes twice, their times
    together.
    """
    for at, (one, other) in reversed(list(enumerate(pairwise(heats)))):
        if one.phase == other.phase and one.heat_c.low <= other.heat_c.high and other.heat_c.low <= one.heat_c.high:
            return [*heats[:at], _joined(one, other, one.phase.lower()), *heats[at + 2 :]]
    for at, one in enumerate(heats):
        again = next((place for place, other in enumerate(heats) if place > at and other.called == one.called), None)
        if again is not None:
            both = _joined(one, heats[again], tr("{called}, twice", called=one.called))
            return [*heats[:at], both, *heats[at + 1 : again], *heats[again + 1 :]]
    return None
