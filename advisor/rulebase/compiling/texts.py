"""The texts of a rule base by the places where they stand, gathered from what was read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Annotated, Any, get_args, get_origin, get_type_hints

from pydantic import BaseModel

from advisor.frozen import frozen
from advisor.rulebase.drawings.entries import SHOWN
from advisor.rulebase.entry import LIST, MAPPING, ROWS, TEXT, Entry, columns_of_texts, row_places
from advisor.rulebase.language.words import Texts
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.entries import TableEntry
from advisor.rulebase.reading.layers import Merged
from advisor.rulebase.reading.origins import Origin
from advisor.rulebase.reading.yaml_reader import Path_

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
        paths: For each place its section, its name there, and the keys that lead to it.
    """

    def __init__(self, rule_base: RuleBase) -> None:
        """Go through a rule base; what an image made of it before keeps its words."""
        read = isinstance(rule_base.entry, Entry)
        known: Texts = rule_base.words.texts if read else ({}, {})
        self.texts, self.same = dict(known[0]), dict(known[1])
        self.places: dict[int, str] = {}
        self.paths: dict[str, Path_] = {}
        self._repeated: dict[str, str] = {}
        self._entry(rule_base.entry, ("base",))
        for section in SECTIONS:
            for name, thing in getattr(rule_base, section).items():
                self._entry(getattr(thing, "entry", thing), (section, name))
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
            self._entry(entry, ("arguments", entry.id))

    def _entry(self, entry: Any, path: Path_) -> None:
        self.places[id(entry)] = _place(path)
        if not isinstance(entry, BaseModel):
            return
        texts = texts_in(type(entry))
        for name in type(entry).model_fields:
            value, here = getattr(entry, name), (*path, name)
            if texts.get(name) == ROWS:
                self._rows(entry, here)
            elif name in texts:
                for inner, text in _parts(value, here):
                    if text:
                        self._text(_place(inner), text, inner)
            else:
                for inner, part in _parts(value, here):
                    if isinstance(part, BaseModel):
                        self._entry(part, inner)

    def _rows(self, table: Any, path: Path_) -> None:
        columns = columns_of_texts(table)
        places = row_places(_place(path), table, table.rows)
        for number, (place, row) in enumerate(zip(places, table.rows, strict=True)):
            for column in columns.intersection(row):
                self._text(f"{place}.{column}", str(row[column]), (*path, number, column))

    def _text(self, place: str, text: str, path: Path_) -> None:
        if path[0] in _REPEATING and text in self._repeated:
            self.same[place] = self._repeated[text]
            return
        self.texts[place], self.paths[place] = text, path
        if path[0] in _REPEATED:
            self._repeated.setdefault(text, place)


@frozen
class ShownText:
    """A text of the rule files as a translator wants it.

    Attributes:
        place: Where it stands among the rules, which is its id: ``facts.gas_hose_tested.ask``.
        text: As written.
        file: The file, as it is shown to the user.
        line: Its line; that of the entry where the program made it of what is written there.
    """

    place: str
    text: str
    file: str
    line: int


def shown_texts(merged: Merged, rule_base: RuleBase) -> list[ShownText]:
    """Every text of a rule base just compiled, in the order of the sections."""
    found = Gathered(rule_base)
    origins = ((place, _origin(merged, rule_base, path)) for place, path in found.paths.items())
    return [ShownText(place, found.texts[place], origin.file, origin.line) for place, origin in origins]


def _origin(merged: Merged, rule_base: RuleBase, path: Path_) -> Origin:
    section, *inside = path
    if section == "base":
        assert merged.base is not None
        return merged.base.origin_of(tuple(inside))
    name = str(inside[0])
    held = merged.sections[str(section)].get(name)
    if held is None:
        # It was made of something else that is written, such as of a preparation that takes longer than tonight.
        found: Origin = getattr(rule_base, str(section))[name].origin
        return found
    if section == "tables":
        part, row = held.rows[int(inside[2])] if inside[1] == "rows" else (held, None)
        return part.origin_of(tuple(inside[1:]) if row is None else ("rows", row, *inside[3:]))
    return held.origin_of(tuple(inside[1:]))


def _place(path: Path_) -> str:
    return ".".join(map(str, path))


def _parts(value: Any, path: Path_) -> Iterator[tuple[Path_, Any]]:
    """What a field holds, with the keys that lead to each."""
    if isinstance(value, Mapping):
        yield from (((*path, key), one) for key, one in value.items())
    elif isinstance(value, list | tuple):
        yield from (((*path, number), one) for number, one in enumerate(value))
    else:
        yield path, value
