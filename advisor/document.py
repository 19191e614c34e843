"""Documents the program gives: what their parts are made by, and how they become JSON and are read again."""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Any, TypeVar, dataclass_transform

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


_ADAPTERS: dict[type[Any], TypeAdapter[Any]] = {}


def _adapter(kind: type[Any]) -> TypeAdapter[Any]:
    """What validates and writes one kind of document; made when it is first needed, since that takes a while."""
    if kind not in _ADAPTERS:
        from pydantic import TypeAdapter

        _ADAPTERS[kind] = TypeAdapter(kind)
    return _ADAPTERS[kind]


def json_text(document: object) -> str:
    """A document as JSON."""
    return _adapter(type(document)).dump_json(document, indent=2).decode("utf-8")


def plain(document: object) -> dict[str, Any]:
    """A document as plain values, as JSON holds them."""
    values: dict[str, Any] = _adapter(type(document)).dump_python(document, mode="json")
    return values


def read_json(kind: type[T], text: str) -> T:
    """A document from JSON.

    Raises:
        ValueError: If it is none of that kind.
    """
    found: T = _adapter(kind).validate_json(text)
    return found


def read_plain(kind: type[T], values: object) -> T:
    """A document from plain values.

    Raises:
        ValueError: If they are none of that kind.
    """
    found: T = _adapter(kind).validate_python(values)
    return found


def schema_of(kind: type[Any]) -> dict[str, Any]:
    """The JSON Schema of a kind of document."""
    return _adapter(kind).json_schema(mode="serialization")
