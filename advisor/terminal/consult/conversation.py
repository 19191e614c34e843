"""The conversation: one question at a time, with a way back, an explanation and "not known" always at hand."""

from __future__ import annotations

import contextlib
import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console
from rich.text import Text

from advisor.advice.batches.batch_file import Batch, batch_text, replace_file
from advisor.advice.build_advice import impossible_sums
from advisor.advice.plan.weighing import Weigher
from advisor.engine.ask.question import Question
from advisor.engine.ask.questions import next_question
from advisor.engine.ask.stakes import stakes
from advisor.engine.conclude import Conclusions, conclude
from advisor.engine.state import NOT_KNOWN, ContradictionError, NotKnown, value_words
from advisor.errors import InputError
from advisor.rulebase.model import Fact, RuleBase, Value
from advisor.rulebase.values import ValueFault
from advisor.terminal.consult.question import print_explanation, print_question, print_stakes, read_typed
from advisor.terminal.output import number_typed, tame, typed_line

if TYPE_CHECKING:
    from advisor.terminal.consult.setup import Kind

_BACK, _CHANGE, _LEAVE = ("b", "back"), ("c", "change"), ("q", "quit", "leave", "exit")
_ENOUGH = ("e", "enough")
_NOT_KNOWN, _EXPLAIN, _STAKES = (
    ("u", "not known", "unknown", "don't know", "dont know"),
    ("?", "explain", "help"),
    ("s", "stake", "stakes"),
)


class LeftError(Exception):
    """The person left before the end; the answers are kept."""


class Consultation:
    """One consultation at the terminal.

    Attributes:
        rule_base: The rules.
        console: Where it is shown.
        kept: The file in which the answers are kept after each answer.
        kind: What kind of consultation it is.
        before: What it began with: title, answers, and the plan that some of them come from.
        resumed: Whether an unfinished one is gone on with.
        answers: The answers so far, in the order they were given.
        can_keep: Whether the last answers could be kept.
        first: How many answers there were before the first question.
        enough: Whether the person wants to hear what follows from what was seen so far.
        put_aside: Where an unfinished consultation goes that stands where the first answer will be kept.
    """

    def __init__(
        self,
        rule_base: RuleBase,
        console: Console,
        kept: Path,
        kind: Kind,
        before: Batch,
        *,
        resumed: bool = False,
    ) -> None:
        self.rule_base = rule_base
        self.console = console
        self.kept = kept
        self.kind = kind
        self.before = before
        self.resumed = resumed
        self.answers: dict[str, Value | NotKnown] = dict(before.answers)
        self.can_keep = True
        self.put_aside: Path | None = None
        self.first = 0
        self.enough = False

    def run(self) -> Conclusions:
        """Ask until no answer can change the advice.

        Raises:
            LeftError: If the person leaves; the answers are kept.
            ContradictionError: Never; contradictions are shown and asked again.
        """
        if hasattr(sys.stdin, "reconfigure"):
            # A letter in another encoding is then not understood, instead of ending the program.
            sys.stdin.reconfigure(errors="replace")
        if self.answers:
            if self.before.plan is not None and not self.resumed:
                self._line(f"The plan answers {len(self.answers)} questions. Type c to see or change the answers.")
            else:
                self._line(f"Going on with {len(self.answers)} answers. Type c to see or change them.")
        self.first = len(self.answers)
        self._settle_contradictions()
        again: Fact | None = None
        while True:
            conclusions = conclude(self.rule_base, self.answers)
            if again is None:
                question = next_question(conclusions)
                if question is None:
                    return conclusions
            else:
                question = Question(again.name, "change", 0.0)
            again = self._ask(conclusions, question)
            if self.enough:
                return conclude(self.rule_base, self.answers)

    def _ask(self, conclusions: Conclusions, question: Question) -> Fact | None:
        """Ask one question; returns the fact to ask next when the person goes back, otherwise nothing."""
        fact = self.rule_base.facts[question.fact]

        def show() -> None:
            print_question(
                self.console, self.rule_base, conclusions, fact, question, len(self.answers) - self.first + 1
            )

        show()
        while True:
            typed = self._read()
            word = typed.lower()
            if word in _LEAVE:
                raise LeftError
            if word in _EXPLAIN:
                print_explanation(self.console, fact)
                show()
            elif word in _STAKES:
                print_stakes(self.console, stakes(conclusions, fact))
                show()
            elif word in _BACK:
                back = self._last_answered(fact)
                if back is not None:
                    return back
                self._line("This is the first question; there is nothing to go back to.")
            elif word in _CHANGE:
                chosen = self._choose_answer()
                if chosen is not None:
                    return chosen
                show()
            elif word in _ENOUGH and conclusions.verdicts:
                self.enough = True
                return None
            elif word in _NOT_KNOWN:
                if self._take(fact, NOT_KNOWN):
                    return None
            else:
                value = self._value(fact, typed)
                if value is not None and self._take(fact, value):
                    return None

    def _read(self) -> str:
        typed = typed_line(self.console)
        if typed is None:
            raise LeftError
        return typed

    def _value(self, fact: Fact, typed: str) -> Value | None:
        try:
            return read_typed(fact, typed)
        except ValueFault as problem:
            self._line(f"Not understood: {problem}.")
            self._line("Type ? for help, u if you do not know, b to go back.")
            return None

    def _take(self, fact: Fact, answer: Value | NotKnown) -> bool:
        """Keep an answer, unless it contradicts the others; says so and returns whether it was kept."""
        new = {name: value for name, value in self.answers.items() if name != fact.name}
        new[fact.name] = answer
        try:
            conclusions = conclude(self.rule_base, new)
        except ContradictionError as problem:
            self._line(f"That cannot be: {problem}.")
            self._line("Answer again, or type c to change the other answer.")
            return False
        impossible = impossible_sums(Weigher(conclusions))
        if impossible and not isinstance(answer, NotKnown):
            for sentence in impossible:
                self._line(f"That cannot be: {sentence}")
            self._line("Answer again, or type c to change the other answer.")
            return False
        self.answers = new
        self._keep()
        self._line(f"Understood: {fact.label}: {value_words(fact, answer)}", style="bold")
        return True

    def _keep(self) -> None:
        if self.put_aside is not None:
            with contextlib.suppress(OSError):
                self.kept.rename(self.put_aside)
            self.put_aside = None
        try:
            replace_file(self.kept, self._text())
        except InputError as problem:
            if self.can_keep:
                self._line(f"Your answers cannot be kept: {problem}.")
            self.can_keep = False

    def _text(self) -> str:
        return batch_text(
            self.before.title,
            self.answers,
            self.rule_base,
            f"advisor {self.kind.command} {self.kind.option}",
            self.before.plan,
        )

    def _last_answered(self, asked: Fact) -> Fact | None:
        names = [name for name in self.answers if name != asked.name]
        if asked.name in self.answers:
            names = list(self.answers)[: list(self.answers).index(asked.name)]
        return self.rule_base.facts[names[-1]] if names else None

    def _choose_answer(self) -> Fact | None:
        names = list(self.answers)
        if not names:
            self._line("There are no answers yet.")
            return None
        self._line("Your answers so far:")
        for number, name in enumerate(names, 1):
            fact = self.rule_base.facts[name]
            self._line(f"  {number:>2}  {fact.label}: {value_words(fact, self.answers[name])}")
        self._line("Type the number of the answer to change, or just Enter to go on.")
        while True:
            typed = self._read()
            if not typed:
                return None
            chosen = number_typed(typed, len(names))
            if chosen is not None:
                return self.rule_base.facts[names[chosen - 1]]
            self._line(f"Type a number from 1 to {len(names)}, or just Enter.")

    def _settle_contradictions(self) -> None:
        """Answers from a file may contradict rules that changed since; the contradicting ones are asked anew."""
        while True:
            try:
                conclude(self.rule_base, self.answers)
                return
            except ContradictionError as problem:
                self._line(f"Asked again: {problem}.")
                if not self.answers:
                    raise InputError(f"the rules contradict themselves: {problem}") from None
                # Where two rules give one fact two values, the fact itself was never answered: the last answer goes.
                del self.answers[problem.fact if problem.fact in self.answers else list(self.answers)[-1]]

    def _line(self, text: str, style: str = "") -> None:
        self.console.print(Text(tame(text), style=style))

    def move_to(self, finished: Path) -> bool:
        """Keep the answers of a finished consultation in another file, so that a new one can begin.

        Returns:
            Whether they are kept there; otherwise they stay where they were.
        """
        unfinished, self.kept = self.kept, finished
        self._keep()
        if not self.can_keep:
            self.kept = unfinished
            return False
        with contextlib.suppress(OSError):
            unfinished.unlink(missing_ok=True)
        return True

    def say_left(self) -> None:
        """Say where the answers are and how to go on."""
        self.console.print()
        if self.answers and self.can_keep:
            self._keep()
        if not self.answers:
            self._line(f"Left before any answer. Start again with:  advisor {self.kind.command}")
        elif self.can_keep:
            named = "" if self.kept == self.kind.unfinished_file else f" --save {shlex.quote(str(self.kept))}"
            # In one piece, however long, so that it can be copied.
            self._whole_line(f"Left. Your {len(self.answers)} answers are kept in {self.kept}")
            self._whole_line(f"Go on with:  advisor {self.kind.command}{named} --resume")
        else:
            self._line("Left. Your last answers could not be kept.")

    def _whole_line(self, text: str) -> None:
        self.console.print(Text(tame(text)), soft_wrap=True)
