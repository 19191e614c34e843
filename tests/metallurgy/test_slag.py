"""The degree of a slag, against printed tables of silicates and the fluxing rules of the books."""

from __future__ import annotations

import doctest
from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import InputError
from advisor.metallurgy.charge import slag
from advisor.metallurgy.charge.slag import (
    acid_oxygen,
    base_oxygen,
    degree,
    name_of_silicate_degree,
    soda_bound_mol,
    volume_ml,
)
from advisor.metallurgy.charge.weights import equivalent_g
from advisor.units import Range
from advisor.units.substances import molar_mass_g
from tests.metallurgy.charge_examples import charge_data, exact


def degree_of_flux(grams: Mapping[str, float]) -> float:
    """Degree of a slag of fluxes and oxides as weighed, by formula."""
    moles = {formula: mass / molar_mass_g(formula) for formula, mass in grams.items()}
    acid = sum(count * acid_oxygen(formula) for formula, count in moles.items())
    base = sum(count * base_oxygen(formula) for formula, count in moles.items())
    return degree(exact(acid), exact(base)).likely


# C. Bischof, Polytechnisches Journal 165 (1862), no. LXXXIX, p. 378: parts of silica to one part of base.
# The formula weights of 1862 (silica 30.8 for half of today's 60.08, and so on) make his figures up to 2.5 % higher.
_BISCHOF = [
    ("FeO", 1, 0.427),
    ("FeCO3", 1, 0.265),
    ("FeO", 2, 0.855),
    ("FeCO3", 2, 0.531),
    ("FeO", 3, 1.282),
    ("FeCO3", 3, 0.796),
    ("CaO", 1, 0.548),
    ("CaCO3", 1, 0.307),
    ("CaO", 2, 1.095),
    ("CaCO3", 2, 0.614),
    ("CaO", 3, 1.643),
    ("CaCO3", 3, 0.922),
    ("MgO", 1, 0.770),
    ("MgCO3", 1, 0.367),
    ("MgO", 2, 1.540),
    ("MgCO3", 2, 0.734),
    ("MgO", 3, 2.309),
    ("MgCO3", 3, 1.100),
]


@pytest.mark.parametrize(("base", "silicate", "printed"), _BISCHOF)
def test_silica_to_one_part_of_base_as_bischof_tabled_it(base: str, silicate: float, printed: float) -> None:
    found = degree_of_flux({"SiO2": printed, base: 1})
    assert found == pytest.approx(silicate, rel=0.035)
    assert found > silicate


# Beringer, Text-book of Assaying, 1904, p. 136: 50 g of quartz take 88.5 g of carbonate or 140 g of bicarbonate of
# soda; p. 137: or 186 g of litharge, for the bisilicate.
_FIFTY_OF_QUARTZ = [
    pytest.param("Na2CO3", 88.5, id="Beringer 1904, p. 136, carbonate"),
    pytest.param("NaHCO3", 140.0, id="Beringer 1904, p. 136, bicarbonate"),
    pytest.param("PbO", 186.0, id="Beringer 1904, p. 137, litharge"),
]


@pytest.mark.parametrize(("base", "printed"), _FIFTY_OF_QUARTZ)
def test_fifty_grams_of_quartz_take_the_base_of_the_book(base: str, printed: float) -> None:
    assert degree_of_flux({"SiO2": 50, base: printed}) == pytest.approx(2.0, rel=0.004)


def test_one_hundred_of_bicarbonate_are_about_63_of_carbonate() -> None:  # Beringer 1904, p. 137
    reagents = charge_data().reagents
    ash = equivalent_g(exact(100), reagents["baking_soda"], reagents["soda_ash"])
    assert ash.likely == pytest.approx(63.0, abs=0.2)


def test_dried_carbonate_does_the_work_of_rather_more_than_one_and_a_half_of_bicarbonate() -> None:
    # Beringer 1904, p. 20
    reagents = charge_data().reagents
    assert 1.5 < equivalent_g(exact(1), reagents["soda_ash"], reagents["baking_soda"]).likely < 1.6


def test_of_fused_borax_a_little_more_than_half_suffices() -> None:  # Beringer 1904, p. 20
    reagents = charge_data().reagents
    fused = equivalent_g(exact(1), reagents["borax_decahydrate"], reagents["borax_anhydrous"]).likely
    assert 0.5 < fused < 0.55


def test_washing_crystals_hold_little_more_than_a_third_of_soda() -> None:
    # Sodium carbonate decahydrate 286.1 against 106.0 g/mol, by formula.
    reagents = charge_data().reagents
    assert equivalent_g(exact(1), reagents["washing_soda"], reagents["soda_ash"]).likely == pytest.approx(
        0.370, abs=1e-3
    )
    assert "unfit" in reagents["washing_soda"].advice


def test_two_parts_of_soda_flux_one_of_quartz_as_a_slag_little_above_the_bisilicate() -> None:
    # Beringer 1904, p. 93: two parts of soda (bicarbonate, note 22) are enough for one of quartz, four of borax or
    # litharge barely. Two of bicarbonate make degree 2.8, four of litharge 1.86: both melt, the latter heavier.
    assert degree_of_flux({"SiO2": 1, "NaHCO3": 2}) == pytest.approx(2.8, abs=0.02)
    assert degree_of_flux({"SiO2": 1, "PbO": 4}) == pytest.approx(1.86, abs=0.01)


def test_the_quartz_charge_of_the_book_is_a_bisilicate_made_more_acid_by_its_borax() -> None:
    # Beringer 1904, p. 137: 50 quartz, 100 bicarbonate, 35 litharge, 10 borax; "a bi-silicate or acid slag, and its
    # acid character is increased by borax".
    without = degree_of_flux({"SiO2": 50, "NaHCO3": 100, "PbO": 35})
    full = degree_of_flux({"SiO2": 50, "NaHCO3": 100, "PbO": 35, "Na2B4O7.10H2O": 10})
    assert without == pytest.approx(2.0, abs=0.25)
    assert 2.0 < without < full < 2.5
    names = charge_data().degrees
    assert name_of_silicate_degree(full, names) == "bisilicate"


def test_borax_counts_as_acid_and_as_base() -> None:
    assert acid_oxygen("Na2B4O7.10H2O") == acid_oxygen("Na2B4O7") == 6.0
    assert base_oxygen("Na2B4O7.10H2O") == base_oxygen("Na2B4O7") == 1.0
    assert degree_of_flux({"Na2B4O7": 100}) == pytest.approx(6.0)


@pytest.mark.parametrize("form", ["Na2CO3", "NaHCO3", "Na2CO3.10H2O"])
def test_each_form_of_soda_counts_its_soda_only(form: str) -> None:
    reagents = {r.formula: r for r in charge_data().reagents.values()}
    ash = equivalent_g(exact(10), reagents[form], reagents["Na2CO3"]).likely
    assert degree_of_flux({"SiO2": 10, form: 10}) == pytest.approx(degree_of_flux({"SiO2": 10, "Na2CO3": ash}))


@pytest.mark.parametrize(
    ("value", "name"),
    [
        (0.4, "subsilicate"),
        (1.0, "singulosilicate"),
        (1.6, "sesquisilicate"),
        (2.1, "bisilicate"),
        (3.4, "trisilicate"),
    ],
)
def test_a_degree_is_named_after_the_nearest_silicate(value: float, name: str) -> None:
    assert name_of_silicate_degree(value, charge_data().degrees) == name


def test_no_more_soda_is_bound_than_there_is_and_bases_come_first() -> None:
    binding = charge_data().single["soda_binding"].amount
    plenty = soda_bound_mol(exact(10.0), exact(1.0), exact(2.0), binding)
    assert plenty.high == 2.0
    none = soda_bound_mol(exact(1.0), exact(5.0), exact(2.0), binding)
    assert none.high == 0.0
    some = soda_bound_mol(exact(1.5), exact(0.2), exact(5.0), binding)
    assert some.low <= some.likely <= some.high
    assert some.likely == pytest.approx(1.5 / binding.likely - 0.2)


def test_the_volume_of_a_slag_adds_up_its_parts() -> None:
    species = charge_data().species
    assert volume_ml({"SiO2": exact(22), "FeO": exact(50)}, species).likely == pytest.approx(10 + 10)
    assert volume_ml({"CO2": exact(100)}, species).likely == 0.0


@given(st.floats(0.1, 1000), st.floats(0.1, 1000), st.floats(0.1, 1000))
def test_soda_lowers_and_quartz_raises_the_degree(quartz: float, soda: float, more: float) -> None:
    start = degree_of_flux({"SiO2": quartz, "Na2CO3": soda})
    assert degree_of_flux({"SiO2": quartz, "Na2CO3": soda + more}) < start
    assert degree_of_flux({"SiO2": quartz + more, "Na2CO3": soda}) > start


@given(st.floats(0.1, 100), st.floats(0.1, 10))
def test_the_degree_does_not_depend_on_the_amount(factor: float, silica: float) -> None:
    one = degree_of_flux({"SiO2": silica, "FeO": 3, "Na2B4O7": 1})
    other = degree_of_flux({"SiO2": silica * factor, "FeO": 3 * factor, "Na2B4O7": factor})
    assert one == pytest.approx(other)


def test_a_slag_without_base_has_no_degree() -> None:
    with pytest.raises(InputError, match="no base in it"):
        degree(exact(1.0), Range(0.0, 0.0, 0.0))
    with pytest.raises(InputError, match="no base in it"):
        degree_of_flux({"SiO2": 10})


def test_soda_is_no_form_of_borax() -> None:
    reagents = charge_data().reagents
    with pytest.raises(InputError, match="not two forms of one flux"):
        equivalent_g(exact(1), reagents["soda_ash"], reagents["borax_anhydrous"])


def test_the_examples_in_the_text_are_right() -> None:
    assert doctest.testmod(slag).failed == 0
    assert doctest.testmod(slag).attempted >= 3
