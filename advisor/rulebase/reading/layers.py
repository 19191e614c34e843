"""From rule files to one set of entries: each file checked by itself, then the layers laid over each other."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from advisor.errors import Fault
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.reading.entry_faults import entry_faults
from advisor.rulebase.reading.origins import Origin, Override
from advisor.rulebase.reading.rule_file import RuleFile
from advisor.rulebase.reading.yaml_reader import Document, Path_

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
LISTED = (
    *("arguments", "hazards", "steps", "amounts", "expectations", "referrals", "checks"),
    *("invariants", "worse", "kept"),
)


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
        return self.origin_of(())

    def origin_of(self, field_path: Path_) -> Origin:
        """Where one of its fields stands."""
        return Origin(self.document.name, self.document.line_of((*self.path, *field_path)), self.layer)

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
        faults.extend(entry_faults(document, problem))
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
