"""The gold room in a consultation: shown at its beginning, with what can differ tonight, and kept at its end."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from rich.console import Console

from advisor.advice.batches.own_room import (
    USUAL_TITLE,
    OwnRoom,
    changed_room,
    facts_of_dangers,
    facts_of_room,
    keep_own_room,
    read_own_room,
)
from advisor.advice.next_batch import without_tonight
from advisor.engine import NOT_KNOWN, Answers, ContradictionError, NotKnown
from advisor.errors import AdvisorError, InputError
from advisor.present.text.page import Page
from advisor.present.text.question import print_explanation, print_fact
from advisor.present.text.room import print_opening, print_room
from advisor.rulebase.model import Fact, RuleBase, Value
from advisor.rulebase.values import ValueFault
from advisor.terminal.consult.keeping import Keeper, hours_since
from advisor.terminal.consult.tonight import ask_tonight
from advisor.terminal.consult.typed import read_typed
from advisor.terminal.kinds import ROUTE, LeftError
from advisor.terminal.output import number_typed, typed_line
from advisor.terminal.settings import room_file
from advisor.words import tr, tr_many

_KEYS = tr("?=explain  u=not known  Enter=leave it as it is  q=leave")
_NOT_KNOWN, _EXPLAIN, _LEAVE = (
    ("u", "not known", tr("not known"), "unknown"),
    ("?", "explain", "help"),
    ("q", "quit", "leave", "exit"),
)
_YES, _NO = ("", "y", "yes"), ("n", "no")
_WORTH_KEEPING = 5
"""Fewer answers about a gold room are not offered for keeping: the consultation ended at once."""


class GoldRoom:
    """The gold room of one consultation.

    Attributes:
        rule_base: The rules.
        page: Where it is shown.
        file: Its file.
        room: What stands there; None if there is none, or none that can be read.
        readable: Whether what stands there could be read.
    """

    def __init__(self, console: Console, rule_base: RuleBase, file: Path | None = None) -> None:
        self.rule_base = rule_base
        self.page = Page(console)
        self.file = file or room_file()
        self.room: OwnRoom | None = None
        self.readable = True
        if self.file.is_file():
            try:
                self.room = read_own_room(self.file, rule_base)
            except AdvisorError as problem:
                self.readable = False
                for fault in str(problem).splitlines():
                    self.page.say(fault)
                self.page.say(tr("The gold room is left out of this consultation."))

    def begin(self, keeper: Keeper, *, resumed: bool) -> None:
        """Show what is known before the first question, and ask what can differ tonight.

        What is answered goes into ``keeper.before``, one answer after another.

        Raises:
            LeftError: If the person leaves.
        """
        if resumed:
            self._ask_anew(keeper)
        elif keeper.kind is ROUTE:
            self._begin_route(keeper)
        elif self.room is not None and not keeper.before.answers:
            # In a diagnosis nothing comes before what is seen; the room only spares its questions.
            questions = tr_many("{count} question", "{count} questions", len(self.room.answers))
            self.page.say(
                tr("Your gold room answers {questions}. Type c to see or change the answers.", questions=questions)
            )
            _begin_with(keeper, self.room.answers)

    def _begin_route(self, keeper: Keeper) -> None:
        before, opening = keeper.before.answers, self.rule_base.opening
        known = self._confirmed(before) if self.room or before else None
        if opening is not None:
            self.page.gap()
            print_opening(self.page, opening, room_known=known is not None)
        if known is not None:
            self._ask_tonight(keeper, {**before, **known})

    def _ask_anew(self, keeper: Keeper) -> None:
        """After some hours it is another night: what was said about the last one is asked again."""
        opening = self.rule_base.opening
        said = keeper.before.answers
        still = without_tonight(said, self.rule_base)
        places = (keeper.file, keeper.kind.last_file)
        kept = next((place for place in places if place.is_file()), None)
        if opening is None or len(still) == len(said) or hours_since(kept) < opening.tonight_hours:
            return
        self.page.say(tr("These answers are of another night. How it is tonight is asked anew."))
        if keeper.kind is ROUTE:
            self._ask_tonight(keeper, still)
        else:
            _begin_with(keeper, still)

    def _ask_tonight(self, keeper: Keeper, known: Answers) -> None:
        """Ask how it is tonight; what is known goes with the first answer into what is kept."""

        def keep(answers: Answers) -> None:
            _begin_with(keeper, answers, asked=1)
            worked = keeper.works
            try:
                keeper.keep(answers)
            except InputError as problem:
                if worked:
                    self.page.say(tr("Your answers cannot be kept: {problem}.", problem=problem))

        # Answers that contradict each other are asked again one by one, so the block can do without.
        with contextlib.suppress(ContradictionError):
            if ask_tonight(self.page, self.rule_base, known, keep) is not known:
                return
        _begin_with(keeper, known)

    def _confirmed(self, before: Answers) -> Answers:
        """Show what of the room a danger hangs on, all of it where it is to be changed; returns its answers."""
        shown = self._as_known(before)
        self.page.gap()
        print_room(self.page, shown, self.rule_base, facts_of_dangers(self.rule_base))
        self.page.say(
            tr("Still so today? Enter, or a = all {count}, to change.", count=len(shown.answers)), style="bold"
        )
        if read_line(self.page):
            shown = self._corrected(shown)
        if self.room is not None and shown.date != today():
            self._keep(shown)
        return shown.answers

    def _corrected(self, shown: OwnRoom) -> OwnRoom:
        """Show all answers of the room and change them by number, until they are so."""
        while True:
            self.page.gap()
            numbered = print_room(self.page, shown, self.rule_base)
            self.page.say(tr("Still so today? Enter, or a number to change."), style="bold")
            fact = self._chosen(numbered)
            if fact is None:
                return shown
            shown = self._changed(shown, fact)

    def _as_known(self, before: Answers) -> OwnRoom:
        """The room as it is kept, with what a plan says of it."""
        room = self.room or OwnRoom(USUAL_TITLE, {})
        try:
            return changed_room(room, self.rule_base, before) if before else room
        except InputError:
            return changed_room(OwnRoom(USUAL_TITLE, {}), self.rule_base, before)

    def _chosen(self, numbered: list[Fact]) -> Fact | None:
        while True:
            typed = read_line(self.page)
            if not typed:
                return None
            number = number_typed(typed, len(numbered))
            if number is not None:
                return numbered[number - 1]
            self.page.say(tr("Type a number from 1 to {count}, or just Enter.", count=len(numbered)))

    def _changed(self, shown: OwnRoom, fact: Fact) -> OwnRoom:
        value = ask_about(self.page, self.rule_base, fact)
        if value is None:
            return shown
        try:
            changed = changed_room(shown, self.rule_base, {fact.name: value})
        except InputError as problem:
            self.page.say(tr("That cannot be: {problem}.", problem=problem))
            return shown
        if self.room is not None:
            self._keep(changed)
        return replace(changed, date=today())

    def _keep(self, room: OwnRoom) -> None:
        """Write the room; where that cannot be, it is said and counts for this consultation only."""
        there = None if self.room is None else self.room.text
        try:
            self.room = keep_own_room(self.file, replace(room, text=there), self.rule_base, today())
        except AdvisorError as problem:
            self.page.say(tr("The gold room is not kept: {problem}.", problem=problem))

    def offer_to_keep(self, answers: Answers) -> None:
        """Offer to keep what a consultation has said about the room and its file does not say yet."""
        if not self.readable:
            return
        there: Mapping[str, Value | NotKnown] = self.room.answers if self.room else {}
        facts = facts_of_room(self.rule_base)
        new = {name: answers[name] for name in facts if name in answers and there.get(name) != answers[name]}
        if not new or (self.room is None and len(new) < _WORTH_KEEPING):
            return
        self.page.gap()
        if self.room is None:
            self.page.say(tr("Keep these answers about your gold room? Then they are not asked again."), style="bold")
        else:
            labels = ", ".join(facts[name].label for name in new)
            self.page.say(tr("Keep what is new about your gold room ({labels})?", labels=labels), style="bold")
        self.page.say(tr("Enter = yes   n = no"))
        while (typed := typed_line(self.page.console)) is not None and typed.lower() not in (*_YES, *_NO, *_LEAVE):
            self.page.say(tr("Just Enter for yes, or n for no."))
        if typed is None or typed.lower() not in _YES:
            return
        try:
            room = changed_room(self.room or OwnRoom(USUAL_TITLE, {}), self.rule_base, new)
        except InputError as problem:
            self.page.say(tr("They are not kept: {problem}.", problem=problem))
            return
        self._keep(room)
        if self.room is not None and self.room.answers == room.answers:
            self.page.say(tr("Kept. See or change it with  advisor room"))


def ask_about(page: Page, rule_base: RuleBase, fact: Fact) -> Value | NotKnown | None:
    """Ask one thing about the gold room; None where it is left as it is.

    Raises:
        LeftError: If the person leaves.
    """
    console: Console = page.console  # type: ignore[assignment]
    print_fact(console, rule_base, fact, _KEYS)
    while True:
        typed = read_line(page)
        word = typed.lower()
        if not typed:
            return None
        if word in _NOT_KNOWN:
            return NOT_KNOWN
        if word in _EXPLAIN:
            print_explanation(console, fact)
            continue
        try:
            return read_typed(fact, typed).value
        except ValueFault as problem:
            page.say(tr("Not understood: {problem}.", problem=problem))


def read_line(page: Page) -> str:
    """What the person types.

    Raises:
        LeftError: If they leave.
    """
    typed = typed_line(page.console)
    if typed is None or typed.lower() in _LEAVE:
        raise LeftError
    return typed


def _begin_with(keeper: Keeper, answers: Answers, asked: int = 0) -> None:
    """Let a consultation begin with answers, of which so many questions were asked already."""
    keeper.before = replace(keeper.before, answers=answers, carried=len(answers) - asked)


def today() -> str:
    """The day as it is written into the file of a gold room."""
    return date.today().isoformat()
