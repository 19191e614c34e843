"""A charge with a degree of the slag that is wanted, and with reagents held.

Checked against C. and J. J. Beringer, A Text-book of Assaying, ninth edition (1904), pp. 136 and 137.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import InputError
from advisor.metallurgy.charge.plan import ChargePlan, plan_charge
from advisor.metallurgy.charge.weights import Wish
from advisor.metallurgy.concentrate.composition import Concentrate, by_masses
from tests.metallurgy.charge_examples import charge_data, concentrate, concentrates, exact, minerals

QUARTZ = concentrate(quartz=50)
NONE = exact(0)


def planned(ore: Concentrate, degree: float, soda: str = "soda_ash", **held: float) -> ChargePlan:
    wish = Wish(
        "flux",
        collector_metal_g=NONE,
        soda=soda,
        degree=exact(degree),
        fixed_g={name: exact(grams) for name, grams in {"silica": 0, "borax_anhydrous": 0, **held}.items()},
    )
    return plan_charge(ore, wish, charge_data())


# What 50 g of quartz take to a bisilicate: reagent held, reagent planned, grams in the book.
BISILICATE = [
    pytest.param({"litharge": 0}, "soda_ash", "soda_ash", 88.5, id="Beringer 1904, p. 136, carbonate"),
    pytest.param({"litharge": 0}, "baking_soda", "baking_soda", 140, id="Beringer 1904, p. 136, bicarbonate"),
    pytest.param({"soda_ash": 0}, "soda_ash", "litharge", 186, id="Beringer 1904, p. 137, litharge"),
    # The book takes five sevenths and two sevenths in round figures: 100 of bicarbonate, "say 52" of litharge.
    pytest.param({"baking_soda": 100}, "baking_soda", "litharge", 52, id="Beringer 1904, p. 137, both"),
]


@pytest.mark.parametrize(("held", "soda", "reagent", "grams"), BISILICATE)
def test_quartz_is_fluxed_to_a_bisilicate_as_in_the_book(
    held: dict[str, float], soda: str, reagent: str, grams: float
) -> None:
    plan = planned(QUARTZ, 2.0, soda=soda, **held)
    assert plan.weighed_g(reagent) == pytest.approx(grams, rel=0.02)
    assert plan.figure("slag_degree").amount.likely == pytest.approx(2.0)


@given(concentrates("calcite", "pyrite", "hematite", "gold"), st.floats(0.8, 2.4), st.floats(0, 40))
def test_the_slag_has_the_degree_wanted_and_what_is_held_keeps_its_weight(
    ore: Concentrate, degree: float, borax: float
) -> None:
    wish = Wish("flux", degree=exact(degree), fixed_g={"borax_anhydrous": exact(borax)})
    # Flux alone is no way for much pyrite: its sulphate may take all the soda, and then there is no slag to speak of.
    masses = {p.mineral.name: p.mass_g.least(exact(5 if p.mineral.name == "pyrite" else 1000)) for p in ore.minerals}
    plan = plan_charge(by_masses(minerals(), {**masses, "quartz": exact(50)}), wish, charge_data())
    assert plan.weighed_g("borax_anhydrous") == pytest.approx(borax, abs=1e-9)
    assert plan.figure("slag_degree").amount.likely == pytest.approx(degree, rel=0.02)


@given(st.floats(0.5, 1.4), st.floats(0.5, 1.4))
def test_a_more_alkaline_slag_never_takes_less_soda_or_litharge(one: float, other: float) -> None:
    ore = concentrate(quartz=40, calcite=5, gold=5)
    low, high = sorted((one, other))
    base = [sum(planned(ore, degree).weighed_g(name) for name in ("soda_ash", "litharge")) for degree in (low, high)]
    assert base[0] >= base[1] - 1e-6


def test_what_cannot_come_to_the_degree_wanted_is_refused() -> None:
    with pytest.raises(InputError, match="nothing is left to bring the slag to a degree of 2"):
        planned(QUARTZ, 2.0, soda_ash=20, litharge=10)


def test_held_litharge_bounds_the_button_and_the_flour() -> None:
    wish = Wish("flux", fixed_g={"litharge": exact(10)})
    plan = plan_charge(QUARTZ, wish, charge_data())
    assert plan.figure("collector_metal_g").amount.likely <= 9.29
    assert plan.weighed_g("flour") <= 9.29 / 11 + 0.01
