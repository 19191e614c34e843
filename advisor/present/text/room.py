"""The gold room and tonight as blocks of text that fit on one screen."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from advisor.advice.batches.own_room import OwnRoom, by_group
from advisor.engine import value_words
from advisor.present.text.page import Page
from advisor.rulebase.model import Fact, RuleBase
from advisor.rulebase.reading.entries import OpeningEntry
from advisor.units import Range, format_measure
from advisor.words import tr


def print_opening(page: Page, opening: OpeningEntry, *, room_known: bool) -> None:
    """What to have at hand, how many questions to expect, and that leaving keeps the answers."""
    questions = opening.questions_with_room if room_known else opening.questions
    page.say(tr("Have at hand: {at_hand}.", at_hand=", ".join(opening.at_hand)))
    page.say(tr("About {questions} questions. q leaves and keeps the answers.", questions=questions))


def print_room(page: Page, room: OwnRoom, rule_base: RuleBase, telling: Collection[str] | None = None) -> list[Fact]:
    """The answers of a room, numbered, a paragraph for each group.

    Args:
        page: Where they are shown.
        room: The room.
        rule_base: The rules.
        telling: Facts to which they are cut down, without numbers; None for all.

    Returns:
        The facts in the order of their numbers.
    """
    title = room.title
    if room.date is not None:
        title = tr("{room}, as of {date}", room=title, date=room.date)
    page.say(title, style="bold")
    numbered: list[Fact] = []
    for title, group in by_group(room.answers, rule_base).items():
        items = [
            f"{'' if telling else f'{place} '}{label}{value_words(fact, room.answers[fact.name])}"
            for place, (fact, label) in enumerate(_labels(list(group.values())), len(numbered) + 1)
            if telling is None or fact.name in telling
        ]
        numbered += group.values()
        if items:
            page.say(f"{title.upper()}  {';  '.join(items)}", mark="  ")
    return numbered


def _labels(facts: list[Fact]) -> list[tuple[Fact, str]]:
    """Facts with what stands before their answer; what begins like the fact before it leaves that beginning out."""
    labels, before = [], ""
    for fact in facts:
        first, second, rest = (*fact.label.split(" ", 2), "", "")[:3]
        begins = f"{first} {second} "
        labels.append((fact, f"{rest} " if rest and begins == before else f"{fact.label}: "))
        before = begins
    return labels


def print_unanswered(page: Page, facts: Sequence[Fact], first: int) -> None:
    """What a room does not answer yet, numbered from ``first`` on."""
    if facts:
        items = (f"{place} {label.rstrip(': ')}" for place, (_, label) in enumerate(_labels([*facts]), first))
        page.say(tr("NOT ANSWERED  {items}", items=";  ".join(items)), mark="  ")


def print_tonight(page: Page, facts: Sequence[Fact]) -> None:
    """What can differ tonight, a line for each fact with the numbers of its options; no answer is shown."""
    page.gap()
    page.say(tr("1. How it is tonight"), style="bold")
    width = max(len(fact.label) for fact in facts)
    for number, fact in enumerate(facts, 1):
        page.say(choices_in_line(fact), mark=f"{number:>2}  {fact.label:<{width}}  ")


def choices_in_line(fact: Fact) -> str:
    """What can be typed for a fact, in one line."""
    entry = fact.entry
    if entry.kind == "quantity":
        assert fact.unit is not None
        example = fact.when_unknown.likely if fact.when_unknown else fact.least
        return tr("like {exact}", exact=format_measure(Range.exact(example), fact.unit))
    options = [tr("yes"), tr("no")] if entry.kind == "yes_no" else [option.label for option in entry.options.values()]
    return "  ".join(f"{number} {label}" for number, label in enumerate(options, 1))
