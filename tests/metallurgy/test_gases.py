"""Gas of a charge: volume, time and room."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import InputError
from advisor.metallurgy.charge.gases import charge_area_cm2, slow_heat
from advisor.metallurgy.charge.melt import Charge, melt
from advisor.metallurgy.common import gas_law
from advisor.metallurgy.common.gas_law import gas_moles, gas_volume_l
from advisor.units import Range
from tests.metallurgy.charge_examples import by_periodictable, charge_data, concentrate, exact, reagents

# Printed densities of gases at 0 °C and sea level, kg/m3, from a table of densities of materials read as a web page.
_PRINTED_DENSITIES = [
    pytest.param("CO2", 1.98, 0.02, id="web table of densities, carbon dioxide 1.98 (it is no perfect gas)"),
    pytest.param("CO", 1.25, 0.01, id="web table of densities, carbon monoxide 1.25"),
]


@pytest.mark.parametrize(("formula", "printed", "bound"), _PRINTED_DENSITIES)
def test_a_cubic_metre_of_gas_weighs_what_is_printed(formula: str, printed: float, bound: float) -> None:
    litres = gas_volume_l(gas_moles({formula: exact(1000.0)})).likely
    assert 1000.0 / litres == pytest.approx(printed, abs=bound)


def test_a_mole_of_gas_takes_22_414_litres_at_zero_and_sea_level() -> None:
    # Chemical Process Equipment (2005), Appendix A, standard gas volume 22.414 L/mol; read in a web copy that does
    # not show its authors.
    assert gas_volume_l(exact(1.0)).likely == pytest.approx(22.414, abs=0.0005)


def test_quartz_drives_all_the_gas_out_of_its_soda() -> None:
    # Beringer, Text-book of Assaying, 1904, note 20: SiO2 + Na2CO3 = CO2 + Na2SiO3; the bicarbonate gives twice the
    # carbon dioxide to the same soda.
    carbonate, bicarbonate = (
        melt(Charge("flux", concentrate(quartz=50), reagents(**soda)), charge_data()).products["gas"]["CO2"].likely
        for soda in ({"soda_ash": 88.5}, {"baking_soda": 140.0})
    )
    assert carbonate == pytest.approx(88.5 * by_periodictable("CO2").mass / by_periodictable("Na2CO3").mass, rel=2e-4)
    assert bicarbonate / carbonate == pytest.approx(2.0, abs=0.01)


def test_a_gram_of_soda_gives_a_litre_of_gas_at_a_thousand_degrees() -> None:
    litres = gas_volume_l(
        gas_moles({"CO2": exact(by_periodictable("CO2").mass / by_periodictable("Na2CO3").mass)}), 1000.0
    ).likely
    assert litres == pytest.approx(0.986, abs=0.005)


def test_sulphur_and_arsenic_are_counted_as_their_hot_molecules() -> None:
    assert gas_moles({"S": exact(2 * 32.06)}).likely == pytest.approx(1.0, rel=1e-3)
    assert gas_moles({"As2O3": exact(2 * 197.84)}).likely == pytest.approx(1.0, rel=1e-3)


@given(st.floats(0.01, 100), st.floats(0, 1500), st.floats(1, 500))
def test_hotter_gas_and_thinner_air_take_more_room(moles: float, hot_c: float, more_c: float) -> None:
    base = gas_volume_l(exact(moles), hot_c).likely
    assert gas_volume_l(exact(moles), hot_c + more_c).likely > base
    assert gas_volume_l(exact(moles), hot_c, 70.0).likely == pytest.approx(base * 101.325 / 70.0)
    assert gas_volume_l(exact(2 * moles), hot_c).likely == pytest.approx(2 * base)


@given(st.floats(0.1, 500), st.floats(20, 5000))
def test_a_narrower_pot_needs_more_time(litres: float, pot_ml: float) -> None:
    data = charge_data()
    factor, limit = data.single["pot_mouth"].amount, data.single["gas_limit"]
    wide = slow_heat(exact(litres), charge_area_cm2(2 * pot_ml, factor), limit.amount, limit.source).amount
    narrow = slow_heat(exact(litres), charge_area_cm2(pot_ml, factor), limit.amount, limit.source).amount
    assert narrow.likely > wide.likely
    assert narrow.low <= narrow.likely <= narrow.high


def test_the_time_for_the_gas_says_that_its_limit_is_recalled() -> None:
    limit = charge_data().single["gas_limit"]
    figure = slow_heat(exact(80.0), Range(50, 60, 70), limit.amount, limit.source)
    assert figure.unit == "min"
    assert figure.source == "from memory, not checked against a text"


@pytest.mark.parametrize("temperature_c", [-300.0, float("nan"), 5000.0])
def test_a_temperature_that_cannot_be_is_refused(temperature_c: float) -> None:
    with pytest.raises(InputError, match="The temperature of the gas"):
        gas_volume_l(exact(1.0), temperature_c)


@pytest.mark.parametrize("crucible_ml", [0.0, -5.0, float("inf")])
def test_a_crucible_that_cannot_be_is_refused(crucible_ml: float) -> None:
    with pytest.raises(InputError, match="The crucible volume"):
        charge_area_cm2(crucible_ml, exact(0.75))


def test_air_pressure_that_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="The pressure of the air"):
        gas_volume_l(exact(1.0), 0.0, 1013.0)


def test_the_examples_in_the_text_are_right() -> None:
    assert doctest.testmod(gas_law).failed == 0
    assert doctest.testmod(gas_law).attempted >= 1
