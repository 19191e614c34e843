"""Writes the image of a rule base: its logic, in which a text is the place where it stands, and the texts."""

from __future__ import annotations

import io
import pickle
from typing import Any

from pydantic import BaseModel

from advisor.frozen import is_kept
from advisor.rulebase import image
from advisor.rulebase.compiling.texts import Gathered, texts_in
from advisor.rulebase.entry import LIST, MAPPING, PLACE, ROWS, TEXT, Entry, columns_of_texts, kept_as
from advisor.rulebase.language.conditions import LATER, Condition
from advisor.rulebase.language.conditions import TOLD as TOLD_OF_CONDITION
from advisor.rulebase.language.words import Words
from advisor.rulebase.model import TOLD, RuleBase


def written(rule_base: RuleBase) -> bytes:
    """The image of a rule base, just compiled or itself read from an image."""
    gathered = Gathered(rule_base)
    told = _Told()
    logic = _pickled(rule_base, gathered, told)
    # What is told is read as a whole, so nothing of it is kept for later again.
    return image.sealed(logic, _pickled(list(told), gathered, None), pickle.dumps(gathered.as_texts, protocol=5))


class _Told(list[tuple[Any, ...]]):
    """What explains rules and conditions: the fields ``TOLD`` of each."""


def _pickled(thing: Any, gathered: Gathered, told: _Told | None) -> bytes:
    file = io.BytesIO()
    _Writer(file, gathered.places, told).dump(thing)
    return file.getvalue()


class _Writer(pickle.Pickler):
    """Writes entries without their texts, and what is kept as its values, which are read without a call."""

    def __init__(self, file: io.BytesIO, places: dict[int, str], told: _Told | None) -> None:
        super().__init__(file, protocol=5)
        self._places = places
        self._told = told
        self._kinds: dict[type, tuple[type]] = {}

    def reducer_override(self, thing: Any) -> Any:
        if isinstance(thing, BaseModel):
            return image.made, self._of_kind(thing), _logic(thing, self._places[id(thing)])
        if isinstance(thing, Entry):
            return image.made, self._of_kind(thing), thing.logic
        if isinstance(thing, Condition):
            return image.made, self._of_kind(thing), self._condition(thing)
        if is_kept(type(thing)):
            return image.made, self._of_kind(thing), self._kept(thing)
        if isinstance(thing, Words):
            return image.words, ()
        if isinstance(thing, _Told):
            return image.told, ()
        if isinstance(thing, type) and issubclass(thing, BaseModel | Entry):
            return image.kind, _kind_told(thing)
        return NotImplemented

    def _of_kind(self, thing: Any) -> tuple[type]:
        """What the call gets that makes an object; the same tuple each time, so that it is written once."""
        return self._kinds.setdefault(type(thing), (type(thing),))

    def _kept(self, thing: Any) -> dict[str, Any]:
        names = type(thing).__match_args__
        if LATER not in vars(type(thing)):
            return {name: getattr(thing, name) for name in names}
        logic = {name: getattr(thing, name) for name in names if name not in TOLD}
        return {**logic, LATER: self._later(thing, TOLD)}

    def _condition(self, thing: Condition) -> dict[str, Any]:
        told = {name: getattr(thing, name) for name in TOLD_OF_CONDITION}
        if thing.tests is None or self._told is None:
            return {"tests": thing.tests, **told}
        return {"tests": thing.tests, LATER: self._later(thing, TOLD_OF_CONDITION)}

    def _later(self, thing: Any, names: tuple[str, ...]) -> tuple[_Told, int]:
        """Where something is kept that is read when it is first asked for."""
        assert self._told is not None
        self._told.append(tuple(getattr(thing, name) for name in names))
        return self._told, len(self._told) - 1


def _kind_told(kind: type[BaseModel | Entry]) -> tuple[Any, ...]:
    if issubclass(kind, Entry):
        return kind.__name__, kind.of_fields, kind.of_defaults, kind.of_texts
    fields = kind.model_fields
    defaults = {name: field.get_default() for name, field in fields.items() if not field.is_required()}
    return kind.__name__, tuple(fields), defaults, dict(texts_in(kind))


def _logic(entry: BaseModel, place: str) -> dict[str, Any]:
    """What an entry holds besides texts; what it leaves out is told of its kind."""
    logic: dict[str, Any] = {PLACE: place}
    texts = texts_in(type(entry))
    for name, field in type(entry).model_fields.items():
        value, how = getattr(entry, name), texts.get(name)
        if how == MAPPING:
            logic[kept_as(name)] = tuple(value)
        elif how == ROWS:
            columns = columns_of_texts(entry)
            logic[kept_as(name)] = [
                {column: None if column in columns else cell for column, cell in row.items()} for row in value
            ]
        elif how not in (TEXT, LIST) and (field.is_required() or value != field.get_default()):
            logic[name] = value
    return logic
