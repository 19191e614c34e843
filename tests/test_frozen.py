"""Frozen classes behave as frozen dataclasses with slots do."""

from __future__ import annotations

import copy
import pickle
from dataclasses import FrozenInstanceError, dataclass, field, fields, is_dataclass, replace
from typing import Any

import pytest
from pydantic import TypeAdapter

from advisor.frozen import freeze, frozen, is_frozen


class Plain:
    """What both are made of."""

    __annotations__ = {"name": "str", "size": "int", "tags": "tuple[str, ...]", "more": "dict[str, int]"}
    size = 3
    tags = ()
    more = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.size < 0:
            raise ValueError("too small")

    def doubled(self) -> int:
        return 2 * self.size


Ours = frozen(type("Thing", (), dict(vars(Plain))))
Theirs = dataclass(frozen=True)(type("Thing", (), dict(vars(Plain))))


@pytest.mark.parametrize(
    ("given", "named"),
    [(("a",), {}), (("a", 5), {}), ((), {"size": 1, "name": "b"}), (("a",), {"tags": ("x",), "more": {"k": 1}})],
)
def test_it_is_made_and_shown_as_a_dataclass(given: tuple[Any, ...], named: dict[str, Any]) -> None:
    ours, theirs = Ours(*given, **named), Theirs(*given, **named)
    assert repr(ours) == repr(theirs)
    assert [getattr(ours, one.name) for one in fields(ours)] == [getattr(theirs, one.name) for one in fields(theirs)]
    assert ours == Ours(*given, **named)
    assert ours.doubled() == theirs.doubled()


@pytest.mark.parametrize(
    ("given", "named", "error"),
    [
        ((), {}, TypeError),
        (("a",), {"other": 1}, TypeError),
        (("a", 1, (), {}, 9), {}, TypeError),
        (("a", -1), {}, ValueError),
    ],
)
def test_it_refuses_what_a_dataclass_refuses(
    given: tuple[Any, ...], named: dict[str, Any], error: type[Exception]
) -> None:
    for kind in (Ours, Theirs):
        with pytest.raises(error):
            kind(*given, **named)


def test_it_never_changes() -> None:
    thing = Ours("a")
    for name in ("name", "new"):
        with pytest.raises(FrozenInstanceError):
            setattr(thing, name, "b")
    with pytest.raises(FrozenInstanceError):
        del thing.name
    assert not hasattr(thing, "__dict__")
    assert thing.name == "a"


def test_what_is_left_out_is_made_anew_for_each() -> None:
    assert Ours("a").more is not Ours("a").more


@frozen
class Pair:
    """For comparing."""

    left: int
    right: int


@frozen
class Other:
    """The same fields under another name."""

    left: int
    right: int


def test_it_is_compared_and_hashed_by_its_fields_and_its_class() -> None:
    assert Pair(1, 2) == Pair(1, 2)
    assert Pair(1, 2) != Pair(2, 1)
    assert Pair(1, 2) != Other(1, 2)
    assert hash(Pair(1, 2)) == hash(Pair(1, 2))
    assert len({Pair(1, 2), Pair(1, 2), Pair(2, 1)}) == 2
    match Pair(1, 2):
        case Pair(left, right):
            assert (left, right) == (1, 2)


def test_what_works_with_dataclasses_works_with_it() -> None:
    assert is_dataclass(Pair)
    assert replace(Pair(1, 2), right=5) == Pair(1, 5)
    assert copy.deepcopy(Pair(1, 2)) == pickle.loads(pickle.dumps(Pair(1, 2))) == Pair(1, 2)
    assert TypeAdapter(Pair).validate_python({"left": "1", "right": 2}) == Pair(1, 2)
    assert TypeAdapter(Pair).dump_json(Pair(1, 2)) == b'{"left":1,"right":2}'
    assert is_frozen(Pair)
    assert not is_frozen(Plain)


def test_fields_given_by_name_may_have_defaults_before_those_that_have_none() -> None:
    spaced = freeze(type("Spaced", (), {"__annotations__": {"width": "int", "name": "str"}, "width": 2}), kw_only=True)
    one = spaced(name="a")
    assert (one.width, one.name) == (2, "a")
    assert replace(one, width=3) == spaced(name="a", width=3)
    assert [found.name for found in fields(spaced)] == ["width", "name"]


def test_a_class_that_writes_its_own_beginning_keeps_it() -> None:
    @frozen
    class Twice:
        number: int

        def __init__(self, number: int) -> None:
            put(self, 2 * number)

    put = vars(Twice)["number"].__set__
    assert Twice(3).number == 6
    assert Twice(3) == Twice(number=3)
