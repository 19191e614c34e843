"""The figures of a correction, from the observations and the computations of the metallurgy."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import product

from advisor.advice.plan.weighing import Weigher
from advisor.engine import NOT_KNOWN, Conclusions, NotKnown, implied_value
from advisor.errors import InputError
from advisor.metallurgy.calculators import COMPUTATIONS
from advisor.metallurgy.check import fixed_value
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Value, read_input
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import CorrectionFigure, Fact
from advisor.units import Range
from advisor.words import one_of, tr

_MOST_COMBINATIONS = 512
PIECE_G = 10.0
FOR_EACH = tr("g for every {piece:g} g of it", piece=PIECE_G)
"""The unit of a weight for a piece that nobody has weighed: worked out for so much of it, and said so."""


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
        given = {n: w for n, w in entry.inputs.items() if inputs[n].required or self._is_known(w)}
        unweighed = [n for n, w in given.items() if inputs[n].unit == "g" and not self._is_known(w)]
        weighed = [n for n in given if inputs[n].unit == "g" and n not in unweighed and inputs[n].required]
        if unweighed and (weighed or len(unweighed) > 1):
            # What compares several weights says nothing while one of them is missing.
            self._lacks(given[name] for name in unweighed)
            return {}
        choices = [
            [Range.exact(PIECE_G)] if name in unweighed else self._values(inputs[name], written)
            for name, written in given.items()
        ]
        if math.prod(len(choice) for choice in choices) > _MOST_COMBINATIONS:
            self.problems.append(tr("too little is known to compute the {figures}", figures=wanted.entry.title))
            return {}
        found: list[Mapping[str, Figure]] = []
        for values in product(*choices):
            try:
                found.append(computation.figures(self.tables, dict(zip(given, values, strict=True))))
            except InputError as problem:
                if str(problem) not in self.problems:
                    self.problems.append(str(problem))
        figures = _hull(found)
        if not unweighed:
            return figures
        self._lacks(given[name] for name in unweighed)
        # How hot does not hang on how much.
        each = {n: replace(one, unit=FOR_EACH) for n, one in figures.items() if one.unit == "g"}
        return each | {n: one for n, one in figures.items() if one.unit == "C"}

    def _lacks(self, facts: Iterable[str]) -> None:
        for name in facts:
            said = tr(
                "the {label} is not known; weigh it, and ask again", label=self.conclusions.rule_base.facts[name].label
            )
            if said not in self.problems:
                self.problems.append(said)

    def _is_known(self, written: str) -> bool:
        """Whether an input stands in the rules, or was answered or follows, as far as it is a weight."""
        if fixed_value(written) is not None:
            return True
        fact = self.conclusions.rule_base.facts[written]
        if fact.entry.kind != "quantity" or fact.entry.unit != "g":
            return True
        answered = not isinstance(self.conclusions.answers.get(written, NOT_KNOWN), NotKnown)
        return answered or implied_value(fact, self.conclusions.state) is not None

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
        return self._options(fact, wanted)

    def _options(self, fact: Fact, wanted: Input) -> list[Value]:
        answer = self.conclusions.answers.get(fact.name)
        if isinstance(answer, bool | str) and not isinstance(answer, NotKnown):
            return [answer]
        variable = fact.variables[0]
        domain = self.conclusions.rule_base.variables[variable].domain
        words = [domain[cell.bit_length() - 1] for cell in single_cells(self.conclusions.state[variable])]
        if len(words) > 1 and wanted.options and "unknown" in wanted.options:
            # The computation knows what is right while nobody knows which it is.
            return ["unknown"]
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
    how = one_of(dict.fromkeys(figure.how for figure in figures), ";")
    source = "; ".join(dict.fromkeys(figure.source for figure in figures))
    return Figure(first.name, first.title, amount, first.unit, how, source)
