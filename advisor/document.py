"""Documents the program gives: what their parts are made by, and how they become JSON and are read again."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import field, fields
from typing import TYPE_CHECKING, Any, TypeVar, dataclass_transform, get_args, get_type_hints

from advisor.frozen import freeze, is_frozen

if TYPE_CHECKING:
    from pydantic import TypeAdapter

T = TypeVar("T")


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(field,))
def part(kind: type[T]) -> type[T]:
    """Make a class of annotated fields a part of documents: frozen, made by names, nothing unknown in what is read.

    Nothing is validated when a part is made: its values were just worked out by our own code, and mypy checks their
    types. What is read from outside is validated by ``read_json`` and ``read_plain``. A description of a field stands
    in its type, as ``Annotated[str, Field(description=...)]``.
    """
    made = freeze(kind, kw_only=True)
    made.__pydantic_config__ = {"extra": "forbid"}  # type: ignore[attr-defined]
    return made


def is_part(thing: object) -> bool:
    """Whether something is a part of a document."""
    return hasattr(type(thing), "__pydantic_config__") and is_frozen(type(thing))


_ONCE = "said_once"
"""Where parts stand that are named in several places of a document."""


def once(table: str) -> Callable[[type[T]], type[T]]:
    """Make a kind of part stand once in the JSON of a document, in a table of this name, however often it is named.

    Where it is named there is a JSON pointer: ``{"$ref": "#/said_once/sources/3"}``.
    """

    def marked(kind: type[T]) -> type[T]:
        kind.__said_once__ = table  # type: ignore[attr-defined]
        return kind

    return marked


_ADAPTERS: dict[type[Any], TypeAdapter[Any]] = {}


def _adapter(kind: type[Any]) -> TypeAdapter[Any]:
    """What validates one kind of document; made when it is first needed, since that takes a while."""
    if kind not in _ADAPTERS:
        from pydantic import TypeAdapter

        _ADAPTERS[kind] = TypeAdapter(kind)
    return _ADAPTERS[kind]


def json_text(document: object) -> str:
    """A document as JSON."""
    return json_of(plain(document), indent=1)


TURNING = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Letters that turn the direction of writing, with which a name could pose as another."""
_UNSEEN = re.compile(f"[\x7f-\x9f\u2028\u2029{''.join(sorted(TURNING))}]")


def comment(words: str) -> str:
    """Words as one line that YAML passes over, whatever a translation made of them."""
    return f"# {' '.join(words.split())}"


def json_of(values: object, *, indent: int | None = None) -> str:
    """Plain values as JSON that may be shown on any screen; YAML reads it too.

    Letters stand as they are, except those that a terminal would obey and those that turn the direction of writing.
    """
    return without_orders(json.dumps(values, ensure_ascii=False, indent=indent, allow_nan=False))


def without_orders(written: str) -> str:
    """JSON that is written already, with escapes for what a terminal would obey or what turns the direction of writing.

    Such letters can stand only within texts, so the values stay the same.
    """
    return _UNSEEN.sub(lambda found: f"\\u{ord(found.group()):04x}", written)


def plain(document: object) -> dict[str, Any]:
    """A document as plain values, as JSON holds them."""
    tables: dict[str, dict[str, Any]] = {}
    values: dict[str, Any] = _plain(document, tables, {})
    return {**values, _ONCE: tables} if tables else values


def _plain(value: Any, tables: dict[str, dict[str, Any]], named: dict[Any, str]) -> Any:
    """Plain values; what stands once goes into its table and leaves a pointer."""
    if isinstance(value, str) or value is None:
        return value
    if isinstance(value, (tuple, list)):
        return [_plain(one, tables, named) for one in value]
    if isinstance(value, dict):
        return {name: _plain(one, tables, named) for name, one in value.items()}
    if not is_part(value):
        return value
    table = getattr(type(value), "__said_once__", None)
    if table is not None and value in named:
        return {"$ref": named[value]}
    made = {one.name: _plain(getattr(value, one.name), tables, named) for one in fields(value)}
    if table is None:
        return made
    rows = tables.setdefault(table, {})
    rows[str(len(rows) + 1)] = made
    named[value] = f"#/{_ONCE}/{table}/{len(rows)}"
    return {"$ref": named[value]}


def _whole(values: Any, tables: Mapping[str, Mapping[str, Any]]) -> Any:
    """Plain values with each pointer replaced by what it points to.

    Raises:
        ValueError: If a pointer points nowhere.
    """
    if isinstance(values, list):
        return [_whole(one, tables) for one in values]
    if not isinstance(values, dict):
        return values
    if set(values) != {"$ref"}:
        return {name: _whole(one, tables) for name, one in values.items()}
    try:
        _, _, table, row = values["$ref"].split("/")
        found = tables[table][row]
    except (AttributeError, KeyError, TypeError, ValueError):
        raise ValueError(f"{values['$ref']} points nowhere") from None
    # A table holds no pointer to itself, so this ends.
    return _whole(found, {name: rows for name, rows in tables.items() if name != table})


def read_json(kind: type[T], text: str) -> T:
    """A document from JSON.

    Raises:
        ValueError: If it is none of that kind.
    """
    return read_plain(kind, json.loads(text))


def read_plain(kind: type[T], values: object) -> T:
    """A document from plain values.

    Raises:
        ValueError: If they are none of that kind.
    """
    if isinstance(values, dict) and isinstance(values.get(_ONCE), dict):
        body = {name: value for name, value in values.items() if name != _ONCE}
        values = _whole(body, values[_ONCE])
    # What is read came from JSON, so it is held to the rules of JSON: a list is a tuple.
    found: T = _adapter(kind).validate_json(json.dumps(values))
    return found


def schema_of(kind: type[Any]) -> dict[str, Any]:
    """The JSON Schema of a kind of document."""
    schema = _adapter(kind).json_schema(mode="serialization")
    tables = _tables_of(kind)
    if not tables:
        return schema
    pointer = {
        "type": "object",
        "properties": {"$ref": {"type": "string"}},
        "required": ["$ref"],
        "additionalProperties": False,
    }
    found = _pointed(schema, {f"#/$defs/{name}" for name in tables.values()})
    rows = {
        table: {"type": "object", "additionalProperties": {"$ref": f"#/$defs/{name}"}} for table, name in tables.items()
    }
    said = {
        "type": "object",
        "properties": rows,
        "additionalProperties": False,
        "description": "Parts named in several places.",
    }
    return {
        **found,
        "properties": {**found["properties"], _ONCE: said},
        "$defs": {**found["$defs"], "Pointer": pointer},
    }


def _pointed(schema: Any, once_there: set[str]) -> Any:
    """A schema with pointers in place of the parts that stand once."""
    if isinstance(schema, list):
        return [_pointed(one, once_there) for one in schema]
    if not isinstance(schema, dict):
        return schema
    if schema.get("$ref") in once_there:
        return {**schema, "$ref": "#/$defs/Pointer"}
    return {name: _pointed(one, once_there) for name, one in schema.items()}


def _tables_of(kind: type[Any]) -> dict[str, str]:
    """The tables that a document of a kind may hold, with the names of the parts that stand there."""
    seen: dict[type[Any], None] = {}

    def visit(hint: Any) -> None:
        if isinstance(hint, type) and is_frozen(hint) and hint not in seen:
            seen[hint] = None
            for one in get_type_hints(hint).values():
                visit(one)
        for inner in get_args(hint):
            visit(inner)

    visit(kind)
    return {one.__said_once__: one.__name__ for one in seen if hasattr(one, "__said_once__")}
