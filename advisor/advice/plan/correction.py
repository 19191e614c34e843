"""The figures of a correction, from the observations and the computations of the metallurgy."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import product

from advisor.advice.plan.weighing import Weigher
from advisor.engine import Conclusions, NotKnown
from advisor.errors import InputError
from advisor.metallurgy.calculators import COMPUTATIONS
from advisor.metallurgy.check import fixed_value
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Value, read_input
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import CorrectionFigure, Fact
from advisor.units import Range

_MOST_COMBINATIONS = 512


@dataclass(slots=True)
class Corrections:
    """Computes the figures of corrections on demand and remembers them.

    The rules must name computations and inputs that exist (``advisor.metallurgy.check``, run when rules are compiled).

    Attributes:
        conclusions: What follows from the observations.
        tables: The tables.
        problems: Why figures could not be computed.
    """

    conclusions: Conclusions
    tables: Tables
    problems: list[str] = field(default_factory=list)
    _weigher: Weigher | None = None
    _computed: dict[str, Mapping[str, Figure]] = field(default_factory=dict)

    def figure(self, name: str) -> Figure | None:
        """One figure; None when it cannot be computed from what is known, with the reason under ``problems``."""
        found = self.conclusions.rule_base.figures[name]
        if found.correction.name not in self._computed:
            self._computed[found.correction.name] = self._compute(found)
        return self._computed[found.correction.name].get(found.entry.output)

    def _compute(self, wanted: CorrectionFigure) -> Mapping[str, Figure]:
        """All figures of a correction, for every value its inputs may have; ``wanted`` is named if it cannot be."""
        entry = wanted.correction.entry
        computation = COMPUTATIONS[entry.computation]
        inputs = {one.name: one for one in computation.inputs(self.tables)}
        choices = [self._values(inputs[name], written) for name, written in entry.inputs.items()]
        if math.prod(len(choice) for choice in choices) > _MOST_COMBINATIONS:
            self.problems.append(f"too little is known to compute the {wanted.entry.title}")
            return {}
        found: list[Mapping[str, Figure]] = []
        for values in product(*choices):
            try:
                found.append(computation.figures(self.tables, dict(zip(entry.inputs, values, strict=True))))
            except InputError as problem:
                if str(problem) not in self.problems:
                    self.problems.append(str(problem))
        return _hull(found)

    def _values(self, wanted: Input, written: str) -> list[Value]:
        """Every value an input may have: the one that stands in the rules, or those its answer leaves open."""
        fixed = fixed_value(written)
        if fixed is not None:
            return [read_input(wanted, fixed)]
        fact = self.conclusions.rule_base.facts[written]
        if fact.entry.kind == "quantity":
            if self._weigher is None:
                self._weigher = Weigher(self.conclusions)
            return [self._weigher[fact.name]]
        return self._options(fact)

    def _options(self, fact: Fact) -> list[Value]:
        answer = self.conclusions.answers.get(fact.name)
        if isinstance(answer, bool | str) and not isinstance(answer, NotKnown):
            return [answer]
        variable = fact.variables[0]
        domain = self.conclusions.rule_base.variables[variable].domain
        words = [domain[cell.bit_length() - 1] for cell in single_cells(self.conclusions.state[variable])]
        return [word == "yes" for word in words] if fact.entry.kind == "yes_no" else list(words)


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
