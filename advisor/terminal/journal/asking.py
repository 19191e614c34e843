"""Asks for weights and results one at a time; each answer is recorded at once."""

from __future__ import annotations

import sys

from rich.text import Text

from advisor.advice.plan.weighing import is_wide, weight_words
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.journal import Batch, Draft, Entry, Journal
from advisor.journal.plans import PlannedWeight, PlanNote, plan_of
from advisor.journal.plausibility import doubt
from advisor.journal.rows import standing
from advisor.journal.vocabulary import ASKED, RESULTS, WEIGHED, read_value
from advisor.present.text.page import Page, between
from advisor.terminal.exit_codes import ADVICE, LEFT
from advisor.terminal.journal.shelf import changed_g, take_from_shelf
from advisor.terminal.journal.view import value_words
from advisor.terminal.output import screen, typed_line
from advisor.units import Range
from advisor.words import tr

_KEYS = tr("Enter=later  ?=explain  u=not known  b=back  q=leave")
_BACK, _LEAVE, _EXPLAIN = ("b", "back"), ("q", "quit", "leave", "exit"), ("?", "explain", "help")
_SLIP = tr("corrected while it was entered")


@frozen
class Asked:
    """One question.

    Attributes:
        name: The name of the entry.
        ask: The question.
        hint: What the plan says, or an example.
        explain: How to find out.
    """

    name: str
    ask: str
    hint: str
    explain: str


def questions_for(plan: PlanNote | None, entries: tuple[Entry, ...]) -> list[Asked]:
    """What has no entry yet: what the plan weighs out, then the usual results."""
    there = {(entry.kind, entry.name.partition(".")[0]) for entry in standing(entries)}
    weights = {} if plan is None else plan.weights
    found = [
        Asked(
            f"{WEIGHED}{name}",
            tr("How much {title} was weighed out?", title=weight.title),
            tr("The plan asks for {planned_words}.", planned_words=planned_words(weight)),
            tr("Give what lay on the scale, in grams. Type 0 if you took none."),
        )
        for name, weight in weights.items()
        if ("weighed", name) not in there and weight.mass_g.high > 0
    ]
    made = [name for name in ASKED if plan is None or plan.makes(name)]
    return found + [_result(name, plan) for name in made if ("result", name) not in there]


def planned_words(weight: PlannedWeight) -> str:
    """What the plan says to weigh out, as the plan says it, and how far it leaves it open."""
    asked = Range(weight.mass_g.low, weight.mass_g.likely, weight.mass_g.high)
    said = weight_words(asked)
    return f"{said} ({between(asked.low, asked.high)} g)" if is_wide(asked) else said


def _result(name: str, plan: PlanNote | None) -> Asked:
    result = RESULTS[name]
    hint = tr("For example: {partition}", partition=result.example.partition("=")[2])
    if name == "bead" and plan is not None and plan.bead_g is not None:
        hint = tr("The plan expects {bead_g_low} g.", bead_g_low=between(plan.bead_g.low, plan.bead_g.high))
    if result.options is not None:
        hint = "\n".join(f"{number}  {word}: {means}" for number, (word, means) in enumerate(result.options.items(), 1))
    return Asked(name, f"{result.title[:1].upper()}{result.title[1:]}?", hint, result.find_out)


def ask_results(journal: Journal, batch: Batch, entries: tuple[Entry, ...], by: tuple[str, str | None]) -> int:
    """Ask for what has no entry yet.

    Args:
        journal: The journal.
        batch: The batch.
        entries: All that is recorded of it.
        by: Who records, and the day it is about where that is not today.

    Returns:
        The exit status.

    Raises:
        JournalError: If an answer cannot be recorded; those before it are.
    """
    if hasattr(sys.stdin, "reconfigure"):
        # A letter in another encoding is then not understood, instead of ending the program.
        sys.stdin.reconfigure(errors="replace")
    asking = _Asking(journal, batch, plan_of(entries), by)
    return asking.run(questions_for(asking.plan, entries))


class _Asking:
    """One round of questions."""

    def __init__(self, journal: Journal, batch: Batch, plan: PlanNote | None, by: tuple[str, str | None]) -> None:
        self.journal, self.batch, self.plan = journal, batch, plan
        self.who, self.day = by
        self.page = Page(screen())
        self.recorded: dict[str, Entry] = {}
        self.asked_back: set[str] = set()

    def run(self, questions: list[Asked]) -> int:
        self.page.say(tr("Batch {number}: {name}", number=self.batch.number, name=self.batch.name), style="bold")
        if not questions:
            self.page.say(tr("All is recorded. See it:  advisor journal show {number}", number=self.batch.number))
        place = 0
        while place < len(questions):
            step = self._ask(questions[place], place + 1, len(questions))
            if step is None:
                return self._left()
            place = max(0, place + step)
        if questions and not self._noted():
            return self._left()
        self.page.say(
            tr(
                "Done. {count} recorded. See it:  advisor journal show {number}",
                count=len(self.recorded),
                number=self.batch.number,
            )
        )
        return ADVICE

    def _ask(self, asked: Asked, number: int, whole: int) -> int | None:
        """Ask one question; returns how many questions to go on, or nothing to leave."""
        self._show(asked, number, whole)
        while True:
            typed = typed_line(self.page.console)
            word = None if typed is None else typed.lower()
            if typed is None or word in _LEAVE:
                return None
            if word in _BACK:
                if number > 1:
                    return -1
                self.page.say(tr("This is the first question; there is nothing to go back to."))
            elif word in _EXPLAIN:
                self.page.say(asked.explain, indent=2)
            elif not typed or self._take(asked.name, typed):
                return 1

    def _show(self, asked: Asked, number: int, whole: int) -> None:
        self.page.gap()
        self.page.say(asked.ask, mark=f"{number}/{whole}  ", style="bold")
        for line in asked.hint.split("\n"):
            self.page.say(line, indent=2)
        if asked.name in self.recorded:
            self.page.say(
                tr("Now recorded: {value_words}. Enter keeps it.", value_words=value_words(self.recorded[asked.name])),
                indent=2,
            )
        self.page.console.print(Text(_KEYS))

    def _take(self, name: str, typed: str) -> bool:
        """Record an answer; says so, and returns whether it was taken."""
        try:
            draft = read_value(name, typed)
        except InputError as problem:
            self.page.say(tr("Not understood: {problem}", problem=problem))
            return False
        if name not in self.asked_back and (why := doubt(draft, self.plan, self.journal.entries_of(self.batch))):
            # Each weight is asked back once; the person has the last word.
            self.asked_back.add(name)
            self.page.say(tr("{why} Is it right? Enter = yes, or type the weight anew.", why=why), mark="! ")
            anew = typed_line(self.page.console)
            if anew:
                return self._take(name, anew)
        before = self.recorded.get(name)
        entry = self._record(name, draft)
        self.page.say(
            tr("Recorded as entry {number}: {value_words}", number=entry.number, value_words=value_words(entry)),
            style="bold",
        )
        if change := changed_g(before, entry):
            take_from_shelf(self.page, change, self.journal.entries_of(self.batch))
        return True

    def _record(self, name: str, draft: Draft) -> Entry:
        before = self.recorded.get(name)
        if before is None:
            (entry,) = self.journal.add(self.batch, self.who, [draft], self.day)
        else:
            entry = self.journal.amend(before.number, self.who, _SLIP, draft)
        self.recorded[name] = entry
        return entry

    def _noted(self) -> bool:
        """Ask for a note; returns whether the person is still there."""
        self.page.gap()
        self.page.say(tr("Anything to note? Type it, or just Enter."), style="bold")
        typed = typed_line(self.page.console)
        if typed is None or typed.lower() in _LEAVE:
            return False
        if typed:
            self._take("note", typed)
        return True

    def _left(self) -> int:
        self.page.gap()
        self.page.say(
            tr(
                "Left. {count} recorded and kept. Go on:  advisor journal add {number}",
                count=len(self.recorded),
                number=self.batch.number,
            )
        )
        return LEFT
