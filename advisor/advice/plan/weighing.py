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
from advisor.rulebase.model import Fact, Material, Quantity, QuantityCase, Several, WeighedAmount
from advisor.rulebase.values import cell_range
from advisor.units import Range, format_measure, unit_named
from advisor.units.measures import format_number
from advisor.words import tr

GRAMS = unit_named("g")
_NOTHING = Range.exact(0.0)
_WIDE = 3.0


@dataclass(slots=True)
class Weigher:
    """Computes amounts on demand and remembers them; there is one for each batch.

    Attributes:
        conclusions: The conclusions of the batch.
        known: Ranges already computed, by name of fact, threshold, quantity or material.
        assumed: Facts whose range was taken from the rules because they are not known.
        computed: Computed weights of what goes into the pot; they stand in place of the rule of thumb.
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
                raise InputError(
                    tr("the amount of '{name}' grows beyond all numbers; correct the rules that give it", name=name)
                ) from None
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
        amount = self.in_pot(name) + self.beside_the_pot(name)
        return self._in_pieces(name, self.to_the_scale(as_known(amount) if name in self.learned else amount))

    def take(self, computed: Mapping[str, Figure]) -> None:
        """Weigh into the pot what was computed, from now on; what hung on the rule of thumb is forgotten."""
        self.computed = computed
        self.known.clear()

    def reckon(self, figures: Mapping[str, Figure]) -> None:
        """Go by the computed figures, from now on."""
        self.figures = figures
        self.known.clear()

    def in_pot(self, material: str) -> Range:
        """What goes into the pot with the charge, in g."""
        if material not in self.computed:
            return self._all_by_rule(material, beside_the_pot=False)
        computed, learned = self._in_pieces(material, self.computed[material].amount), self.learned.get(material)
        # What a batch taught changes the weight that lay in its pot, not all that the sources left open for it.
        return computed if learned is None else Range.exact(computed.likely) * learned.factor

    def _in_pieces(self, material: str, amount: Range) -> Range:
        """An amount as it is got: of a rod in whole grams, the least no more than it was; nobody cuts one finer."""
        if not self.conclusions.rule_base.materials[material].entry.at_least:
            return amount
        low, likely, high = amount.low, amount.likely - 1e-9, amount.high - 1e-9
        return Range(float(math.floor(low)), float(math.ceil(likely)), float(math.ceil(high)))

    def beside_the_pot(self, material: str) -> Range:
        """What goes elsewhere, such as to the clean part of a split, in g."""
        return self._all_by_rule(material, beside_the_pot=True)

    def _all_by_rule(self, material: str, *, beside_the_pot: bool) -> Range:
        rules = self.rules_for(material)
        return total([self.by_rule(rule) for rule in rules if rule.entry.beside_the_pot is beside_the_pot])

    def to_get(self, material: Material) -> float:
        """What of the likely weight is not on the shelf, in g; 0 where the shelf is not known."""
        stock, reagents = material.entry.stock, self.conclusions.answers.get("reagents")
        there = self.conclusions.answers.get(stock) if stock else None
        named = material.name in self.conclusions.rule_base.facts["reagents"].entry.options
        if named and isinstance(reagents, Several) and material.name not in reagents.present | reagents.unsure:
            return self[material.name].likely
        return max(0.0, self[material.name].likely - there.likely) if isinstance(there, Range) else 0.0

    def to_the_scale(self, amount: Range) -> Range:
        """An amount as this scale can show it: at least one step, or nothing at all where nothing is the likely figure.

        Nobody can weigh 0 to 18 g of which 0 g is likely; what such a melt lacks is told by its signs.
        """
        step = self.conclusions.answers.get("scale_step")
        if amount.likely <= 0:
            return _NOTHING
        if not isinstance(step, Range) or step.high <= 0:
            return amount

        def shown(grams: float, least: float) -> float:
            return max(least, float(f"{round(grams / step.high) * step.high:.12g}"))

        return Range(shown(amount.low, 0.0), shown(amount.likely, step.high), shown(amount.high, step.high))

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
            raise InputError(
                tr("the cost of '{name}' grows beyond all numbers; correct its price", name=material.name)
            ) from None

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
            raise InputError(
                tr(
                    "the formula '{formula}' divides by an amount that may be zero; correct the rule, or give"
                    " the amounts it uses more exactly",
                    formula=formula.text,
                )
            ) from None
        except (ValueError, OverflowError):
            raise InputError(
                tr("the formula '{formula}' gives an amount beyond all numbers; correct the rule", formula=formula.text)
            ) from None

    def rules_for(self, material: str) -> list[WeighedAmount]:
        """The rules that say how much of a material is weighed, or may be."""
        rules = self.conclusions.rule_base.amounts.values()
        return [r for r in rules if r.entry.material == material and self.conclusions.truth(r.condition) != FAILS]

    def by_rule(self, rule: WeighedAmount) -> Range:
        """What one rule weighs, in g; where it may not hold, nothing is the least of it.

        What the shop learned stands in the place of the range that a rule gives; what the lot leaves open stays open.
        """
        learned = self.learned.get(rule.entry.material)
        parts = rule.parts if learned is None else learned.factor.scaled(rule.parts.likely)
        amount = (self.formula(rule.of) * parts).most(_NOTHING)
        open_ = self.conclusions.truth(rule.condition) == OPEN
        return Range(0.0, amount.likely, amount.high) if open_ else amount


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


def rule_words(rule: WeighedAmount) -> str:
    """How a rule of thumb weighs: so many grams to the gram of what, and why."""
    return tr(
        "{parts} g for each gram of {what}. {reason}",
        parts=parts_words(rule.parts),
        what=rule.entry.of,
        reason=rule.entry.reason,
    )


def parts_words(parts: Range) -> str:
    """Parts in words, the likely one first."""
    low, likely, high = (format_number(value) for value in (parts.low, parts.likely, parts.high))
    return likely if low == high else tr("{likely} ({low} to {high})", likely=likely, low=low, high=high)


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
