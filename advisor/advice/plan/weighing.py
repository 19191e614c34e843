"""Weighed amounts and derived quantities of one batch, from the formulas of the rules."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from advisor.advice.experience import Learned
from advisor.engine import Conclusions, NotKnown, implied_value
from advisor.errors import InputError
from advisor.metallurgy.common.figure import Figure
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN
from advisor.rulebase.language.formulas import Formula
from advisor.rulebase.model import Fact, Material, Quantity, QuantityCase, WeighedAmount
from advisor.rulebase.values import cell_range
from advisor.units import Range, format_measure, unit_named

GRAMS = unit_named("g")
_NOTHING = Range.exact(0.0)
_WIDE = 3.0


@dataclass(slots=True)
class Weigher:
    """Computes amounts on demand and remembers them; one is made for each advice.

    Attributes:
        conclusions: The conclusions of the batch.
        known: Ranges already computed, by name of fact, threshold, quantity or material.
        assumed: Facts whose range was taken from the rules because they are not known.
        computed: Computed weights of materials that stand in place of the rule of thumb.
        figures: Computed figures by name, for the quantities that are one of them.
        learned: Weights that this shop's batches changed, by material.
    """

    conclusions: Conclusions
    known: dict[str, Range] = field(default_factory=dict)
    assumed: set[str] = field(default_factory=set)
    computed: Mapping[str, Figure] = field(default_factory=dict)
    figures: Mapping[str, Figure] = field(default_factory=dict)
    learned: Mapping[str, Learned] = field(default_factory=dict)

    def __getitem__(self, name: str) -> Range:
        if name not in self.known:
            try:
                self.known[name] = self._computed(name)
            except (ValueError, OverflowError):
                right = "correct the rules that give it"
                raise InputError(f"the amount of '{name}' grows beyond all numbers; {right}") from None
        return self.known[name]

    def _computed(self, name: str) -> Range:
        rule_base = self.conclusions.rule_base
        if name in rule_base.facts and rule_base.facts[name].computed:
            return self._quantity(rule_base.facts[name].computed)
        if name in rule_base.facts:
            return self._fact(rule_base.facts[name])
        if name in rule_base.thresholds:
            return rule_base.thresholds[name].amount
        if name in rule_base.quantities:
            figure = self.figure_of(rule_base.quantities[name])
            return self._quantity(rule_base.quantities[name].cases) if figure is None else figure.amount
        if name in self.computed and name not in self.learned:
            return self._to_the_scale(self.computed[name].amount)
        amount = total([amount for _, amount, _ in self.lines(rule_base.materials[name])])
        if name not in self.learned:
            return self._to_the_scale(amount)
        if name in self.computed and amount.likely > 0:
            # What the lot leaves open is that of the rule; the weight is the computed one.
            amount = amount.scaled(self.computed[name].amount.likely * self.learned[name].factor.likely / amount.likely)
        return self._to_the_scale(as_known(amount))

    def _to_the_scale(self, amount: Range) -> Range:
        """An amount as this scale can show it; what is weighed at all is at least one step."""
        step = self.conclusions.answers.get("scale_step")
        if not isinstance(step, Range) or step.high <= 0 or amount.high <= 0:
            return amount

        def shown(grams: float, least: float) -> float:
            return max(least, float(f"{round(grams / step.high) * step.high:.12g}"))

        least = step.high if amount.likely > 0 else 0.0
        return Range(shown(amount.low, 0.0), shown(amount.likely, least), shown(amount.high, step.high))

    def _fact(self, fact: Fact) -> Range:
        answer = self.conclusions.answers.get(fact.name)
        if isinstance(answer, Range):
            return answer
        state = list(self.conclusions.state)
        if answer is None or isinstance(answer, NotKnown):
            found = implied_value(fact, state)
            if found is not None and isinstance(found[0], Range):
                return found[0]
        self.assumed.add(fact.name)
        assert fact.when_unknown is not None
        return _kept_inside(fact.when_unknown, fact, state[fact.variables[0]])

    def figure_of(self, quantity: Quantity) -> Figure | None:
        """The computed figure that a quantity is; None where it goes by its formula."""
        return self.figures.get(quantity.entry.figure or "")

    def cost(self, material: Material) -> Range | None:
        """Cost of a material when its price was given; a guessed price would be worse than none."""
        price = material.entry.price
        if price is None or not isinstance(self.conclusions.answers.get(price), Range):
            return None
        try:
            return self[material.name] * self[price]
        except ValueError:
            raise InputError(f"the cost of '{material.name}' grows beyond all numbers; correct its price") from None

    def formulas_used(self, quantity: Quantity) -> list[str]:
        """The formulas of a quantity that may apply to this batch, as written."""
        used = []
        for case in quantity.cases:
            truth = HOLDS if case.condition is None else self.conclusions.truth(case.condition)
            if truth != FAILS:
                used.append(case.formula.text)
            if truth == HOLDS:
                break
        return used

    def _quantity(self, cases: Sequence[QuantityCase]) -> Range:
        possible: list[Range] = []
        for case in cases:
            truth = HOLDS if case.condition is None else self.conclusions.truth(case.condition)
            if truth != FAILS:
                possible.append(self.formula(case.formula))
            if truth == HOLDS:
                break
        return Range.hull(possible) if possible else _NOTHING

    def formula(self, formula: Formula) -> Range:
        """Value of a formula for this batch.

        Raises:
            InputError: If it divides by an amount that may be zero, or what comes out is beyond all numbers; a plan
                without a weight would be worse.
        """
        try:
            return formula.value(_Lookup(self))
        except ZeroDivisionError:
            right = "correct the rule, or give the amounts it uses more exactly"
            raise InputError(f"the formula '{formula.text}' divides by an amount that may be zero; {right}") from None
        except (ValueError, OverflowError):
            wrong = f"the formula '{formula.text}' gives an amount beyond all numbers"
            raise InputError(f"{wrong}; correct the rule") from None

    def lines(self, material: Material) -> list[tuple[WeighedAmount, Range, int]]:
        """The rules that say how much of a material is weighed, the amount of each and whether it is sure.

        What the shop learned stands in the place of the range that a rule gives; what the lot leaves open stays open.
        """
        found = []
        learned = self.learned.get(material.name)
        for rule in self.conclusions.rule_base.amounts.values():
            if rule.entry.material == material.name:
                truth = self.conclusions.truth(rule.condition)
                if truth != FAILS:
                    parts = rule.parts if learned is None else learned.factor.scaled(rule.parts.likely)
                    amount = (self.formula(rule.of) * parts).most(_NOTHING)
                    if truth == OPEN:
                        # It may not be needed at all, so nothing is the least of it.
                        amount = Range(0.0, amount.likely, amount.high)
                    found.append((rule, amount, truth))
        return found


class _Lookup(dict[str, Range]):
    """Lets a formula ask the weigher for names as it needs them."""

    def __init__(self, weigher: Weigher) -> None:
        super().__init__()
        self.weigher = weigher

    def __missing__(self, name: str) -> Range:
        return self.weigher[name]


def _kept_inside(amount: Range, fact: Fact, domain: int) -> Range:
    """The assumed range cut to the cells that other answers leave possible."""
    possible = [
        cell_range(fact, position) for position in range(2 * len(fact.breakpoints) + 1) if domain >> position & 1
    ]
    if not possible:
        return amount
    low, high = min(r.low for r in possible), max(r.high for r in possible)
    new_low, new_high = max(amount.low, low), min(amount.high, high)
    if new_low > new_high:
        return Range.between(low, high)
    return Range(new_low, min(max(amount.likely, new_low), new_high), new_high)


def total(amounts: Sequence[Range]) -> Range:
    """The sum of some amounts."""
    result = _NOTHING
    for amount in amounts:
        result = result + amount
    return result


def whole_pieces(amount: Range) -> Range:
    """A number of pieces rounded up, since half a pot is a pot."""
    return Range(*(float(math.ceil(value - 1e-9)) for value in (amount.low, amount.likely, amount.high)))


def as_known(amount: Range) -> Range:
    """A weight that was learned from batches, to two figures that count: no batch tells more than that."""
    return Range(*(float(f"{grams:.2g}") for grams in (amount.low, amount.likely, amount.high)))


def is_wide(amount: Range) -> bool:
    """Whether a range spans so much that one begins with its likely value and goes on by what one sees."""
    return amount.high > _WIDE * amount.low


def weight_words(amount: Range) -> str:
    """An amount to weigh out, likely value first: ``400 g (360 to 440 g)``; of a wide range the likely value alone."""
    likely = format_measure(Range.exact(amount.likely), GRAMS)
    return likely if amount.is_exact or is_wide(amount) else f"{likely} ({format_measure(amount, GRAMS)})"
