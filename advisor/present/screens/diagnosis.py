"""The first screen of a diagnosis: the cause, what to do with this piece, in grams, degrees and minutes."""

from __future__ import annotations

import re
from collections.abc import Sequence

from advisor.advice.documents.diagnosis import CauseNote, Diagnosis, Tied
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
from advisor.present.text.diagnosis import cause_lines, no_heat_words, now_words, waiting_words
from advisor.present.text.outcomes import MOST_LOOKS, first_sentence, said_words
from advisor.units import Range
from advisor.words import tr

_MOST_OTHERS = 2


def first_screen(diagnosis: Diagnosis, width: int, ending: Sequence[Line]) -> list[Line]:
    """The lines of the first screen; at 80 columns no more than a terminal of 24 lines shows.

    Args:
        diagnosis: What it says in short.
        width: Letters of a line.
        ending: The last lines: what to type next.
    """
    return fitted(diagnosis, lambda shown: [*_lines(diagnosis, shown, width), *ending])


def _lines(diagnosis: Diagnosis, shown: Shown, width: int) -> list[Line]:
    # Of a lump that has its name only what it is brings its dangers: nobody works with it.
    names = any(cause.taken and cause.names_it for cause in diagnosis.causes)
    waits = diagnosis.outcome == "find_out"
    return [
        *folded(now_words(diagnosis).upper(), width, style="reverse bold"),
        *(line for words in _causes(diagnosis, shown) for line in labelled(words[:5], words[7:], width, "bold")),
        *_known_by(diagnosis, width),
        *tied_lines(diagnosis.tied, width, until=shown.tells("apart")),
        *_why(diagnosis, width),
        *labelled(tr("NO HEAT"), no_heat_words(diagnosis), width, "bold"),
        *labelled(tr("FIRST"), first_words(diagnosis, shown), width, "bold"),
        *labelled(tr("NOT TODAY"), not_tonight(diagnosis, shown), width, "bold"),
        *likely_lines(diagnosis, width),
        *look_lines(diagnosis.looks, width, _looks_shown(diagnosis)),
        *_table(diagnosis, shown, width),
        *now_lines(tr("NOW"), work_steps(diagnosis) or diagnosis.steps, width),
        *danger_lines([one for one in diagnosis.hazards if one.certain or not (waits or names)], width),
        *(
            labelled(tr("OR"), listed(cause.title for cause in _others(diagnosis)), width)
            if shown.tells("unknown")
            else ()
        ),
        *law_lines(diagnosis.referrals, width, named=shown.tells("offices")),
    ]


def _causes(diagnosis: Diagnosis, shown: Shown) -> list[str]:
    """The causes, the best supported first; where there is little room that one alone."""
    causes = cause_lines(diagnosis)
    return causes if shown.tells("unknown") else causes[:1]


def tied_lines(tied: Tied | None, width: int, *, until: bool = True) -> list[Line]:
    """The causes that are as likely, what tells for each, and what each correction costs if it is the wrong one.

    Args:
        tied: Them; nothing where none are.
        width: Letters of a line.
        until: Whether there is room for what to do until they are told apart, which the work tells too.
    """
    if tied is None:
        return []
    lines = labelled(tr("TEST"), f"{tied.test} {first_sentence(tied.test_by)}" if tied.test else "", width, "bold")
    for rival in tied.rivals:
        told = f"{', '.join(rival.told_by)}: " if rival.told_by else ""
        words = tr(
            "{told}{title}. {remedy_title}. If wrong: {if_wrong}",
            told=told,
            title=rival.title,
            remedy_title=rival.remedy_title,
            if_wrong=rival.if_wrong,
        )
        lines += labelled(tr("EITHER") if rival is tied.rivals[0] else tr("OR"), words, width)
    then = " ".join(re.split(r"(?<=[.!?])\s", tied.until_then)[:2]) if until else ""
    return [*lines, *labelled(tr("UNTIL"), then, width)]


def _known_by(diagnosis: Diagnosis, width: int) -> list[Line]:
    """What was worked out from the weights told, and what parts what it is from its nearest likeness."""
    named = [cause.means for cause in diagnosis.causes if cause.taken and cause.names_it]
    weights = [f"{one.label}: {one.value}" for one in diagnosis.answers if one.origin == "worked out"]
    return [
        *labelled(tr("WEIGHED"), "; ".join(weights), width),
        *(line for means in named[:2] for line in labelled(tr("KNOWN BY"), means, width)),
    ]


def likely_lines(diagnosis: Diagnosis, width: int) -> list[Line]:
    """What is likely right, the look that parts it, what to do until then, and what it waits for."""
    likely = diagnosis.likely
    if likely is None:
        return []
    # What parts the causes, and what is done by hand meanwhile, may stand on the screen already.
    parts = f"{likely.parts} {likely.part_by}" if likely.parts and diagnosis.tied is None else ""
    now = "" if diagnosis.steps or diagnosis.tied else likely.now
    return [
        *labelled(tr("LIKELY"), f"{likely.title}." if likely.title else "", width, "bold"),
        *labelled(tr("TAKES"), "; ".join(likely.takes[:3]), width),
        *labelled(tr("NOW"), now, width, "bold"),
        *labelled(tr("LOOK"), parts, width),
        *labelled(tr("WAITS FOR"), waiting_words(likely.waits_for), width),
    ]


def _looks_shown(diagnosis: Diagnosis) -> int:
    """How many looks have room; as many as a hand can do where nothing else is told."""
    if diagnosis.tied is not None:
        return 1
    return MOST_LOOKS if diagnosis.likely is None else 2


def _why(diagnosis: Diagnosis, width: int) -> list[Line]:
    """Why it stops, and what would lift it; nothing where it goes on."""
    if diagnosis.outcome != "stop" or not diagnosis.lifts:
        return []
    lift = diagnosis.lifts[0]
    return [
        *labelled(tr("WHY"), first_sentence(lift.because) + said_words(lift), width),
        *labelled(tr("LIFTED BY"), first_sentence(lift.lifted_by), width),
    ]


def _table(diagnosis: Diagnosis, shown: Shown, width: int) -> list[Line]:
    weights = tuple(
        (figure.title, weight_words(Range.exact(figure.likely)))
        for figure in diagnosis.figures.values()
        if figure.unit == "g" and figure.likely > 0
    )
    return beside(Block(tr("WEIGH"), weights), shown.heat_block, width)


def _others(diagnosis: Diagnosis) -> list[CauseNote]:
    """What else it could be, where no cause is clear."""
    if any(cause.sure == "clear" and not cause.harmless for cause in diagnosis.causes):
        return []
    rivals = {rival.cause for rival in diagnosis.tied.rivals} if diagnosis.tied else set()
    others = [
        one
        for one in diagnosis.causes
        if not one.taken and one.sure == "possible" and one.support_now > 0 and one.id not in rivals
    ]
    return sorted(others, key=lambda one: -one.support_now)[:_MOST_OTHERS]
