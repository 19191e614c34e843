"""How the steps of a plan part over the hours at hand."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.advice.documents.common import Sitting, StepNote
from advisor.advice.notes.spans import span
from advisor.advice.plan.hours import MIN_PER_H, Stretch, hours_at_hand, preparing_min, stretches
from advisor.advice.plan.weighing import Weigher, total
from advisor.rulebase.model import Step
from advisor.units import Range


def sittings(weigher: Weigher, steps: Sequence[Step], notes: Sequence[StepNote]) -> tuple[Sitting, ...]:
    """How the steps part over the hours at hand, each sitting as full as its longest course allows.

    Args:
        weigher: What is weighed.
        steps: The steps of the plan.
        notes: The same as they are shown.
    """
    conclusions = weigher.conclusions
    at_hand = hours_at_hand(conclusions)
    if at_hand is None or not steps:
        return ()
    longest_min = at_hand.low * MIN_PER_H + 1e-9
    before, found = preparing_min(conclusions), list[Stretch]()
    work = list(stretches(weigher, steps))
    for stretch in (*([Stretch(0, before)] if before.high > 0 else ()), *work):
        if found and (found[-1].minutes + stretch.minutes).high <= longest_min:
            found[-1] = Stretch(stretch.end, found[-1].minutes + stretch.minutes)
        else:
            found.append(stretch)
    if len(found) == 1 and len(work) > 1 and any(one.entry.parts_the_work for one in conclusions.preparations()):
        found = _before_the_longest(found[0], work)
    starts = [0, *(one.end for one in found)]
    return tuple(
        _sitting(one, notes[start : one.end], longest_min, preparations=number == 0 and before.high > 0)
        for number, (start, one) in enumerate(zip(starts, found, strict=False))
    )


def _before_the_longest(whole: Stretch, work: Sequence[Stretch]) -> list[Stretch]:
    """Two sittings where FIRST tells to part the work, though the steps alone would fit in one: fire by itself."""
    place = max(1, max(range(len(work)), key=lambda number: work[number].minutes.high))
    later = total([one.minutes for one in work[place:]])
    earlier = total([one.minutes for one in work[:place]])
    preparing = whole.minutes.high - later.high - earlier.high
    return [Stretch(work[place - 1].end, earlier + Range.exact(max(0.0, preparing))), Stretch(whole.end, later)]


def _sitting(stretch: Stretch, notes: Sequence[StepNote], longest_min: float, *, preparations: bool) -> Sitting:
    return Sitting(
        hours=span(stretch.minutes.scaled(1 / MIN_PER_H)),
        preparations=preparations,
        first_step=notes[0].number if notes else None,
        last_step=notes[-1].number if notes else None,
        ends_with=notes[-1].stage_title if notes else "",
        fits=stretch.minutes.high <= longest_min,
    )
