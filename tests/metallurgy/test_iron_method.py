"""Iron for sulphides, oxides and collector oxide, and what iron leaves behind."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.metallurgy.charge import iron as iron_method
from advisor.metallurgy.charge.iron import equations, iron_taken_up, rod_to_weigh
from advisor.metallurgy.charge.melt import Charge, melt
from advisor.metallurgy.concentrate.composition import Concentrate
from advisor.units import Range
from tests.metallurgy.charge_examples import (
    RAW_MINERALS,
    SULPHIDES,
    by_periodictable,
    charge_data,
    concentrate,
    concentrates,
    exact,
    reagents,
)


def _iron(**grams: float) -> Range:
    return iron_taken_up(concentrate(**grams), charge_data().iron).amount


# --- Handbook ------------------------------------------------------------------------------------------------


def test_good_stibnite_ore_takes_about_forty_percent_of_iron() -> None:
    # Beringer, Text-book of Assaying, 1904, p. 226: about 40 per cent in pure ores. The pure mineral takes 49 % by
    # formula; 40 % is what ore of 82 % stibnite takes, or the pure mineral with a fifth of its sulphur left.
    iron = _iron(stibnite=100)
    assert iron.low == pytest.approx(40, abs=1.0)
    assert iron.likely == pytest.approx(49.3, abs=0.1)
    assert _iron(stibnite=82, quartz=18).likely == pytest.approx(40, abs=0.6)


def test_the_smelters_scrap_for_antimony_ore_lies_in_the_range() -> None:
    # Beringer 1904, p. 226, note by McNeill: 40 to 45 lb of ore with 20 to 25 lb of tin-plate scrap, with an excess
    # of iron held to be a good fault; that is 0.44 to 0.63 to one.
    iron = _iron(stibnite=100)
    assert iron.low / 100 < 20 / 45
    assert iron.high / 100 > 25 / 45


def test_galena_assayed_with_an_iron_rod_gives_the_lead_of_the_book() -> None:
    # Beringer 1904, p. 212: ore of 73.3 % lead by wet assay gave 17.5 and 17.6 g from 25 g in clay pots, with 25 of
    # soda, 2 of tartar and a rod; an iron pot gives about 1 % more. By formula it would be 18.3 g.
    galena = 25 * 0.733 / 0.86599
    ore = concentrate(galena=galena, quartz=25 - galena)
    made = melt(Charge("iron", ore, reagents(baking_soda=25, tartar=2, borax_decahydrate=2)), charge_data())
    lead, in_slag = made.grams("metal", "Pb"), made.grams("slag", "Pb")
    assert lead.low <= 17.5 < 17.6 <= lead.high
    assert 17.5 <= lead.likely <= 17.6
    assert lead.likely + in_slag.likely == pytest.approx(25 * 0.733, rel=1e-4)
    assert made.rod_used_g.likely == pytest.approx(0.2334 * galena, rel=1e-3)


def test_a_speiss_is_reckoned_as_five_iron_to_two_arsenic() -> None:
    # H. F. Collins, The Metallurgy of Lead, p. 144: arsenic in a charge should be calculated to Fe5As2.
    uptake = charge_data().iron["arsenopyrite"]
    assert uptake.likely.right["Fe5As2"] == 1
    arsenic = by_periodictable("As").mass / by_periodictable("FeAsS").mass
    made = melt(Charge("iron", concentrate(arsenopyrite=100), reagents(soda_ash=200)), charge_data())
    whole = made.place_g("speiss").likely
    assert 100 * arsenic / whole == pytest.approx(
        2 * by_periodictable("As").mass / by_periodictable("Fe5As2").mass, rel=2e-4
    )


_DEMAND = [
    pytest.param("pyrite", "FeS2", 1.0, 0.4655, id="FeS2 + Fe"),
    pytest.param("galena", "PbS", 1.0, 0.2334, id="PbS + Fe"),
    pytest.param("stibnite", "Sb2S3", 3.0, 0.4932, id="Sb2S3 + 3 Fe"),
    pytest.param("pyrrhotite", "Fe7S8", 1.0, 0.0863, id="Fe7S8 + Fe"),
    pytest.param("arsenopyrite", "FeAsS", 2.5, 0.8574, id="FeAsS + 2.5 Fe"),
    pytest.param("chalcopyrite", "CuFeS2", 0.5, 0.1521, id="CuFeS2 + half Fe"),
    pytest.param("magnetite", "Fe3O4", 1.0, 0.2412, id="Fe3O4 + Fe"),
    pytest.param("hematite", "Fe2O3", 1.0, 0.3497, id="Fe2O3 + Fe"),
    pytest.param("cassiterite", "SnO2", 2.0, 0.7411, id="SnO2 + 2 Fe"),
]


@pytest.mark.parametrize(("name", "formula", "moles", "grams"), _DEMAND)
def test_the_iron_of_each_mineral_is_that_of_its_equation(name: str, formula: str, moles: float, grams: float) -> None:
    iron = charge_data().iron[name].iron.likely
    assert iron == pytest.approx(grams, abs=1e-4)
    assert iron == pytest.approx(moles * by_periodictable("Fe").mass / by_periodictable(formula).mass, rel=2e-4)


def test_iron_takes_the_oxygen_of_litharge_and_of_bismuth_oxide() -> None:
    sand = concentrate(quartz=10)
    for oxide, formula, moles in (("litharge", "PbO", 1), ("bismuth_oxide", "Bi2O3", 3)):
        made = melt(Charge("iron", sand, reagents(soda_ash=20, **{oxide: 100})), charge_data())
        wanted = 100 * moles * by_periodictable("Fe").mass / by_periodictable(formula).mass
        assert made.iron_needed_g.likely == pytest.approx(wanted, rel=2e-4)


def test_pyrite_may_lose_half_its_loose_sulphur_before_the_iron_gets_it() -> None:
    # Beringer 1904, p. 139: heat first drives off about half the sulphur of pyrites as vapour.
    uptake = charge_data().iron["pyrite"]
    loose = charge_data().heating["pyrite"]
    assert loose.right["S"] / 2 == pytest.approx(0.5)
    assert uptake.iron.low == pytest.approx(uptake.iron.high / 2)


# --- Laws ------------------------------------------------------------------------------------------------


@given(concentrates(uncertain=True), st.sampled_from(SULPHIDES), st.floats(0.01, 500))
@settings(max_examples=80, deadline=None)
def test_more_sulphide_never_needs_less_iron(material: Concentrate, more: str, grams: float) -> None:
    added = concentrate(**{more: grams})
    both = Concentrate(
        material.dry_mass_g + added.dry_mass_g,
        material.minerals + added.minerals,
        material.how,
        material.source,
    )
    before = iron_taken_up(material, charge_data().iron).amount
    after = iron_taken_up(both, charge_data().iron).amount
    assert after.low >= before.low - 1e-9
    assert after.likely >= before.likely - 1e-9
    assert after.high >= before.high - 1e-9
    assert after.low <= after.likely <= after.high


@given(st.floats(0, 300), st.sampled_from(SULPHIDES), st.floats(0.01, 200), st.floats(0, 60))
@settings(max_examples=80, deadline=None)
def test_more_sulphide_beside_the_same_litharge_never_eats_less_of_the_rod(
    pyrite: float, more: str, grams: float, litharge: float
) -> None:
    data = charge_data()
    weighed = reagents(soda_ash=200, borax_anhydrous=50, litharge=litharge)
    masses = {"quartz": 20.0, "pyrite": pyrite}
    before = melt(Charge("iron", concentrate(**masses), weighed), data)
    masses[more] = masses.get(more, 0.0) + grams
    after = melt(Charge("iron", concentrate(**masses), weighed), data)
    # While sulphides are too few to reduce the litharge, the rod does; more of them then spare the rod.
    if before.account.collector_reduced.likely >= 1.0 or litharge == 0.0:
        assert after.iron_needed_g.likely >= before.iron_needed_g.likely - 1e-9


@pytest.mark.parametrize(
    "name", [m for m in RAW_MINERALS if m not in ("quartz", "gold", "calcite", "iron", "ilmenite")]
)
def test_the_range_of_each_mineral_holds_its_point(name: str) -> None:
    iron = charge_data().iron[name].iron
    assert 0.0 <= iron.low <= iron.likely <= iron.high


def test_steel_in_the_sand_spares_the_rod() -> None:
    rod = rod_to_weigh(exact(30), exact(10), Range(1.5, 2.0, 3.0), "practice").amount
    assert (rod.low, rod.likely, rod.high) == (30.0, 40.0, 60.0)
    assert rod_to_weigh(exact(5), exact(10), Range(1.5, 2.0, 3.0), "practice").amount.high == 0.0


def test_blende_is_left_alone_at_the_likely_value_but_not_forgotten() -> None:
    assert _iron(sphalerite=100).likely == 0.0
    assert _iron(sphalerite=100).high == pytest.approx(57.3, abs=0.1)


def test_the_equations_shown_are_those_of_the_minerals_present() -> None:
    shown = dict(equations(concentrate(pyrite=1, quartz=1), charge_data().iron))
    assert shown == {"pyrite": "FeS2 + Fe -> 2 FeS"}


def test_the_examples_in_the_text_are_right() -> None:
    assert doctest.testmod(iron_method).failed == 0
