"""What all parts of the compiler share: conditions, formulas, sources and faults of one rule base."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from advisor.errors import Fault, FaultyFile
from advisor.rulebase.compiling.binding import Binder
from advisor.rulebase.compiling.limits import MOST_FAULTS
from advisor.rulebase.compiling.sources import resolve_sources
from advisor.rulebase.compiling.texts import Gathered
from advisor.rulebase.language import grammar
from advisor.rulebase.language.conditions import Condition
from advisor.rulebase.language.formulas import Formula, compile_formula
from advisor.rulebase.language.grammar import GrammarError
from advisor.rulebase.language.words import Words
from advisor.rulebase.model import (
    Fact,
    Material,
    RuleBase,
    Source,
    Threshold,
    Variable,
)
from advisor.rulebase.reading.entries import RangeEntry, SourceEntry
from advisor.rulebase.reading.layers import LocatedEntry, Merged
from advisor.units import Dimension, Range, unit_named
from advisor.units.measures import MeasureError, parse_measure
from advisor.words import tr

_WORD = re.compile(r"[a-z][a-z0-9_]*")
GRAMS = unit_named("g")


class Context:
    """Resolves the names in entries and collects faults.

    Attributes:
        merged: The entries.
        faults: Every fault found so far.
        written: Every condition text, parsed.
        binder: Binds conditions to variables.
        facts: The compiled facts.
        thresholds: The compiled thresholds.
        materials: The compiled materials.
        dimensions: What each name that a formula may use measures.
        decision_variables: The variable of each decision, or one for each option where several may be taken.
        placeholders: Names that texts may show the amount of.
        words: The texts, by the places where they stand; there once all is compiled.
    """

    written: dict[str, grammar.Written]
    binder: Binder
    facts: dict[str, Fact]
    thresholds: dict[str, Threshold]
    materials: dict[str, Material]
    dimensions: dict[str, Dimension]
    decision_variables: dict[str, tuple[Variable, ...]]
    placeholders: set[str]
    _compiled: RuleBase

    def __init__(self, merged: Merged, faults: list[Fault]) -> None:
        self.merged = merged
        self.sections = merged.sections
        self.faults = faults
        assert merged.base is not None
        self.base = merged.base.entry
        self.words = Words(lambda: Gathered(self._compiled).as_texts)
        # Many rules name the same sources; they are looked up once.
        self._resolved: dict[str | tuple[str, ...], tuple[tuple[Source, ...], list[tuple[str, str]]]] = {}

    def _refuse(self, held: LocatedEntry, path: tuple[str | int, ...], wrong: str, right: str) -> None:
        """Note a fault in a field of an entry."""
        self.faults.append(held.fault(path, wrong, right))

    def _parse_conditions(self) -> dict[str, grammar.Written]:
        """Every condition text in the rule base, parsed once; needed before facts to find the limits compared with."""
        written: dict[str, grammar.Written] = {}
        for held, path, text in self._condition_texts():
            if text not in written:
                try:
                    written[text] = grammar.parse_condition(text)
                except GrammarError as problem:
                    self._refuse(held, path, problem.wrong, problem.right)
        return written

    def _condition_texts(self) -> Iterable[tuple[LocatedEntry, tuple[str | int, ...], str]]:
        for entries in self.sections.values():
            for held in entries.values():
                entry = held.entry
                for field in ("when", "then", "ask_if", "lacking", "wanted", "provided", "must_be_known"):
                    if getattr(entry, field, None) is not None:
                        yield held, (field,), getattr(entry, field)
                for name, text in getattr(entry, "stands_for", {}).items():
                    yield held, ("stands_for", name), text
                for position, text in enumerate(getattr(entry, "never_adds", ())):
                    yield held, ("never_adds", position), text
                for list_name in ("controls", "cases", "computed", "implied", "next_batch"):
                    for position, part in enumerate(getattr(entry, list_name, ())):
                        if getattr(part, "when", None) is not None:
                            yield held, (list_name, position, "when"), part.when

    def _condition(self, held: LocatedEntry, text: str, path: tuple[str | int, ...] = ("when",)) -> Condition:
        try:
            return self.binder.condition(text, self.written[text])
        except GrammarError as problem:
            if not self._names_what_is_faulty(text):
                self._refuse(held, path, problem.wrong, problem.right)
        except KeyError:
            pass  # Its text had a fault that is already reported.
        return self.binder.never()

    def _names_what_is_faulty(self, text: str) -> bool:
        """Whether a text names a threshold or a fact that has a fault of its own, from which its fault may follow."""
        words = _WORD.findall(text)
        known = (("thresholds", self.thresholds), ("facts", self.facts))
        return any(
            word in self.sections[section] and word not in compiled for section, compiled in known for word in words
        )

    def _each(self, section: str, make: Callable[[str, LocatedEntry], Any]) -> Iterable[tuple[str, Any]]:
        for name, held in self.sections[section].items():
            made = make(name, held)
            if len(self.faults) > MOST_FAULTS:
                raise FaultyFile(self.faults)
            if made is not None:
                yield name, made

    def _sources(
        self, held: LocatedEntry, given: str | list[str] | None, path: tuple[str | int, ...] = ("source",)
    ) -> tuple[Source, ...]:
        key = given if isinstance(given, str) else tuple(given or ())
        if key not in self._resolved:
            entries: Mapping[str, SourceEntry] = {key: value.entry for key, value in self.sections["sources"].items()}
            self._resolved[key] = resolve_sources(given, entries)
        sources, problems = self._resolved[key]
        for wrong, right in problems:
            self._refuse(held, path, wrong, right)
        return sources

    def _range(self, held: LocatedEntry, given: str | RangeEntry | None, field: str, unit: str) -> Range | None:
        if given is None:
            return None
        try:
            if isinstance(given, RangeEntry):
                low, likely, high = (
                    parse_measure(text, unit_named(unit)).likely for text in (given.low, given.likely, given.high)
                )
                return Range(low, likely, high)
            return parse_measure(given, unit_named(unit))
        except (MeasureError, ValueError) as problem:
            self._refuse(
                held, (field,), str(problem), tr("write an amount in {unit}, for example  5 to 10 {unit}", unit=unit)
            )
            return None

    def _formula(
        self, held: LocatedEntry, text: str, path: tuple[str | int, ...], dimensions: Mapping[str, Dimension]
    ) -> Formula | None:
        try:
            return compile_formula(text, grammar.parse_formula(text), dimensions)
        except GrammarError as problem:
            if not self._names_what_is_faulty(text):
                self._refuse(held, path, problem.wrong, problem.right)
            return None

    def _with_materials(self) -> dict[str, Dimension]:
        """Dimensions of all names a formula may use; a material's name means its weighed amount in grams."""
        return {**self.dimensions, **dict.fromkeys(self.materials, GRAMS.dimension)}
