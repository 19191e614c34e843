"""Says in the words of rule files what the models of the entries refuse."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError

from advisor.errors import Fault
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.reading.entries import RuleEntry
from advisor.rulebase.reading.refused import SHAPES, right_words
from advisor.rulebase.reading.rule_file import RuleFile
from advisor.rulebase.reading.yaml_reader import Document, Path_
from advisor.words import one_of, tr, tr_many

_MOST_ERRORS = 500
"""Faults of one file after which the rest is only counted."""


def entry_faults(document: Document, problem: ValidationError) -> list[Fault]:
    """What is wrong with the entries of one file, each with its line."""
    errors = problem.errors(include_url=False)
    faults = _entry_faults(document, errors[:_MOST_ERRORS])
    if len(errors) > _MOST_ERRORS:
        wrong = tr_many(
            "there is {count} more fault like these",
            "there are {count} more faults like these",
            len(errors) - _MOST_ERRORS,
        )
        faults.append(Fault(document.name, 0, "", wrong, tr("correct the others first")))
    return faults


def _entry_faults(document: Document, errors: Iterable[Any]) -> list[Fault]:
    """One fault for each wrong place; where several shapes are allowed, the fault names them all."""
    faults: list[Fault] = []
    shapes: dict[Path_, tuple[str, list[str]]] = {}
    exact: list[Path_] = []
    for error in errors:
        path = _place_of(document.data, error)
        if error["type"] in SHAPES:
            shapes.setdefault(path, (_shown(error), []))[1].append(SHAPES[error["type"]])
        else:
            exact.append(path)
            faults.append(_entry_fault(document, error, path))
    for path, (shown, wanted) in shapes.items():
        deeper = (place for place in shapes if len(place) > len(path))
        if not any(place[: len(path)] == path for place in (*exact, *deeper)):
            right = tr("write {shapes}", shapes=one_of(dict.fromkeys(wanted)))
            faults.append(
                document.fault(path, _name_of(document, path), tr("{shown} does not fit here", shown=shown), right)
            )
    return faults


def _shown(error: Any) -> str:
    given = error.get("input")
    if isinstance(given, bool):
        return str(given).lower()
    return f"'{given}'"[:62] if isinstance(given, str | int | float) else tr("this")


def _entry_fault(document: Document, error: Any, path: Path_) -> Fault:
    kind, shown = error["type"], _shown(error)
    where = _name_of(document, path)
    if kind == "extra_forbidden":
        keys = _fields_at(error["loc"][:-1])
        return document.fault(
            path,
            where if len(path) > 1 else "",
            tr("unknown key '{key}'", key=str(path[-1])[:60]),
            tr("known keys are {keys}", keys=", ".join(keys)) + closest(str(path[-1]), list(keys)),
        )
    if kind == "missing":
        return document.fault(path[:-1], where, tr("the key '{key}' is missing", key=path[-1]), tr("add it"))
    if kind == "literal_error":
        return document.fault(
            path,
            where,
            tr("{shown} stands here", shown=shown),
            right_words(error),
        )
    if kind == "string_pattern_mismatch" and " " in error["ctx"]["pattern"]:
        return document.fault(
            path,
            where,
            tr("{shown} is no act", shown=shown),
            tr("write an act and a material, for example  melt litharge"),
        )
    if kind == "string_pattern_mismatch":
        return document.fault(
            path,
            where,
            tr("{shown} is not a valid name", shown=shown),
            tr(
                "use lower-case letters, digits and single {sign} between words", sign=_between(error["ctx"]["pattern"])
            ),
        )
    return document.fault(path, where, tr("{shown} does not fit here", shown=shown), right_words(error))


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
            key = document.data[section][key].get("id", tr("number {number}", number=key + 1))
        except (AttributeError, KeyError, IndexError, TypeError):
            key = tr("number {number}", number=key + 1)
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
