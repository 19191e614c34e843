"""What stands first on a page: preparations and hours, what to find out, or why work stops; about one screen each."""

from __future__ import annotations

import re
from collections.abc import Sequence

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import Lift, PreparationNote, Remaining, Sitting, Span, Told
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.present.text.page import Page, between
from advisor.units.measures import format_number
from advisor.words import tr_many

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
    return f"{low[0]} to {' '.join(high)}" if low[1] == high[1] else f"{' '.join(low)} to {' '.join(high)}"


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
        page.heading("First")
        for number, one in enumerate(tonight, 1):
            _preparation(page, one, f"{number}. ")
    if longer:
        page.heading("Not tonight")
        page.say("This takes longer. Nothing that waits for it is begun before.")
        for one in longer:
            _preparation(page, one, "- ")
        if document.without is not None:
            page.say(f"TONIGHT, WITHOUT IT: {document.without.title}. {document.without.summary}", style="bold")
        else:
            page.say("No other way can do without it; the batch keeps until then.")


def _preparation(page: Page, one: PreparationNote, mark: str) -> None:
    doubt = "" if one.certain else " (not known whether it is lacking)"
    time = minutes_words(one.time_min)
    page.say(f"{one.title}{doubt}{f': {time}' if time else ''}. Waits for it: {one.waits}.", mark=mark, style="bold")
    page.say(one.do, indent=len(mark))
    page.say(f"Done when: {one.done_when}", indent=len(mark))


def print_sittings(page: Page, advice: Advice) -> None:
    """How the work parts over the hours at hand, where they do not hold it."""
    lines = sitting_lines(advice)
    if lines:
        page.heading("Sittings")
    for line in lines:
        page.say(line)


def hours_line(advice: Advice) -> str:
    """The hours in all beside those at hand; empty where nothing is begun."""
    if advice.hours is None or advice.hours.high <= 0:
        return ""
    among = ", what stands under FIRST for tonight among them" if any(one.tonight for one in advice.first) else ""
    words = f"{hours_words(advice.hours)} in all{among}."
    if advice.hours_at_hand is None or not advice.sittings:
        return words
    words += f" You have {hours_words(advice.hours_at_hand)}: "
    if len(advice.sittings) > 1:
        return words + f"that takes {tr_many('{count} sitting', '{count} sittings', len(advice.sittings))}."
    return words + ("that holds it." if advice.sittings[0].fits else f"it may not hold it. {_TOO_LONG}")


def sitting_lines(advice: Advice) -> list[str]:
    """Each sitting, where there are several."""
    if len(advice.sittings) < 2:
        return []
    lines = ["Break off only where one ends: all cold, shut and labelled."]
    for number, one in enumerate(advice.sittings, 1):
        lines.append(f"{number}. {hours_words(one.hours)}: {_held(one)}." + ("" if one.fits else f" {_TOO_LONG}"))
    return lines


_TOO_LONG = "It may not be broken off: begin it only with that much time before you."


def _held(sitting: Sitting) -> str:
    first = "what stands under FIRST" if sitting.preparations else ""
    if sitting.first_step is None:
        return first
    steps = f"steps {sitting.first_step} to {sitting.last_step} ({sitting.ends_with})"
    return f"{first}, {steps}" if first else steps


def hours_words(span: Span) -> str:
    """Hours in words."""
    low, high = (format_number(value, 2) for value in (span.low, span.high))
    return f"{low} h" if low == high else f"{low} to {high} h"


def provisional_words(advice: Advice) -> str:
    """That weights are provisional, and how to give the new figure; empty where they are not."""
    if not advice.provisional:
        return ""
    facts = ", ".join(advice.provisional)
    return (
        f"PROVISIONAL: what stands under FIRST changes {facts}. When that is done, find it out anew and change the "
        "answer with  advisor route ; weigh out by the new advice."
    )


def _find_out(page: Page, document: Advice | Diagnosis) -> None:
    """What to find out, what tells most first, and what may come out then; no weight and no fire."""
    page.heading("Find out first")
    for number, look in enumerate(document.looks[:MOST_LOOKS], 1):
        mark = f"{number}. "
        page.say(f"{look.title}: {between(look.minutes, look.minutes)} min.", mark=mark, style="bold")
        page.say(look.do, indent=len(mark))
        page.say(f"Tells: {told_words(look.tells)}.", indent=len(mark))
    rest = [one.label for look in document.looks[MOST_LOOKS:] for one in look.tells]
    if rest:
        page.say(f"Then: {', '.join(rest)}.")
    known = {told.fact for look in document.looks for told in look.tells} & {one.fact for one in document.unasked}
    if known:
        missing = [told.label for look in document.looks for told in look.tells if told.fact in known]
        page.say(f"Not answered yet, what tells most first: {', '.join(missing)}.")
    if document.remaining:
        page.gap()
        page.say("What may come out then", style="bold")
    for line in remaining_lines(document.remaining):
        page.say(line, mark="- ")


def remaining_lines(remaining: Sequence[Remaining]) -> list[str]:
    """What may come out, and what each hangs on; what all hang on is said once."""
    shared = shared_by_all(remaining)
    lines = []
    for one in remaining:
        own = [label for label in one.hangs_on if label not in shared]
        hangs = f" Hangs on{' besides' if shared else ''}: {', '.join(own)}." if own else ""
        lines.append(f"{one.title}.{hangs}")
    return lines + ([f"All of these hang on: {', '.join(shared)}."] if shared else [])


def shared_by_all(remaining: Sequence[Remaining]) -> list[str]:
    """What every one of several ways hangs on; of one alone it is said beside it."""
    if len(remaining) < 2:
        return []
    return [label for label in remaining[0].hangs_on if all(label in one.hangs_on for one in remaining[1:])]


def told_words(tells: Sequence[Told]) -> str:
    """What a look tells, and whether that can stop the work."""
    stops = any(one.purpose == "stop" for one in tells)
    return ", ".join(one.label for one in tells) + (" (this can stop the work)" if stops else "")


def said_words(lift: Lift) -> str:
    """The answers by which something holds, as a sentence; empty where none is named."""
    return f" You said: {'; '.join(lift.seen)}." if lift.seen else ""


def print_no_work(page: Page, document: Advice | Diagnosis) -> None:
    """What stands in place of the work where it stops, or where something has to be found out first."""
    if document.outcome == "stop":
        _stop(page, document)
    else:
        _find_out(page, document)


def _stop(page: Page, document: Advice | Diagnosis) -> None:
    """What lifts a stop, what to do with the batch now, and whom to ask. Why it stops is said before."""
    if document.lifts:
        page.say(document.lifts[0].lifted_by, mark="LIFTED BY  ")
    for lift in document.lifts[1:]:
        page.say(f"{first_sentence(lift.because)} Lifted by: {first_sentence(lift.lifted_by)}", mark="ALSO       ")
    page.heading("Now, with this batch" if isinstance(document, Advice) else "Now, with this piece")
    for step in document.steps:
        if step.only_if is None:
            page.say(step.brief or first_sentence(step.do), mark=f"{step.number:>2}. ")
    asked = [note for note in document.referrals if note.certain]
    if asked:
        page.gap()
        page.say("Whom to ask", style="bold")
    for note in asked:
        page.say(f"{note.who.rstrip('.')}: {note.decides}", mark="- ")
