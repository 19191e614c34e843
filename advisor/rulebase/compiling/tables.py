"""Compiles tables of figures, and holds every row against what its table says of its columns.

A column holds one of these:

- ``text``: any words for people, which may stand in another language, but for a column of the key. Where a shop's row
  replaces another, its text has no places in braces that the other has not.
- ``name``: what is the same in every language: an id, a year, a reference, a word that the program reads.
- a unit, such as ``g/g`` or ``share``: a number. Columns called low, likely and high (or ``low_min`` and so on) rise.
- ``a | b | minerals``: one of these words. A word that names something stands for what it names: a section
  (``minerals``, ``materials``, ``facts``, ``decisions``), entries of one kind (``minerals.sulphide``), a field of
  entries (``minerals.formula``), the options of a fact or decision (``facts.sulphide_minerals``), a column of another
  table (``species.formula``), or the keys of its rows that hold a word (``reagents.reductant``). ``a | b but c``
  leaves c out.
- ``option of COLUMN``: an option of the fact that stands in that column.
- ``formula``, or ``element of COLUMN``: a chemical formula, or an element that the substance of that column holds.
- ``reaction of COLUMN into WORDS``: a balanced equation that uses up the substance of that column and, as far as is
  said, makes nothing but those words.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from itertools import product
from typing import Any

from advisor.errors import Fault, InputError
from advisor.rulebase.compiling.context import Context
from advisor.rulebase.compiling.limits import MOST_ROWS
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import Source, Table
from advisor.rulebase.reading.entries import TableEntry
from advisor.rulebase.reading.layers import LocatedEntry
from advisor.units.substances import Reaction, atoms
from advisor.words import each_of, tr

Cells = Mapping[str, Any]
Wrong = tuple[str, str]
"""What is wrong, and what would be right."""

Asking = tuple[LocatedEntry, tuple[str | int, ...]]
"""Entry and place of what a word stands for."""
Words = dict[str, Asking | None]
"""Words, each with what asks for it; None for a word that is written out."""

_WORDS = ("text", "name")
_CHEMISTRY = re.compile(r"(formula|element|reaction)(?: of (\w+))?(?: into (.+))?")
_LOW = re.compile(r"(?:^|(?<=_))low(?=_|$)")
_BETWEEN = {"share": (0.0, 1.0), "%": (0.0, 100.0), "permille": (0.0, 1000.0)}
_NOT_BELOW_0 = ("g", "g/g", "g/ml", "min", "factor", "times", "pieces", "ratio", "g lead/g", "ml/s")
_KINDS = {"formula": tr("a formula"), "element": tr("an element"), "reaction": tr("a reaction")}
_FREE = "O2"
"""What may always be made: it goes to whatever burns."""
_REFERRED = ("facts", "decisions", "materials", "minerals")
"""Sections whose entries a column can name."""
_MOST_SHOWN = 12


class TableCompiler(Context):
    """Compiles the section ``tables``."""

    def _table(self, name: str, held: LocatedEntry) -> Table | None:
        """A table whose rows fit its columns and name their sources in full."""
        entry: TableEntry = held.entry
        before = len(self.faults)
        self._check_schema(held)
        for part in {id(part): part for part, _ in held.rows}.values():
            self._sources(part, part.entry.source)
        if len(self.faults) > before:
            return None
        rows, sources = [], []
        for part, position in held.rows:
            rows.append(part.entry.rows[position])
            sources.append(self._row_sources(part, position))
            self._check_row(held, part, position)
        self.faults += self._missing(name, held, rows)
        whole = self._sources(held, entry.source) if len(self.faults) == before else ()
        return Table(name, entry.model_copy(update={"rows": rows}), tuple(sources), whole, held.origin)

    def _row_sources(self, part: LocatedEntry, position: int) -> tuple[Source, ...]:
        row = part.entry.rows[position]
        own, path = row.get("source"), ("rows", position)
        if own is None and part.entry.source is None:
            self._refuse(part, path, tr("this row has no source"), tr("name one here or for the table"))
        sources = self._sources(part, None if own is None else str(own), (*path, "source"))
        if own is None:
            sources = self._sources(part, part.entry.source)
        return sources

    def _check_schema(self, held: LocatedEntry) -> None:
        """Every column that the table speaks of must be one of its columns."""
        entry: TableEntry = held.entry
        named: list[tuple[str, Iterable[str]]] = [
            ("key", entry.key_columns or ()),
            ("may_be_left_out", entry.may_be_left_out),
            ("every", [column for needed in entry.every for column in needed]),
            ("rising", [column for columns in entry.rising.values() for column in columns]),
        ]
        for column, kind in entry.columns.items():
            other = _other_column(kind)
            named += [("columns", (other,))] if other else []
            if kind.startswith("reaction") and _CHEMISTRY.fullmatch(kind) is None:
                wrong = tr("'{kind}' cannot be read", kind=kind[:60])
                right = tr("write  reaction of COLUMN into WORDS")
                self._refuse(held, ("columns", column), wrong, right)
        for column in (column for columns in entry.rising.values() for column in columns):
            if not entry.columns.get(column, "reaction of").startswith("reaction of"):
                right = tr("let  {column}  be a  reaction of COLUMN", column=column)
                self._refuse(held, ("rising",), tr("'{column}' holds no reaction", column=column), right)
        for field, columns in named:
            for column in columns:
                if column not in entry.columns:
                    right = tr("columns are {columns}", columns=", ".join(entry.columns)) + closest(
                        column, entry.columns
                    )
                    self._refuse(held, (field,), tr("'{column}' is not a column", column=column), right)

    def _check_row(self, held: LocatedEntry, part: LocatedEntry, position: int) -> None:
        entry: TableEntry = held.entry
        row = part.entry.rows[position]
        path = ("rows", position)

        def fault(column: str | None, wrong: str, right: str) -> Fault:
            return part.fault(path if column is None else (*path, column), wrong, right)

        found = []
        for column in row:
            if column != "source" and column not in entry.columns:
                right = tr("columns are {columns}", columns=", ".join(entry.columns)) + closest(column, entry.columns)
                found.append(fault(column, tr("'{column}' is not a column of this table", column=column), right))
        for column, kind in entry.columns.items():
            if column in row:
                wrong = self._wrong_cell(entry, row, column, kind)
                found += [] if wrong is None else [fault(column, *wrong)]
            elif column not in entry.may_be_left_out and not found:
                found.append(
                    fault(
                        None,
                        tr("the column '{column}' is missing", column=column),
                        tr("add it: {wanted}", wanted=_wanted(kind)),
                    )
                )
        if not found:
            found = [fault(*wrong) for wrong in self._out_of_order(entry, row)]
        self.faults += found

    def _wrong_cell(self, entry: TableEntry, row: Cells, column: str, kind: str) -> Wrong | None:
        value = row[column]
        if not self._is_of_words(kind):
            return _wrong_number(value, kind)
        if not isinstance(value, str):
            return tr("{number:g} is not text", number=value), tr(
                'write {wanted}, for example in quotes: "{number:g}"', wanted=_wanted(kind), number=value
            )
        chemistry = _CHEMISTRY.fullmatch(kind)
        if chemistry is not None:
            return self._wrong_substance(entry, row, value, chemistry)
        if kind in _WORDS:
            return None
        words = self._options_of(str(row.get(kind.removeprefix("option of ")))) if "option of" in kind else None
        return _not_among(value, self._words(kind) if words is None else words)

    def _is_of_words(self, kind: str) -> bool:
        if kind in _WORDS or kind.startswith("option of ") or _CHEMISTRY.fullmatch(kind):
            return True
        section = kind.partition(" but ")[0].partition(".")[0]
        return "|" in kind or section in _REFERRED or section in self.sections["tables"]

    def _wrong_substance(self, entry: TableEntry, row: Cells, value: str, kind: re.Match[str]) -> Wrong | None:
        what, other, into = kind.groups()
        substance = self._formula_in(entry, row, other) if other else ""
        try:
            if what == "formula":
                atoms(value)
                return None
            if what == "element":
                single = dict(atoms(value)) == {value: 1.0}
                held = not substance or value in atoms(substance)
                right = tr("write an element, such as Fe")
                if substance:
                    right = tr("write an element that {substance} holds, such as Fe", substance=substance)
                return None if single and held else (tr("'{word}' does not stand here", word=value), right)
            reaction = Reaction.parse(value)
        except InputError as problem:
            wrong, _, right = str(problem).rpartition("; ")
            return (wrong, right) if wrong else (right, tr("write it like  FeS2 + Fe -> 2 FeS"))
        if substance and substance not in reaction.left:
            return tr(
                "{substance} does not stand on the left of '{reaction}'", substance=substance, reaction=value
            ), tr("write a reaction of {substance}", substance=substance)
        allowed = {_FREE, *self._words(into)} if into else set(reaction.right)
        strange = [made for made in reaction.right if made not in allowed]
        return None if not strange else _unknown_products(strange, str(into))

    def _formula_in(self, entry: TableEntry, row: Cells, column: str) -> str:
        """The substance that a row names in a column; empty where it names none that is known."""
        value = str(row.get(column, ""))
        if entry.columns[column] == "formula":
            return value
        held = self.sections["minerals"].get(value)
        return held.entry.formula if held is not None else ""

    def _out_of_order(self, entry: TableEntry, row: Cells) -> Iterator[tuple[str, str, str]]:
        numbers = [column for column, kind in entry.columns.items() if column in row and not self._is_of_words(kind)]
        for low in (column for column in numbers if _LOW.search(column)):
            names = [_LOW.sub(end, low) for end in ("low", "likely", "high") if _LOW.sub(end, low) in numbers]
            values = [row[name] for name in names]
            if values != sorted(values):
                shown = ", ".join(f"{value:g}" for value in values)
                yield (
                    low,
                    tr("{columns} are {numbers}", columns=", ".join(names), numbers=shown),
                    tr("write them in rising order"),
                )
        for substance, columns in entry.rising.items():
            if not set(columns) <= set(row):
                continue
            used = [self._used(entry, row, column, substance) for column in columns]
            if used != sorted(used):
                shown = ", ".join(f"{amount:g}" for amount in used)
                wrong = tr(
                    "{columns} use {numbers} {substance} for one part",
                    columns=", ".join(columns),
                    numbers=shown,
                    substance=substance,
                )
                yield columns[0], wrong, tr("write them in rising order")

    def _used(self, entry: TableEntry, row: Cells, column: str, substance: str) -> float:
        """Moles of a substance that a reaction uses up, less what it makes, to one of what it is a reaction of."""
        reaction = Reaction.parse(row[column])
        per = self._formula_in(entry, row, str(_other_column(entry.columns[column])))
        return -reaction.moles_per_mole(substance, per) if {substance, per} <= set(reaction.left) else 0.0

    def _missing(self, name: str, held: LocatedEntry, rows: list[dict[str, Any]]) -> Iterator[Fault]:
        """The rows that must stand in a table and do not, each named where it is asked for."""
        entry: TableEntry = held.entry
        if entry.key == [] and len(rows) != 1:
            yield held.fault((), tr("this table has {rows} rows", rows=len(rows)), tr("write one row only"))
        for needed in entry.every:
            columns = list(needed)
            standing = {tuple(row.get(column) for column in columns) for row in rows}
            wanted = [self._needed(entry, rows, column, words) for column, words in needed.items()]
            if math.prod(map(len, wanted)) > MOST_ROWS:
                right = tr("ask for at most {most}", most=MOST_ROWS)
                yield held.fault(("every",), tr("this asks for too many rows"), right)
                continue
            for values in product(*wanted):
                if values not in standing:
                    row = dict(zip(columns, values, strict=True))
                    asking = [words[value] for words, value in zip(wanted, values, strict=True)]
                    yield self._no_row(name, held, row, next(filter(None, asking), None))

    def _no_row(self, name: str, held: LocatedEntry, row: Mapping[str, str], asking: Asking | None) -> Fault:
        shown = ", ".join(f"{column}: {value}" for column, value in row.items())
        others = [column for column in held.entry.columns if column not in (*row, *held.entry.may_be_left_out)]
        rest = "".join(f", {column}: ..." for column in others)
        right = tr("add  {entry}", entry=f"tables: {{{name}: {{rows: [{{{shown}{rest}, source: ...}}]}}}}")
        if asking is None:
            return held.fault(("every",), tr("there is no row with {row}", row=shown), right)
        by, path = asking
        where = f"{held.origin.file}:{held.origin.line}"
        return by.fault(
            path, tr("the table {name} ({where}) has no row with {row}", name=name, where=where, row=shown), right
        )

    def _needed(self, entry: TableEntry, rows: list[dict[str, Any]], column: str, words: str) -> Words:
        if words == "each":
            return {str(row[column]): None for row in rows if column in row}
        if not words.startswith("elements of "):
            return self._words(entry.columns[column] if words == "all" else words)
        elements: Words = {}
        for name, asking in self._words(words.removeprefix("elements of ")).items():
            held = self.sections["minerals"].get(name)
            formula = held.entry.formula if held is not None else name
            elements = {element: asking for element in _elements(formula) if element != "O"} | elements
        return elements

    def _words(self, kind: str) -> Words:
        """The words that may stand in a column, or for which there must be rows."""
        taken, _, left_out = kind.partition(" but ")
        words = {word: by for part in taken.split("|") for word, by in self._named(part.strip()).items()}
        return {word: by for word, by in words.items() if not left_out or word not in self._words(left_out)}

    def _named(self, word: str) -> Words:
        first, _, rest = word.partition(".")
        if first in _REFERRED:
            entries = self.sections[first]
            if rest in entries:
                return self._options_of(rest, first)
            names = _of_entries(entries, rest)
            return {value: (entries[name], ()) for value, name in names}
        table = self.sections["tables"].get(first)
        if table is None or not rest:
            return {word: None}
        column = rest if rest in table.entry.columns else (table.entry.key_columns or ("",))[0]
        return {
            str(row[column]): (part, ("rows", position))
            for part, position in table.rows
            if column in (row := part.entry.rows[position]) and (column == rest or rest in row.values())
        }

    def _options_of(self, name: str, section: str = "facts") -> Words:
        held = self.sections[section].get(name)
        if held is None:
            return {}
        options = getattr(held.entry, "options", None)
        if options is None:
            return {name: (held, ())}
        if not options:
            return {"yes": None, "no": None}
        return {option: (held, ("options", option)) for option in options}


def _of_entries(entries: Mapping[str, LocatedEntry], word: str) -> list[tuple[str, str]]:
    """Names of entries: of all, of those of a kind, or with the value of a field in front of them."""
    if not word:
        return [(name, name) for name in entries]
    if any(word in type(held.entry).model_fields for held in entries.values()):
        return [(str(getattr(held.entry, word)), name) for name, held in entries.items()]
    return [(name, name) for name, held in entries.items() if getattr(held.entry, "kind", None) == word]


def _other_column(kind: str) -> str | None:
    """The column that a kind of column refers to."""
    if kind.startswith("option of "):
        return kind.removeprefix("option of ")
    chemistry = _CHEMISTRY.fullmatch(kind)
    return chemistry[2] if chemistry else None


def _elements(formula: str) -> Iterable[str]:
    try:
        return atoms(formula)
    except InputError:
        return ()


def _wrong_number(value: object, kind: str) -> Wrong | None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return tr("'{written}' is not a number", written=str(value)[:40]), tr(
            "write a plain number in {kind}", kind=kind
        )
    least, most = _BETWEEN.get(kind, (0.0 if kind in _NOT_BELOW_0 else -float("inf"), float("inf")))
    if not least <= value <= most:
        right = tr("write {least:g} to {most:g}", least=least, most=most)
        return tr("{number:g} is no {kind}", number=value, kind=kind), right if most < math.inf else tr(
            "write 0 or more"
        )
    return None


def _not_among(value: str, words: Iterable[str]) -> Wrong | None:
    words = list(words)
    if value in words:
        return None
    shown = ", ".join(words[:_MOST_SHOWN])
    if words[_MOST_SHOWN:]:
        shown = tr("{words} and {count} more", words=shown, count=len(words) - _MOST_SHOWN)
    return tr("'{word}' does not stand here", word=value[:40]), tr("write one of {words}", words=shown) + closest(
        value, words
    )


def _unknown_products(strange: list[str], into: str) -> Wrong:
    made = each_of(strange)
    table = into.partition(".")[0].strip()
    return tr("it makes {made}, which is not among {into}", made=made, into=into), tr(
        "add a row for {made} to {table}, or write another reaction", made=made, table=table
    )


def _wanted(kind: str) -> str:
    chemistry = _CHEMISTRY.fullmatch(kind)
    if chemistry:
        return _KINDS[chemistry[1]]
    return tr("text") if kind in _WORDS else kind
