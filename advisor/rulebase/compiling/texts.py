"""The texts of a rule base by the places where they stand, gathered from what was read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Annotated, Any, get_args, get_origin, get_type_hints

from pydantic import BaseModel

from advisor.rulebase.drawings.entries import SHOWN
from advisor.rulebase.entry import LIST, MAPPING, ROWS, TEXT, Entry, columns_of_texts, row_places
from advisor.rulebase.language.words import Texts
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.entries import TableEntry

SECTIONS = (
    *("causes", "preparations", "sources", "facts", "thresholds", "findings", "decisions", "arguments", "hazards"),
    *("steps", "materials", "quantities", "amounts", "expectations", "referrals", "checks", "looks", "acts", "kinds"),
    *("minerals", "tables", "pieces", "corrections", "drawings", "invariants", "worse", "kept"),
)
"""Every section whose entries hold texts. First stand those that others repeat texts of."""
_REPEATED, _REPEATING = ("causes", "preparations"), ("arguments", "decisions")
_LIKE = "-like-"
"""What stands in the id of a constraint between the work that took it over and its own id."""


@cache
def texts_in(kind: type[BaseModel]) -> Mapping[str, str]:
    """For each field of a kind of entry that holds texts for people, how they stand in it."""
    hints = get_type_hints(kind, include_extras=True)
    found = {name: _how(hints[name]) for name in kind.model_fields}
    if issubclass(kind, TableEntry):
        found["rows"] = ROWS
    return {name: how for name, how in found.items() if how is not None}


def _how(hint: Any) -> str | None:
    if get_origin(hint) is Annotated:
        inner, *more = get_args(hint)
        return TEXT if any(one is SHOWN for one in more) else _how(inner)
    inside = next((how for how in map(_how, get_args(hint)) if how is not None), None)
    if inside is None or get_origin(hint) not in (list, dict):
        return inside
    return LIST if get_origin(hint) is list else MAPPING


class Gathered:
    """Where everything stands in a rule base.

    Attributes:
        texts: Every text by its place.
        same: For a place that repeats the text of another one, that place.
        places: Where each entry stands, by its identity.
    """

    def __init__(self, rule_base: RuleBase) -> None:
        """Go through a rule base; what an image made of it before keeps its words."""
        read = isinstance(rule_base.entry, Entry)
        known: Texts = rule_base.words.texts if read else ({}, {})
        self.texts, self.same = dict(known[0]), dict(known[1])
        self.places: dict[int, str] = {}
        self._repeated: dict[str, str] = {}
        self._entry(rule_base.entry, "base")
        for section in SECTIONS:
            for name, thing in getattr(rule_base, section).items():
                self._entry(getattr(thing, "entry", thing), f"{section}.{name}")
        for decision in rule_base.decisions.values():
            for argument in decision.arguments:
                if id(argument.entry) not in self.places:
                    self._taken_over(argument.entry, rule_base)

    @property
    def as_texts(self) -> Texts:
        """The texts as ``Words`` reads them."""
        return self.texts, self.same

    def _taken_over(self, entry: Any, rule_base: RuleBase) -> None:
        """A constraint that other work takes over says what the constraint says."""
        _, _, name = entry.id.partition(_LIKE)
        if name in rule_base.arguments:
            self.places[id(entry)] = f"arguments.{name}"
        else:
            self._entry(entry, f"arguments.{entry.id}")

    def _entry(self, entry: Any, place: str) -> None:
        self.places[id(entry)] = place
        if not isinstance(entry, BaseModel):
            return
        texts = texts_in(type(entry))
        for name in type(entry).model_fields:
            value, here = getattr(entry, name), f"{place}.{name}"
            if texts.get(name) == ROWS:
                self._rows(entry, here)
            elif name in texts:
                for inner, text in _parts(value, here):
                    if text:
                        self._text(inner, text)
            else:
                for inner, part in _parts(value, here):
                    if isinstance(part, BaseModel):
                        self._entry(part, inner)

    def _rows(self, table: Any, place: str) -> None:
        columns = columns_of_texts(table)
        for here, row in zip(row_places(place, table, table.rows), table.rows, strict=True):
            for column in columns.intersection(row):
                self._text(f"{here}.{column}", str(row[column]))

    def _text(self, place: str, text: str) -> None:
        section = place.partition(".")[0]
        if section in _REPEATING and text in self._repeated:
            self.same[place] = self._repeated[text]
            return
        self.texts[place] = text
        if section in _REPEATED:
            self._repeated.setdefault(text, place)


def _parts(value: Any, place: str) -> Iterator[tuple[str, Any]]:
    """What a field holds, with the place of each."""
    if isinstance(value, Mapping):
        yield from ((f"{place}.{key}", one) for key, one in value.items())
    elif isinstance(value, list | tuple):
        yield from ((f"{place}.{number}", one) for number, one in enumerate(value))
    else:
        yield place, value
