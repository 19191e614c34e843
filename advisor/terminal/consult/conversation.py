"""The conversation: one question at a time, with a way back, an explanation and "not known" always at hand."""

from __future__ import annotations

import sys
from pathlib import Path

from rich.console import Console
from rich.text import Text

from advisor.advice.build_advice import impossible_sums
from advisor.advice.plan.weighing import Weigher
from advisor.engine import (
    NOT_KNOWN,
    Answers,
    Conclusions,
    ContradictionError,
    NotKnown,
    Question,
    conclude,
    next_question,
    stakes,
    value_words,
)
from advisor.errors import InputError
from advisor.present.text.letters import tame
from advisor.present.text.question import print_explanation, print_question, print_stakes
from advisor.rulebase.model import Fact, RuleBase, Value
from advisor.rulebase.values import ValueFault
from advisor.terminal.consult.keeping import Keeper
from advisor.terminal.consult.typed import read_typed
from advisor.terminal.kinds import LeftError
from advisor.terminal.output import number_typed, typed_line
from advisor.units.measures import counted

_BACK, _CHANGE, _LEAVE = ("b", "back"), ("c", "change"), ("q", "quit", "leave", "exit")
_ENOUGH = ("e", "enough")
_NOT_KNOWN, _EXPLAIN, _STAKES = (
    ("u", "not known", "unknown", "don't know", "dont know"),
    ("?", "explain", "help"),
    ("s", "stake", "stakes"),
)


class Consultation:
    """One consultation at the terminal.

    Attributes:
        console: Where it is shown.
        keeper: Keeps the answers after each of them.
        rule_base: The rules.
        answers: The answers so far, in the order they were given.
        conclusions: What follows from them; each set of answers is concluded once.
        first: How many answers there were before the first question.
        enough: Whether the person wants to hear what follows from what was seen so far.
    """

    conclusions: Conclusions

    def __init__(self, console: Console, keeper: Keeper) -> None:
        self.console = console
        self.keeper = keeper
        self.rule_base: RuleBase = keeper.rule_base
        self.answers: dict[str, Value | NotKnown] = dict(keeper.before.answers)
        self.first = len(self.answers)
        self.enough = False

    def run(self, *, resumed: bool = False) -> Conclusions:
        """Ask until no answer can change the advice; contradictions are shown and asked again.

        Args:
            resumed: Whether an unfinished consultation is gone on with.

        Raises:
            LeftError: If the person leaves; the answers are kept.
            InputError: If the rules contradict themselves.
        """
        if hasattr(sys.stdin, "reconfigure"):
            # A letter in another encoding is then not understood, instead of ending the program.
            sys.stdin.reconfigure(errors="replace")
        self._say_begun(resumed)
        self._settle_contradictions()
        again: Fact | None = None
        while not self.enough:
            question = next_question(self.conclusions) if again is None else Question(again.name, "change", 0.0)
            if question is None:
                break
            again = self._ask(question)
        return self.conclusions

    def _conclude(self, answers: Answers) -> Conclusions:
        return conclude(self.rule_base, answers)

    def _say_begun(self, resumed: bool) -> None:
        if self.answers and self.keeper.before.plan is not None and not resumed:
            questions = counted(len(self.answers), "question")
            self._line(f"The plan answers {questions}. Type c to see or change the answers.")
        elif self.answers and resumed:
            self._line(f"Going on with {counted(len(self.answers), 'answer')}. Type c to see or change them.")

    def _ask(self, question: Question) -> Fact | None:
        """Ask one question; returns the fact to ask next when the person goes back, otherwise nothing."""
        fact = self.rule_base.facts[question.fact]

        def show() -> None:
            print_question(self.console, self.conclusions, question, len(self.answers) - self.first + 1)

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
                print_stakes(self.console, stakes(self.conclusions, fact))
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
            elif word in _ENOUGH and self.conclusions.several:
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
            conclusions = self._conclude(new)
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
        self.answers, self.conclusions = new, conclusions
        self._keep()
        self._line(f"Understood: {fact.label}: {value_words(fact, answer)}", style="bold")
        return True

    def _keep(self) -> None:
        try:
            self.keeper.keep(self.answers)
        except InputError as problem:
            self._line(f"Your answers cannot be kept: {problem}.")

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
        """Answers from a file may contradict rules that changed since; the contradicting ones are asked again."""
        while True:
            try:
                self.conclusions = self._conclude(self.answers)
                return
            except ContradictionError as problem:
                self._line(f"Asked again: {problem}.")
                if not self.answers:
                    raise InputError(f"the rules contradict themselves: {problem}") from None
                # Where two rules give one fact two values, the fact itself was never answered: the last answer goes.
                del self.answers[problem.fact if problem.fact in self.answers else list(self.answers)[-1]]

    def _line(self, text: str, style: str = "") -> None:
        self.console.print(Text(tame(text), style=style))

    def end(self, finished: Path | None) -> bool:
        """Keep the answers of a finished consultation, in another file if one is named.

        Returns:
            Whether they are kept there; otherwise they stay where they were.
        """
        if finished is not None:
            try:
                self.keeper.move_to(finished, self.answers)
            except InputError as problem:
                self._line(f"Your answers cannot be kept: {problem}.")
        return self.keeper.works

    def say_left(self) -> None:
        """Say where the answers are and how to go on."""
        self.console.print()
        if self.answers and self.keeper.works:
            self._keep()
        if not self.answers:
            self._line(f"Left before any answer. Start again with:  advisor {self.keeper.kind.command}")
        elif self.keeper.works:
            # In one piece, however long, so that it can be copied.
            kept = "answer is" if len(self.answers) == 1 else f"{len(self.answers)} answers are"
            self._whole_line(f"Left. Your {kept} kept in {self.keeper.file}")
            self._whole_line(f"Go on with:  {self.keeper.go_on_command}")
        else:
            self._line("Left. Your last answers could not be kept.")

    def _whole_line(self, text: str) -> None:
        self.console.print(Text(tame(text)), soft_wrap=True)
