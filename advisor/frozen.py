"""Frozen classes: what a frozen dataclass with slots is, declared in a tenth of its time.

``dataclass`` writes and compiles half a dozen methods for every class. That takes 0.6 ms each, so the classes of this
program would cost every start a tenth of a second, most of them for objects that the run never makes. Those made
here share their methods, and nothing is compiled. What else works with dataclasses (``replace``, ``fields``, pydantic)
works with them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field
from operator import attrgetter
from typing import Any, NoReturn, TypeVar, dataclass_transform

T = TypeVar("T")
S = TypeVar("S")


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def frozen(kind: type[T]) -> type[T]:
    """Freeze a class of annotated fields; a drop-in for ``@dataclass(frozen=True, slots=True)``.

    None of its parents has fields. One that writes its own ``__init__`` keeps it.
    """
    return freeze(kind)


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def kept(kind: type[T]) -> type[T]:
    """Freeze a class whose objects are kept in an image by the thousand and read at every start.

    It has no slots: what has none is read without a call in Python for each object.
    """
    return freeze(kind, slots=False)


def freeze(kind: type[T], *, kw_only: bool = False, slots: bool = True) -> type[T]:
    """What ``frozen`` does, for other decorators.

    Args:
        kind: The class.
        kw_only: Whether its fields are given by name, so that one with a default may stand before one without.
        slots: Whether its objects hold their fields in slots, which is smaller, or in a dictionary.
    """
    names = tuple(kind.__annotations__)
    inside = {name: value for name, value in vars(kind).items() if name not in ("__dict__", "__weakref__", *names)}
    inside.update(
        _SHARED,
        __match_args__=names,
        __qualname__=kind.__qualname__,
        _defaults={name: _default(vars(kind)[name]) for name in names if name in vars(kind)},
        _values=_values_of(names),
        _kw_only=kw_only,
    )
    if slots:
        inside.update(__slots__=names, __init__=vars(kind).get("__init__", _init))
    made: Any = type(kind.__name__, kind.__bases__, inside)
    made._setters = tuple(vars(made)[name].__set__ for name in names) if slots else ()
    made._names = frozenset(names)
    made._checks = hasattr(made, "__post_init__")
    return made  # type: ignore[no-any-return]


def is_kept(kind: type) -> bool:
    """Whether a class was made by ``kept``."""
    return is_frozen(kind) and vars(kind)["__init__"] is _init_without_slots


def is_frozen(kind: type) -> bool:
    """Whether a class was made by ``frozen``, ``kept`` or another of these decorators."""
    return vars(kind).get("__reduce__") is _reduce


class Remembers:
    """A parent of frozen classes whose objects keep what is worked out from them once.

    It is no part of their value: not compared, not copied, not written down.
    """

    __slots__ = ("_made",)

    def once(self: S, make: Callable[[S], T]) -> T:
        """What a function makes of this object; it is called on first use only."""
        made: dict[Callable[[S], T], T] | None = getattr(self, "_made", None)
        if made is None:
            made = {}
            object.__setattr__(self, "_made", made)
        if make not in made:
            made[make] = make(self)
        return made[make]


def _default(written: Any) -> tuple[Any, Callable[[], Any] | None]:
    """The value of a field that is left out, or else what makes it."""
    if not isinstance(written, Field):
        return written, None
    return (written.default, None) if written.default is not MISSING else (None, written.default_factory)  # type: ignore[return-value]


def _values_of(names: tuple[str, ...]) -> Callable[[Any], Any]:
    """All fields of an object at once, to compare it by."""
    return staticmethod(attrgetter(*names)) if names else staticmethod(lambda _: ())


def _init(self: Any, *given: Any, **named: Any) -> None:
    kind = type(self)
    if named or len(given) != len(kind._setters):
        given = _complete(kind, given, named)
    # Each slot itself sets its value, since the object refuses to.
    for put, value in zip(kind._setters, given, strict=True):
        put(self, value)
    if kind._checks:
        self.__post_init__()


def _init_without_slots(self: Any, *given: Any, **named: Any) -> None:
    kind = type(self)
    if named or len(given) != len(kind.__match_args__):
        given = _complete(kind, given, named)
    self.__dict__.update(zip(kind.__match_args__, given, strict=True))
    if kind._checks:
        self.__post_init__()


def _complete(kind: Any, given: tuple[Any, ...], named: dict[str, Any]) -> tuple[Any, ...]:
    """The values of all fields in order.

    Raises:
        TypeError: If one is missing, unknown or given twice.
    """
    names = kind.__match_args__
    if not given and named.keys() == kind._names:
        return tuple([named[name] for name in names])
    values = []
    for name in names[len(given) :]:
        if name in named:
            values.append(named[name])
        elif name in kind._defaults:
            value, maker = kind._defaults[name]
            values.append(value if maker is None else maker())
        else:
            raise TypeError(f"{kind.__name__} needs {name}")
    if len(given) > len(names) or not named.keys() <= set(names[len(given) :]):
        raise TypeError(f"{kind.__name__} takes {', '.join(names)}; given were {len(given)} values and {list(named)}")
    return (*given, *values)


def _eq(self: Any, other: Any) -> Any:
    if other.__class__ is not self.__class__:
        return NotImplemented
    return self._values(self) == other._values(other)


def _hash(self: Any) -> int:
    return hash(self._values(self))


def _repr(self: Any) -> str:
    return f"{type(self).__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in self.__match_args__)})"


def _refuse(self: Any, name: str, *_: Any) -> NoReturn:
    raise FrozenInstanceError(f"cannot change {name!r} of a {type(self).__name__}")


def _reduce(self: Any) -> Any:
    return type(self), tuple(getattr(self, name) for name in self.__match_args__)


class _Fields:
    """The description of the fields that dataclasses have, made for those who ask for it."""

    def __get__(self, _: Any, kind: Any) -> dict[str, Field[Any]]:
        inside = {
            name: value if maker is None else field(default_factory=maker)
            for name, (value, maker) in kind._defaults.items()
        }
        twin: Any = dataclass(kw_only=kind._kw_only)(
            type(kind.__name__, (), {**inside, "__annotations__": kind.__annotations__})
        )
        kind.__dataclass_fields__ = twin.__dataclass_fields__
        found: dict[str, Field[Any]] = kind.__dataclass_fields__
        return found


_SHARED: dict[str, Any] = {
    "__init__": _init_without_slots,
    "__eq__": _eq,
    "__hash__": _hash,
    "__repr__": _repr,
    "__setattr__": _refuse,
    "__delattr__": _refuse,
    "__reduce__": _reduce,
    "__dataclass_fields__": _Fields(),
}
