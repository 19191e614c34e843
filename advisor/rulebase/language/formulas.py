"""Compiled formulas: arithmetic on ranges, with dimensions checked when the rules are loaded."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from advisor.frozen import frozen
from advisor.rulebase.language.grammar import FormulaTree, GrammarError, Operation, Term
from advisor.units import DIMENSIONLESS, Dimension, Range, unit_named
from advisor.units.measures import MeasureError, kind_of, parse_measure
from advisor.words import tr


@frozen
class Formula:
    """A formula ready to evaluate.

    Attributes:
        text: As written.
        tree: The formula as a tree.
        constants: Value of each written amount, by its text.
        dimension: What it measures.
        names: The facts, quantities, thresholds and materials it uses.
    """

    text: str
    tree: FormulaTree
    constants: Mapping[str, Range]
    dimension: Dimension
    names: frozenset[str]

    def value(self, known: Mapping[str, Range]) -> Range:
        """Its value for known ranges of the names it uses.

        Raises:
            KeyError: If a name is missing from ``known``.
            ZeroDivisionError: If it divides by a range that holds zero.
            ValueError: If the result is greater than any number.
        """
        return self._of(self.tree, known)

    def _of(self, tree: FormulaTree, known: Mapping[str, Range]) -> Range:
        if isinstance(tree, Term):
            return known[tree.amount.name] if tree.amount.name else self.constants[tree.amount.text]
        left, right = self._of(tree.left, known), self._of(tree.right, known)
        if tree.operator == "+":
            return left + right
        if tree.operator == "-":
            return left - right
        if tree.operator == "*":
            return left * right
        if tree.operator == "/":
            return left / right
        if tree.operator == "between":
            # Anywhere from the one to the other, such as a weighing that may be a step off either way.
            return Range(min(left.low, right.low), (left.likely + right.likely) / 2, max(left.high, right.high))
        return left.least(right) if tree.operator == "least" else left.most(right)


def _terms(tree: FormulaTree) -> Iterator[Term]:
    if isinstance(tree, Term):
        yield tree
    else:
        yield from _terms(tree.left)
        yield from _terms(tree.right)


def compile_formula(text: str, tree: FormulaTree, dimensions: Mapping[str, Dimension]) -> Formula:
    """A formula with its names resolved.

    Args:
        text: As written.
        tree: As parsed.
        dimensions: Dimension of every name that may be used.

    Raises:
        GrammarError: For an unknown name or unit, or when unlike quantities are added.
    """
    constants: dict[str, Range] = {}
    names: set[str] = set()
    term_dimension: dict[str, Dimension] = {}
    for term in _terms(tree):
        amount = term.amount
        if amount.name:
            if amount.name not in dimensions:
                raise GrammarError(
                    tr("'{name}' is not a quantity here", name=amount.name),
                    tr("use a quantity fact, a derived quantity, a threshold or a material")
                    + closest(amount.name, dimensions),
                )
            names.add(amount.name)
            term_dimension[amount.text] = dimensions[amount.name]
        elif amount.unit:
            try:
                unit = unit_named(amount.unit)
                constants[amount.text] = parse_measure(amount.text, unit)
            except MeasureError as problem:
                raise GrammarError(str(problem), tr("write a number with a known unit")) from None
            term_dimension[amount.text] = unit.dimension
        else:
            number = float(amount.text)
            if not math.isfinite(number):
                raise GrammarError(
                    tr("the number '{number}' is too large", number=amount.text[:40]),
                    tr("write a plain decimal number"),
                )
            constants[amount.text] = Range.exact(number)
            term_dimension[amount.text] = DIMENSIONLESS
    return Formula(text, tree, constants, _dimension(tree, term_dimension), frozenset(names))


def _dimension(tree: FormulaTree, known: Mapping[str, Dimension]) -> Dimension:
    if isinstance(tree, Term):
        return known[tree.amount.text]
    assert isinstance(tree, Operation)
    left, right = _dimension(tree.left, known), _dimension(tree.right, known)
    if tree.operator in ("*", "/"):
        sign = 1 if tree.operator == "*" else -1
        return tuple(a + sign * b for a, b in zip(left, right, strict=True))  # type: ignore[return-value]
    if left != right:
        raise GrammarError(
            tr(
                "{left} and {right} cannot be joined by '{operator}'",
                left=kind_of(left),
                right=kind_of(right),
                operator=tree.operator,
            ),
            tr("join only quantities of one kind"),
        )
    return left


_LONGEST_NAME, _MOST_NAMES = 80, 5_000


def closest(name: str, known: Mapping[str, object] | list[str]) -> str:
    """A hint at the closest valid name, for error messages; empty when none is close."""
    # Imported here: only faults need it, and it is slow to load.
    from difflib import get_close_matches

    if len(name) > _LONGEST_NAME or len(known) > _MOST_NAMES:
        # Looking would take longer than reading the list.
        return ""
    near = get_close_matches(name, list(known), n=1, cutoff=0.6)
    return f" {tr('(closest: {name})', name=near[0])}" if near else ""
