"""How long the work takes, preparations for tonight among it, and where it may be parted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.advice.plan.narrowing import idle_stages
from advisor.advice.plan.weighing import Weigher, total
from advisor.engine import Conclusions
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, OPEN
from advisor.rulebase.model import DAY_MIN, Step
from advisor.units import Range

TIME_AT_HAND = "time_available"
"""The fact that says how long one can stay at it."""

_ZERO = Range.exact(0.0)
MIN_PER_H = 60.0


def planned_steps(weigher: Weigher) -> list[Step]:
    """The steps of the plan in order, without those that handle only materials of which nothing is weighed.

    A trial is among them only where it narrows a weight.
    """
    conclusions, idle = weigher.conclusions, idle_stages(weigher)
    stages = list(conclusions.rule_base.stages)
    chosen = [
        step
        for step in conclusions.rule_base.steps.values()
        if conclusions.truth(step.condition) != FAILS
        and (not step.entry.uses or any(weigher[name].high > 0 for name in step.entry.uses))
        and step.entry.stage not in idle
    ]
    return sorted(chosen, key=lambda step: (stages.index(step.entry.stage), step.entry.order))


def hours_of(weigher: Weigher, steps: Sequence[Step]) -> Range:
    """Preparations for tonight and steps, one after another, with every round that is done again, in h."""
    return (preparing_min(weigher.conclusions) + total([_minutes(weigher, step) for step in steps])).scaled(
        1 / MIN_PER_H
    )


def preparing_min(conclusions: Conclusions) -> Range:
    """Minutes of the preparations for tonight; of one that may not be lacking, nothing is the least."""
    tonight = [one for one in conclusions.preparations() if one.tonight]
    return total([_at_most(_worked(one.time_min), conclusions.truth(one.condition)) for one in tonight])


def _worked(time: Range) -> Range:
    """What may take a day and more is waited for; nobody works at it for longer than its shortest course."""
    return time if time.high < DAY_MIN else Range.exact(time.low)


def _minutes(weigher: Weigher, step: Step) -> Range:
    if step.time_min is None or step.entry.not_counted:
        return _ZERO
    more = weigher[step.entry.more_time] if step.entry.more_time else _ZERO
    return _at_most(step.time_min + more, weigher.conclusions.truth(step.condition))


def _at_most(time: Range, truth: int) -> Range:
    return Range(0.0, time.likely, time.high) if truth == OPEN else time


def hours_at_hand(conclusions: Conclusions) -> Range | None:
    """The hours answered, in h; None where they are not known."""
    answer = conclusions.answers.get(TIME_AT_HAND)
    # Times are kept in minutes inside.
    return answer.scaled(1 / MIN_PER_H) if isinstance(answer, Range) else None


@frozen
class Stretch:
    """Work up to a place where it may stop: how many steps are done then, and its minutes."""

    end: int
    minutes: Range


def stretches(weigher: Weigher, steps: Sequence[Step]) -> Iterator[Stretch]:
    """The work from one place where it may stop to the next, in turn."""
    minutes = _ZERO
    for done, step in enumerate(steps, 1):
        minutes = minutes + _minutes(weigher, step)
        if step.entry.may_break_after or done == len(steps):
            yield Stretch(done, minutes)
            minutes = _ZERO
