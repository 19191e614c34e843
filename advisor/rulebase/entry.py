"""An entry of a rule file as the program works with it: its fields as they were read, its texts where they stand.

The models of ``reading.entries`` check what is written. What was checked once needs them no more, so that a start
loads none of them: an image makes these plain entries, which have the same fields. A text is looked up in the words of
the rule base when it is first shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import FrozenInstanceError
from typing import Any, ClassVar, NoReturn

from advisor.rulebase.language.words import NO_WORDS, Words

Row = Mapping[str, float | str]

TEXT, LIST, MAPPING, ROWS = "text", "list", "mapping", "rows"
"""How texts stand in a field: one, several in order, several by name, or in cells of a table."""
PLACE = "_place"
"""The key under which an entry keeps where it stands."""


class Entry:
    """One entry; each kind of entry is a class of its own, made by ``kind_of``.

    The attributes of the kind begin with ``of_``: the names of its fields in order, what those hold that are left out,
    how texts stand in fields, and the words of the rule base.
    """

    of_fields: ClassVar[tuple[str, ...]] = ()
    of_defaults: ClassVar[Mapping[str, Any]] = {}
    of_texts: ClassVar[Mapping[str, str]] = {}
    of_words: ClassVar[Words] = NO_WORDS

    @property
    def logic(self) -> dict[str, Any]:
        """What it holds besides texts: what an image keeps of it."""
        return {name: value for name, value in self.__dict__.items() if name not in self.of_texts}

    def __setattr__(self, name: str, _: object) -> NoReturn:
        raise FrozenInstanceError(f"cannot change {name!r} of a {type(self).__name__}")

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Entry) or type(self).__name__ != type(other).__name__:
            return NotImplemented
        return self is other or as_written(self) == as_written(other)

    def __hash__(self) -> int:
        return hash(self.__dict__[PLACE])

    def __repr__(self) -> str:
        return f"{type(self).__name__}({as_written(self)})"


class _Texts:
    """A field of texts, looked up when it is first asked for."""

    def __init__(self, name: str, how: str) -> None:
        self.name, self.how = name, how

    def __get__(self, entry: Any, _: object = None) -> Any:
        found = entry.__dict__[self.name] = self._looked_up(entry, entry.of_words)
        return found

    def _looked_up(self, entry: Any, words: Words) -> Any:
        place = f"{entry.__dict__[PLACE]}.{self.name}"
        if self.how == TEXT:
            text = words.get(place)
            return entry.of_defaults.get(self.name) if text is None else text
        if self.how == LIST:
            return words.several(place)
        kept = entry.__dict__[kept_as(self.name)]
        if self.how == MAPPING:
            return {key: words[f"{place}.{key}"] for key in kept}
        return [
            {column: words[f"{row_place}.{column}"] if cell is None else cell for column, cell in row.items()}
            for row_place, row in zip(row_places(place, entry, kept), kept, strict=True)
        ]


def kind_of(name: str, fields: tuple[str, ...], defaults: Mapping[str, Any], texts: Mapping[str, str]) -> type[Entry]:
    """A kind of entry.

    Args:
        name: Its name, which is that of its model.
        fields: Its fields in order.
        defaults: What a field holds that is left out.
        texts: For each field that holds texts, how they stand in it.
    """
    held = {field: default for field, default in defaults.items() if field not in texts}
    held |= {field: _Texts(field, how) for field, how in texts.items()}
    return type(name, (Entry,), {**held, "of_fields": fields, "of_defaults": defaults, "of_texts": texts})


def kept_as(name: str) -> str:
    """The key under which an entry keeps the logic of a field that holds texts too: names, or cells."""
    return f"_{name}"


def as_written(entry: Any) -> dict[str, Any]:
    """The fields of an entry that are given, in order, as plain data."""
    given = ((name, getattr(entry, name)) for name in entry.of_fields)
    return {
        name: _plain(value)
        for name, value in given
        if value is not None and not (name in entry.of_defaults and value == entry.of_defaults[name])
    }


def _plain(value: Any) -> Any:
    if isinstance(value, Entry):
        return as_written(value)
    if isinstance(value, Mapping):
        return {name: _plain(one) for name, one in value.items()}
    return type(value)(map(_plain, value)) if isinstance(value, list | tuple) else value


def columns_of_texts(table: Any) -> frozenset[str]:
    """The columns of a table whose cells are texts for people; by what stands in its key a row is known."""
    key = key_columns(table)
    return frozenset(column for column, kind in table.columns.items() if kind == "text" and column not in key)


def key_columns(table: Any) -> tuple[str, ...]:
    """The columns of the key of a table; none where rows cannot be told apart."""
    return (table.key,) if isinstance(table.key, str) else tuple(table.key or ())


def row_places(place: str, table: Any, rows: Sequence[Row]) -> Iterator[str]:
    """Where each row of a table stands: by its key, or by its number where the table has none."""
    for number, row in enumerate(rows):
        named = "-".join(str(row.get(column, "")) for column in key_columns(table))
        yield f"{place}.{named or number}"
