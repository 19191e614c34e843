"""The first screen of an advice: what to do, how much, how hot, how long, what is lacking, what can kill."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.advice.documents.advice import Advice, QuantityNote
from advisor.advice.documents.common import Span
from advisor.advice.plan.weighing import weight_words
from advisor.present.screens.common import (
    Shown,
    first_words,
    fitted,
    look_lines,
    not_tonight,
    now_lines,
    weight_of,
    work_steps,
)
from advisor.present.screens.dangers import danger_lines, law_lines
from advisor.present.screens.layout import Block, Line, beside, folded, labelled, listed
from advisor.present.text.outcomes import hours_words, said_words
from advisor.present.text.page import between
from advisor.rulebase.language.results import METAL
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.words import each_of, tr, tr_many

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
    return fitted(advice, lambda shown: [*_work_lines(advice, shown, width), *ending])


def _work_lines(advice: Advice, shown: Shown, width: int) -> list[Line]:
    now = [] if shown.heats or advice.amounts else now_lines(tr("NOW"), work_steps(advice), width)
    return [
        *(folded(advice.title, width)[:1] if advice.title and shown.tells("name") else []),
        *_title(advice, width),
        *folded(_hours(advice), width),
        *_prepared(advice, shown, width),
        *_table(advice, shown, width),
        *now,
        *danger_lines(advice.hazards, width),
        *(labelled(tr("UNSURE"), _unsure(advice, named=shown.tells("unknown")), width) if shown.tells("apart") else ()),
        *law_lines(advice.referrals, width, named=shown.tells("offices")),
    ]


def _prepared(advice: Advice, shown: Shown, width: int) -> list[Line]:
    """What comes first, and what is for another day."""
    first, later = first_words(advice, shown), not_tonight(advice, shown)
    if first and later and not shown.tells("apart"):
        return labelled(tr("FIRST"), tr("{first}. NOT TODAY: {later}", first=first, later=later), width, "bold")
    return [*labelled(tr("FIRST"), first, width, "bold"), *labelled(tr("NOT TODAY"), later, width, "bold")]


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
    words = (
        [tr("{grams} of dry sand", grams=_grams(Span(low=dry.low, likely=dry.likely, high=dry.high)))] if dry else []
    )
    metal = [note for note in advice.expectations if note.counts_as in METAL and note.mass_g]
    if metal:
        masses = each_of(_grams(note.mass_g) for note in metal if note.mass_g is not None and note.mass_g.high > 0)
        words.append(_metal(masses, len(metal), gathered=advice.collector != "none"))
    return ", ".join(words)


def _metal(masses: str, count: int, *, gathered: bool) -> str:
    """What comes out, with its mass: beads from a cupel; what was melted without a collector is metal."""
    if not gathered:
        return tr("metal {masses}", masses=masses) if masses else tr("metal not told by eye")
    if masses:
        return tr_many("bead {masses}", "beads {masses}", count, masses=masses)
    return tr_many("bead not told by eye", "beads not told by eye", count)


def _grams(mass_g: Span) -> str:
    return f"{between(mass_g.low, mass_g.high, mass_g.likely)} g"


def _hours(advice: Advice) -> str:
    """The hours in all beside those there are, and where to break off."""
    if advice.hours is None or advice.hours.high <= 0:
        return ""
    words = tr("{hours} in all", hours=hours_words(advice.hours))
    if advice.hours_at_hand is not None:
        words = tr("{in_all}; you have {hours}", in_all=words, hours=hours_words(advice.hours_at_hand))
    breaks = [str(one.last_step) for one in advice.sittings[:-1] if one.last_step]
    if breaks:
        where = (
            tr("break off after step {breaks}", breaks=", ".join(breaks))
            if len(breaks) <= _MOST_BREAKS
            else tr("see the work")
        )
        sittings = tr_many("{count} sitting", "{count} sittings", len(advice.sittings))
        words += f". {sittings}: {where}"
    if any(not one.fits for one in advice.sittings):
        words += f". {tr('It may not fit')}"
    return words + "."


def _table(advice: Advice, shown: Shown, width: int) -> list[Line]:
    """What is weighed and set out, beside how hot and how long."""
    weights = [(amount.title, weight_of(amount)) for amount in advice.amounts.values()]
    set_out = [(note.called, _set_out(note)) for note in advice.quantities.values() if note.called]
    provisional = bool(advice.provisional and advice.amounts)
    heats = shown.heat_block
    rows = beside(
        Block(tr("WEIGH, SET OUT, PROVISIONAL") if provisional else tr("WEIGH, SET OUT"), (*weights, *set_out)),
        heats,
        width,
    )
    line = listed(f"{called} {amount}" for called, amount in set_out)
    beneath = labelled(tr("SET OUT"), line, width) if shown.tells("set_out") else []
    shorter = [
        *beside(Block(tr("WEIGH, PROVISIONAL") if provisional else tr("WEIGH"), tuple(weights)), heats, width),
        *beneath,
    ]
    return rows if shown.tells("rows") or len(rows) <= len(shorter) else shorter


def _set_out(note: QuantityNote) -> str:
    return format_number(note.likely) if note.unit == "pieces" else weight_words(Range.exact(note.likely))


def _unsure(advice: Advice, *, named: bool) -> str:
    """What is not known and was taken as dangerous, and what changes the weights."""
    words = []
    labels = [note.label for note in advice.assumptions]
    doubtful = [*(not one.certain for one in advice.first), *(not one.certain for one in advice.hazards)]
    if any(doubtful):
        counted = labels and not named
        words.append(tr("? is not known, {count} in all", count=len(labels)) if counted else tr("? is not known"))
    elif labels and not named:
        words.append(tr_many("{count} thing not known", "{count} things not known", len(labels)))
    if advice.provisional and not named:
        words.append(tr("FIRST changes the weights: ask again"))
    elif advice.provisional:
        words.append(
            tr("FIRST changes {provisional}: measure it then, and ask again", provisional=", ".join(advice.provisional))
        )
    if labels and named:
        first, more = ", ".join(labels[:_MOST_NAMED]), len(labels) - _MOST_NAMED
        words.append(
            tr("not known: {labels} and {count} more", labels=first, count=more)
            if more > 0
            else tr("not known: {labels}", labels=first)
        )
    elif not labels and not advice.settled:
        words.append(tr("some answers are missing; this holds whatever they are"))
    return listed(words)


def stop_lines(advice: Advice, width: int) -> list[Line]:
    """Why nothing is begun, what to do with the batch now, what lifts it and whom to ask."""
    lift = advice.lifts[0] if advice.lifts else None
    why = lift.because + said_words(lift) if lift else advice.reason
    more = len(advice.lifts) - 1
    asked = listed(note.called for note in advice.referrals if note.certain)
    return [
        *folded(tr("STOP: {route_title}", route_title=advice.route_title.upper()), width, style="reverse bold"),
        *labelled(tr("WHY"), why + (f" ({lift.doubt})" if lift and lift.doubt else ""), width, "bold"),
        *labelled(
            "",
            tr_many("There is {count} more reason.", "There are {count} more reasons.", more) if more > 0 else "",
            width,
        ),
        *labelled(tr("LIFTED BY"), lift.lifted_by if lift else "", width),
        *now_lines(tr("NOW"), advice.steps, width),
        *danger_lines([one for one in advice.hazards if one.certain], width),
        *labelled(tr("ASK"), asked, width),
    ]


def find_out_lines(advice: Advice, width: int) -> list[Line]:
    """What to find out, what tells most first, and what may come out then."""
    lines = folded(tr("FIND OUT FIRST. NOTHING IS WEIGHED OR LIT BEFORE."), width, style="reverse bold")
    lines += folded(advice.reason, width)
    lines += look_lines(advice.looks, width)
    return [
        *lines,
        *labelled(tr("MAY BE"), listed(one.title for one in advice.remaining), width),
        *danger_lines([one for one in advice.hazards if one.certain], width),
    ]
