"""How drills, marks and the trainer's report are shown."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from advisor.present.drawing import terminal_lines
from advisor.present.screens.layout import Line
from advisor.present.text.notes import source_line
from advisor.present.text.page import Page
from advisor.rulebase.drawings import Drawing
from advisor.rulebase.drawings.fills import DRAWN_AS_LINES, LOOKS
from advisor.training.drills.drill import Drill
from advisor.training.readiness import LearnerReport, TrainingReport
from advisor.training.reasons import Marked, Reason
from advisor.training.training_rules import TrainingRules
from advisor.words import tr

KEYS = tr("?=explain  u=not known  q=leave")
_MARKS = {
    "right": tr("RIGHT."),
    "nearly": tr("NEARLY RIGHT: you named one too many."),
    "incomplete": tr("INCOMPLETE: right as far as it goes."),
    "not_known": tr("NOT KNOWN. Learn it now:"),
    "wrong": tr("NOT RIGHT."),
    "unsafe": tr("UNSAFE. This could hurt somebody."),
}


def show_drill(console: Console, training: TrainingRules, drill: Drill, heading: str) -> None:
    """One drill: what is told, the picture, the question and the answers offered."""
    page = Page(console)
    page.gap()
    page.say(f"{heading}: {training.syllabus.kinds[drill.kind].title}")
    for line in drill.told:
        page.say(f"{line.label}: {line.value}", indent=2)
    if drill.rest:
        page.say(_rest_words(drill), indent=2)
    if drill.shown:
        page.lines(tuple(Line(line) for line in drill.shown))
    for name in drill.pictures:
        _picture(page, training.pieces.drawings[name])
    page.gap()
    show_question(console, drill)


def _rest_words(drill: Drill) -> str:
    if drill.kind in ("route", "collector", "first", "cause"):
        return tr("Everything else is as it should be.")
    if drill.kind == "weigh":
        return tr("Type ? for the rest, and for a rule of thumb.")
    return tr("Type ? for the rest.")


def show_question(console: Console, drill: Drill) -> None:
    """The question with the answers offered."""
    page = Page(console)
    page.say(drill.ask, style="bold")
    for number, choice in enumerate(drill.choices, 1):
        page.say(choice.label, mark=f"{number:>3}  ")
    if drill.several:
        page.say(tr("Type all that apply, for example: 1 3   (0 = none of them)"), indent=2)
    if not drill.choices:
        page.say(tr("Type grams, for example: 25"), indent=2)


def show_pause(console: Console) -> None:
    """The learner reads the mark before the next drill comes."""
    Page(console).say(tr("Enter = next drill  q=leave"))


def show_keys(console: Console) -> None:
    """What else can be typed."""
    Page(console).say(KEYS)


def _picture(page: Page, drawing: Drawing) -> None:
    """A picture with a key that says what its signs are, but not what it shows."""
    ascii_only = not (page.console.encoding or "").lower().startswith("utf")
    page.gap()
    for line in "\n".join(terminal_lines(drawing, ascii_only=ascii_only)).strip("\n").split("\n"):
        page.verbatim(("    " + line).rstrip())
    page.gap()
    signs = {}
    for shape in drawing.shapes:
        if shape.fill != "air" and shape.fill not in DRAWN_AS_LINES:
            tile = LOOKS[shape.fill].tile(ascii_only)[0]
            signs[shape.fill] = f"{tile * 2 if len(tile) == 1 else tile} {LOOKS[shape.fill].means}"
    page.say(tr("Signs: {signs}", signs=", ".join(signs.values())), indent=4)


def show_help(console: Console, drill: Drill) -> None:
    """What the answers mean, and what was not told because it is as usual."""
    page = Page(console)
    page.gap()
    for number, choice in enumerate(drill.choices, 1):
        if choice.means:
            page.say(f"{choice.label}: {choice.means}", indent=2, mark=f"{number}  ")
    if drill.hint:
        page.say(drill.hint, indent=2)
    if drill.rest:
        facts = "; ".join(f"{line.label} {line.value}" for line in drill.rest)
        page.say(tr("The rest: {facts}.", facts=facts), indent=2)
    page.gap()


def show_marked(console: Console, marked: Marked) -> None:
    """What an answer was worth, what is right, and why."""
    page = Page(console)
    page.say(_MARKS[marked.mark], style="reverse bold" if marked.mark == "unsafe" else "bold")
    if marked.picks:
        page.say(marked.picks)
    show_answer(console, marked)


def show_answer(console: Console, marked: Marked) -> None:
    """What is right, and why, with the sources."""
    page = Page(console)
    page.say(tr("Right is: {right}", right=marked.right))
    _reasons(page, tr("Why: "), marked.why)
    _reasons(page, tr("Not: "), marked.why_not)
    if marked.case_says:
        page.say(marked.case_says, indent=2)


def _reasons(page: Page, mark: str, reasons: Sequence[Reason]) -> None:
    for reason in reasons:
        page.say(reason.text, indent=2, mark=mark)
        if reason.sources:
            page.say(source_line(reason.sources), indent=2 + len(mark))


def show_report(console: Console, report: TrainingReport) -> None:
    """Who is ready for what."""
    page = Page(console)
    page.heading(tr("Who is ready for what"))
    if not report.learners:
        page.say(tr("There are no records yet. Learners begin with  advisor train start"))
    for learner in report.learners:
        _learner(page, learner)
    for sentence in report.unreadable:
        page.say(sentence, mark="! ")
    page.gap()
    page.say(
        tr(
            "The limits are practice, not a licence; they stand in the rules under training_ready. A trainer still "
            "watches the first pours."
        )
    )


def _trend(learner: LearnerReport) -> str:
    """Points lost of late, beside those before."""
    said = tr("Points lost in the last ten answers: {lost_last}", lost_last=learner.lost_last)
    if learner.lost_before is None:
        return f"{said}."
    better, worse = learner.lost_last < learner.lost_before, learner.lost_last > learner.lost_before
    how = tr("better") if better else tr("worse") if worse else tr("as before")
    return tr(
        "{said}; in the ten before: {lost_before}, so {how}.", said=said, lost_before=learner.lost_before, how=how
    )


def _learner(page: Page, learner: LearnerReport) -> None:
    page.gap()
    last = tr(", last on {last}", last=learner.last[:10]) if learner.last else ""
    ready = sum(work.ready for work in learner.works)
    page.say(
        tr(
            "{name}: ready for {ready} of {count}. {trend}",
            name=learner.name,
            ready=ready,
            count=len(learner.works),
            trend=_trend(learner),
        ),
        style="bold",
    )
    page.say(
        tr(
            "answers {answers}{last}, drills that have come back {due}",
            answers=learner.answers,
            last=last,
            due=learner.due,
        ),
        indent=2,
    )
    for work in learner.works:
        if work.ready:
            page.say(work.title, indent=2, mark=tr("READY    "))
        else:
            page.say(f"{work.title}: {'; '.join(work.missing)}", indent=2, mark=tr("not yet  "))
    for title in learner.unsafe_last:
        page.say(tr("last answered in an unsafe way - {title}", title=title), indent=2, mark="!  ")
