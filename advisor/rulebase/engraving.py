"""Writes the image of a rule base: its logic, in which a text is the place where it stands, and the texts."""

from __future__ import annotations

import io
import pickle
from typing import Any

from pydantic import BaseModel

from advisor.rulebase import image
from advisor.rulebase.compiling.texts import Gathered, texts_in
from advisor.rulebase.entry import LIST, MAPPING, PLACE, ROWS, TEXT, Entry, columns_of_texts, kept_as
from advisor.rulebase.language.conditions import Condition
from advisor.rulebase.language.words import Words
from advisor.rulebase.model import RuleBase


def written(rule_base: RuleBase) -> bytes:
    """The image of a rule base, just compiled or itself read from an image."""
    gathered = Gathered(rule_base)
    file = io.BytesIO()
    _Writer(file, gathered.places).dump(rule_base)
    return image.sealed(file.getvalue(), pickle.dumps(gathered.as_texts, protocol=5))


class _Writer(pickle.Pickler):
    """Writes entries without their texts; frozen objects as the call that makes them, as they are written anyway."""

    def __init__(self, file: io.BytesIO, places: dict[int, str]) -> None:
        super().__init__(file, protocol=5)
        self._places = places

    def reducer_override(self, thing: Any) -> Any:
        if isinstance(thing, BaseModel):
            return image.made, (type(thing),), _logic(thing, self._places[id(thing)])
        if isinstance(thing, Entry):
            return image.made, (type(thing),), thing.logic
        if isinstance(thing, Condition):
            return image.made, (Condition,), (None, {"text": thing.text, "tree": thing.tree, "table": thing.table})
        if isinstance(thing, Words):
            return image.words, ()
        if isinstance(thing, type) and issubclass(thing, BaseModel | Entry):
            return image.kind, _told_of(thing)
        return NotImplemented


def _told_of(kind: type[BaseModel | Entry]) -> tuple[Any, ...]:
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
