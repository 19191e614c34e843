"""The degree of a slag: oxygen of its acids over oxygen of its bases, with borax counted.

Acids are silica, boric oxide, titania and arsenic oxide; bases are soda, potash, lime and the lower oxides of
the metals. Borax counts as both: 1 mol brings 6 mol of acid oxygen and 1 mol of base oxygen. All soda is
counted as base, bound or not: a degree below the window then says at once that soda stays free.

Sources: C. Bischof, Polytechnisches Journal 165 (1862), p. 378, for the singulo-, bi- and trisilicates; C. H.
Fulton, A Manual of Fire Assaying (1907), p. 60, for the degree to aim at; C. and J. J. Beringer, A Text-book of
Assaying (1904), pp. 93, 136-140.
"""

from __future__ import annotations

from collections.abc import Mapping

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.range_sums import positive, total
from advisor.metallurgy.common.rows import Rows, number, text
from advisor.units import Range
from advisor.units.substances import atoms, molar_mass_g
from advisor.words import tr

_ACID_OXYGEN = {"Si": 2.0, "Ti": 2.0, "B": 1.5, "As": 2.5}
"""Oxygen that one atom holds as acid: SiO2, TiO2, B2O3, As2O5."""

_LEAST_BASE_MOL = 1e-12


@frozen
class Species:
    """A product of the melt.

    Attributes:
        formula: Its formula.
        place: slag, salt, sulphide, speiss, metal, gas or unused.
        role: acid, base or none.
        density: g/ml in its place; 0 for gases.
        source: Where the density comes from.
    """

    formula: str
    place: str
    role: str
    density: float
    source: str


def acid_oxygen(formula: str) -> float:
    """Moles of acid oxygen in one mole of a flux or oxide.

    Example:
        >>> acid_oxygen("Na2B4O7.10H2O"), acid_oxygen("SiO2")
        (6.0, 2.0)
    """
    return sum(count * _ACID_OXYGEN.get(symbol, 0.0) for symbol, count in atoms(formula).items())


def base_oxygen(formula: str) -> float:
    """Moles of base oxygen in one mole of a flux or oxide, after its carbon dioxide and water have left.

    Example:
        >>> base_oxygen("Na2CO3"), base_oxygen("NaHCO3"), base_oxygen("Na2B4O7")
        (1.0, 0.5, 1.0)
    """
    parts = atoms(formula)
    gone = 2.0 * parts.get("C", 0.0) + 0.5 * parts.get("H", 0.0)
    return parts.get("O", 0.0) - gone - acid_oxygen(formula)


def degree(acid_mol: Range, base_mol: Range) -> Range:
    """Degree from moles of acid and base oxygen.

    Raises:
        InputError: If there is no base at all.
    """
    if base_mol.low <= _LEAST_BASE_MOL:
        raise InputError(tr("this slag has no base in it, so its degree has no meaning; add soda or litharge"))
    return acid_mol / base_mol


def name_of_silicate_degree(value: float, rows: Rows) -> str:
    """The name of the slag whose degree lies nearest.

    Args:
        value: The degree.
        rows: The table ``silicate_degrees``.

    Example:
        >>> rows = [{"name": "singulosilicate", "degree": 1}, {"name": "bisilicate", "degree": 2}]
        >>> name_of_silicate_degree(1.9, rows)
        'bisilicate'
    """
    return text(min(rows, key=lambda row: abs(number(row, "degree") - value)), "name")


def oxygen_of(role: str, grams: Mapping[str, Range], species: Mapping[str, Species]) -> Range:
    """Moles of oxygen of the acids or of the bases among the products of the slag."""
    return total(
        mass.scaled(atoms(formula)["O"] / molar_mass_g(formula))
        for formula, mass in grams.items()
        if formula in species and species[formula].role == role
    )


def soda_bound_mol(acid_mol: Range, other_base_mol: Range, soda_mol: Range, binding: Range) -> Range:
    """Soda whose carbon dioxide the acids drive out.

    Args:
        acid_mol: Acid oxygen of the slag, mol.
        other_base_mol: Base oxygen from everything but soda, mol.
        soda_mol: Soda there is, mol of Na2O.
        binding: Degree down to which acids bind soda, table ``soda_binding``.

    Returns:
        Mol of Na2O bound; never more than there is. The rest is free soda.
    """
    return positive(acid_mol / binding - other_base_mol).least(soda_mol)


def volume_ml(grams: Mapping[str, Range], species: Mapping[str, Species]) -> Range:
    """Volume of a phase from its parts, without shrinkage, ml; right to about a fifth."""
    return total(
        mass.scaled(1.0 / species[formula].density) for formula, mass in grams.items() if species[formula].density > 0.0
    )
