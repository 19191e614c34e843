"""Says in the words of rule files what the models of the entries refuse."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError

from advisor.errors import Fault
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.reading.entries import RuleEntry
from advisor.rulebase.reading.rule_file import RuleFile
from advisor.rulebase.reading.yaml_reader import Document, Path_

_MOST_ERRORS = 500
"""Faults of one file after which the rest is only counted."""

_SHAPES = {
    "string_type": "text",
    "list_type": "a list (lines that start with -)",
    "dict_type": "a mapping (lines of  key: value)",
    "model_type": "a mapping (lines of  key: value)",
    "float_type": "a number",
    "float_parsing": "a number",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
}


def entry_faults(document: Document, problem: ValidationError) -> list[Fault]:
    """What is wrong with the entries of one file, each with its line."""
    errors = problem.errors(include_url=False)
    faults = _entry_faults(document, errors[:_MOST_ERRORS])
    if len(errors) > _MOST_ERRORS:
        wrong = f"there are {len(errors) - _MOST_ERRORS} more faults like these"
        faults.append(Fault(document.name, 0, "", wrong, "correct the others first"))
    return faults


def _entry_faults(document: Document, errors: Iterable[Any]) -> list[Fault]:
    """One fault for each wrong place; where several shapes are allowed, the fault names them all."""
    faults: list[Fault] = []
    shapes: dict[Path_, tuple[str, list[str]]] = {}
    exact: list[Path_] = []
    for error in errors:
        path = _place_of(document.data, error)
        if error["type"] in _SHAPES:
            shapes.setdefault(path, (_shown(error), []))[1].append(_SHAPES[error["type"]])
        else:
            exact.append(path)
            faults.append(_entry_fault(document, error, path))
    for path, (shown, wanted) in shapes.items():
        deeper = (place for place in shapes if len(place) > len(path))
        if not any(place[: len(path)] == path for place in (*exact, *deeper)):
            right = "write " + " or ".join(dict.fromkeys(wanted))
            faults.append(document.fault(path, _name_of(document, path), f"{shown} does not fit here", right))
    return faults


def _shown(error: Any) -> str:
    given = error.get("input")
    if isinstance(given, bool):
        return str(given).lower()
    return f"'{given}'"[:62] if isinstance(given, str | int | float) else "this"


def _entry_fault(document: Document, error: Any, path: Path_) -> Fault:
    kind, shown = error["type"], _shown(error)
    where = _name_of(document, path)
    if kind == "extra_forbidden":
        keys = _fields_at(error["loc"][:-1])
        return document.fault(
            path,
            where if len(path) > 1 else "",
            f"unknown key '{str(path[-1])[:60]}'",
            f"known keys are {', '.join(keys)}{closest(str(path[-1]), list(keys))}",
        )
    if kind == "missing":
        return document.fault(path[:-1], where, f"the key '{path[-1]}' is missing", "add it")
    if kind == "literal_error":
        return document.fault(path, where, f"{shown} stands here", f"use one of {error['ctx']['expected']}")
    if kind == "string_pattern_mismatch" and " " in error["ctx"]["pattern"]:
        return document.fault(
            path, where, f"{shown} is no act", "write an act and a material, for example  melt litharge"
        )
    if kind == "string_pattern_mismatch":
        return document.fault(
            path,
            where,
            f"{shown} is not a valid name",
            f"use lower-case letters, digits and single {_between(error['ctx']['pattern'])} between words",
        )
    message = error["msg"].removeprefix("Value error, ")
    return document.fault(path, where, f"{shown} does not fit here", message[:1].lower() + message[1:])


def _between(pattern: str) -> str:
    """The sign that a name of this pattern has between its words: entries of lists have ``-``, all others ``_``."""
    return "-" if "(-" in pattern else "_"


def _place_of(data: Any, error: Any) -> Path_:
    """The part of an error's path that stands in the file; names of models and of checks are left out."""
    path: list[str | int] = []
    for part in error["loc"]:
        if _stands_in(data, part):
            data = data[part]
        elif error["type"] != "missing" or part != error["loc"][-1]:
            continue
        path.append(part)
    return tuple(path)


def _stands_in(data: Any, part: str | int) -> bool:
    if isinstance(data, dict):
        return part in data
    return isinstance(data, list) and isinstance(part, int) and part < len(data)


def _name_of(document: Document, path: Path_) -> str:
    if len(path) < 2:
        return str(path[0]) if path else ""
    section, key = path[0], path[1]
    if isinstance(key, int):
        try:
            key = document.data[section][key].get("id", f"number {key + 1}")
        except (AttributeError, KeyError, IndexError, TypeError):
            key = f"number {key + 1}"
    rest = ".".join(str(part) for part in path[2:])
    return f"{section} {key}" + (f", {rest}" if rest else "")


def _fields_at(path: tuple[str | int, ...]) -> tuple[str, ...]:
    """The keys allowed at a place in a rule file, found by walking the models."""
    model: Any = RuleFile
    names_follow = False
    for part in path:
        fields = getattr(model, "model_fields", {})
        if names_follow:
            names_follow = False
        elif isinstance(part, str) and part in fields:
            names_follow = get_origin(fields[part].annotation) is dict
            model = _inner_model(fields[part].annotation) or model
    return tuple(getattr(model, "model_fields", {}))


def _inner_model(annotation: Any) -> type[RuleEntry] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation  # type: ignore[return-value]
    for argument in get_args(annotation):
        found = _inner_model(argument)
        if found is not None:
            return found
    return None
