"""What can differ tonight: asked as one block, a line for each fact, without any answer of another night beside it.

The lines may be answered one after another, or several in one go: ``1 1 3 1 1 2 8h``.
"""

from __future__ import annotations

from collections.abc import Callable

from advisor.advice.batches.own_room import facts_of_room
from advisor.engine import (
    Answers,
    Conclusions,
    ContradictionError,
    NotKnown,
    conclude,
    implied_value,
    state_of,
    value_words,
)
from advisor.present.text.page import Page
from advisor.present.text.question import IN_ONE_GO
from advisor.present.text.room import choices_in_line, print_tonight
from advisor.rulebase.language.conditions import HOLDS, Condition
from advisor.rulebase.model import Fact, RuleBase, Value
from advisor.rulebase.values import ValueFault
from advisor.terminal.consult.dealing import dealt
from advisor.terminal.kinds import LeftError
from advisor.terminal.output import number_typed, typed_line
from advisor.words import tr

_LEAVE = ("q", "quit", "leave", "exit")
_MOST_SAID = 2


def facts_of_tonight(rule_base: RuleBase, answers: Answers) -> list[Fact]:
    """What is to be asked about tonight: all but what follows from the room already."""
    state = state_of(rule_base, answers)
    facts = facts_of_room(rule_base, "tonight").values()
    return [fact for fact in facts if fact.name not in answers and implied_value(fact, state) is None]


def ask_tonight(page: Page, rule_base: RuleBase, answers: Answers, keep: Callable[[Answers], None]) -> Answers:
    """Ask how it is tonight.

    Args:
        page: Where it is asked.
        rule_base: The rules.
        answers: What is known of the room.
        keep: Called with all answers after each line.

    Returns:
        The answers with those about tonight.

    Raises:
        LeftError: If the person leaves; what was answered is kept.
        ContradictionError: If what is known of the room contradicts itself.
    """
    facts = facts_of_tonight(rule_base, answers)
    if not facts:
        return answers
    return _Tonight(page, rule_base, facts, dict(answers), keep).run()


class _Tonight:
    """One block of questions."""

    def __init__(
        self,
        page: Page,
        rule_base: RuleBase,
        facts: list[Fact],
        answers: dict[str, Value | NotKnown],
        keep: Callable[[Answers], None],
    ) -> None:
        self.page, self.rule_base, self.facts, self.answers, self.keep = page, rule_base, facts, answers, keep

    def run(self) -> Answers:
        self._show()
        while True:
            self._ask_all()
            again = self._corrected()
            if again is None:
                return self.answers
            del self.answers[again.name]

    def _show(self) -> None:
        print_tonight(self.page, self.facts)
        self.page.say(tr("{in_one_go}  ?=how  u=unknown  q=leave", in_one_go=IN_ONE_GO))

    def _ask_all(self) -> None:
        while left := [fact for fact in self.facts if fact.name not in self.answers]:
            self.page.say(self._title(left[0]), style="bold")
            typed = self._read()
            if typed.startswith("?"):
                self._explain(left[0], typed.removeprefix("?").strip())
                continue
            try:
                given = dealt(left, typed)
            except ValueFault as problem:
                self.page.say(tr("Not understood: {problem}.", problem=problem))
                continue
            for fact, value in given:
                if not self._take(fact, value):
                    break

    def _title(self, fact: Fact) -> str:
        return f"{self.facts.index(fact) + 1}  {fact.label}?"

    def _read(self) -> str:
        typed = typed_line(self.page.console)
        if typed is None or typed.lower() in _LEAVE:
            raise LeftError
        return typed

    def _explain(self, fact: Fact, number: str) -> None:
        chosen = number_typed(number, len(self.facts))
        asked = fact if chosen is None else self.facts[chosen - 1]
        self.page.say(f"{asked.entry.ask} {asked.entry.find_out}", indent=2)
        for option in asked.entry.options.values():
            self.page.say(f"{option.label}: {option.means}", indent=4)

    def _take(self, fact: Fact, value: Value | NotKnown) -> bool:
        """Keep an answer, and say at once what is dangerous about it; returns whether it was kept."""
        before = conclude(self.rule_base, self.answers)
        try:
            after = conclude(self.rule_base, {**self.answers, fact.name: value})
        except ContradictionError as problem:
            self.page.say(tr("That cannot be: {problem}.", problem=problem))
            return False
        self.answers[fact.name] = value
        self.keep(self.answers)
        for sentence in said_at_once(before, after, fact):
            self.page.say(f"{fact.label}: {value_words(fact, value)}. {sentence}", mark="! ", style="bold")
        return True

    def _corrected(self) -> Fact | None:
        """Show what was understood; returns the line to ask again, or nothing when all is right."""
        said = (f"{number} {self._said(fact)}" for number, fact in enumerate(self.facts, 1))
        self.page.say(tr("Understood: {said}", said=";  ".join(said)))
        while True:
            self.page.say(tr("Right? Enter, or a number."), style="bold")
            typed = self._read()
            if not typed:
                return None
            chosen = number_typed(typed, len(self.facts))
            if chosen is not None:
                fact = self.facts[chosen - 1]
                self.page.say(choices_in_line(fact), indent=2)
                return fact

    def _said(self, fact: Fact) -> str:
        """An answer in words; a bare yes, no or figure with what it answers."""
        answer = self.answers[fact.name]
        words = value_words(fact, answer)
        told_by_itself = fact.entry.kind == "choice" and not isinstance(answer, NotKnown)
        return words if told_by_itself else f"{fact.label}: {words}"


def said_at_once(before: Conclusions, after: Conclusions, fact: Fact) -> list[str]:
    """Why an answer is dangerous: what it strikes, and the deadly hazards it brings; of one not known, the worst of it.

    Args:
        before: What followed without the answer.
        after: What follows with it.
        fact: What was answered.
    """
    if not isinstance(after.answers[fact.name], NotKnown):
        return _dangers(before, after, fact)[:_MOST_SAID]
    for value in _values(fact):
        try:
            worst = _dangers(before, conclude(after.rule_base, {**before.answers, fact.name: value}), fact)
        except ContradictionError:
            continue
        if worst:
            return [tr("What is not known counts as dangerous: {worst}", worst=worst[0])]
    return []


def _values(fact: Fact) -> list[Value]:
    """The values of a fact with options, the last first: by custom the worst stands last."""
    return [False, True] if fact.entry.kind == "yes_no" else [*reversed(fact.entry.options)]


def _dangers(before: Conclusions, after: Conclusions, fact: Fact) -> list[str]:
    """What has come to hold by the answer to a fact, whatever is decided."""
    rule_base = after.rule_base
    wanted = set(fact.variables)

    def come(condition: Condition) -> bool:
        tested = not wanted.isdisjoint(condition.variables)
        return tested and condition.truth(after.open_state) == HOLDS and condition.truth(before.open_state) != HOLDS

    said = [
        tr("First: {title}. It holds up {waits}.", title=one.entry.title, waits=one.entry.waits)
        for one in rule_base.preparations.values()
        if come(one.lacking)
    ]
    said += [
        argument.entry.reason
        for argument in rule_base.arguments.values()
        if argument.entry.kind == "danger" and come(argument.condition)
    ]
    said += [
        hazard.entry.brief or hazard.entry.title
        for hazard in rule_base.hazards.values()
        if hazard.entry.severity == "deadly" and come(hazard.condition)
    ]
    return list(dict.fromkeys(said))
