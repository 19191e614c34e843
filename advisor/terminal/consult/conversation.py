"""The conversation: one question at a time, with a way back, an explanation and "not known" always at hand."""

from __future__ import annotations

from pathlib import Path

from rich.console import Console
from rich.text import Text

from advisor.advice.checking import doubtful, facts_of, impossible
from advisor.engine import (
    NOT_KNOWN,
    Answers,
    Conclusions,
    ContradictionError,
    NotKnown,
    Question,
    asked_together,
    conclude,
    implied_value,
    next_question,
    stakes,
    value_words,
)
from advisor.errors import InputError
from advisor.present.text.letters import tame
from advisor.present.text.question import (
    Place,
    keys_of,
    print_explanation,
    print_question,
    print_stakes,
    print_together,
)
from advisor.rulebase.model import Check, Fact, RuleBase, Value
from advisor.rulebase.values import ValueFault
from advisor.terminal.consult.dealing import dealt
from advisor.terminal.consult.keeping import Keeper
from advisor.terminal.consult.typed import Typed, read_typed
from advisor.terminal.kinds import LeftError
from advisor.terminal.output import number_typed, typed_line
from advisor.words import each_of, tr, tr_many

_BACK, _CHANGE, _LEAVE = ("b", "back"), ("c", "change"), ("q", "quit", "leave", "exit")
_ENOUGH = ("e", "enough")
_NOT_KNOWN, _EXPLAIN, _STAKES = (
    ("u", "not known", tr("not known"), "unknown", "don't know", "dont know"),
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
        enough: Whether the person wants to hear what follows from what was seen so far.
    """

    conclusions: Conclusions

    def __init__(self, console: Console, keeper: Keeper) -> None:
        self.console = console
        self.keeper = keeper
        self.rule_base: RuleBase = keeper.rule_base
        self.answers: dict[str, Value | NotKnown] = dict(keeper.before.answers)
        self.enough = False
        self._ahead: list[str] = []
        self._keys_are_known = False
        self._right: set[tuple[str, str]] = set()

    def run(self, *, resumed: bool = False) -> Conclusions:
        """Ask until no answer can change the advice; contradictions are shown and asked again.

        Args:
            resumed: Whether an unfinished consultation is gone on with.

        Raises:
            LeftError: If the person leaves; the answers are kept.
            InputError: If the rules contradict themselves.
        """
        self._say_begun(resumed)
        self._settle_contradictions()
        self._go_on()
        return self.conclusions

    def change(self, also: str | None = None) -> bool:
        """Change an answer after the end, and ask what then has to be asked; returns whether anything changed.

        Args:
            also: A fact that may be told beside those answered.

        Raises:
            LeftError: If the person leaves; the answers are kept.
        """
        before, self.enough = dict(self.answers), False
        chosen = self._choose_answer(also)
        if chosen is not None:
            self._go_on(chosen)
        return self.answers != before

    def _go_on(self, again: Fact | None = None) -> None:
        while not self.enough:
            question = next_question(self.conclusions) if again is None else Question(again.name, "change", 0.0)
            if question is None:
                return
            again = self._ask(question)

    def _conclude(self, answers: Answers) -> Conclusions:
        return conclude(self.rule_base, answers)

    def _say_begun(self, resumed: bool) -> None:
        if self.answers and self.keeper.before.plan is not None and not resumed:
            questions = tr_many("{count} question", "{count} questions", len(self.answers))
            self._line(tr("The plan answers {questions}. Type c to see or change the answers.", questions=questions))
        elif self.answers and resumed:
            self._line(
                tr_many(
                    "Going on with {count} answer. Type c to see or change them.",
                    "Going on with {count} answers. Type c to see or change them.",
                    len(self.answers),
                )
            )

    def _ask(self, question: Question) -> Fact | None:
        """Ask one question; returns the fact to ask next when the person goes back, otherwise nothing."""
        fact = self.rule_base.facts[question.fact]
        together = asked_together(self.conclusions, fact.name)
        if len(together) > 1:
            return self._ask_together([self.rule_base.facts[name] for name in together])
        present = self.answers.get(fact.name)
        shown_answer = None if present is None else value_words(fact, present)

        def show() -> None:
            print_question(self.console, self.conclusions, fact, self._place(fact), shown_answer)

        show()
        while True:
            typed = self._read()
            word = typed.lower()
            if not typed and present is not None:
                self._line(
                    tr("Kept: {label}: {shown_answer}", label=fact.label, shown_answer=shown_answer), style="bold"
                )
                return None
            if word in _LEAVE:
                raise LeftError
            if word in _EXPLAIN:
                print_explanation(self.console, fact)
                self._keys_are_known = False
                show()
            elif word in _STAKES:
                print_stakes(self.console, stakes(self.conclusions, fact))
                show()
            elif word in _BACK:
                back = self._last_answered(fact)
                if back is not None:
                    return back
                self._line(tr("This is the first question; there is nothing to go back to."))
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
                understood = self._value(fact, typed)
                if understood is not None and self._take(fact, understood.value, guessed=understood.guessed):
                    return None

    def _ask_together(self, facts: list[Fact]) -> Fact | None:
        """Ask what one look tells, a line for each fact; returns the fact to ask next when the person goes back."""

        def show() -> None:
            print_together(self.console, self.conclusions, facts, self._place(facts[0]))

        show()
        while left := [fact for fact in facts if self._is_open(fact)]:
            self._line(f"{facts.index(left[0]) + 1}  {left[0].label}?", style="bold")
            typed = self._read()
            word = typed.lower()
            if word in _LEAVE:
                raise LeftError
            if word in _EXPLAIN:
                print_explanation(self.console, left[0])
                self._line(keys_of(self.conclusions, all_of_them=True))
            elif word in _STAKES:
                print_stakes(self.console, stakes(self.conclusions, left[0]))
            elif word in _BACK or word in _CHANGE:
                again = self._last_answered(left[0]) if word in _BACK else self._choose_answer()
                if again is not None:
                    return again
            elif word in _ENOUGH and self.conclusions.several:
                self.enough = True
                return None
            else:
                self._take_dealt(left, typed)
        return None

    def _is_open(self, fact: Fact) -> bool:
        """Whether a fact has no answer yet, and none that follows from the others."""
        return fact.name not in self.answers and implied_value(fact, self.conclusions.open_state) is None

    def _take_dealt(self, left: list[Fact], typed: str) -> None:
        try:
            given = dealt(left, typed)
        except ValueFault as problem:
            self._line(tr("Not understood: {problem}.", problem=problem))
            return
        for fact, value in given:
            if not self._take(fact, value, named=len(given) > 1):
                return

    def _place(self, fact: Fact) -> Place:
        """Where a fact is asked; the first time, and after an explanation, with all keys."""
        keys = keys_of(self.conclusions, all_of_them=not self._keys_are_known)
        self._keys_are_known = True
        return Place(self._number(fact), keys)

    def _number(self, fact: Fact) -> int:
        """How manieth question it is; what was answered elsewhere does not count, and has none from 1 on."""
        names = list(self.answers)
        place = names.index(fact.name) if fact.name in self.answers else len(names)
        return place - self.keeper.before.carried + 1

    def _read(self) -> str:
        if self._ahead:
            return self._ahead.pop()
        typed = typed_line(self.console)
        if typed is None:
            raise LeftError
        return typed

    def _value(self, fact: Fact, typed: str) -> Typed | None:
        try:
            return read_typed(fact, typed)
        except ValueFault as problem:
            self._line(tr("Not understood: {problem}.", problem=problem))
            self._line(tr("Type ? for help, u if you do not know, b to go back."))
            return None

    def _take(self, fact: Fact, answer: Value | NotKnown, *, guessed: bool = False, named: bool = True) -> bool:
        """Keep an answer, unless it contradicts the others; says so and returns whether it was kept.

        Args:
            fact: The fact.
            answer: Its answer, which stands where the one before it stood.
            guessed: Whether the person is asked first if it is what they mean.
            named: Whether what was asked is said again with what was understood.
        """
        new = {**self.answers, fact.name: answer}
        try:
            conclusions = self._conclude(new)
        except ContradictionError as problem:
            self._refuse(self._contradiction(problem, new))
            return False
        if not isinstance(answer, NotKnown):
            if broken := impossible(conclusions):
                self._refuse(*(check.entry.say for check in broken))
                return False
            if guessed and not self._is_right(
                fact, tr("You mean {label}: {value_words}?", label=fact.label, value_words=value_words(fact, answer))
            ):
                return False
            if not self._stands_by(fact, conclusions):
                return False
        self.answers, self.conclusions = new, conclusions
        self._keep()
        label = f"{fact.label}: " if named else ""
        self._line(
            tr("Understood: {label}{value_words}", label=label, value_words=value_words(fact, answer)), style="bold"
        )
        return True

    def _contradiction(self, problem: ContradictionError, answers: Answers) -> str:
        """How two answers contradict each other, in the words of the screen."""
        fact, given = self.rule_base.facts.get(problem.fact), answers.get(problem.fact)
        if fact is None or given is None:
            return f"{problem}."
        return tr(
            "{label}: {value_words}, but {because}.",
            label=fact.label,
            value_words=value_words(fact, given),
            because=problem.because,
        )

    def _refuse(self, *sentences: str) -> None:
        for sentence in sentences:
            self._line(tr("That cannot be: {sentence}", sentence=sentence))
        self._line(tr("Answer again, or type c to change the other answer."))

    def _stands_by(self, fact: Fact, conclusions: Conclusions) -> bool:
        """Ask back once about what can hardly be true; returns whether the person stands by it."""
        for check in doubtful(conclusions):
            said = self._said(check, conclusions.answers)
            if fact in facts_of(check, self.rule_base) and (check.entry.id, said) not in self._right:
                if not self._is_right(
                    fact, tr("You said {said}. {say} Is that right?", said=said, say=check.entry.say)
                ):
                    return False
                self._right.add((check.entry.id, said))
        return True

    def _said(self, check: Check, answers: Answers) -> str:
        """The answers that a check looks at, in words."""
        given = [(fact, answers.get(fact.name)) for fact in facts_of(check, self.rule_base)]
        said = [f"{fact.label}: {value_words(fact, answer)}" for fact, answer in given if answer is not None]
        return each_of((", ".join(said[:-1]), said[-1])) if len(said) > 1 else said[0]

    def _is_right(self, fact: Fact, sentence: str) -> bool:
        """Whether the person says that something is right; anything else that is typed is a new answer."""
        self._line(sentence)
        self._line(tr("Enter keeps it, or answer again."))
        typed = self._read()
        if not typed or (fact.entry.kind != "yes_no" and typed.lower() in ("y", "yes")):
            return True
        self._ahead.append(typed)
        return False

    def _keep(self) -> None:
        worked = self.keeper.works
        try:
            self.keeper.keep(self.answers)
        except InputError as problem:
            if worked:
                self._line(tr("Your answers cannot be kept: {problem}.", problem=problem))

    def _last_answered(self, asked: Fact) -> Fact | None:
        names = [name for name in self.answers if name != asked.name]
        if asked.name in self.answers:
            names = list(self.answers)[: list(self.answers).index(asked.name)]
        return self.rule_base.facts[names[-1]] if names else None

    def _choose_answer(self, also: str | None = None) -> Fact | None:
        names = [*self.answers, *((also,) if also and also not in self.answers else ())]
        if not names:
            self._line(tr("There are no answers yet."))
            return None
        self._line(tr("Your answers so far:"))
        for number, name in enumerate(names, 1):
            fact = self.rule_base.facts[name]
            words = value_words(fact, self.answers[name]) if name in self.answers else tr("not told yet")
            self._line(f"  {number:>2}  {fact.label}: {words}")
        self._line(tr("Type the number or a word of the answer to change, or just Enter to go on."))
        while True:
            typed = self._read()
            if not typed:
                return None
            chosen = number_typed(typed, len(names))
            if chosen is not None:
                return self.rule_base.facts[names[chosen - 1]]
            # The list is longer than the screen, so a word of what scrolled off serves too.
            worded = [name for name in names if typed.lower() in self.rule_base.facts[name].label.lower()]
            if len(worded) == 1:
                return self.rule_base.facts[worded[0]]
            self._line(
                tr(
                    "Type a number from 1 to {count}, a word that only one of them has, or just Enter.",
                    count=len(names),
                )
            )

    def _settle_contradictions(self) -> None:
        """Answers from a file may contradict rules that changed since; the contradicting ones are asked again."""
        while True:
            try:
                self.conclusions = self._conclude(self.answers)
                return
            except ContradictionError as problem:
                self._line(tr("Asked again: {contradiction}", contradiction=self._contradiction(problem, self.answers)))
                if not self.answers:
                    raise InputError(tr("the rules contradict themselves: {problem}", problem=problem)) from None
                # Where two rules give one fact two values, the fact itself was never answered: the last answer goes.
                del self.answers[problem.fact if problem.fact in self.answers else list(self.answers)[-1]]

    def _line(self, text: str, style: str = "") -> None:
        self.console.print(Text(tame(text), style=style))

    def end(self, finished: Path | None) -> bool:
        """Keep the answers of a finished consultation, in another file if one is named.

        Returns:
            Whether they are kept there; otherwise they stay where they were.
        """
        try:
            if finished is not None:
                self.keeper.move_to(finished, self.answers)
            else:
                self.keeper.keep(self.answers)
        except InputError as problem:
            self._line(tr("Your answers could not be kept: {problem}.", problem=problem))
        return self.keeper.works

    def say_left(self) -> None:
        """Say where the answers are and how to go on."""
        self.console.print()
        if self.answers == self.keeper.before.answers and not self.keeper.holds:
            done = tr("before any answer. Start again with") if not self.answers else tr("as it was. Go on with")
            self._whole_line(
                tr(
                    "Left {done}:  {go_on_command}",
                    done=done,
                    go_on_command=self.keeper.go_on_command if self.answers else self.keeper.new_command,
                )
            )
            return
        if self.keeper.works:
            self._keep()
        if self.keeper.works:
            # In one piece, however long, so that it can be copied.
            kept = tr("answer is") if len(self.answers) == 1 else tr("{count} answers are", count=len(self.answers))
            self._whole_line(tr("Left. Your {kept} kept in {file}", kept=kept, file=self.keeper.file))
            self._whole_line(tr("Go on with:  {go_on_command}", go_on_command=self.keeper.go_on_command))
        else:
            self._line(tr("Left. Your last answers could not be kept."))

    def _whole_line(self, text: str) -> None:
        self.console.print(Text(tame(text)), soft_wrap=True)
