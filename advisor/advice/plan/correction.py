"""The figures of a correction, from the observations and the computations of the metallurgy."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import product

from advisor.advice.plan.weighing import Weigher
from advisor.engine.conclude import Conclusions
from advisor.engine.state import NotKnown
from advisor.errors import InputError
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.correction.calculator import CORRECTIONS
from advisor.metallurgy.tables import Book
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import CorrectionFigure, Fact
from advisor.units import Range, parse_measure, unit_named

_MOST_COMBINATIONS = 512

Input = Range | str | bool


@dataclass(slots=True)
class Corrections:
    """Computes the figures of corrections on demand and remembers them.

    Attributes:
        conclusions: What follows from the observations.
        book: The tables.
        problems: Why figures could not be computed.
    """

    conclusions: Conclusions
    book: Book
    problems: list[str] = field(default_factory=list)
    _weigher: Weigher | None = None
    _computed: dict[tuple[str, tuple[tuple[str, str], ...]], Mapping[str, Figure]] = field(default_factory=dict)

    def figure(self, name: str) -> Figure | None:
        """One figure; None when it cannot be computed from what is known, with the reason under ``problems``."""
        correction = self.conclusions.rule_base.corrections[name]
        key = (correction.entry.computation, tuple(sorted(correction.entry.inputs.items())))
        if key not in self._computed:
            self._computed[key] = self._compute(correction)
        return self._computed[key].get(correction.entry.output)

    def _compute(self, correction: CorrectionFigure) -> Mapping[str, Figure]:
        computation = CORRECTIONS.get(correction.entry.computation)
        if computation is None:
            raise InputError(
                f"{correction.origin.file}:{correction.origin.line}: there is no computation "
                f"'{correction.entry.computation}'; use one of {', '.join(CORRECTIONS)}"
            )
        names = list(correction.entry.inputs)
        wanted = {one.name: one for one in computation.inputs}
        for name in names:
            if name not in wanted:
                raise InputError(
                    f"{correction.origin.file}:{correction.origin.line}: '{correction.entry.computation}' has no "
                    f"input '{name}'; its inputs are {', '.join(wanted)}"
                )
        choices = [self._inputs(correction.entry.inputs[name], wanted[name].unit) for name in names]
        if math.prod(len(choice) for choice in choices) > _MOST_COMBINATIONS:
            self.problems.append(f"too little is known to reckon the {correction.entry.title}")
            return {}
        found: list[Mapping[str, Figure]] = []
        for values in product(*choices):
            try:
                found.append(computation.compute(self.book, dict(zip(names, values, strict=True))))
            except InputError as problem:
                if str(problem) not in self.problems:
                    self.problems.append(str(problem))
        return _hull(found)

    def _inputs(self, written: str, unit: str) -> list[Input]:
        """Every value an input may have, amounts in the unit that the computation takes them in."""
        if written.startswith("="):
            return [_fixed(written.removeprefix("=").strip(), unit)]
        fact = self.conclusions.rule_base.facts[written]
        if fact.entry.kind == "quantity":
            if self._weigher is None:
                self._weigher = Weigher(self.conclusions)
            return [_in_unit(self._weigher[fact.name], unit)]
        return self._options(fact)

    def _options(self, fact: Fact) -> list[Input]:
        answer = self.conclusions.answers.get(fact.name)
        if isinstance(answer, bool | str) and not isinstance(answer, NotKnown):
            return [answer]
        variable = fact.variables[0]
        cells = self.conclusions.rule_base.variables[variable].cells
        words = [cells[cell.bit_length() - 1] for cell in single_cells(self.conclusions.state[variable])]
        return [word == "yes" for word in words] if fact.entry.kind == "yes_no" else list(words)


def _fixed(written: str, unit: str) -> Input:
    """A value that stands in the rules: an amount where it begins with a digit, otherwise a word."""
    if not written[:1].isdigit():
        return written
    return _in_unit(parse_measure(written, unit_named(unit) if unit else unit_named("%")), unit)


def _in_unit(amount: Range, unit: str) -> Range:
    """An amount of the inside unit as the number that stands before a unit; a fraction where there is none."""
    if not unit:
        return amount
    shown = unit_named(unit).shown
    return Range(shown(amount.low), shown(amount.likely), shown(amount.high))


def inside(figure: Figure) -> Range:
    """The amount of a figure in the inside unit."""
    if not figure.unit:
        return figure.amount
    of_unit = unit_named(figure.unit).inside
    return Range(of_unit(figure.amount.low), of_unit(figure.amount.likely), of_unit(figure.amount.high))


def _hull(found: Iterable[Mapping[str, Figure]]) -> Mapping[str, Figure]:
    """For each figure the range that holds it for every value that the inputs may have."""
    joined: dict[str, list[Figure]] = {}
    for figures in found:
        for name, figure in figures.items():
            joined.setdefault(name, []).append(figure)
    return {name: _joined(figures) for name, figures in joined.items()}


def _joined(figures: list[Figure]) -> Figure:
    first = figures[0]
    if len(figures) == 1:
        return first
    amount = Range.hull([figure.amount for figure in figures])
    how = "; or ".join(dict.fromkeys(figure.how for figure in figures))
    source = "; ".join(dict.fromkeys(figure.source for figure in figures))
    return Figure(first.name, first.title, amount, first.unit, how, source)
