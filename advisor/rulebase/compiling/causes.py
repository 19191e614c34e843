"""Compiles what only the diagnosis has: causes, kinds of pieces, corrections and their figures."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.rulebase.compiling.context import Context
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import Cause, Correction, CorrectionFigure, NextBatch, Piece, Value
from advisor.rulebase.reading.expand_causes import LOOKED_AT
from advisor.rulebase.reading.layers import LocatedEntry
from advisor.rulebase.values import ValueFault, read_value
from advisor.words import tr


class CauseCompiler(Context):
    """Compiles the sections of the diagnosis."""

    def _cause(self, name: str, held: LocatedEntry) -> Cause:
        entry = held.entry
        looked_at = self.facts.get(LOOKED_AT)
        stages = looked_at.entry.options if looked_at is not None else {}
        for position, stage in enumerate(entry.stages):
            if stage not in stages:
                right = tr("options are {options}", options=", ".join(stages)) + closest(stage, stages)
                wrong = tr("'{name}' has no option '{option}'", name=LOOKED_AT, option=stage)
                self._refuse(held, ("stages", position), wrong, right)
        next_batch = []
        own = self._sources(held, entry.source)
        for position, line in enumerate(entry.next_batch):
            self._check_line(held, position, line)
            place = ("next_batch", position)
            condition = self._condition(held, line.when, (*place, "when")) if line.when else None
            sources = self._sources(held, line.source, (*place, "source")) if line.source else own
            next_batch.append(NextBatch(line, condition, sources))
        return Cause(
            name,
            entry,
            tuple(next_batch),
            self._values(held, "now_known", entry.now_known),
            own,
            held.origin,
        )

    def _check_line(self, held: LocatedEntry, position: int, line: Any) -> None:
        """The changed line of the plan must exist."""
        known_of: dict[str, Mapping[str, Any]] = {
            "amount": self.sections["materials"],
            "step": self.sections["steps"],
            "fact": self.sections["facts"],
        }
        for field, known in known_of.items():
            wanted = getattr(line, field)
            if wanted is not None and wanted not in known:
                path = ("next_batch", position, field)
                right = tr("name an existing one") + closest(wanted, list(known))
                self._refuse(held, path, tr("there is no '{name}'", name=wanted), right)

    def _values(self, held: LocatedEntry, field: str, written: Mapping[str, Any]) -> Mapping[str, Value]:
        values: dict[str, Value] = {}
        for fact_name, value in written.items():
            fact = self.facts.get(fact_name)
            if fact is None:
                right = tr("name a fact") + closest(fact_name, self.facts)
                self._refuse(held, (field, fact_name), tr("there is no such fact"), right)
                continue
            try:
                values[fact_name] = read_value(fact, value)
            except ValueFault as problem:
                path = (field, fact_name)
                self._refuse(held, path, str(problem), tr("write a value of this fact"))
        return values

    def _piece(self, name: str, held: LocatedEntry) -> Piece:
        facts = self._values(held, "facts", held.entry.facts)
        return Piece(name, held.entry, facts, held.origin)

    def _correction(self, name: str, held: LocatedEntry) -> Correction:
        entry = held.entry
        for key, text in entry.inputs.items():
            if not text.startswith("=") and text not in self.facts:
                right = tr("name a fact, or write a fixed value after =") + closest(text, self.facts)
                self._refuse(held, ("inputs", key), tr("there is no '{name}'", name=text), right)
        inputs = {key: held.origin_of(("inputs", key)) for key in entry.inputs}
        return Correction(name, entry, inputs, held.origin)

    def _figures(self, corrections: Mapping[str, Correction]) -> Mapping[str, CorrectionFigure]:
        """The figures of all corrections; a name may mean one thing only."""
        figures: dict[str, CorrectionFigure] = {}
        for correction in corrections.values():
            held = self.sections["corrections"][correction.name]
            for name, entry in correction.entry.outputs.items():
                path = ("outputs", name)
                taken = self._taken(name, figures)
                if taken is not None:
                    fault = held.fault(path, taken, tr("choose another name"))
                    self.faults.append(fault)
                figures[name] = CorrectionFigure(name, entry, correction, held.origin_of(path))
        return figures

    def _taken(self, name: str, figures: Mapping[str, CorrectionFigure]) -> str | None:
        """What else has this name, if anything has."""
        if name in figures:
            other = figures[name]
            where = f"{other.origin.file}:{other.origin.line}"
            return tr(
                "correction '{name}' has a figure of the same name at {where}", name=other.correction.name, where=where
            )
        words = {
            "facts": tr("a fact has the same name"),
            "thresholds": tr("a threshold has the same name"),
            "quantities": tr("a quantity has the same name"),
            "materials": tr("a material has the same name"),
        }
        for section, taken in words.items():
            if name in self.sections[section]:
                return taken
        return None
