"""Formula weights and reactions, against two other libraries and against printed shares."""

from __future__ import annotations

import doctest

import chempy
import pytest

from advisor.errors import InputError
from advisor.units import substances
from advisor.units.substances import Reaction, atoms, mass_fraction, molar_mass_g
from tests.metallurgy.charge_examples import by_periodictable, charge_data, document, minerals, rows

# To four figures: nature varies sulphur and boron, so their tabled weights differ by up to 1.5 in 10,000.
_FOUR_FIGURES = 2e-4


def _all_formulas() -> list[str]:
    formulas = {mineral.formula for mineral in minerals().values()}
    formulas |= {reagent.formula for reagent in charge_data().reagents.values()}
    return sorted(formulas | set(charge_data().species))


def _all_reactions() -> list[str]:
    columns = ("least", "likely", "most", "reaction", "gives", "reduced", "by_iron")
    tables = [table for name in ("charge.yaml", "minerals.yaml") for table in document(name)["tables"].values()]
    texts = {str(row[column]) for table in tables for row in table["rows"] for column in columns if column in row}
    return sorted(text for text in texts if "->" in text)


@pytest.mark.parametrize("formula", _all_formulas())
def test_molar_masses_agree_with_two_other_libraries(formula: str) -> None:
    mass = molar_mass_g(formula)
    assert mass == pytest.approx(by_periodictable(formula).mass, rel=_FOUR_FIGURES)
    assert mass == pytest.approx(chempy.Substance.from_formula(formula.replace(".", "..")).mass, rel=_FOUR_FIGURES)


@pytest.mark.parametrize("text", _all_reactions())
def test_every_reaction_of_the_tables_keeps_each_element(text: str) -> None:
    reaction = Reaction.parse(text)
    sides = []
    for side in (reaction.left, reaction.right):
        count: dict[str, float] = {}
        for formula, moles in side.items():
            for element, number in by_periodictable(formula).atoms.items():
                count[element.symbol] = count.get(element.symbol, 0.0) + moles * number
        sides.append(count)
    assert sides[0] == pytest.approx(sides[1], abs=1e-9)


# Printed shares by weight. The bound is one unit of the last printed place unless said otherwise.
_PRINTED_SHARES = [
    pytest.param("AgCl", "Ag", 0.7527, 0.0001, id="Beringer, Text-book of Assaying, 1904, p. 15, silver chloride"),
    pytest.param("PbSO4", "Pb", 0.683, 0.001, id="Beringer, Text-book of Assaying, 1904, p. 214, lead sulphate"),
    pytest.param("Fe3O4", "Fe", 0.724, 0.001, id="Encyclopaedia Britannica 1911, vol. 17, p. 385, magnetite"),
    pytest.param("AuAgTe4", "Au", 0.242, 0.001, id="Encyclopaedia Britannica 1911, vol. 26, Sylvanite, gold"),
    pytest.param("AuAgTe4", "Ag", 0.133, 0.001, id="Encyclopaedia Britannica 1911, vol. 26, Sylvanite, silver"),
]


@pytest.mark.parametrize(("formula", "element", "printed", "bound"), _PRINTED_SHARES)
def test_shares_by_weight_are_those_printed(formula: str, element: str, printed: float, bound: float) -> None:
    assert mass_fraction(formula, element) == pytest.approx(printed, abs=bound)


# Anthony and others, Handbook of Mineralogy, 2001 to 2005, sheet on ilmenite, analysis 2: 52.65 % TiO2, 47.35 % FeO.
def test_ilmenite_falls_into_the_oxides_of_its_sheet() -> None:
    split = Reaction.parse("FeTiO3 -> FeO + TiO2")
    assert split.grams_per_gram("TiO2", "FeTiO3") == pytest.approx(0.5265, abs=0.0002)
    assert split.grams_per_gram("FeO", "FeTiO3") == pytest.approx(0.4735, abs=0.0002)


# Beringer 1904, p. 214: lead sulphate holds 73.6 % of lead oxide.
def test_lead_sulphate_holds_the_lead_oxide_printed() -> None:
    assert Reaction.parse("PbSO4 -> PbO + SO3").grams_per_gram("PbO", "PbSO4") == pytest.approx(0.736, abs=0.001)


# Beringer 1904, p. 20: one part of lime does the work of 1.8 parts of its carbonate.
def test_lime_does_the_work_of_nearly_twice_its_weight_of_marble() -> None:
    assert 1 / Reaction.parse("CaCO3 -> CaO + CO2").grams_per_gram("CaO", "CaCO3") == pytest.approx(1.8, abs=0.05)


_STOICHIOMETRY = [
    pytest.param("2 PbO + C -> 2 Pb + CO2", "Pb", "C", 34.50, id="lead by carbon"),
    pytest.param("2 Bi2O3 + 3 C -> 4 Bi + 3 CO2", "Bi", "C", 23.20, id="bismuth by carbon"),
    pytest.param("4 FeS2 + 11 O2 -> 2 Fe2O3 + 8 SO2", "SO2", "FeS2", 1.068, id="sulphur dioxide from pyrite"),
    pytest.param("FeS2 + Fe -> 2 FeS", "FeS", "FeS2", 1.465, id="iron sulphide from pyrite"),
]


@pytest.mark.parametrize(("text", "made", "per", "grams"), _STOICHIOMETRY)
def test_grams_per_gram_agree_with_two_libraries(text: str, made: str, per: str, grams: float) -> None:
    reaction = Reaction.parse(text)
    moles = reaction.right[made] / reaction.left[per]
    computed = reaction.grams_per_gram(made, per)
    assert computed == pytest.approx(grams, rel=5e-4)
    first = moles * by_periodictable(made).mass / by_periodictable(per).mass
    second = moles * chempy.Substance.from_formula(made).mass / chempy.Substance.from_formula(per).mass
    assert computed == pytest.approx(first, rel=_FOUR_FIGURES)
    assert computed == pytest.approx(second, rel=_FOUR_FIGURES)


def test_crystal_water_counts_into_the_formula() -> None:
    assert atoms("Na2B4O7.10H2O")["O"] == 17
    assert molar_mass_g("Na2B4O7.10H2O") / molar_mass_g("Na2B4O7") == pytest.approx(1.895, abs=0.001)


@pytest.mark.parametrize("formula", ["", "gold", "Xy2", "Fe-S", "FeS2 ", "(Fe", "A" * 100, "2H2O", "Fe2,5"])
def test_what_is_no_formula_is_refused_in_one_sentence(formula: str) -> None:
    with pytest.raises(InputError, match="write it like FeS2") as refused:
        molar_mass_g(formula)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("FeS2 + Fe -> FeS", "does not balance: 2 Fe on the left, 1 on the right"),
        ("FeS2 + O2 -> Fe + SO2", "does not balance"),
        ("FeS2", "is not a reaction"),
        ("FeS2 -> -> Fe", "is not a reaction"),
        ("FeS2 + -> Fe", "is not a substance"),
        ("2 FeS2 + x O2 -> 2 Fe + 4 SO2", "is not a substance"),
    ],
)
def test_a_reaction_that_cannot_be_is_refused(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        Reaction.parse(text)


def test_a_yield_is_asked_of_something_that_is_used_up() -> None:
    with pytest.raises(InputError, match="name what is used up"):
        Reaction.parse("FeS2 + Fe -> 2 FeS").grams_per_gram("FeS2", "FeS")


def test_the_roasting_table_covers_every_sulphide() -> None:
    roasted = {row["mineral"] for row in rows("minerals.yaml", "roasting")}
    burning = {m.name for m in minerals().values() if m.kind in ("sulphide", "arsenide", "telluride")}
    assert burning <= roasted


def test_the_examples_in_the_text_are_right() -> None:
    assert doctest.testmod(substances).failed == 0
    assert doctest.testmod(substances).attempted >= 5
