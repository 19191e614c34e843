"""Frozen classes: what a frozen dataclass with slots is, declared in a tenth of its time.

``dataclass`` writes and compiles half a dozen methods for every class. That takes 0.6 ms each, so the classes of this
program would cost every start a tenth of a second, most of them for objects that the run never makes. Those made
here share their methods; only ``__init__`` is compiled for each class, when its first object is made. Everything else
that works with dataclasses (``replace``, ``fields``, pydantic) works with them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field
from operator import attrgetter
from typing import Any, NoReturn, TypeVar, dataclass_transform

T = TypeVar("T")


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def frozen(kind: type[T]) -> type[T]:
    """Freeze a class of annotated fields; a drop-in for ``@dataclass(frozen=True, slots=True)``.

    None of its parents has fields.
    """
    names = tuple(kind.__annotations__)
    inside = {name: value for name, value in vars(kind).items() if name not in ("__dict__", "__weakref__", *names)}
    inside.update(
        _SHARED,
        __slots__=names,
        __match_args__=names,
        __qualname__=kind.__qualname__,
        _defaults={name: _default(vars(kind)[name]) for name in names if name in vars(kind)},
        _values=_values_of(names),
    )
    made: type[T] = type(kind.__name__, kind.__bases__, inside)
    return made


def is_frozen(kind: type) -> bool:
    """Whether a class was made by ``frozen``."""
    return vars(kind).get("__reduce__") is _reduce


def _default(written: Any) -> tuple[Any, Callable[[], Any] | None]:
    """The value of a field that is left out, or else what makes it."""
    if not isinstance(written, Field):
        return written, None
    return (written.default, None) if written.default is not MISSING else (None, written.default_factory)  # type: ignore[return-value]


def _values_of(names: tuple[str, ...]) -> Callable[[Any], Any]:
    """All fields of an object at once, to compare it by."""
    return staticmethod(attrgetter(*names)) if names else staticmethod(lambda _: ())


def _init(self: Any, *given: Any, **named: Any) -> None:
    """The first object of a class is made: compile what makes it, and go on with that."""
    kind = type(self)
    kind.__init__ = _compiled_init(kind)
    kind.__init__(self, *given, **named)


def _compiled_init(kind: Any) -> Callable[..., None]:
    known: dict[str, Any] = {}
    parameters, lines = ["self"], []
    for name in kind.__slots__:
        # The slot itself sets the value, since the object refuses to.
        known[f"_set_{name}"] = vars(kind)[name].__set__
        value, maker = kind._defaults.get(name, (MISSING, None))
        if maker is not None:
            known[f"_make_{name}"], value = maker, known.setdefault("_left_out", object())
            lines.append(f" if {name} is _left_out: {name} = _make_{name}()")
        if value is not MISSING:
            known[f"_default_{name}"] = value
        parameters.append(name if value is MISSING else f"{name}=_default_{name}")
        lines.append(f" _set_{name}(self, {name})")
    if hasattr(kind, "__post_init__"):
        lines.append(" self.__post_init__()")
    # Made of the names of fields alone, which are identifiers of the source.
    exec("\n".join([f"def __init__({', '.join(parameters)}):", *lines, " pass"]), known)
    made: Callable[..., None] = known["__init__"]
    made.__qualname__ = f"{kind.__qualname__}.__init__"
    return made


def _eq(self: Any, other: Any) -> Any:
    if other.__class__ is not self.__class__:
        return NotImplemented
    return self._values(self) == other._values(other)


def _hash(self: Any) -> int:
    return hash(self._values(self))


def _repr(self: Any) -> str:
    return f"{type(self).__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in self.__slots__)})"


def _refuse(self: Any, name: str, *_: Any) -> NoReturn:
    raise FrozenInstanceError(f"cannot change {name!r} of a {type(self).__name__}")


def _reduce(self: Any) -> Any:
    return type(self), tuple(getattr(self, name) for name in self.__slots__)


class _Fields:
    """The description of the fields that dataclasses have, made for those who ask for it."""

    def __get__(self, _: Any, kind: Any) -> dict[str, Field[Any]]:
        inside = {
            name: value if maker is None else field(default_factory=maker)
            for name, (value, maker) in kind._defaults.items()
        }
        twin: Any = dataclass(type(kind.__name__, (), {**inside, "__annotations__": kind.__annotations__}))
        kind.__dataclass_fields__ = twin.__dataclass_fields__
        found: dict[str, Field[Any]] = kind.__dataclass_fields__
        return found


_SHARED: dict[str, Any] = {
    "__init__": _init,
    "__eq__": _eq,
    "__hash__": _hash,
    "__repr__": _repr,
    "__setattr__": _refuse,
    "__delattr__": _refuse,
    "__reduce__": _reduce,
    "__dataclass_fields__": _Fields(),
}
