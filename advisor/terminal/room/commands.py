"""What the commands of the gold room do."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from advisor.advice.batches.answers import read_answer
from advisor.advice.batches.own_room import (
    USUAL_TITLE,
    OwnRoom,
    changed_room,
    facts_of_room,
    keep_own_room,
    read_own_room,
)
from advisor.engine import Answers, implied_value, state_of, value_words
from advisor.errors import InputError
from advisor.present.text.page import Page
from advisor.present.text.room import print_room, print_unanswered
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import Fact, RuleBase
from advisor.rulebase.values import ValueFault
from advisor.terminal.consult.gold_room import ask_about, today
from advisor.terminal.exit_codes import ADVICE, LEFT
from advisor.terminal.kinds import LeftError
from advisor.terminal.output import notice, number_typed, page_screen, screen, typed_line
from advisor.terminal.settings import room_file
from advisor.terminal.setup import rule_base_for
from advisor.words import tr, tr_many

Rules = Sequence[Path] | None


def show_room(rules: Rules) -> int:
    """Show the gold room; at a terminal a number changes an answer.

    Returns:
        The exit status.

    Raises:
        InputError: If there is none, or it cannot be used.
    """
    rule_base, room = _read(rules)
    at_terminal = sys.stdin is not None and sys.stdin.isatty()
    page = Page(screen() if at_terminal else page_screen())
    while True:
        facts = print_room(page, room, rule_base)
        left = open_facts(rule_base, room.answers)
        print_unanswered(page, left, len(facts) + 1)
        page.verbatim(tr("In {room_file}", room_file=room_file()))
        if not at_terminal:
            return ADVICE
        fact = _chosen(page, [*facts, *left])
        if fact is None:
            return ADVICE
        try:
            room = _asked(page, rule_base, room, fact)
        except LeftError:
            return ADVICE
        page.gap()


def change_room(name: str, written: str, rules: Rules) -> int:
    """Change one answer of the gold room, or ask for it.

    Raises:
        InputError: If there is no such fact or no room, or the value does not fit.
    """
    rule_base, room = _read(rules)
    fact = _fact_named(rule_base, name)
    if not written:
        try:
            after = _asked(Page(screen()), rule_base, room, fact)
        except LeftError:
            return LEFT
    else:
        try:
            value = read_answer(fact, _several(fact, written))
        except ValueFault as problem:
            raise InputError(f"{name}: {problem}") from None
        after = keep_own_room(room_file(), changed_room(room, rule_base, {name: value}), rule_base, today())
    if name in after.answers:
        Page(page_screen()).say(f"{fact.label}: {value_words(fact, after.answers[name])}")
    return ADVICE


def new_room(form: Path | None, rules: Rules) -> int:
    """Ask for the gold room, or take it from a filled form.

    Raises:
        InputError: If the form cannot be used.
    """
    rule_base = rule_base_for(rules)
    path = room_file()
    if form is not None:
        filled = _from_form(form, rule_base)
        _put_aside(path)
        keep_own_room(path, filled, rule_base, today())
        return show_room(rules)
    page = Page(screen())
    page.say(tr("Your gold room, answered once. u = not known, Enter = later, q = leave; every answer is kept."))
    room = OwnRoom(USUAL_TITLE, {})
    passed: set[str] = set()
    try:
        while left := [fact for fact in open_facts(rule_base, room.answers) if fact.name not in passed]:
            passed.add(left[0].name)
            value = ask_about(page, rule_base, left[0])
            if value is None:
                continue
            if not room.answers:
                _put_aside(path)
            room = _with(page, rule_base, room, {left[0].name: value})
    except LeftError:
        page.say(
            tr_many(
                "Left. {count} answer kept; go on with  advisor room",
                "Left. {count} answers kept; go on with  advisor room",
                len(room.answers),
            )
        )
        return LEFT
    page.gap()
    print_room(page, room, rule_base)
    page.verbatim(tr("In {path}", path=path))
    return ADVICE


def _with(page: Page, rule_base: RuleBase, room: OwnRoom, answers: Answers) -> OwnRoom:
    """The room with an answer, kept at once; as it was where the answer cannot be."""
    try:
        return keep_own_room(room_file(), changed_room(room, rule_base, answers), rule_base, today())
    except InputError as problem:
        page.say(f"{problem}.")
        return room


def open_facts(rule_base: RuleBase, answers: Answers) -> list[Fact]:
    """What the room does not answer yet: not what follows from its answers, and not what they make idle."""
    state = state_of(rule_base, answers)
    return [
        fact
        for name, fact in facts_of_room(rule_base).items()
        if name not in answers
        and implied_value(fact, state) is None
        and (fact.ask_if is None or fact.ask_if.truth(state) != FAILS)
    ]


def _read(rules: Rules) -> tuple[RuleBase, OwnRoom]:
    path = room_file()
    if not path.is_file():
        raise InputError(tr("there is no gold room yet; answer for it with  advisor room new,  or run  advisor route"))
    rule_base = rule_base_for(rules)
    return rule_base, read_own_room(path, rule_base)


def _fact_named(rule_base: RuleBase, name: str) -> Fact:
    known: Mapping[str, Fact] = facts_of_room(rule_base)
    if name in known:
        return known[name]
    other = rule_base.facts.get(name)
    if other is None:
        near = closest(name, known)
        raise InputError(
            tr(
                "'{name}' is not a fact of the gold room; 'advisor form room' lists them{near}",
                name=name[:60],
                near=near,
            )
        )
    when = tr("each time") if other.entry.belongs_to == "tonight" else tr("with each lot")
    raise InputError(
        tr("'{name}' is no answer about the gold room; it is asked {when} by  advisor route", name=name, when=when)
    )


def _several(fact: Fact, written: str) -> object:
    """Several options are written behind each other, with or without commas."""
    if written.lower() in ("not known", tr("not known"), "u"):
        return "not known"
    if fact.entry.kind != "several":
        return written
    return [] if written in ("0", "none", "[]") else written.strip("[]").replace(",", " ").split()


def _chosen(page: Page, facts: list[Fact]) -> Fact | None:
    page.say(tr("Type a number to change or answer it, or just Enter to end."), style="bold")
    while typed := typed_line(page.console):
        number = number_typed(typed, len(facts))
        if number is not None:
            return facts[number - 1]
        if typed.lower() in ("q", "quit"):
            return None
        page.say(tr("Type a number from 1 to {count}, or just Enter.", count=len(facts)))
    return None


def _asked(page: Page, rule_base: RuleBase, room: OwnRoom, fact: Fact) -> OwnRoom:
    """The room with what is answered to a fact, kept at once."""
    value = ask_about(page, rule_base, fact)
    return room if value is None else _with(page, rule_base, room, {fact.name: value})


def _from_form(form: Path, rule_base: RuleBase) -> OwnRoom:
    """The room that a filled form describes."""
    if str(form) == "-":
        raise InputError(tr("a gold room is read from a file; write the form into one and name it"))
    return replace(read_own_room(form, rule_base), text=None)


def _put_aside(path: Path) -> None:
    """A room that is there makes room for a new one, under another name."""
    if not path.exists():
        return
    places = (path.with_name(f"{path.stem}-{number}.yaml") for number in range(2, 10_000))
    aside = next(place for place in places if not place.exists())
    path.rename(aside)
    notice(tr("The gold room that was there is now in {aside}", aside=aside))
