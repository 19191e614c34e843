"""What the first screens of an advice and of a diagnosis share: how much fits, what comes first, what is done now."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Literal, get_args

from advisor.advice.documents.advice import Advice, MaterialAmount
from advisor.advice.documents.common import Look, PreparationNote, StepNote
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.plan.weighing import is_wide, weight_words
from advisor.frozen import frozen
from advisor.present.screens.heats import Heat, fewer, heats_of
from advisor.present.screens.layout import HEIGHT, Block, Line, folded, labelled, listed
from advisor.present.text.outcomes import MOST_LOOKS, minutes_words, told_words
from advisor.units import Range
from advisor.words import tr, tr_many

MOST_NOW = 5
"""Steps that a first screen tells; the others are counted."""


GivesWay = Literal["name", "times", "offices", "unknown", "rows", "set_out", "apart"]
"""What may give way: the name of the batch; the time of each preparation; the names of offices; the names of what is
not known; rows for what is set out; what is set out, which the work tells too; a paragraph of its own for another day,
the line of doubts, and what to do until tied causes are told apart."""

_IN_ORDER: tuple[GivesWay, ...] = get_args(GivesWay)


@frozen
class Shown:
    """How much stands on the screen; where it does not fit, what is told elsewhere too gives way, never a name.

    Attributes:
        heats: The rows of heats.
        left_out: How many things have given way, in their order.
    """

    heats: Sequence[Heat]
    left_out: int = 0

    def tells(self, what: GivesWay) -> bool:
        """Whether something stands there still."""
        return self.left_out <= _IN_ORDER.index(what)

    def shorter(self) -> Shown | None:
        """A little less of it; None where nothing more may be left out."""
        # Rows of heats are joined before the very last thing gives way.
        heats = None if self.tells("set_out") else fewer(self.heats)
        if heats is not None:
            return replace(self, heats=heats)
        return replace(self, left_out=self.left_out + 1) if self.tells("apart") else None

    @property
    def heat_block(self) -> Block:
        """How hot and how long."""
        return Block(tr("HOW HOT, HOW LONG"), tuple((heat.called, heat.words, heat.time) for heat in self.heats))


def fitted(document: Advice | Diagnosis, drawn: Callable[[Shown], list[Line]]) -> list[Line]:
    """The fullest lines that leave a line of the smallest usual terminal for typing, or else the fewest there are."""
    shown = Shown(heats_of(document))
    while len(lines := drawn(shown)) >= HEIGHT and (shorter := shown.shorter()) is not None:
        shown = shorter
    return lines


def first_words(document: Advice | Diagnosis, shown: Shown) -> str:
    """What is prepared before the work, in order."""
    return listed(_timed(one, shown) for one in document.first if one.tonight)


def _timed(one: PreparationNote, shown: Shown) -> str:
    time = minutes_words(one.time_min) if shown.tells("times") else ""
    return one.called + ("" if one.certain else "?") + (f" ({time})" if time else "")


def not_tonight(document: Advice | Diagnosis, shown: Shown) -> str:
    """What takes longer than tonight, and the way that can do without it."""
    longer = listed(_timed(one, shown) for one in document.first if not one.tonight)
    if not longer or document.without is None:
        return longer
    return tr("{longer}. Without it: {title}", longer=longer, title=document.without.title)


def weight_of(amount: MaterialAmount) -> str:
    """What to weigh; of a wide range what to begin with, and of a weight that was learned from which batch."""
    whole = Range(amount.low_g, amount.likely_g, amount.high_g)
    words = weight_words(Range.exact(amount.likely_g))
    if amount.at_least:
        words = tr("at least {weight}", weight=words)
    elif is_wide(whole):
        words = tr("from {weight}", weight=words)
    if amount.learned is None:
        return words
    source = amount.learned.source
    if len(re.findall(r"\d+", source)) != 1:
        return tr("{weight}, from your batches", weight=words)
    return tr("{weight}, from {source}", weight=words, source=source)


def work_steps(document: Advice | Diagnosis) -> list[StepNote]:
    """The steps that are not the same at every batch."""
    routine = {number for phase in document.phases if phase.routine for number in phase.steps}
    return [step for step in document.steps if step.number not in routine]


def now_lines(label: str, steps: Sequence[StepNote], width: int) -> list[Line]:
    """What to do with it now, in short words; what does not fit is counted."""
    certain = [step for step in steps if step.only_if is None]
    shown = certain[:MOST_NOW]
    lines: list[Line] = []
    for step in shown:
        lines += labelled("" if lines else label, f"{step.number} {step.brief or step.do}", width)
    if len(shown) < len(certain):
        lines += labelled(
            "",
            tr_many(
                "and {count} step more: see the work", "and {count} steps more: see the work", len(certain) - len(shown)
            ),
            width,
        )
    return lines


def look_lines(looks: Sequence[Look], width: int, most: int = MOST_LOOKS) -> list[Line]:
    """What to find out, what tells most first; what is more than a hand can do at once is named, or else counted.

    Args:
        looks: All of them.
        width: Letters of a line.
        most: How many are told; where it is fewer than a hand can do, because more is told beside them, the others are
            counted.
    """
    lines = []
    for number, look in enumerate(looks[:most], 1):
        words = f"{look.title}, {look.minutes:g} min: {told_words(look.tells)}."
        lines += folded(words, width, f" {number} ", "   ", "bold")
    left = ", ".join(told.label for look in looks[most:] for told in look.tells)
    if most < MOST_LOOKS:
        others = len(looks) - most
        left = tr_many("{count} other look: see all", "{count} other looks: see all", others) if others > 0 else ""
    return [*lines, *labelled(tr("THEN"), left, width)]
