"""From rule files to one set of entries: each file checked by itself, then the layers laid over each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from pydantic import ValidationError

from advisor.errors import Fault
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.reading.entry_faults import entry_faults
from advisor.rulebase.reading.origins import Origin, Override
from advisor.rulebase.reading.rule_file import RuleFile
from advisor.rulebase.reading.texts import placeholder_names
from advisor.rulebase.reading.yaml_reader import Document, Path_
from advisor.words import tr

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
    "preparations",
    "looks",
    "acts",
    "kinds",
)
LISTED = (
    *("arguments", "hazards", "steps", "amounts", "expectations", "referrals", "checks"),
    *("invariants", "worse", "kept"),
)


@dataclass(slots=True)
class LocatedEntry:
    """One entry with where it stands, so that a later fault can name its line."""

    entry: Any
    document: Document
    path: Path_
    layer: str
    named: str
    """What the author calls it: its section and its name."""
    rows: list[tuple[LocatedEntry, int]] = field(default_factory=list)
    """The rows of a table, each with the entry it was written in and its place there."""

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

    def fault(self, field_path: Path_, wrong: str, right: str) -> Fault:
        """A fault in one of its fields."""
        where = self.named
        if field_path:
            where += ", " + ".".join(str(part) for part in field_path)
        return self.document.fault((*self.path, *field_path), where, wrong, right)


@dataclass(slots=True)
class Merged:
    """All entries of all layers, by section and name."""

    base: LocatedEntry | None = None
    groups: dict[str, str] = field(default_factory=dict)
    needs: list[tuple[str, str, LocatedEntry]] = field(default_factory=list)
    sections: dict[str, dict[str, LocatedEntry]] = field(
        default_factory=lambda: {name: {} for name in (*MAPPED, *LISTED)}
    )
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
        tables: list[tuple[str, LocatedEntry]] = []
        for document in documents:
            rule_file = _validated(document, merged.faults)
            if rule_file is not None:
                _add(merged, title, document, rule_file, mine)
                tables += [
                    (name, LocatedEntry(entry, document, ("tables", name), title, f"tables {name}"))
                    for name, entry in rule_file.tables.items()
                ]
        # A table may begin in a later file than the one that adds rows to it.
        for name, held in sorted(tables, key=lambda one: not one[1].entry.columns):
            _put_table(merged, name, held)
    if merged.base is None and not merged.faults:
        first = tr("the rule base")
        merged.faults.append(
            Fault(
                first,
                0,
                "",
                tr("no file holds a 'base' section"),
                tr("add base: with title, format, strengths, groups and stages"),
            )
        )
    return merged


def _validated(document: Document, faults: list[Fault]) -> RuleFile | None:
    if document.data is None:
        return RuleFile()
    if not isinstance(document.data, dict):
        faults.append(
            document.fault((), "", tr("this is not a rule file"), tr("start with a section such as  arguments:"))
        )
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
                    tr("a second base section (the first stands in {name})", name=merged.base.document.name),
                    tr("keep one"),
                )
            )
        elif merged.base is not None:
            merged.overrides.append(Override("base", "base", layer, "replaced", ""))
        merged.base = LocatedEntry(rule_file.base, document, ("base",), layer, "base")
    merged.groups.update(rule_file.groups)
    for needed, names in rule_file.needs.items():
        for position, name in enumerate(names):
            place: Path_ = ("needs", needed, position)
            merged.needs.append((needed, name, LocatedEntry(None, document, place, layer, f"needs {name}")))
    for section in MAPPED:
        if section == "tables":
            continue
        for name, entry in getattr(rule_file, section).items():
            _put(
                merged, section, name, LocatedEntry(entry, document, (section, name), layer, f"{section} {name}"), mine
            )
    for section in LISTED:
        for position, entry in enumerate(getattr(rule_file, section)):
            _put(
                merged,
                section,
                entry.id,
                LocatedEntry(entry, document, (section, position), layer, f"{section} {entry.id}"),
                mine,
            )
    for position, retirement in enumerate(rule_file.retire):
        _retire(
            merged,
            layer,
            LocatedEntry(retirement, document, ("retire", position), layer, f"retire {retirement.id}"),
        )


def _put(merged: Merged, section: str, name: str, held: LocatedEntry, mine: set[tuple[str, str]]) -> None:
    entries = merged.sections[section]
    before = entries.get(name)
    if (section, name) in mine and before is not None:
        first = before.origin
        merged.faults.append(
            held.fault(
                (),
                tr("this id already stands at {file}:{line}", file=first.file, line=first.line),
                tr("give it an id of its own"),
            )
        )
        return
    if before is not None:
        merged.overrides.append(Override(section, name, held.layer, "replaced", ""))
    mine.add((section, name))
    entries[name] = held


def _put_table(merged: Merged, name: str, held: LocatedEntry) -> None:
    """Begin a table, or add its rows to the one that stands: row by row, by its key."""
    tables = merged.sections["tables"]
    begun = tables.get(name)
    if held.entry.columns and begun is None:
        tables[name] = begun = replace(held, rows=[])
    fault = _fault_of_addition(name, begun, held, list(tables))
    if fault is not None or begun is None:
        merged.faults += [fault] if fault else []
        return
    lower = {_key(begun, *row): row for row in begun.rows if row[0].layer != held.layer}
    if held.entry.whole:
        begun.rows.clear()
        merged.overrides.append(Override("tables", name, held.layer, "replaced whole", ""))
    place = {_key(begun, *row): number for number, row in enumerate(begun.rows)}
    for position in range(len(held.entry.rows)):
        key = _key(begun, held, position)
        if key in lower:
            merged.faults += _strange_places(begun, held, position, *lower[key])
        before = place.get(key)
        if before is None:
            place[key] = len(begun.rows)
            begun.rows.append((held, position))
        elif begun.rows[before][0].layer == held.layer:
            first, number = begun.rows[before]
            line = first.document.line_of((*first.path, "rows", number))
            wrong = tr("a row of this key already stands at {name}:{line}", name=first.document.name, line=line)
            merged.faults.append(held.fault(("rows", position), wrong, tr("keep one of them")))
        else:
            row = ", ".join(str(part) for part in key) or "its one row"
            merged.overrides.append(Override("tables", f"{name}, {row}", held.layer, "replaced", ""))
            begun.rows[before] = (held, position)


def _strange_places(
    begun: LocatedEntry, held: LocatedEntry, position: int, lower: LocatedEntry, number: int
) -> Iterator[Fault]:
    """Places in the texts of a row that the row it replaces has not: nothing would be put into them."""
    row, replaced = held.entry.rows[position], lower.entry.rows[number]
    for column in (column for column, kind in begun.entry.columns.items() if kind == "text" and column in row):
        known = dict.fromkeys(placeholder_names(str(replaced.get(column, ""))))
        strange = [name for name in dict.fromkeys(placeholder_names(str(row[column]))) if name not in known]
        if strange:
            wrong = tr("nothing is put into {places}", places=_braced(strange))
            right = tr("places of this text are {places}", places=_braced(known)) if known else tr("write no braces")
            yield held.fault(("rows", position, column), wrong, right)


def _braced(names: Iterable[str]) -> str:
    return ", ".join(f"{{{name}}}" for name in names)


def _key(begun: LocatedEntry, held: LocatedEntry, position: int) -> tuple[object, ...]:
    """What a row is known by; rows of a table without a key are all different."""
    columns = begun.entry.key_columns
    if columns is None or not set(columns) <= set(begun.entry.columns):
        return held.document.name, position
    row = held.entry.rows[position]
    return tuple(row.get(column) for column in columns)


def _fault_of_addition(name: str, begun: LocatedEntry | None, held: LocatedEntry, known: list[str]) -> Fault | None:
    if begun is None:
        wrong, right = tr("there is no such table to add rows to"), tr("begin it with a title and its columns")
        return held.fault((), wrong, right + closest(name, known))
    if begun.document is held.document:
        return None
    where = f"{begun.origin.file}:{begun.origin.line}"
    if held.entry.columns:
        wrong = tr("the title and columns of this table stand at {where}", where=where)
        return held.fault(("columns",), wrong, tr("write only the rows that you add or change"))
    if begun.entry.key is None and begun.layer != held.layer and not held.entry.whole:
        wrong = tr("the table at {where} has no key, so single rows of it cannot be changed", where=where)
        return held.fault((), wrong, tr("write all of its rows, and  whole: true"))
    return None


def _retire(merged: Merged, layer: str, held: LocatedEntry) -> None:
    retirement = held.entry
    if merged.sections[retirement.section].pop(retirement.id, None) is None:
        known = list(merged.sections[retirement.section])
        merged.faults.append(
            held.fault(
                (),
                tr("there is no such entry in {section}", section=retirement.section),
                tr("name an existing id") + closest(retirement.id, known),
            )
        )
        return
    merged.overrides.append(Override(retirement.section, retirement.id, layer, "switched off", retirement.reason))
