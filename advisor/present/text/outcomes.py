"""What stands first on a page: preparations and hours, what to find out, or why work stops; about one screen each."""

from __future__ import annotations

import re
from collections.abc import Sequence

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import Lift, PreparationNote, Remaining, Sitting, Span, Told
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.present.text.page import Page, between
from advisor.units.measures import format_number
from advisor.words import tr, tr_many

MOST_LOOKS = 5
"""More looks than these are named and not told: who has done five asks again."""

_DAY_MIN, _HOUR_MIN = 1440.0, 60.0


def first_sentence(text: str) -> str:
    """The first sentence of a text."""
    return re.split(r"(?<=[.!?])\s", text, maxsplit=1)[0]


def minutes_words(span: Span) -> str:
    """A time in minutes, hours or days, each end in what reads best; nothing for none."""
    if span.high <= 0:
        return ""
    low, high = _time(span.low), _time(span.high)
    if low == high:
        return " ".join(high)
    return (
        tr("{low} to {high}", low=low[0], high=" ".join(high))
        if low[1] == high[1]
        else tr("{low} to {high}", low=" ".join(low), high=" ".join(high))
    )


def _time(minutes: float) -> tuple[str, str]:
    for least, unit_min, unit in ((_DAY_MIN, _DAY_MIN, "d"), (_HOUR_MIN, _HOUR_MIN, "h")):
        if minutes >= least:
            return format_number(minutes / unit_min, 2), unit
    return format_number(minutes, 2), "min"


def print_first(page: Page, document: Advice | Diagnosis) -> None:
    """The preparations in order, and what takes longer than tonight, with the way that can do without it."""
    tonight = [one for one in document.first if one.tonight]
    longer = [one for one in document.first if not one.tonight]
    if tonight:
        page.heading(tr("First"))
        for number, one in enumerate(tonight, 1):
            _preparation(page, one, f"{number}. ")
    if longer:
        page.heading(tr("Not tonight"))
        page.say(tr("This takes longer. Nothing that waits for it is begun before."))
        for one in longer:
            _preparation(page, one, "- ")
        if document.without is not None:
            page.say(
                tr(
                    "TONIGHT, WITHOUT IT: {title}. {summary}",
                    title=document.without.title,
                    summary=document.without.summary,
                ),
                style="bold",
            )
        else:
            page.say(tr("No other way can do without it; the batch keeps until then."))


def _preparation(page: Page, one: PreparationNote, mark: str) -> None:
    doubt = "" if one.certain else tr(" (not known whether it is lacking)")
    time = minutes_words(one.time_min)
    page.say(
        tr(
            "{title}{doubt}{value}. Waits for it: {waits}.",
            title=one.title,
            doubt=doubt,
            value=f": {time}" if time else "",
            waits=one.waits,
        ),
        mark=mark,
        style="bold",
    )
    page.say(one.do, indent=len(mark))
    page.say(tr("Done when: {done_when}", done_when=one.done_when), indent=len(mark))


def print_sittings(page: Page, advice: Advice) -> None:
    """How the work parts over the hours at hand, where they do not hold it."""
    lines = sitting_lines(advice)
    if lines:
        page.heading(tr("Sittings"))
    for line in lines:
        page.say(line)


def hours_line(advice: Advice) -> str:
    """The hours in all beside those at hand; empty where nothing is begun."""
    if advice.hours is None or advice.hours.high <= 0:
        return ""
    hours = hours_words(advice.hours)
    among = any(one.tonight for one in advice.first)
    words = (
        tr("{hours} in all, what stands under FIRST for tonight among them.", hours=hours)
        if among
        else tr("{hours} in all.", hours=hours)
    )
    if advice.hours_at_hand is None or not advice.sittings:
        return words
    return f"{words} {_held_by(hours_words(advice.hours_at_hand), advice.sittings)}"


def _held_by(hours: str, sittings: Sequence[Sitting]) -> str:
    """Whether the hours there are hold the work."""
    if len(sittings) > 1:
        return tr_many(
            "You have {hours}: that takes {count} sitting.",
            "You have {hours}: that takes {count} sittings.",
            len(sittings),
            hours=hours,
        )
    if sittings[0].fits:
        return tr("You have {hours}: that holds it.", hours=hours)
    return tr("You have {hours}: it may not hold it. {too_long}", hours=hours, too_long=_TOO_LONG)


def sitting_lines(advice: Advice) -> list[str]:
    """Each sitting, where there are several."""
    if len(advice.sittings) < 2:
        return []
    lines = [tr("Break off only where one ends: all cold, shut and labelled.")]
    for number, one in enumerate(advice.sittings, 1):
        lines.append(f"{number}. {hours_words(one.hours)}: {_held(one)}." + ("" if one.fits else f" {_TOO_LONG}"))
    return lines


_TOO_LONG = tr("It may not be broken off: begin it only with that much time before you.")


def _held(sitting: Sitting) -> str:
    held = [tr("what stands under FIRST")] if sitting.preparations else []
    if sitting.first_step is not None:
        held.append(
            tr(
                "steps {first} to {last} ({ends_with})",
                first=sitting.first_step,
                last=sitting.last_step,
                ends_with=sitting.ends_with,
            )
        )
    return ", ".join(held)


def hours_words(span: Span) -> str:
    """Hours in words."""
    low, high = (format_number(value, 2) for value in (span.low, span.high))
    return f"{low} h" if low == high else tr("{low} to {high} h", low=low, high=high)


def provisional_words(advice: Advice) -> str:
    """That weights are provisional, and how to give the new figure; empty where they are not."""
    if not advice.provisional:
        return ""
    facts = ", ".join(advice.provisional)
    return tr(
        "PROVISIONAL: what stands under FIRST changes {facts}. When that is done, find it out anew and change "
        "the answer with  advisor route ; weigh out by the new advice.",
        facts=facts,
    )


def _find_out(page: Page, document: Advice | Diagnosis) -> None:
    """What to find out, what tells most first, and what may come out then; no weight and no fire."""
    page.heading(tr("Find out first"))
    for number, look in enumerate(document.looks[:MOST_LOOKS], 1):
        mark = f"{number}. "
        page.say(f"{look.title}: {between(look.minutes, look.minutes)} min.", mark=mark, style="bold")
        page.say(look.do, indent=len(mark))
        page.say(tr("Tells: {told_words}.", told_words=told_words(look.tells)), indent=len(mark))
    rest = [one.label for look in document.looks[MOST_LOOKS:] for one in look.tells]
    if rest:
        page.say(tr("Then: {rest}.", rest=", ".join(rest)))
    known = {told.fact for look in document.looks for told in look.tells} & {one.fact for one in document.unasked}
    if known:
        missing = [told.label for look in document.looks for told in look.tells if told.fact in known]
        page.say(tr("Not answered yet, what tells most first: {missing}.", missing=", ".join(missing)))
    if document.remaining:
        page.gap()
        page.say(tr("What may come out then"), style="bold")
    for line in remaining_lines(document.remaining):
        page.say(line, mark="- ")


def remaining_lines(remaining: Sequence[Remaining]) -> list[str]:
    """What may come out, and what each hangs on; what all hang on is said once."""
    shared = shared_by_all(remaining)
    lines = []
    for one in remaining:
        own = [label for label in one.hangs_on if label not in shared]
        if not own:
            lines.append(f"{one.title}.")
        elif shared:
            lines.append(tr("{title}. Hangs on besides: {facts}.", title=one.title, facts=", ".join(own)))
        else:
            lines.append(tr("{title}. Hangs on: {facts}.", title=one.title, facts=", ".join(own)))
    return lines + ([tr("All of these hang on: {shared}.", shared=", ".join(shared))] if shared else [])


def shared_by_all(remaining: Sequence[Remaining]) -> list[str]:
    """What every one of several ways hangs on; of one alone it is said beside it."""
    if len(remaining) < 2:
        return []
    return [label for label in remaining[0].hangs_on if all(label in one.hangs_on for one in remaining[1:])]


def told_words(tells: Sequence[Told]) -> str:
    """What a look tells, and whether that can stop the work."""
    stops = any(one.purpose == "stop" for one in tells)
    told = ", ".join(one.label for one in tells)
    return tr("{told} (this can stop the work)", told=told) if stops else told


def said_words(lift: Lift) -> str:
    """The answers by which something holds, as a sentence; empty where none is named."""
    return tr(" You said: {seen}.", seen="; ".join(lift.seen)) if lift.seen else ""


def print_no_work(page: Page, document: Advice | Diagnosis) -> None:
    """What stands in place of the work where it stops, or where something has to be found out first."""
    if document.outcome == "stop":
        _stop(page, document)
    else:
        _find_out(page, document)


def _stop(page: Page, document: Advice | Diagnosis) -> None:
    """What lifts a stop, what to do with the batch now, and whom to ask. Why it stops is said before."""
    if document.lifts:
        page.say(document.lifts[0].lifted_by, mark=tr("LIFTED BY  "))
    for lift in document.lifts[1:]:
        page.say(
            tr(
                "{first_sentence} Lifted by: {lifted_by}",
                first_sentence=first_sentence(lift.because),
                lifted_by=first_sentence(lift.lifted_by),
            ),
            mark=tr("ALSO       "),
        )
    page.heading(tr("Now, with this batch") if isinstance(document, Advice) else tr("Now, with this piece"))
    for step in document.steps:
        if step.only_if is None:
            page.say(step.brief or first_sentence(step.do), mark=f"{step.number:>2}. ")
    asked = [note for note in document.referrals if note.certain]
    if asked:
        page.gap()
        page.say(tr("Whom to ask"), style="bold")
    for note in asked:
        page.say(f"{note.who.rstrip('.')}: {note.decides}", mark="- ")
