"""Formula weights, mass shares and balanced reactions, from a maintained table of atomic weights.

Sources: atomic weights of the International Union of Pure and Applied Chemistry as the ``molmass`` library
carries them. The library is loaded on first use only.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.words import tr

_LONGEST_FORMULA = 60
_FORMULA = re.compile(r"[A-Z][A-Za-z0-9().]*")
_TERM = re.compile(r"(?P<count>\d+(?:\.\d+)?)?\s*(?P<formula>[A-Z][A-Za-z0-9().]*)")
_BALANCE_TOLERANCE = 1e-9


@lru_cache(maxsize=512)
def atoms(formula: str) -> Mapping[str, float]:
    """Atoms of each element in one formula unit.

    Args:
        formula: A chemical formula such as ``FeS2`` or ``Na2B4O7.10H2O``.

    Returns:
        Symbol and number of atoms.

    Raises:
        InputError: If it is not a chemical formula.

    Example:
        >>> dict(atoms("FeS2"))
        {'Fe': 1.0, 'S': 2.0}
    """
    return MappingProxyType({symbol: float(count) for symbol, (count, _) in _composition(formula).items()})


@lru_cache(maxsize=512)
def molar_mass_g(formula: str) -> float:
    """Grams of one mole.

    Args:
        formula: A chemical formula.

    Returns:
        Molar mass in g/mol.

    Raises:
        InputError: If it is not a chemical formula.

    Example:
        >>> round(molar_mass_g("PbO"), 2)
        223.2
    """
    return sum(mass for _, mass in _composition(formula).values())


def mass_fraction(formula: str, element: str) -> float:
    """Which share of the mass of a substance is one element, between 0 and 1.

    Raises:
        InputError: If the formula or the element cannot be read.

    Example:
        >>> round(mass_fraction("PbO", "Pb"), 4)
        0.9283
    """
    return atoms(formula).get(element, 0.0) * molar_mass_g(element) / molar_mass_g(formula)


def _composition(formula: str) -> Mapping[str, tuple[int, float]]:
    """Atoms and grams of each element in one formula unit."""
    from molmass import Formula, FormulaError

    if len(formula) > _LONGEST_FORMULA or not _FORMULA.fullmatch(formula):
        raise InputError(
            tr("'{formula}' is not a chemical formula; write it like FeS2 or Na2B4O7.10H2O", formula=formula[:40])
        )
    try:
        return {symbol: (item.count, item.mass) for symbol, item in Formula(formula).composition().items()}
    except (FormulaError, KeyError, ValueError):
        raise InputError(
            tr(
                "'{formula}' holds something that is not an element; write it like FeS2 or Na2B4O7.10H2O",
                formula=formula,
            )
        ) from None


@frozen
class Reaction:
    """A balanced chemical reaction.

    Attributes:
        text: The equation as written.
        left: Substances used up, with moles.
        right: Substances made, with moles.
    """

    text: str
    left: Mapping[str, float]
    right: Mapping[str, float]

    @classmethod
    def parse(cls, text: str) -> Reaction:
        """Read an equation such as ``FeS2 + Fe -> 2 FeS``.

        Raises:
            InputError: If it cannot be read or does not balance.

        Example:
            >>> Reaction.parse("2 PbO + C -> 2 Pb + CO2").right["Pb"]
            2.0
        """
        return _parsed(text)

    def moles_per_mole(self, of: str, per: str) -> float:
        """Moles of a substance made, less those used up, to one mole of another that is used up.

        Raises:
            InputError: If ``per`` is not used up in this reaction.
        """
        basis = self.left.get(per, 0.0)
        if not basis:
            raise InputError(
                tr("{per} does not stand on the left of '{text}'; name what is used up", per=per, text=self.text)
            )
        return (self.right.get(of, 0.0) - self.left.get(of, 0.0)) / basis

    def grams_per_gram(self, of: str, per: str) -> float:
        """Grams of a substance made (below zero: used up) to one gram of another that is used up.

        Example:
            >>> round(-Reaction.parse("FeS2 + Fe -> 2 FeS").grams_per_gram("Fe", "FeS2"), 4)
            0.4655
        """
        return self.moles_per_mole(of, per) * molar_mass_g(of) / molar_mass_g(per)

    def made_per_gram(self, of: str, per: str) -> float:
        """Grams of a substance that leave the reaction to one gram of another that goes in.

        Unlike ``grams_per_gram`` it counts what comes out even where some went in, as in ``SiO2 -> SiO2``.
        """
        return self.right.get(of, 0.0) / self.left[per] * molar_mass_g(of) / molar_mass_g(per)


@lru_cache(maxsize=512)
def _parsed(text: str) -> Reaction:
    sides = text.split("->")
    if len(sides) != 2:
        raise InputError(tr("'{text}' is not a reaction; write it like FeS2 + Fe -> 2 FeS", text=text[:80]))
    left, right = (_side(side, text) for side in sides)
    reaction = Reaction(text.strip(), MappingProxyType(left), MappingProxyType(right))
    for symbol in sorted({s for formula in (*left, *right) for s in atoms(formula)}):
        before, after = _atoms_of(left, symbol), _atoms_of(right, symbol)
        if abs(before - after) > _BALANCE_TOLERANCE:
            raise InputError(
                tr(
                    "'{text}' does not balance: {before:g} {symbol} on the left, {after:g} on the right; "
                    "correct the numbers",
                    text=text.strip(),
                    before=before,
                    symbol=symbol,
                    after=after,
                )
            )
    return reaction


def _side(side: str, text: str) -> dict[str, float]:
    result: dict[str, float] = {}
    for written in side.split(" + "):
        term = _TERM.fullmatch(written.strip())
        if term is None:
            raise InputError(
                tr(
                    "'{written}' in '{text}' is not a substance with its number",
                    written=written.strip()[:40],
                    text=text[:80],
                )
            )
        formula = term["formula"]
        result[formula] = result.get(formula, 0.0) + float(term["count"] or 1)
    return result


def _atoms_of(side: Mapping[str, float], symbol: str) -> float:
    return sum(count * atoms(formula).get(symbol, 0.0) for formula, count in side.items())
