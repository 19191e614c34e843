"""The plan for an ore of the book is the charge that the book prints for it."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from advisor.metallurgy.charge.figures import sulphide_room_g
from advisor.metallurgy.charge.gases import charge_area_cm2
from advisor.metallurgy.charge.melt import Charge
from advisor.metallurgy.charge.plan import ChargePlan, assess_charge, plan_charge
from advisor.metallurgy.charge.weights import Wish
from advisor.metallurgy.concentrate.composition import Concentrate, roasted
from advisor.units import Range
from tests.metallurgy.charge_examples import (
    COLLECTORS,
    METHODS,
    by_periodictable,
    charge_data,
    concentrate,
    concentrates,
    elements,
    exact,
    minerals,
    reagents,
    rows,
)
from tests.metallurgy.published_charges import NEAR, PRINTED, Printed

_ROWS = [pytest.param(row, reagent, id=f"{row.name}: {reagent}") for row in PRINTED for reagent in row.weighed_g]


@pytest.mark.parametrize(("row", "reagent"), _ROWS)
def test_each_reagent_lies_beside_the_printed_figure(row: Printed, reagent: str) -> None:
    assert row.off(reagent) <= row.bound(reagent), f"{row.planned_g(reagent):.1f} g beside {row.weighed_g[reagent]}"


@pytest.mark.parametrize("row", [pytest.param(row, id=row.name) for row in PRINTED if row.differs])
def test_a_bound_is_no_wider_than_its_reason(row: Printed) -> None:
    for reagent, (bound, why) in row.differs.items():
        assert why
        assert NEAR < row.off(reagent) <= bound <= row.off(reagent) + 0.05, reagent


def test_at_least_twelve_charges_are_compared_and_every_method_among_them() -> None:
    assert len({row.name for row in PRINTED}) == len(PRINTED) >= 12
    assert {row.method for row in PRINTED} == {"flux", "roast", "iron", "nitre"}


@pytest.mark.parametrize("row", [pytest.param(row, id=row.name) for row in PRINTED])
def test_nitre_and_a_reducing_agent_are_never_weighed_for_one_pot(row: Printed) -> None:
    assert not (row.planned_g("nitre") and any(row.planned_g(name) for name in ("flour", "charcoal", "tartar")))


# --- What the base, the button and the nitre obey for every ore ----------------------------------------------


def _plan(method: str, ore: Concentrate, collector: str = "litharge", button_g: float | None = None) -> ChargePlan:
    wanted = None if button_g is None else exact(button_g)
    return plan_charge(ore, Wish(method, collector, wanted), charge_data())


@given(concentrates(uncertain=True), st.sampled_from(METHODS), st.sampled_from(COLLECTORS))
@settings(max_examples=80, deadline=None)
def test_nitre_never_stands_beside_flour_and_never_passes_its_limit(
    ore: Concentrate, method: str, collector: str
) -> None:
    # Beringer 1904, p. 92: at most 2 to 2.5 parts of nitre to one of sulphide; pp. 93, 140: nitre or flour.
    plan = _plan(method, ore, collector)
    weighed = {figure.name.removesuffix("_g"): figure.amount for figure in plan.weigh}
    assert not ("nitre" in weighed and "flour" in weighed)
    sulphide = ore.kind_g("sulphide", "arsenide", "telluride").likely
    assert ("nitre" not in weighed) or weighed["nitre"].high <= 2.5 * sulphide + 1e-9


@given(concentrates(), st.sampled_from(("litharge", "red_lead", "bismuth_oxide")))
@settings(max_examples=60, deadline=None)
def test_after_a_roast_flour_brings_down_the_button_aimed_at(raw: Concentrate, collector: str) -> None:
    ore = roasted(raw, minerals(), rows("minerals.yaml", "roasting"))
    assume(not ore.kind_g("sulphide", "arsenide", "telluride").high and not ore.mass_g("iron").high)
    plan = _plan("roast", ore, collector)
    aimed = plan.figure("button_target_g").amount.likely
    assert plan.weighed_g("flour") > 0.0
    assert plan.figure("collector_metal_g").amount.likely == pytest.approx(aimed, rel=1e-3)
    assert plan.figure("lead_thrown_down_g").amount.high == 0.0


@given(st.floats(1, 500), st.floats(1, 500), st.sampled_from(METHODS))
@settings(max_examples=40, deadline=None)
def test_the_button_is_never_lighter_than_the_gold(gold: float, quartz: float, method: str) -> None:
    # Beringer 1904, p. 113: 10 g of gold were cupelled with 10 g of lead.
    plan = _plan(method, concentrate(gold=gold, quartz=quartz))
    assert plan.figure("collector_metal_g").amount.likely >= 0.999 * gold


def test_clean_gold_gets_its_own_weight_of_lead() -> None:
    plan = _plan("iron", concentrate(gold=90, quartz=10))
    assert plan.figure("collector_metal_g").amount.likely == pytest.approx(90, rel=1e-3)
    bismuth = _plan("iron", concentrate(gold=90, quartz=10), "bismuth_oxide")
    assert bismuth.figure("button_target_g").amount == Range(10.0, 25.0, 60.0)


@pytest.mark.parametrize(
    ("method", "low", "likely", "high"),
    [
        ("flux", 0.6, 0.7, 1.25),
        ("roast", 0.65, 0.95, 1.28),
        ("iron", 0.134, 0.178, 0.268),
        ("nitre", 0.134, 0.178, 0.268),
    ],
)
def test_the_button_is_that_of_the_printed_charge_or_of_the_trade(
    method: str, low: float, likely: float, high: float
) -> None:
    aimed = _plan(method, concentrate(quartz=100)).figure("button_target_g").amount
    assert (aimed.low, aimed.likely, aimed.high) == pytest.approx((100 * low, 100 * likely, 100 * high))


def test_the_flux_for_a_mixed_sand_lies_between_that_of_quartz_and_that_of_oxide() -> None:
    # Beringer 1904, p. 91: less soda, more borax and more flour as the oxides become more.
    plans = [_plan("flux", concentrate(quartz=100 - rust, hematite=rust), button_g=40) for rust in (1, 30, 60, 99)]
    for reagent, rises in (("soda_ash", False), ("borax_anhydrous", True), ("flour", True)):
        weighed = [plan.weighed_g(reagent) for plan in plans]
        assert weighed == sorted(weighed, reverse=not rises), reagent


def test_black_sand_without_sulphide_gets_flour_and_neither_rod_nor_nitre() -> None:
    plan = _plan("flux", concentrate(magnetite=60, ilmenite=20, quartz=18, gold=2))
    assert plan.weighed_g("flour") > 5
    assert not plan.weighed_g("nitre")
    assert "iron_rod_g" not in {figure.name for figure in plan.outcome.figures}
    assert plan.weighed_g("soda_ash") < 70
    assert plan.outcome.in_window


@pytest.mark.parametrize(
    ("pyrite", "soda", "borax"),
    [(0.0, 126.2, 20.0), (10.0, 126.2, 20.0), (30.0, 200.0, 50.0), (80.0, 200.0, 50.0)],
)
def test_soda_and_borax_with_iron_rise_from_the_book_to_the_trade_with_the_sulphide(
    pyrite: float, soda: float, borax: float
) -> None:
    plan = _plan("iron", concentrate(pyrite=pyrite, calcite=55 - pyrite / 2, quartz=45 - pyrite / 2))
    assert plan.weighed_g("soda_ash") == pytest.approx(soda, rel=0.01)
    assert plan.weighed_g("borax_anhydrous") == pytest.approx(borax, rel=0.01)


def test_on_the_way_to_the_trade_the_slag_hides_just_the_sulphide_that_is_made() -> None:
    # Beringer 1904, p. 140: 10 to 12 g to 50 of quartz, 100 of bicarbonate and some borax, 92 g without their gas.
    plan = _plan("iron", concentrate(pyrite=17, calcite=43, quartz=40))
    assert 126.2 < plan.weighed_g("soda_ash") < 200
    made = plan.outcome.melt
    slag = made.oxides_g.likely + made.soda_g.likely * 61.98 / 105.99
    assert made.place_g("sulphide").likely == pytest.approx(0.12 * slag, rel=0.01)
    assert "so that the slag hides" in plan.figure("soda_ash_g").how


# --- Red lead ------------------------------------------------------------------------------------------------

_WITH_RED_LEAD = [
    ("pyrite", 5, 0, 0, 42.5),
    ("pyrite", 5, 20, 0, 36.0),
    ("pyrite", 5, 0, 5, 16.0),
    ("pyrite", 5, 20, 5, 19.0),
    ("pyrite", 2.5, 17.5, 0, 11.5),
    ("pyrite", 5, 15, 4, 22.5),
    ("pyrite", 10, 10, 16, 22.5),
    ("stibnite", 8, 0, 0, 29.0),
]
_WITH_LITHARGE = [
    ("pyrite", 4, 0, 0, 46.5),
    ("pyrite", 4, 15, 0, 40.5),
    ("pyrite", 7, 13, 12.5, 27.0),
    ("pyrite", 10, 10, 20, 26.5),
    ("chalcopyrite", 5, 0, 0, 44.5),
    ("chalcopyrite", 5, 15, 0, 32.5),
    ("sphalerite", 5, 0, 0, 41.5),
    ("sphalerite", 5, 15, 0, 38.5),
    ("sphalerite", 10, 10, 15, 21.6),
    ("stibnite", 5, 0, 0, 31.0),
    ("stibnite", 5, 15, 0, 32.5),
    ("stibnite", 10, 10, 10, 18.7),
    ("galena", 10, 0, 0, 33.5),
    ("galena", 20, 0, 11, 22.7),
]


@pytest.mark.parametrize(
    ("oxide", "trial"),
    [("red_lead", trial) for trial in _WITH_RED_LEAD] + [("litharge", trial) for trial in _WITH_LITHARGE],
)
def test_a_given_charge_gives_the_button_of_the_trial(
    oxide: str, trial: tuple[str, float, float, float, float]
) -> None:
    # Beringer 1904, p. 97: 80 of red lead or litharge, 20 of soda, 5 of borax.
    mineral, grams, quartz, nitre, lead = trial
    ore = concentrate(**{mineral: grams}, **({"quartz": quartz} if quartz else {}))
    weighed = reagents(baking_soda=20, borax_decahydrate=5, nitre=nitre, **{oxide: 80})
    outcome = assess_charge(Charge("nitre", ore, weighed), charge_data())
    got = outcome.figure("collector_metal_g").amount.likely
    # With red lead and with nitre the book's own rules miss its trials by some grams; without either they are these.
    assert got == pytest.approx(lead, abs=0.5 if oxide == "litharge" and not nitre and mineral != "chalcopyrite" else 6)


def test_quartz_takes_lead_from_pyrites_and_soda_brings_it_back() -> None:
    # Beringer 1904, p. 98: 16.5 g of lead with litharge alone, 22.5 g with 20 g of soda beside it.
    ore, litharge = concentrate(pyrite=2, quartz=1), {"litharge": 50.0}
    alone = assess_charge(Charge("flux", ore, reagents(**litharge)), charge_data()).figure("collector_metal_g").amount
    soda = assess_charge(Charge("flux", ore, reagents(baking_soda=20, **litharge)), charge_data())
    assert soda.figure("collector_metal_g").amount.likely > alone.likely + 2


@pytest.mark.parametrize("method", ["nitre", "flux", "iron"])
def test_twenty_of_red_lead_do_the_work_of_one_of_nitre(method: str) -> None:  # Beringer 1904, p. 96
    ore, lead = concentrate(pyrite=5, quartz=15), charge_data().oxidants["red_lead"].lead.likely
    assert lead * 20 == pytest.approx(charge_data().oxidants["nitre"].lead.likely)
    red = assess_charge(Charge(method, ore, reagents(soda_ash=20, red_lead=80)), charge_data())
    yellow = assess_charge(Charge(method, ore, reagents(soda_ash=20, litharge=80 * 0.9767)), charge_data())
    less = yellow.figure("collector_metal_g").amount.likely - red.figure("collector_metal_g").amount.likely
    assert less == pytest.approx(0.0 if method == "iron" else 16.0, abs=0.01)


# --- Heat ----------------------------------------------------------------------------------------------------


def test_galena_is_smelted_at_redness_and_the_heat_of_the_trade_is_marked_as_practice() -> None:
    # Beringer 1904, p. 212: a furnace heated to, but not above, redness.
    galena = _plan("iron", concentrate(galena=40, quartz=60)).figure("melting_heat_c")
    assert galena.amount.high <= 900
    assert "p. 212" in galena.source
    for method in METHODS:
        trade = _plan(method, concentrate(quartz=90, galena=5)).figure("melting_heat_c")
        assert trade.amount.likely == 1200
        assert "common practice, no source" in trade.source


# --- What is told and when -----------------------------------------------------------------------------------


def _told(ore: Concentrate, wanted: float | None, **weighed: float) -> set[str]:
    wish = None if wanted is None else Wish("flux", "litharge", exact(wanted))
    outcome = assess_charge(Charge("flux", ore, reagents(soda_ash=80, **weighed)), charge_data(), wish=wish)
    return {limit.key for limit in outcome.limits}


@pytest.mark.parametrize(("wanted", "key"), [(49.0, "collector-not-reduced"), (33.0, "button-too-large"), (44.0, None)])
def test_a_button_that_misses_its_aim_is_told_of(wanted: float, key: str | None) -> None:
    told = _told(concentrate(quartz=50), wanted, litharge=80, flour=4)  # 44 g of lead
    assert told & {"collector-not-reduced", "button-too-large"} == ({key} if key else set())


@pytest.mark.parametrize(("flour", "speaks"), [(2.6, True), (2.8, False)])
def test_most_of_the_collector_left_in_the_slag_is_told_of(flour: float, speaks: bool) -> None:
    # 28.6 and 30.8 of the 74.3 g of lead in the litharge: 62 and 59 in the hundred stay.
    assert ("collector-not-reduced" in _told(concentrate(quartz=50), None, litharge=80, flour=flour)) is speaks


@pytest.mark.parametrize(("pyrite", "heavy"), [(60.0, True), (20.0, False)])
def test_a_plan_that_comes_to_the_limit_of_nitre_says_so(pyrite: float, heavy: bool) -> None:
    plan = _plan("nitre", concentrate(pyrite=pyrite, quartz=100 - pyrite), button_g=30)
    assert ("nitre-heavy" in {limit.key for limit in plan.outcome.limits}) is heavy
    assert (plan.weighed_g("nitre") == pytest.approx(2.5 * pyrite)) is heavy


# --- Figures that no printed charge pins ---------------------------------------------------------------------


def test_free_soda_hides_one_part_of_sulphide_by_formula_and_two_at_most() -> None:
    one = by_periodictable("FeS").mass / by_periodictable("Na2CO3").mass
    free = charge_data().sulphide_in_slag["free_soda"].amount
    assert (free.low, free.likely, free.high) == pytest.approx((0.0, one, 2 * one), abs=0.01)
    made = assess_charge(Charge("iron", concentrate(calcite=10), reagents(soda_ash=100)), charge_data()).melt
    held = sulphide_room_g(made, charge_data()).likely - 0.12 * made.bound_slag_g.likely
    assert held == pytest.approx(made.free_soda_g.likely * one, rel=0.01)


def test_twice_the_iron_that_is_taken_up_stands_in_the_melt() -> None:
    plan = _plan("iron", concentrate(pyrite=30, quartz=30, calcite=40))
    taken, rod = plan.figure("rod_loss_g").amount, plan.figure("iron_rod_g").amount
    # Too light a rod melts through: the lightest is enough for the likely figure, the heaviest for the most.
    assert (rod.low, rod.likely) == pytest.approx((1.5 * taken.likely, 2 * taken.likely))
    assert rod.high == pytest.approx(max(3 * taken.likely, 1.5 * taken.high))


def test_sulphide_in_a_flux_charge_is_fluxed_as_the_oxide_that_it_becomes() -> None:
    plan = _plan("flux", concentrate(pyrite=50, quartz=50), button_g=400)
    parts = charge_data().printed
    each = [50 * parts[ore, "borax_anhydrous"].amount.likely for ore in ("siliceous", "oxide")]
    assert plan.weighed_g("borax_anhydrous") == pytest.approx(sum(each))


def test_soda_is_weighed_for_all_the_sulphate() -> None:
    # Beringer 1904, p. 96: the soda that turns to sulphate no longer serves as a flux.
    plan = _plan("flux", concentrate(pyrite=100), button_g=1200)
    made = plan.outcome.melt
    assert made.grams("salt", "Na2SO4").likely > 100
    assert made.grams("gas", "SO3").likely == pytest.approx(0.0, abs=1e-9)


def test_a_rod_that_may_do_and_likely_does_not_is_told_of() -> None:
    ore, weighed = concentrate(pyrite=50, calcite=20), reagents(soda_ash=100)
    used = assess_charge(Charge("iron", ore, weighed), charge_data()).melt.rod_used_g
    assert used.low < used.likely
    for rod_g, speaks in (((used.low + used.likely) / 2, True), (used.likely + 1, False)):
        outcome = assess_charge(Charge("iron", ore, weighed, exact(rod_g)), charge_data())
        assert ("rod-too-light" in {limit.key for limit in outcome.limits}) is speaks


def test_a_pot_of_eight_times_the_room_has_four_times_the_surface() -> None:
    small, large = (charge_area_cm2(room, charge_data().single["pot_mouth"].amount) for room in (100.0, 800.0))
    assert large.likely == pytest.approx(4 * small.likely)


def test_beside_a_rod_what_red_lead_burns_is_counted_once() -> None:
    ore = concentrate(pyrite=3, quartz=15)
    made = assess_charge(Charge("iron", ore, reagents(soda_ash=30, red_lead=80, flour=1)), charge_data()).melt
    went_in = elements({formula: grams.likely for formula, grams in made.taken_in.items()})
    came_out: dict[str, float] = {}
    for place in made.products.values():
        for element, moles in elements({formula: grams.likely for formula, grams in place.items()}).items():
            came_out[element] = came_out.get(element, 0.0) + moles
    assert came_out == pytest.approx(went_in, rel=1e-3, abs=1e-6)
