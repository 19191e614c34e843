"""The diagnosis as text: readable at 80 columns, in a pipe and without colour. Hazards are never cut off."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from advisor.advice.documents.common import ArgumentNote
from advisor.advice.documents.diagnosis import CauseNote, Diagnosis, Likely, PlanLine, Tied
from advisor.present.text.changes import print_diagnosis_changes
from advisor.present.text.notes import (
    print_argument,
    print_basis,
    print_dangers,
    print_last_words,
    print_lifts,
    print_steps,
    source_line,
)
from advisor.present.text.outcomes import print_first, print_no_work, said_words
from advisor.present.text.page import Page, between
from advisor.words import one_of, tr

_SURE = {
    "clear": tr("clear"),
    "likely": tr("likely"),
    "possible": tr("possible, not enough seen"),
    "unlikely": tr("unlikely"),
    "ruled_out": tr("ruled out"),
}
_MOST_OTHERS = 6
_MOST_WAITED = 6


def print_diagnosis(page: Page, diagnosis: Diagnosis) -> None:
    """The whole diagnosis: the verdict, then every part."""
    _verdict(page, diagnosis)
    for part in PARTS.values():
        # What comes first stands beside the verdict already.
        (_instead_or_correction if part is _work else part)(page, diagnosis)
    print_last_words(page, diagnosis.hazards)


def _work(page: Page, diagnosis: Diagnosis) -> None:
    """What comes first, then the correction."""
    print_first(page, diagnosis)
    _instead_or_correction(page, diagnosis)


def _instead_or_correction(page: Page, diagnosis: Diagnosis) -> None:
    """The correction; where nothing is done, what is done instead."""
    if diagnosis.outcome in ("stop", "find_out"):
        print_no_work(page, diagnosis)
    if diagnosis.steps or diagnosis.outcome in ("work", "first"):
        _correction(page, diagnosis)


def _why(page: Page, diagnosis: Diagnosis) -> None:
    if diagnosis.outcome in ("work", "first"):
        print_lifts(page, tr("What keeps a better correction out, and what would lift it"), diagnosis.lifts)
    _causes(page, diagnosis)


def _change(page: Page, diagnosis: Diagnosis) -> None:
    print_diagnosis_changes(page, diagnosis.changes, page.explain)


def _verdict(page: Page, diagnosis: Diagnosis) -> None:
    page.gap()
    if diagnosis.title:
        page.say(tr("Batch: {title}", title=diagnosis.title))
    for line in cause_lines(diagnosis):
        page.say(line, style="bold")
    finding_out = diagnosis.outcome == "find_out"
    page.say(tr("NOW    {now_words}", now_words=now_words(diagnosis)), style="reverse bold")
    if diagnosis.no_heat_before:
        page.say(no_heat_words(diagnosis, len(diagnosis.no_heat_before)), mark=tr("NO HEAT  "))
    _tied(page, diagnosis.tied)
    if diagnosis.likely is not None and (diagnosis.likely.title or diagnosis.tied is None):
        _likely(page, diagnosis.likely)
    print_first(page, diagnosis)
    page.gap()
    said = said_words(diagnosis.lifts[0]) if diagnosis.outcome == "stop" and diagnosis.lifts else ""
    page.say(diagnosis.remedy.reason + said)
    if diagnosis.remedy.then:
        page.say(tr("After that it may still need: {then}.", then="; ".join(diagnosis.remedy.then)))
    if not diagnosis.settled and not finding_out:
        page.gap()
        page.say(tr("Some things were not seen or are not known. What stands here holds whatever they are."))


def now_words(diagnosis: Diagnosis) -> str:
    """What is done now, in one line."""
    if diagnosis.outcome == "find_out":
        return tr("No heat yet. Keep it cold, and look.")
    act = diagnosis.remedy.title
    tested = diagnosis.tied is not None and bool(diagnosis.tied.test)
    return tr("Test first. Then, if it is that: {act}", act=act) if tested and not diagnosis.stop else act


def waiting_words(labels: Sequence[str], most: int = _MOST_WAITED) -> str:
    """The questions that hold heat back, so many of them by name; nothing where none does."""
    if not labels:
        return ""
    named = ", ".join(labels[:most])
    if len(labels) > most:
        named = tr("{labels} and {count} more", labels=named, count=len(labels) - most)
    return tr("{labels}. What is not answered counts as dangerous.", labels=named)


def no_heat_words(diagnosis: Diagnosis, most: int = _MOST_WAITED) -> str:
    """The questions before which nothing is heated, beside a correction that is done cold."""
    waits = waiting_words(diagnosis.no_heat_before, most)
    return tr("before it is answered: {waits}", waits=waits) if waits else ""


def _tied(page: Page, tied: Tied | None) -> None:
    """Causes that are as likely: what parts them, what each correction costs if wrong, what is right till then."""
    if tied is None:
        return
    page.heading(tr("As likely as each other"))
    if tied.test:
        page.say(f"{tied.test} {tied.test_by}", mark=tr("TEST  "))
    for rival in tied.rivals:
        told = f"{', '.join(rival.told_by)}: " if rival.told_by else ""
        page.say(
            tr(
                "{told}{title}. Then: {remedy_title}. If wrong: {if_wrong}",
                told=told,
                title=rival.title,
                remedy_title=rival.remedy_title,
                if_wrong=rival.if_wrong,
            ),
            mark="- ",
        )
    page.say(tied.until_then, mark=tr("UNTIL THEN  "))


def _likely(page: Page, likely: Likely) -> None:
    """What is likely right, what it takes, and what it waits for; without it the look that tells most."""
    page.heading(tr("Likely, once the dangers are answered") if likely.title else tr("The look that tells most"))
    if likely.title:
        page.say(f"{likely.title}. {likely.summary}", style="bold")
    for taken in likely.takes:
        page.say(taken, mark="- ")
    if likely.parts:
        page.say(f"{likely.parts} {likely.part_by}", mark=tr("LOOK  "))
    if likely.waits_for:
        page.say(waiting_words(likely.waits_for, len(likely.waits_for)), mark=tr("WAITS FOR  "))
    page.say(likely.now, mark=tr("UNTIL THEN  "))


def cause_lines(diagnosis: Diagnosis) -> list[str]:
    """The causes taken, or that none is clear; each begins with a word of its own.

    What says that all is well, or does no harm, is called fine only where no fault stands beside it.
    """
    rivals = [] if diagnosis.tied is None else [rival.cause for rival in diagnosis.tied.rivals]
    taken = [cause for cause in diagnosis.causes if cause.taken and cause.id not in rivals]
    tied = [tr("CAUSE  not clear: what was seen makes these as likely as each other")] if rivals else []
    faults = [f"{_called(cause)}  {cause.title} ({_SURE[cause.sure]})" for cause in taken if not cause.harmless]
    fine = tr("ALSO ") if faults or rivals else tr("FINE ")
    harmless = [f"{fine}  {cause.title} ({_SURE[cause.sure]})" for cause in taken if cause.harmless]
    if taken or rivals:
        return [*tied, *faults, *harmless]
    hints = [c for c in diagnosis.causes if c.seen and c.support_now >= 3 and c.sure == "possible" and not c.harmless][
        :2
    ]
    if hints:
        towards = one_of((cause.title for cause in hints), ";")
        return [
            tr("{called}  not clear; what was seen points toward: {towards}", called=_called(hints[0]), towards=towards)
        ]
    return [tr("CAUSE  not clear from what was seen")]


def _called(cause: CauseNote) -> str:
    """What stands before a cause: it is why, or it is what the piece is."""
    return tr("IT IS") if cause.names_it else tr("CAUSE")


def _correction(page: Page, diagnosis: Diagnosis) -> None:
    cold = diagnosis.outcome == "find_out"
    page.heading(tr("What to do now, all of it cold") if cold else tr("What to do with this piece, step by step"))
    if not diagnosis.steps:
        page.say(diagnosis.remedy.summary)
    print_steps(page, diagnosis.steps, diagnosis.hazards)


def _figures(page: Page, diagnosis: Diagnosis) -> None:
    for sentence in diagnosis.not_computed:
        page.say(tr("Not computed: {sentence}", sentence=sentence), mark="! ")
    if diagnosis.figures:
        page.heading(tr("Computed for this piece"))
    for figure in diagnosis.figures.values():
        likely = (
            "" if figure.low == figure.high else tr(" (likely {figure})", figure=between(figure.likely, figure.likely))
        )
        ends = between(figure.low, figure.high, figure.likely)
        page.say(f"{figure.title}: {ends} {figure.unit}{likely}", mark="- ")
        if page.explain:
            page.say(tr("How: {how}. Source: {source}", how=figure.how, source=figure.source), indent=2)


def _causes(page: Page, diagnosis: Diagnosis) -> None:
    page.heading(tr("Why: what was seen, for and against"))
    taken = [cause for cause in diagnosis.causes if cause.taken]
    others = [cause for cause in diagnosis.causes if not cause.taken and cause.sure != "unlikely"]
    others.sort(key=lambda cause: (-cause.support_now, -cause.support_high))
    for cause in taken:
        _cause(page, cause)
    if others:
        page.gap()
        page.say(tr("What else it could be"), style="bold")
    for cause in others if page.explain else others[:_MOST_OTHERS]:
        _cause(page, cause)
    if len(others) > _MOST_OTHERS and not page.explain:
        page.say(
            tr("... and {count} more that little speaks for; --explain shows them.", count=len(others) - _MOST_OTHERS)
        )
    if not taken and not others:
        page.say(tr("Nothing that was seen points to a cause the rules know."))


def _cause(page: Page, cause: CauseNote) -> None:
    page.gap()
    support = (
        tr("support {support_now} of the {taken_at} it takes; ", support_now=cause.support_now, taken_at=cause.taken_at)
        if not cause.taken
        else ""
    )
    page.say(f"{cause.title} ({support}{_SURE[cause.sure]})", indent=2)
    page.say(cause.means, indent=4)
    for note in (*cause.speaks_for, *cause.speaks_against):
        print_argument(page, note)
    _not_seen(page, cause)
    if page.explain:
        page.say(source_line(cause.sources), indent=4)


def _not_seen(page: Page, cause: CauseNote) -> None:
    """What would speak for or against it, had it been looked for."""
    if page.explain:
        for note in cause.not_seen:
            print_argument(page, note)
        return
    wanted: list[ArgumentNote] = [note for note in cause.not_seen if note.says == "for"]
    if wanted and not cause.taken:
        signs = "; ".join(dict.fromkeys(note.condition for note in wanted))
        page.say(tr("Would speak for it: {signs}", signs=signs), indent=4)


_STATES = {"chosen": tr("chosen"), "possible": tr("possible"), "ruled_out": tr("ruled out")}


def _remedies(page: Page, diagnosis: Diagnosis) -> None:
    others = [option for option in diagnosis.remedy.options if option.id != diagnosis.remedy.chosen]
    shown = [diagnosis.remedy.options[0], *others] if diagnosis.remedy.options else []
    if not others and not page.explain:
        return
    page.heading(tr("What else could be done with it"))
    for option in shown:
        state = _STATES.get(option.state, tr("set aside"))
        page.say(
            tr(
                "{title} ({state}; support {support})",
                title=option.title,
                state=state,
                support=between(option.support_low, option.support_high),
            ),
            indent=2,
        )
        outcome = [note for note in option.arguments if note.says == "rule_out"]
        for note in option.arguments if page.explain or not outcome else outcome[:3]:
            print_argument(page, note)


def print_next_batch(page: Page, diagnosis: Diagnosis) -> None:
    """What changes in the plan of the next batch."""
    if not diagnosis.next_batch and diagnosis.changed_plan is None:
        return
    page.heading(tr("For the next batch"))
    because = ""
    for line in diagnosis.next_batch:
        if line.because != because:
            because = line.because
            page.say(tr("Because of: {because}", because=because), style="bold")
        _plan_line(page, line)
    if diagnosis.wrong_route:
        page.say(tr("The route itself was wrong for this concentrate; choose it again."), mark="! ")
    changed = diagnosis.changed_plan
    if changed is not None:
        known = "; ".join(f"{changed.labels[name]}: {value}" for name, value in changed.answers.items())
        page.say(tr("Known now: {known}", known=known), mark="- ")
        route = changed.route_after_title
        stays = changed.route_after == changed.route_before
        page.say(
            tr("With that the route stays: {route}", route=route)
            if stays
            else tr("With that the route becomes: {route}", route=route),
            mark="- ",
        )


def _plan_line(page: Page, line: PlanLine) -> None:
    condition = tr(" (if {only_if})", only_if=line.only_if) if line.only_if else ""
    page.say(f"{line.title}: {line.do}{condition}", mark="- ")
    if line.was and line.becomes and line.kind == "amount":
        page.say(tr("this batch {was}; next time {becomes}", was=line.was, becomes=line.becomes), indent=2)
    elif line.was and line.kind == "step":
        page.say(tr("instead of: {was}", was=line.was), indent=2)
    if page.explain:
        page.say(source_line(line.sources), indent=2)


PARTS: Mapping[str, Callable[[Page, Diagnosis], None]] = {
    "dangers": print_dangers,
    "numbers": _figures,
    "work": _work,
    "why": _why,
    "change": _change,
    "ways": _remedies,
    "next": print_next_batch,
    "answers": print_basis,
}
"""The parts of the whole diagnosis, in order; together they show all of it."""
