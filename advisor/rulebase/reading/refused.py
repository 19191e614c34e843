"""Says in the words of the program what a model of pydantic refuses."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from advisor.words import one_of, tr, tr_many

SHAPES = {
    "string_type": tr("text"),
    "list_type": tr("a list (lines that start with -)"),
    "dict_type": tr("a mapping (lines of  key: value)"),
    "model_type": tr("a mapping (lines of  key: value)"),
    "float_type": tr("a number"),
    "float_parsing": tr("a number"),
    "finite_number": tr("a number"),
    "int_type": tr("a whole number"),
    "int_parsing": tr("a whole number"),
    "int_from_float": tr("a whole number"),
    "bool_type": tr("true or false"),
    "bool_parsing": tr("true or false"),
}
"""What is wanted, by the kind of error that says that something of another shape stands there."""

_LIMITS: Mapping[str, Callable[[Mapping[str, Any]], str]] = {
    "greater_than": lambda of: tr("write a number above {least}", least=of["gt"]),
    "greater_than_equal": lambda of: tr("write a number of at least {least}", least=of["ge"]),
    "less_than": lambda of: tr("write a number below {most}", most=of["lt"]),
    "less_than_equal": lambda of: tr("write a number of at most {most}", most=of["le"]),
    "string_too_short": lambda _: tr("write some text"),
    "string_too_long": lambda of: tr_many(
        "write at most {count} letter", "write at most {count} letters", of["max_length"]
    ),
    "too_short": lambda of: tr_many("give at least {count} of them", "give at least {count} of them", of["min_length"]),
    "too_long": lambda of: tr_many("give at most {count} of them", "give at most {count} of them", of["max_length"]),
    "literal_error": lambda of: tr("use one of {words}", words=expected_words(of["expected"])),
    "missing": lambda _: tr("add it"),
    "value_error": lambda of: str(of["error"]),
}


def right_words(error: Any) -> str:
    """What would be right, from one error of a model; of a check of our own what it says."""
    kind = error["type"]
    if kind in SHAPES:
        return tr("write {shapes}", shapes=SHAPES[kind])
    return _LIMITS[kind](error.get("ctx", {})) if kind in _LIMITS else tr("leave it out, or correct it")


def expected_words(words: str) -> str:
    """The words that may stand somewhere; as they come only the last two are joined by a word."""
    some, _, last = words.rpartition(" or ")
    return one_of([some, last] if some else [last])
