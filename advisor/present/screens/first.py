"""The first screen of an advice: what to do, how much, how hot, how long, what is lacking, what can kill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from advisor.advice.build_advice import METAL_IDS
from advisor.advice.documents.advice import Advice, MaterialAmount, QuantityNote
from advisor.advice.documents.common import Look, PreparationNote, Span, StepNote
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.plan.weighing import is_wide, weight_words
from advisor.frozen import frozen
from advisor.present.screens.dangers import danger_lines, law_lines
from advisor.present.screens.heats import Heat, fewer, heats_of
from advisor.present.screens.layout import HEIGHT, Block, Line, beside, folded, labelled, listed
from advisor.present.text.outcomes import (
    MOST_LOOKS,
    hours_words,
    minutes_words,
    said_words,
    told_words,
)
from advisor.present.text.page import between
from advisor.units import Range
from advisor.units.measures import counted, format_number

_MOST_NAMED = 4
_MOST_BREAKS = 3


def first_screen(advice: Advice, width: int, ending: Sequence[Line]) -> list[Line]:
    """The lines of the first screen; at 80 columns no more than a terminal of 24 lines shows.

    Args:
        advice: What it says in short.
        width: Letters of a line.
        ending: The last lines: what to type next.
    """
    if advice.outcome == "stop":
        return [*stop_lines(advice, width), *ending]
    if advice.outcome == "find_out":
        return [*find_out_lines(advice, width), *ending]
    shown = Shown(heats_of(advice))
    while True:
        lines = [*_work_lines(advice, shown, width), *ending]
        shorter = shown.shorter()
        if len(lines) < HEIGHT or shorter is None:
            return lines
        shown = shorter


@frozen
class Shown:
    """How much stands on the screen; where it does not fit, what is told elsewhere too gives way, never a name.

    Attributes:
        heats: The rows of heats.
        name: Whether the batch is named.
        times: Whether each preparation has its time.
        offices: Whether each office of the law is named.
        unknown: Whether what is not known is named.
        rows: Whether what is set out has rows of its own, instead of a line for all of it.
    """

    heats: Sequence[Heat]
    name: bool = True
    times: bool = True
    offices: bool = True
    unknown: bool = True
    rows: bool = True

    def shorter(self) -> Shown | None:
        """A little less of it; None where nothing may be left out."""
        if self.name:
            return replace(self, name=False)
        if self.times:
            return replace(self, times=False)
        if self.offices:
            return replace(self, offices=False)
        if self.unknown:
            return replace(self, unknown=False)
        if self.rows:
            return replace(self, rows=False)
        heats = fewer(self.heats)
        return None if heats is None else replace(self, heats=heats)


def _work_lines(advice: Advice, shown: Shown, width: int) -> list[Line]:
    now = [] if shown.heats or advice.amounts else now_lines("NOW", work_steps(advice), width, _MOST_NOW)
    return [
        *(folded(advice.title, width)[:1] if advice.title and shown.name else []),
        *_title(advice, width),
        *folded(_hours(advice), width),
        *labelled("FIRST", first_words(advice, shown), width, "bold"),
        *labelled("NOT TODAY", not_tonight(advice, shown), width, "bold"),
        *_table(advice, shown, width),
        *now,
        *danger_lines(advice.hazards, width),
        *labelled("UNSURE", _unsure(advice, named=shown.unknown), width),
        *law_lines(advice.referrals, width, named=shown.offices),
    ]


def _title(advice: Advice, width: int) -> list[Line]:
    """The route, and at the right what goes in and what comes out."""
    title = advice.route_title.upper()
    if advice.collector != "none":
        title += f", {advice.collector_title.upper()}"
    out = comes_out(advice)
    if len(title) + 3 + len(out) <= width:
        return [Line(f"{title}{out:>{width - len(title)}}", "reverse bold")]
    return [*folded(title, width, style="reverse bold"), *folded(out, width, style="bold")]


def comes_out(advice: Advice) -> str:
    """The mass of the batch, and of what comes out of it."""
    dry = advice.quantities.get("dry_mass")
    words = [f"{_grams(Span(low=dry.low, likely=dry.likely, high=dry.high))} of dry sand"] if dry else []
    metal = [note for note in advice.expectations if note.id.startswith(METAL_IDS) and note.mass_g]
    if metal:
        masses = " and ".join(_grams(note.mass_g) for note in metal if note.mass_g is not None and note.mass_g.high > 0)
        words.append(f"{metal[0].title.split()[0].lower()}{'s' if len(metal) > 1 else ''} {masses}")
    return ", ".join(words)


def _grams(mass_g: Span) -> str:
    return f"{between(mass_g.low, mass_g.high, mass_g.likely)} g"


def _hours(advice: Advice) -> str:
    """The hours in all beside those there are, and where to break off."""
    if advice.hours is None or advice.hours.high <= 0:
        return ""
    words = f"{hours_words(advice.hours)} in all"
    if advice.hours_at_hand is not None:
        words += f"; you have {hours_words(advice.hours_at_hand)}"
    breaks = [f"step {one.last_step}" for one in advice.sittings[:-1] if one.last_step]
    if breaks:
        where = f"break off after {' and '.join(breaks)}" if len(breaks) <= _MOST_BREAKS else "breaks as the work says"
        words += f". {counted(len(advice.sittings), 'sitting')}: {where}"
    if any(not one.fits for one in advice.sittings):
        words += ". It may not fit"
    return words + "."


def first_words(document: Advice | Diagnosis, shown: Shown) -> str:
    """What is prepared before the work, in order."""
    return listed(_timed(one, shown) for one in document.first if one.tonight)


def _timed(one: PreparationNote, shown: Shown) -> str:
    time = minutes_words(one.time_min) if shown.times else ""
    return one.called + ("" if one.certain else "?") + (f" ({time})" if time else "")


def not_tonight(document: Advice | Diagnosis, shown: Shown) -> str:
    """What takes longer than tonight, and the way that can do without it."""
    longer = listed(_timed(one, shown) for one in document.first if not one.tonight)
    return longer + (f". Without it: {document.without.title}" if longer and document.without else "")


def _table(advice: Advice, shown: Shown, width: int) -> list[Line]:
    """What is weighed and set out, beside how hot and how long."""
    weights = [(amount.title, weight_of(amount)) for amount in advice.amounts.values()]
    set_out = [(note.called, _set_out(note)) for note in advice.quantities.values() if note.called]
    provisional = ", PROVISIONAL" if advice.provisional and advice.amounts else ""
    heats = Block("HOW HOT, HOW LONG", tuple((heat.called, heat.words, heat.time) for heat in shown.heats))
    rows = beside(Block(f"WEIGH, SET OUT{provisional}", (*weights, *set_out)), heats, width)
    line = listed(f"{called} {amount}" for called, amount in set_out)
    beneath = labelled("SET OUT", line, width)
    shorter = [*beside(Block(f"WEIGH{provisional}", tuple(weights)), heats, width), *beneath]
    return rows if shown.rows or len(rows) <= len(shorter) else shorter


def weight_of(amount: MaterialAmount) -> str:
    """What to weigh; of a wide range what to begin with, and of a weight that was learned from which batch."""
    whole = Range(amount.low_g, amount.likely_g, amount.high_g)
    words = ("from " if is_wide(whole) else "") + weight_words(Range.exact(amount.likely_g))
    if amount.learned is None:
        return words
    one = amount.learned.source.startswith("batch ")
    return f"{words}, from {amount.learned.source if one else 'your batches'}"


def _set_out(note: QuantityNote) -> str:
    return format_number(note.likely) if note.unit == "pieces" else weight_words(Range.exact(note.likely))


def _unsure(advice: Advice, *, named: bool) -> str:
    """What is not known and was taken as dangerous, and what changes the weights."""
    words = []
    doubtful = [*(not one.certain for one in advice.first), *(not one.certain for one in advice.hazards)]
    if any(doubtful):
        words.append("? is not known")
    if advice.provisional and not named:
        words.append("FIRST changes the weights: ask again")
    elif advice.provisional:
        words.append(f"FIRST changes {', '.join(advice.provisional)}: measure it then, and ask again")
    labels = [note.label for note in advice.assumptions]
    if labels and named:
        first, more = ", ".join(labels[:_MOST_NAMED]), len(labels) - _MOST_NAMED
        words.append(f"not known: {first}" + (f" and {more} more" if more > 0 else ""))
    elif labels:
        words.append(f"{counted(len(labels), 'thing')} not known: see the answers")
    elif not advice.settled:
        words.append("some answers are missing; this holds whatever they are")
    return listed(words)


def work_steps(document: Advice | Diagnosis) -> list[StepNote]:
    """The steps that are not the same at every batch."""
    routine = {number for phase in document.phases if phase.routine for number in phase.steps}
    return [step for step in document.steps if step.number not in routine]


def now_lines(label: str, steps: Sequence[StepNote], width: int, most: int) -> list[Line]:
    """What to do with it now, in short words; what does not fit is counted."""
    certain = [step for step in steps if step.only_if is None]
    shown = certain[:most] if len(certain) > most else certain
    lines: list[Line] = []
    for step in shown:
        lines += labelled("" if lines else label, f"{step.number} {step.brief or step.do}", width)
    if len(shown) < len(certain):
        lines += labelled("", f"and {counted(len(certain) - len(shown), 'step')} more: see the work", width)
    return lines


_MOST_NOW = 5


def stop_lines(advice: Advice, width: int) -> list[Line]:
    """Why nothing is begun, what to do with the batch now, what lifts it and whom to ask."""
    lift = advice.lifts[0] if advice.lifts else None
    why = lift.because + said_words(lift) if lift else advice.reason
    more = len(advice.lifts) - 1
    asked = listed(note.called for note in advice.referrals if note.certain)
    return [
        *folded(f"STOP: {advice.route_title.upper()}", width, style="reverse bold"),
        *labelled("WHY", why + (f" ({lift.doubt})" if lift and lift.doubt else ""), width, "bold"),
        *labelled(
            "", f"There {'is' if more == 1 else 'are'} {counted(more, 'more reason')}." if more > 0 else "", width
        ),
        *labelled("LIFTED BY", lift.lifted_by if lift else "", width),
        *now_lines("NOW", advice.steps, width, _MOST_NOW),
        *danger_lines([one for one in advice.hazards if one.certain], width),
        *labelled("ASK", asked, width),
    ]


def look_lines(looks: Sequence[Look], width: int) -> list[Line]:
    """What to find out, what tells most first; what is more than a hand can do at once is named."""
    lines = []
    for number, look in enumerate(looks[:MOST_LOOKS], 1):
        words = f"{look.title}, {look.minutes:g} min: {told_words(look.tells)}."
        lines += folded(words, width, f" {number} ", "   ", "bold")
    left = [told.label for look in looks[MOST_LOOKS:] for told in look.tells]
    return [*lines, *labelled("THEN", ", ".join(left), width)]


def find_out_lines(advice: Advice, width: int) -> list[Line]:
    """What to find out, what tells most first, and what may come out then."""
    lines = folded("FIND OUT FIRST. NOTHING IS WEIGHED OR LIT BEFORE.", width, style="reverse bold")
    lines += folded(advice.reason, width)
    lines += look_lines(advice.looks, width)
    return [
        *lines,
        *labelled("MAY BE", listed(one.title for one in advice.remaining), width),
        *danger_lines([one for one in advice.hazards if one.certain], width),
    ]
