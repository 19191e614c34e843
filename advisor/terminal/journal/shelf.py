"""What was weighed out leaves the shelf of the gold room when the journal takes it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from advisor.advice.batches.own_room import OwnRoom, changed_room, keep_own_room, read_own_room
from advisor.advice.documents.ledger import OnShelf
from advisor.errors import AdvisorError
from advisor.frozen import frozen
from advisor.journal import Entry
from advisor.journal.rows import standing
from advisor.present.text.page import Page
from advisor.rulebase.model import RuleBase
from advisor.terminal.settings import room_file
from advisor.terminal.setup import rule_base_for
from advisor.units import Range, format_measure, unit_named
from advisor.words import tr

_GRAMS = unit_named("g")
_TRIES = 3


@frozen
class Shelf:
    """What the shelf holds after something was taken.

    Attributes:
        room: The gold room with it.
        left_g: What is left, by material.
        not_counted: Materials of which nobody knows how much there was.
        too_little: Materials of which more was weighed than the shelf held.
    """

    room: OwnRoom
    left_g: Mapping[str, Range]
    not_counted: tuple[str, ...] = ()
    too_little: tuple[str, ...] = ()


def weighed_g(entries: Iterable[Entry]) -> dict[str, float]:
    """Grams weighed out by these entries, by material."""
    found: dict[str, float] = {}
    for entry in entries:
        if entry.kind == "weighed" and entry.state == "given" and entry.amount is not None:
            material = entry.name.partition(".")[0]
            found[material] = found.get(material, 0.0) + entry.amount.likely
    return found


def changed_g(old: Entry | None, new: Entry) -> dict[str, float]:
    """Grams that an entry takes beyond the one that it replaces; below zero what goes back."""
    was, becomes = weighed_g([old] if old else []), weighed_g([new])
    return {name: becomes.get(name, 0.0) - was.get(name, 0.0) for name in {**was, **becomes}}


def take_from_shelf(page: Page, taken_g: Mapping[str, float], entries: tuple[Entry, ...]) -> None:
    """Take what was weighed off the shelf and say what is left; the journal has it in any case.

    Args:
        page: Where it is said.
        taken_g: Grams by material; below zero where something goes back.
        entries: All entries of the batch, which say how much another such batch would take.
    """
    if not any(taken_g.values()):
        return
    if not room_file().is_file():
        page.say(tr("No gold room is kept, so no shelf changes; the journal has what was weighed."))
        return
    rule_base = rule_base_for(None)
    counted = {name: grams for name, grams in taken_g.items() if grams and _stock_of(name, rule_base)}
    if not counted:
        return
    try:
        shelf = _taken(counted, rule_base)
    except AdvisorError as problem:
        page.say(
            tr("Nothing was taken off the shelf; the journal has what was weighed. {problem}.", problem=problem),
            mark="! ",
        )
        return
    _say(page, shelf, rule_base, weighed_g(standing(entries)))


def shelf_now() -> tuple[OnShelf, ...]:
    """What the gold room file says is left of each material; nothing where there is none that can be read."""
    if not room_file().is_file():
        return ()
    rule_base = rule_base_for(None)
    try:
        room = read_own_room(room_file(), rule_base)
    except AdvisorError:
        return ()
    found = []
    for material in rule_base.materials.values():
        left = room.answers.get(material.entry.stock or "")
        if isinstance(left, Range):
            found.append(OnShelf(title=material.entry.title, left=format_measure(left, _GRAMS)))
    return tuple(found)


def _stock_of(material: str, rule_base: RuleBase) -> str | None:
    found = rule_base.materials.get(material)
    return None if found is None else found.entry.stock


def _taken(taken_g: Mapping[str, float], rule_base: RuleBase) -> Shelf:
    """Read, take and write; where somebody else wrote in between, once more from what stands there then.

    Raises:
        AdvisorError: If there is no gold room that can be read and written.
    """
    path = room_file()
    for left in reversed(range(_TRIES)):
        room = read_own_room(path, rule_base)
        shelf = after_taking(room, taken_g, rule_base)
        if not shelf.left_g:
            return shelf
        try:
            keep_own_room(path, shelf.room, rule_base, room.date or date.today().isoformat())
        except AdvisorError:
            if not left:
                raise
            continue
        return shelf
    raise AssertionError("the last try gives back or raises")


def after_taking(room: OwnRoom, taken_g: Mapping[str, float], rule_base: RuleBase) -> Shelf:
    """The shelf after some grams of materials were taken from it.

    Args:
        room: The gold room.
        taken_g: Grams by material, each with a stock among the facts.
        rule_base: The rules.

    Raises:
        InputError: If the room would contradict itself then.
    """
    left: dict[str, Range] = {}
    not_counted, too_little = [], []
    for material, grams in taken_g.items():
        there = room.answers.get(_stock_of(material, rule_base) or "")
        if not isinstance(there, Range):
            not_counted.append(material)
            continue
        if there.high < grams:
            too_little.append(material)
        left[material] = Range(*(max(0.0, round(end - grams, 6)) for end in (there.low, there.likely, there.high)))
    stocks = {stock: amount for name, amount in left.items() if (stock := _stock_of(name, rule_base))}
    after = changed_room(room, rule_base, stocks) if stocks else room
    return Shelf(replace(after, text=room.text), left, tuple(not_counted), tuple(too_little))


def _say(page: Page, shelf: Shelf, rule_base: RuleBase, used_g: Mapping[str, float]) -> None:
    titles = {name: material.entry.title for name, material in rule_base.materials.items()}
    if shelf.left_g:
        left = ", ".join(f"{titles[name]} {format_measure(g, _GRAMS)}" for name, g in shelf.left_g.items())
        page.say(tr("Left on the shelf: {left}.", left=left))
    for name, grams in shelf.left_g.items():
        if name in shelf.too_little:
            page.say(
                tr(
                    "More {titles} was weighed than the shelf held. {count_it}",
                    titles=titles[name],
                    count_it=_count_it(name, rule_base),
                ),
                mark="! ",
            )
        elif grams.low < used_g.get(name, 0.0):
            used = format_measure(Range.exact(used_g[name]), _GRAMS)
            page.say(
                tr("{titles} runs short: another such batch takes {used}.", titles=titles[name], used=used), mark="! "
            )
    for name in shelf.not_counted:
        page.say(
            tr(
                "Nobody knows how much {titles} is left. {count_it}",
                titles=titles[name],
                count_it=_count_it(name, rule_base),
            ),
            mark="! ",
        )


def _count_it(material: str, rule_base: RuleBase) -> str:
    return tr("Weigh it:  advisor room change {stock_of} 500g", stock_of=_stock_of(material, rule_base))
