"""The base of every document the program gives: typed, frozen, and quick to make."""

from __future__ import annotations

from typing import Any, NamedTuple

from pydantic import BaseModel, ConfigDict

_set = object.__setattr__


class _Shape(NamedTuple):
    """The fields of one kind of part.

    Attributes:
        names: Their names, in order.
        defaults: The values of those that may be left out.
        fields_set: All names; one set serves every part, since a part never changes.
    """

    names: tuple[str, ...]
    defaults: dict[str, Any]
    fields_set: set[str]


class Part(BaseModel):
    """Base of every part of a document: frozen, nothing unknown, nothing missing.

    A part is made from values that our own code has just worked out, and mypy checks their types. So its making
    looks only at the names: validating some thousand parts again in each run takes longer than all rules together.
    Whoever reads a document from outside uses ``model_validate_json``, which checks everything.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    def __init__(self, **values: Any) -> None:
        kind = type(self)
        shape = _SHAPES.get(kind) or _shape_of(kind)
        if tuple(values) != shape.names:
            values = _in_order(kind, shape, values)
        _set(self, "__dict__", values)
        _set(self, "__pydantic_fields_set__", shape.fields_set)
        _set(self, "__pydantic_extra__", None)
        _set(self, "__pydantic_private__", None)

    # Reading a document validates it as every other model, without the way above.
    __init__.__pydantic_base_init__ = True  # type: ignore[attr-defined]


_SHAPES: dict[type[Part], _Shape] = {}


def _shape_of(kind: type[Part]) -> _Shape:
    fields = kind.model_fields
    defaults = {name: field.get_default() for name, field in fields.items() if not field.is_required()}
    shape = _SHAPES[kind] = _Shape(tuple(fields), defaults, set(fields))
    return shape


def _in_order(kind: type[Part], shape: _Shape, values: dict[str, Any]) -> dict[str, Any]:
    """The values in the order of the fields, with those that were left out.

    Raises:
        TypeError: If one is missing or unknown.
    """
    given = {**shape.defaults, **values}
    if given.keys() != shape.fields_set:
        raise TypeError(f"{kind.__name__} takes {', '.join(shape.names)}; given were {', '.join(values)}")
    return {name: given[name] for name in shape.names}
