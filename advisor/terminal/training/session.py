"""Runs the commands of ``advisor train``."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from advisor.errors import InputError
from advisor.present.text.page import Page
from advisor.rulebase.language.formulas import closest
from advisor.terminal.exit_codes import ADVICE, LEFT
from advisor.terminal.output import notices, say_fault, screen, typed_line, write_json
from advisor.terminal.settings import record
from advisor.terminal.setup import rule_base_for
from advisor.terminal.training.view import (
    show_answer,
    show_drill,
    show_help,
    show_keys,
    show_marked,
    show_pause,
    show_question,
    show_report,
)
from advisor.training.drills.drawing_up import drill_set
from advisor.training.drills.drill import Drill
from advisor.training.examining import NOT_KNOWN_GIVEN, Given, read_given
from advisor.training.lesson import next_drill
from advisor.training.readiness import TrainingReport, report_of
from advisor.training.reasons import Marked, marked
from advisor.training.records import Record, Records, clean_name, now_utc
from advisor.training.spacing import answered
from advisor.training.syllabus import KINDS
from advisor.training.training_rules import TrainingRules
from advisor.words import each_of, one_of, tr

_LEAVE = ("q", "quit", "leave", "exit")
_EXPLAIN = ("?", "explain", "help")
_NOT_KNOWN = ("u", "not known", tr("not known"), "unknown", "don't know", "dont know")


def training_rules_for(rules: Sequence[Path] | None) -> TrainingRules:
    """Both rule bases, with the folders named on the command line or else the configured ones."""
    return TrainingRules(rule_base_for(rules), rule_base_for(rules, diagnosis=True))


def records() -> Records:
    """The folder of the records."""
    return Records(record("training"))


def known_kinds(kinds: Sequence[str]) -> tuple[str, ...]:
    """The kinds that were asked for.

    Raises:
        InputError: If there is none of that name.
    """
    for kind in kinds:
        if kind not in KINDS:
            raise InputError(
                tr(
                    "there is no kind of drill '{kind}'{closest}; kinds are {kinds}",
                    kind=kind[:40],
                    closest=closest(kind, list(KINDS)),
                    kinds=", ".join(KINDS),
                )
            )
    return tuple(dict.fromkeys(kinds))


def run_start(
    learner: str | None, kinds: Sequence[str], seed: int | None, count: int, rules: Sequence[Path] | None
) -> int:
    """Practise; returns the exit status.

    Raises:
        InputError: If a name, a kind or a record cannot be used.
    """
    wanted = known_kinds(kinds)
    if hasattr(sys.stdin, "reconfigure"):
        sys.stdin.reconfigure(errors="replace")
    name = clean_name(learner) if learner is not None else _asked_name()
    if name is None:
        return LEFT
    lesson = Lesson(training_rules_for(rules), records(), name, wanted, seed)
    return lesson.run(count)


def _asked_name() -> str | None:
    page = Page(screen())
    page.say(tr("What is your name? It keeps your drills apart from those of others."))
    while True:
        typed = typed_line(screen())
        if typed is None or typed.lower() in _LEAVE:
            return None
        try:
            return clean_name(typed)
        except InputError as problem:
            page.say(tr("Not understood: {problem}.", problem=problem))


class Lesson:
    """One sitting of one learner.

    Attributes:
        record: What the learner has answered so far.
        marks: What the answers of this sitting were worth.
    """

    def __init__(
        self, training: TrainingRules, kept: Records, name: str, kinds: tuple[str, ...], seed: int | None
    ) -> None:
        self.console = screen()
        self.page = Page(self.console)
        self.training = training
        self.kept = kept
        self.kinds = kinds
        self.seed = seed
        self.record, problem = kept.load(name)
        self.marks: list[str] = []
        if problem:
            say_fault(problem)

    def run(self, count: int) -> int:
        """One drill after another; returns the exit status."""
        self._greet()
        for number, drill in enumerate(self._drills(count), 1):
            show_drill(self.console, self.training, drill, tr("Drill {number} of {count}", number=number, count=count))
            given = self._given(drill)
            if given is None:
                self._leave()
                return LEFT
            self._take(drill, given)
            if number < count and not self._goes_on():
                self._leave()
                return LEFT
        self.page.gap()
        self.page.say(self._score())
        return ADVICE

    def _drills(self, count: int) -> Iterator[Drill]:
        if self.seed is not None:
            yield from drill_set(self.training, self.seed, count, self.kinds)
            return
        for _ in range(count):
            yield next_drill(self.training, self.record, now_utc(), self.kinds)

    def _greet(self) -> None:
        done, due = len(self.record.answers), len(self.record.due(now_utc()))
        greeting = tr(
            "{name}: answers so far {done}, drills that have come back {due}.",
            name=self.record.name,
            done=done,
            due=due,
        )
        said = [greeting]
        if self.seed is not None:
            said.append(tr("Set {seed}, code {code}.", seed=self.seed, code=self.training.code))
        self.page.say(" ".join((*said, tr("All batches are invented."))))

    def _given(self, drill: Drill) -> Given | None:
        """The answer of the learner; None when they leave."""
        show_keys(self.console)
        while True:
            typed = typed_line(self.console)
            word = "q" if typed is None else typed.lower()
            if word in _LEAVE:
                return None
            if word in _NOT_KNOWN:
                return NOT_KNOWN_GIVEN
            if word in _EXPLAIN:
                show_help(self.console, drill)
                show_question(self.console, drill)
                show_keys(self.console)
                continue
            try:
                return read_given(drill, word)
            except InputError as problem:
                self.page.say(tr("Not understood: {problem}.", problem=problem))

    def _goes_on(self) -> bool:
        """Whether the learner, at a terminal, wants the next drill; piped answers are not waited for."""
        if sys.stdin is None or not sys.stdin.isatty():
            return True
        show_pause(self.console)
        typed = typed_line(self.console)
        return typed is not None and typed.lower() not in _LEAVE

    def _take(self, drill: Drill, given: Given) -> None:
        """Mark an answer, keep it, and then show why."""
        result = marked(self.training, drill, given)
        self.record = self._kept(drill, result)
        self.marks.append(result.mark)
        show_marked(self.console, result)

    def _kept(self, drill: Drill, result: Marked) -> Record:
        # Read again, so that answers of the same learner in another window are not lost.
        record, _ = self.kept.load(self.record.name)
        record = answered(self.training.syllabus, record, drill.item, result.title, result.mark, now_utc())
        self.kept.keep(record)
        return record

    def _score(self) -> str:
        right, unsafe = self.marks.count("right"), self.marks.count("unsafe")
        score = [tr("{right} right of {count}.", right=right, count=len(self.marks))]
        if unsafe:
            score.append(tr("{unsafe} unsafe: read those again before you go near the fire.", unsafe=unsafe))
        return " ".join((*score, tr("What you did not know comes back.")))

    def _leave(self) -> None:
        self.page.gap()
        if self.marks:
            self.page.say(tr("Left. Your answers are kept. {score}", score=self._score()))
        else:
            self.page.say(tr("Left before any answer. Start again with:  advisor train start"))


def run_drills(seed: int, count: int, kinds: Sequence[str], answers: bool, rules: Sequence[Path] | None) -> int:
    """Print a set of drills, or its answers; returns the exit status."""
    wanted = known_kinds(kinds)
    training, console = training_rules_for(rules), screen()
    page = Page(console)
    head = [tr("set {seed}", seed=seed), tr("{count} of them", count=count)]
    head += [tr("only {wanted}", wanted=", ".join(wanted))] if wanted else []
    head += [tr("code {code}", code=training.code)]
    page.say(f"{tr('Answers to drills') if answers else tr('Drills')}: {', '.join(head)}")
    page.say(tr("All batches are invented for training."))
    if not answers:
        page.say(tr("Name: ____________________   Date: ____________"))
    for number, drill in enumerate(drill_set(training, seed, count, wanted), 1):
        if answers:
            page.gap()
            page.say(
                f"{number}. {training.syllabus.kinds[drill.kind].title}. {_numbers(training, drill)}", style="bold"
            )
            show_answer(console, marked(training, drill, NOT_KNOWN_GIVEN))
        else:
            show_drill(console, training, drill, f"{number}")
            page.say(tr("Answer: ________"), indent=2)
    return ADVICE


def _numbers(training: TrainingRules, drill: Drill) -> str:
    from advisor.training.examining import key_of

    right = key_of(training, drill).right
    numbers = [str(number) for number, choice in enumerate(drill.choices, 1) if choice.id in right]
    if not drill.choices:
        return ""
    return tr("Answer: {numbers}", numbers=(each_of(numbers) if drill.several else one_of(numbers)) or "0")


def run_report(json_output: bool, rules: Sequence[Path] | None) -> int:
    """Show who is ready for what; returns the exit status.

    Raises:
        InputError: If the records are not yours to read.
    """
    found = list(records().all())
    training, now = training_rules_for(rules), now_utc()
    report = TrainingReport(
        at=now.isoformat(),
        learners=tuple(report_of(training.syllabus, record, now) for record in found if isinstance(record, Record)),
        unreadable=tuple(problem for problem in found if isinstance(problem, str)),
    )
    if json_output:
        write_json(report)
    else:
        show_report(screen(), report)
    for problem in report.unreadable if json_output else ():
        notices().print(problem, markup=False)
    return ADVICE
