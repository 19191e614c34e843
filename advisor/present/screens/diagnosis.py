"""The first screen of a diagnosis: the cause, what to do with this piece, in grams, degrees and minutes."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.advice.documents.diagnosis import CauseNote, Diagnosis, Likely
from advisor.advice.plan.weighing import weight_words
from advisor.present.screens.common import (
    Shown,
    first_words,
    fitted,
    look_lines,
    not_tonight,
    now_lines,
    work_steps,
)
from advisor.present.screens.dangers import danger_lines, law_lines
from advisor.present.screens.layout import Block, Line, beside, folded, labelled, listed
from advisor.present.text.diagnosis import cause_lines
from advisor.present.text.outcomes import first_sentence, said_words
from advisor.units import Range

_MOST_OTHERS = 2
_MOST_WAITED = 6


def first_screen(diagnosis: Diagnosis, width: int, ending: Sequence[Line]) -> list[Line]:
    """The lines of the first screen; at 80 columns no more than a terminal of 24 lines shows.

    Args:
        diagnosis: What it says in short.
        width: Letters of a line.
        ending: The last lines: what to type next.
    """
    return fitted(diagnosis, lambda shown: [*_lines(diagnosis, shown, width), *ending])


def _lines(diagnosis: Diagnosis, shown: Shown, width: int) -> list[Line]:
    finds = diagnosis.outcome == "find_out"
    # Of a lump that has its name only what it is brings its dangers: nobody works with it.
    names = any(cause.taken and cause.names_it for cause in diagnosis.causes)
    now = "NO HEAT YET. KEEP IT COLD, AND LOOK." if finds else diagnosis.remedy.title.upper()
    return [
        *folded(now, width, style="reverse bold"),
        *(line for words in cause_lines(diagnosis) for line in labelled(words[:5], words[7:], width, "bold")),
        *_known_by(diagnosis, width),
        *_why(diagnosis, width),
        *labelled("FIRST", first_words(diagnosis, shown), width, "bold"),
        *labelled("NOT TODAY", not_tonight(diagnosis, shown), width, "bold"),
        *likely_lines(diagnosis.likely, width),
        *(look_lines(diagnosis.looks[:2], width) if diagnosis.likely else look_lines(diagnosis.looks, width)),
        *_table(diagnosis, shown, width),
        *now_lines("NOW", work_steps(diagnosis) or diagnosis.steps, width),
        *danger_lines([one for one in diagnosis.hazards if one.certain or not (finds or names)], width),
        *labelled("OR", listed(cause.title for cause in _others(diagnosis)), width),
        *law_lines(diagnosis.referrals, width, named=shown.offices),
    ]


def _known_by(diagnosis: Diagnosis, width: int) -> list[Line]:
    """What was worked out from the weights told, and what parts what it is from its nearest likeness."""
    named = [cause.means for cause in diagnosis.causes if cause.taken and cause.names_it]
    weights = [f"{one.label}: {one.value}" for one in diagnosis.answers if one.origin == "worked out"]
    return [
        *labelled("WEIGHED", "; ".join(weights), width),
        *(line for means in named[:2] for line in labelled("KNOWN BY", means, width)),
    ]


def likely_lines(likely: Likely | None, width: int) -> list[Line]:
    """What is likely right, the look that parts it, what to do until then, and what it waits for."""
    if likely is None:
        return []
    told = ", ".join(likely.waits_for[:_MOST_WAITED])
    more = len(likely.waits_for) - _MOST_WAITED
    waits = f"{told}{f' and {more} more' if more > 0 else ''}. What is not answered counts as dangerous."
    return [
        *labelled("LIKELY", f"{likely.title}." if likely.title else "", width, "bold"),
        *labelled("TAKES", "; ".join(likely.takes[:3]), width),
        *labelled("NOW", likely.now, width, "bold"),
        *labelled("LOOK", f"{likely.parts} {likely.part_by}" if likely.parts else "", width),
        *labelled("WAITS FOR", waits if told else "", width),
    ]


def _why(diagnosis: Diagnosis, width: int) -> list[Line]:
    """Why it stops, and what would lift it; nothing where it goes on."""
    if diagnosis.outcome != "stop" or not diagnosis.lifts:
        return []
    lift = diagnosis.lifts[0]
    return [
        *labelled("WHY", first_sentence(lift.because) + said_words(lift), width),
        *labelled("LIFTED BY", first_sentence(lift.lifted_by), width),
    ]


def _table(diagnosis: Diagnosis, shown: Shown, width: int) -> list[Line]:
    weights = tuple(
        (figure.title, weight_words(Range.exact(figure.likely)))
        for figure in diagnosis.figures.values()
        if figure.unit == "g" and figure.likely > 0
    )
    return beside(Block("WEIGH", weights), shown.heat_block, width)


def _others(diagnosis: Diagnosis) -> list[CauseNote]:
    """What else it could be, where no cause is clear."""
    if any(cause.sure == "clear" and not cause.harmless for cause in diagnosis.causes):
        return []
    others = [one for one in diagnosis.causes if not one.taken and one.sure == "possible" and one.support_now > 0]
    return sorted(others, key=lambda one: -one.support_now)[:_MOST_OTHERS]
