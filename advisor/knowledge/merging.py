"""From rule files to one set of entries: each file checked by itself, then the layers laid over each other."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError

from advisor.errors import Fault
from advisor.knowledge.entries import Entry
from advisor.knowledge.formulas import closest
from advisor.knowledge.rule_file import RuleFile
from advisor.knowledge.rulebase import Origin, Override
from advisor.knowledge.yaml_reader import Document, Path_

MAPPED = (
    "sources",
    "facts",
    "thresholds",
    "findings",
    "decisions",
    "materials",
    "quantities",
    "minerals",
    "tables",
    "pieces",
    "causes",
    "corrections",
    "drawings",
)
LISTED = ("arguments", "hazards", "steps", "amounts", "expectations", "referrals", "checks")


@dataclass(slots=True)
class Held:
    """One entry with where it stands, so that a later fault can name its line."""

    entry: Any
    document: Document
    path: Path_
    layer: str

    @property
    def of_diagnosis(self) -> bool:
        """Whether it stands in a file that only the diagnosis uses."""
        return isinstance(self.document.data, dict) and self.document.data.get("consultation") == "diagnose"

    @property
    def origin(self) -> Origin:
        """Where it stands, for the user."""
        return Origin(self.document.name, self.document.line_of(self.path), self.layer)

    def fault(self, section: str, name: str, field_path: Path_, wrong: str, right: str) -> Fault:
        """A fault in one of its fields."""
        where = f"{section} {name}"
        if field_path:
            where += ", " + ".".join(str(part) for part in field_path)
        return self.document.fault((*self.path, *field_path), where, wrong, right)


@dataclass(slots=True)
class Merged:
    """All entries of all layers, by section and name."""

    base: Held | None = None
    groups: dict[str, str] = field(default_factory=dict)
    sections: dict[str, dict[str, Held]] = field(default_factory=lambda: {name: {} for name in (*MAPPED, *LISTED)})
    overrides: list[Override] = field(default_factory=list)
    layers: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def merge(layers: Iterable[tuple[str, list[Document]]]) -> Merged:
    """Lay the layers over each other; a later layer's entry of the same name replaces the earlier one.

    Args:
        layers: Title and documents of each layer, the shipped one first.

    Returns:
        The entries and every fault found in them; nothing is raised, so that all faults are reported at once.
    """
    merged = Merged()
    for title, documents in layers:
        merged.layers.append(title)
        mine: set[tuple[str, str]] = set()
        for document in documents:
            rule_file = _validated(document, merged.faults)
            if rule_file is not None:
                _add(merged, title, document, rule_file, mine)
    if merged.base is None and not merged.faults:
        first = "the rule base"
        merged.faults.append(
            Fault(
                first,
                0,
                "",
                "no file holds a 'base' section",
                "add base: with title, format, strengths, groups and stages",
            )
        )
    return merged


def _validated(document: Document, faults: list[Fault]) -> RuleFile | None:
    if document.data is None:
        return RuleFile()
    if not isinstance(document.data, dict):
        faults.append(document.fault((), "", "this is not a rule file", "start with a section such as  arguments:"))
        return None
    try:
        return RuleFile.model_validate(document.data)
    except ValidationError as problem:
        errors = problem.errors(include_url=False)
        faults.extend(_entry_faults(document, errors[:_MOST_ERRORS]))
        if len(errors) > _MOST_ERRORS:
            wrong = f"there are {len(errors) - _MOST_ERRORS} more faults like these"
            faults.append(Fault(document.name, 0, "", wrong, "mend the others first"))
        return None


_MOST_ERRORS = 500

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
    if kind == "string_pattern_mismatch":
        return document.fault(
            path,
            where,
            f"{shown} is not a valid name",
            "use lower-case letters, digits and single - or _ between words",
        )
    message = error["msg"].removeprefix("Value error, ")
    return document.fault(path, where, f"{shown} does not fit here", message[:1].lower() + message[1:])


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


def _inner_model(annotation: Any) -> type[Entry] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation  # type: ignore[return-value]
    for argument in get_args(annotation):
        found = _inner_model(argument)
        if found is not None:
            return found
    return None


def _add(merged: Merged, layer: str, document: Document, rule_file: RuleFile, mine: set[tuple[str, str]]) -> None:
    if rule_file.base is not None:
        if merged.base is not None and merged.base.layer == layer:
            merged.faults.append(
                document.fault(
                    ("base",),
                    "base",
                    f"a second base section (the first stands in {merged.base.document.name})",
                    "keep one",
                )
            )
        elif merged.base is not None:
            merged.overrides.append(Override("base", "base", layer, "replaced", ""))
        merged.base = Held(rule_file.base, document, ("base",), layer)
    merged.groups.update(rule_file.groups)
    for section in MAPPED:
        for name, entry in getattr(rule_file, section).items():
            _put(merged, section, name, Held(entry, document, (section, name), layer), mine)
    for section in LISTED:
        for position, entry in enumerate(getattr(rule_file, section)):
            _put(merged, section, entry.id, Held(entry, document, (section, position), layer), mine)
    for position, retirement in enumerate(rule_file.retire):
        _retire(merged, layer, Held(retirement, document, ("retire", position), layer))


def _put(merged: Merged, section: str, name: str, held: Held, mine: set[tuple[str, str]]) -> None:
    entries = merged.sections[section]
    before = entries.get(name)
    if (section, name) in mine and before is not None:
        first = before.origin
        merged.faults.append(
            held.fault(
                section,
                name,
                (),
                f"this id already stands at {first.file}:{first.line}",
                "give it an id of its own",
            )
        )
        return
    if before is not None:
        merged.overrides.append(Override(section, name, held.layer, "replaced", ""))
    mine.add((section, name))
    entries[name] = held


def _retire(merged: Merged, layer: str, held: Held) -> None:
    retirement = held.entry
    if merged.sections[retirement.section].pop(retirement.id, None) is None:
        known = list(merged.sections[retirement.section])
        merged.faults.append(
            held.fault(
                "retire",
                retirement.id,
                (),
                f"there is no such entry in {retirement.section}",
                "name an existing id" + closest(retirement.id, known),
            )
        )
        return
    merged.overrides.append(Override(retirement.section, retirement.id, layer, "switched off", retirement.reason))
