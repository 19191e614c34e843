"""Corrections of a piece that came out wrong, against the handbooks and against their own laws."""

from __future__ import annotations

import math
from collections.abc import Mapping

import chempy
import periodictable
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import InputError
from advisor.metallurgy.calculators import COMPUTATIONS
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Value
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.correction.tables import correction_tables
from advisor.rulebase.model import RuleBase
from advisor.units import Range

exact = Range.exact
PRACTICE = "common practice, no source"
CORRECTIONS = {name: computation for name, computation in COMPUTATIONS.items() if not computation.command}
_TABLES: list[Tables] = []

USUAL: dict[str, dict[str, Value]] = {
    "dull_bead": {"bead_mass_g": exact(10), "bead_look": "matt_crust", "cupel_stain": "green", "collector": "bismuth"},
    "second_cupel": {"button_mass_g": exact(25), "collector": "lead", "first_cupel_mass_g": exact(12)},
    "frozen_cupel": {"button_mass_g": exact(25), "temperature_c": exact(800), "collector": "lead"},
    "matte_iron": {"matte_mass_g": exact(10), "matte_kind": "lead", "collector": "lead"},
    "thin_slag": {"slag_mass_g": exact(200), "slag_look": "pasty_siliceous", "pot_temperature_c": exact(1080)},
    "slag_shot": {"slag_mass_g": exact(120), "shot_share": exact(0.01), "collector": "lead"},
    "brittle_metal": {"metal_mass_g": exact(100), "suspected": "bismuth", "collector": "bismuth"},
    "borax_clean": {"metal_mass_g": exact(100), "dirt_mass_g": exact(5)},
    "scale_check": {"mass_weighed_g": exact(10.03), "scale_step_g": exact(0.01), "mass_expected_g": exact(10)},
    "lost_gold": {
        "gold_expected_g": exact(1),
        "gold_found_g": exact(0.9),
        "slag_mass_g": exact(100),
        "cupel_mass_g": exact(25),
        "collector_used_g": exact(20),
    },
    "low_fineness": {
        "bead_mass_g": exact(10),
        "fineness_permille": exact(0.8),
        "fineness_wanted_permille": exact(0.95),
        "silver_share": exact(0.05),
        "collector": "lead",
    },
    "copper_button": {"button_mass_g": exact(1), "copper_share": exact(0.2), "collector": "lead"},
    "speiss": {"speiss_mass_g": exact(7)},
    "reheat_charge": {"charge_mass_g": exact(200), "temperature_c": exact(1000), "time_in_min": exact(30)},
}
"""Invented pieces, one for each correction."""

HIGHEST = {"g": 5000.0, "C": 1400.0, "min": 200.0, "permille": 1.0, "%": 1.0}


@pytest.fixture(scope="module", autouse=True)
def _tables(shipped: RuleBase) -> None:
    _TABLES[:] = [Tables(shipped)]


def work_out(name: str, **changed: Value) -> Mapping[str, Figure]:
    return CORRECTIONS[name].figures(_TABLES[0], {**USUAL[name], **changed})


def amount(name: str, figure: str, **changed: Value) -> Range:
    return work_out(name, **changed)[figure].amount


def about(value: Range, low: float, likely: float, high: float, rel: float = 1e-3) -> bool:
    pairs = zip((value.low, value.likely, value.high), (low, likely, high), strict=True)
    return all(math.isclose(found, wanted, rel_tol=rel, abs_tol=1e-9) for found, wanted in pairs)


# --- handbook -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("copper_percent", "lead_low_g", "lead_high_g"),
    [(5, 6, 6), (10, 8, 8), (20, 10, 10), (30, 12, 12), (40, 14, 14), (50, 16, 18), (100, 16, 18)],
)
def test_a_gram_of_coppery_silver_gets_the_lead_of_the_silver_table(
    copper_percent: float, lead_low_g: float, lead_high_g: float
) -> None:
    # C. and J. J. Beringer, A Text-book of Assaying, 1904, table on p. 105
    lead = amount("copper_button", "lead_by_silver_table_g", copper_share=exact(copper_percent / 100))
    assert (lead.low, lead.high) == pytest.approx((lead_low_g, lead_high_g))


@pytest.mark.parametrize(("copper_percent", "times"), [(0, 1), (20, 2), (40, 3), (60, 4), (80, 4)])
@pytest.mark.parametrize(("charge_g", "lead_g"), [(0.5, 4.0), (0.3, 3.0)])
def test_gold_bullion_gets_the_lead_of_the_gold_table(
    copper_percent: float, times: float, charge_g: float, lead_g: float
) -> None:
    # Beringer, 1904, p. 148: 4 g for 0.5 g, 3 g for 0.3 g; twice, three times, four times with copper
    share = exact(copper_percent / 100)
    lead = amount("copper_button", "lead_by_gold_table_g", button_mass_g=exact(charge_g), copper_share=share)
    assert lead.low - 1e-9 <= times * lead_g <= lead.high + 1e-9


def test_much_copper_is_treated_two_or_three_times_with_little_lead() -> None:
    # Beringer, 1904, p. 112
    rounds = amount("copper_button", "number_of_rounds")
    assert (rounds.low, rounds.high) == (2, 3)
    each = amount("copper_button", "collector_each_round_g")
    assert each.high < amount("copper_button", "collector_g").high


@pytest.mark.parametrize(("lead_g", "cupel_g"), [(15.0, 20.0), (25.0, 25.0)])
def test_a_cupel_for_15_to_25_g_of_lead_weighs_about_20_to_25_g(lead_g: float, cupel_g: float) -> None:
    # Beringer, 1904, p. 142. Litharge weighs 1.08 times its lead, so the computed low end may stand 3 % above 25 g.
    cupel = amount("second_cupel", "cupel_mass_g", button_mass_g=exact(lead_g), cupel_kind="bone_ash")
    assert cupel.low <= cupel_g * 1.03
    assert cupel.high >= cupel_g * 0.99


def test_lead_uncovers_at_the_published_heats() -> None:
    # T. K. Rose, The Metallurgy of Gold, p. 506 (with Fulton's figures)
    found = work_out("frozen_cupel")
    assert (found["bath_uncovers_c"].amount.low, found["bath_uncovers_c"].amount.high) == (797, 862)
    assert found["bath_uncovers_c"].amount.likely == 840
    assert found["air_uncovers_c"].amount == exact(675)
    assert found["air_drives_c"].amount == exact(770)
    assert found["silver_finish_least_c"].amount == exact(910)
    assert found["restart_temperature_c"].amount.low >= 862


def test_iron_for_lead_matte_is_that_of_the_equation_in_two_libraries() -> None:
    # PbS + Fe -> Pb + FeS
    by_periodictable = periodictable.formula("Fe").mass / periodictable.formula("PbS").mass
    by_chempy = chempy.Substance.from_formula("Fe").mass / chempy.Substance.from_formula("PbS").mass
    iron = amount("matte_iron", "iron_to_add_g", matte_mass_g=exact(1))
    assert iron.likely == pytest.approx(by_periodictable, rel=1e-4)
    assert iron.likely == pytest.approx(by_chempy, rel=1e-4)
    lead = amount("matte_iron", "metal_set_free_g", matte_mass_g=exact(1)).likely
    sulphide = amount("matte_iron", "sulphide_to_hide_g", matte_mass_g=exact(1)).likely
    assert lead + sulphide == pytest.approx(1 + iron.likely, rel=1e-9)


def test_iron_for_copper_matte_is_at_most_that_of_the_equation() -> None:
    # Cu2S + Fe -> 2 Cu + FeS
    most = chempy.Substance.from_formula("Fe").mass / chempy.Substance.from_formula("Cu2S").mass
    iron = amount("matte_iron", "iron_to_add_g", matte_mass_g=exact(1), matte_kind="copper")
    assert iron.low == iron.likely == 0
    assert iron.high == pytest.approx(most, rel=1e-4)


def test_the_published_slag_hides_10_to_12_g_of_iron_sulphide() -> None:
    # Beringer, 1904, p. 140: 50 g of quartz, 100 g of bicarbonate and some borax; p. 138: 10 g of borax
    soda_na2o = 100 * periodictable.formula("Na2O").mass / (2 * periodictable.formula("NaHCO3").mass)
    borax = 10 * periodictable.formula("Na2B4O7").mass / periodictable.formula("Na2B4O7(H2O)10").mass
    slag_g = 50 + soda_na2o + borax
    assert slag_g == pytest.approx(92.2, abs=0.1)
    held = amount("matte_iron", "matte_it_can_hold_g", matte_kind="iron", slag_mass_g=exact(slag_g))
    assert held.low == pytest.approx(10, rel=0.01)
    assert held.likely == pytest.approx(11, rel=0.01)
    # The high end of the table, 0.138, leaves the borax out of the slag: 12 / 87, so it stands 6 % above 12 g.
    assert 12 <= held.high <= 12 * 1.07


def test_new_slag_for_a_matte_has_the_published_proportions() -> None:
    # Beringer, 1904, pp. 138 and 140: 50 quartz to 100 bicarbonate (63.1 soda ash) and 10 hydrated borax (5.28)
    found = work_out("matte_iron")
    soda, quartz, borax = (found[f"{name}_to_add_g"].amount.likely for name in ("soda", "silica", "borax"))
    ash = 100 * periodictable.formula("Na2CO3").mass / (2 * periodictable.formula("NaHCO3").mass)
    assert soda / quartz == pytest.approx(ash / 50, rel=1e-3)
    assert borax / quartz == pytest.approx(0.1055, rel=1e-2)


def test_more_than_five_parts_of_flux_are_never_advised_for_a_matte() -> None:
    # Beringer, 1904, p. 94: where 5 parts are not enough, more is no remedy
    found = work_out("matte_iron", matte_kind="iron")
    bicarbonate = found["soda_to_add_g"].amount.high * 2 * 84.007 / 105.988
    hydrated = found["borax_to_add_g"].amount.high * 381.37 / 201.22
    assert bicarbonate + hydrated == pytest.approx(50, rel=1e-3)
    assert found["roast_first"].amount == exact(1)


def test_gold_slag_is_cleaned_with_the_published_charge() -> None:
    # Beringer, 1904, p. 138: 40 g of litharge and 4 g of flour for the slag of 50 g of ore (120 g by calculation)
    found = work_out("slag_shot")
    litharge, flour = found["collector_oxide_g"].amount, found["flour_g"].amount
    assert litharge.low == pytest.approx(40, rel=0.011)
    assert flour.low <= 4 <= flour.high


def test_silver_slag_is_cleaned_with_the_published_charge() -> None:
    # Beringer, 1904, p. 91: 20 g of litharge and 1 g of charcoal for the slag of 20 g of ore (47 g by calculation)
    found = work_out("slag_shot", slag_mass_g=exact(47))
    assert found["collector_oxide_g"].amount.high == pytest.approx(20, rel=0.02)
    assert found["charcoal_g"].amount.low <= 1 <= found["charcoal_g"].amount.high


def test_cupels_that_drank_50_g_of_lead_are_smelted_with_the_published_charge() -> None:
    # Beringer, 1904, p. 114: 30 g each of soda (bicarbonate) and borax, 10 g of fluorspar, 1.5 g of charcoal
    found = work_out("lost_gold", collector_used_g=exact(50))
    bicarbonate, hydrated = 2 * 84.007 / 105.988, 381.37 / 201.22
    assert found["cupel_soda_g"].amount.likely * bicarbonate == pytest.approx(30, rel=2e-3)
    assert found["cupel_borax_g"].amount.likely * hydrated == pytest.approx(30, rel=2e-3)
    assert found["cupel_fluorspar_g"].amount.likely == pytest.approx(10)
    assert found["cupel_charcoal_g"].amount.likely == pytest.approx(1.5)


@pytest.mark.parametrize("found_mg", [1.37, 1.59, 1.92])
def test_gold_in_the_cupels_agrees_with_ten_published_cupellations(found_mg: float) -> None:
    # Beringer, 1904, p. 145: 1 g of gold with 20 g of lead, ten runs
    sits = amount("lost_gold", "gold_in_cupel_g")
    assert sits.low <= found_mg / 1000 <= sits.high


def test_nearly_all_that_cupels_cost_is_found_in_them() -> None:
    # Beringer, 1904, p. 146: 34.56 of 35.72 mg
    found = _TABLES[0].once(correction_tables).at("lost", "cupel", "found_in_cupel_share").amount
    assert found.likely == pytest.approx(34.56 / 35.72, rel=1e-3)


@pytest.mark.parametrize("ton_kg", [907.185, 1016.047])
def test_slag_of_melted_precipitate_holds_about_20_ounces_to_the_ton(ton_kg: float) -> None:
    # Rose, p. 390; the ton is the short or the long one, the ounce is troy (31.1035 g)
    slag_g = 1000.0
    grams = 20 * 31.1035 / (ton_kg * 1000) * slag_g
    sits = amount("lost_gold", "gold_in_slag_g", slag_mass_g=exact(slag_g), gold_expected_g=exact(10))
    assert sits.low <= grams <= sits.high * (1 + 1e-3)


def test_red_iron_slag_once_kept_nearly_a_gram_of_half_an_ounce() -> None:
    # Beringer, 1904, p. 138; half a troy ounce is 15.55 g
    kept = amount("lost_gold", "gold_in_red_iron_slag_g", gold_expected_g=exact(15.55), gold_found_g=exact(14))
    assert 0.9 < kept.likely < kept.high
    assert kept.high == pytest.approx(1.0, rel=0.02)


def test_fluorspar_for_a_stiff_slag_is_at_most_that_of_the_published_charge() -> None:
    # Beringer, 1904, p. 91: 5 g to 20 ore, 15 soda, 15 borax, 60 litharge, 5 flour
    spar = amount("thin_slag", "fluorspar_to_add_g", slag_look="glassy_stiff", slag_mass_g=exact(115))
    assert 5 <= spar.high <= 6


def test_borax_for_scale_is_its_own_weight() -> None:
    # Beringer, 1904, p. 138: fused borax dissolves about its own weight of the lower iron oxide
    with_dirt = amount("borax_clean", "borax_g", dirt_mass_g=exact(5)).likely
    assert with_dirt - amount("borax_clean", "borax_g", dirt_mass_g=exact(0)).likely == pytest.approx(5)


def test_a_charge_is_quiet_after_the_published_time() -> None:
    # Rose, p. 499: 40 to 50 minutes; Beringer, 1904, p. 91: about 25 for an oxide charge
    fresh = amount("reheat_charge", "more_time_min", time_in_min=exact(0))
    assert fresh.low == pytest.approx(25 + 5)
    assert fresh.high == pytest.approx(50 + 15)


def test_a_bisilicate_slag_with_its_soda_needs_nothing_to_reach_degree_two() -> None:
    # Beringer, 1904, p. 137: 50 g of quartz and 88.5 g of sodium carbonate are a bisilicate
    found = work_out("thin_slag", slag_silica_g=exact(50), slag_soda_g=exact(88.5))
    assert found["slag_degree"].amount.likely == pytest.approx(2.0, rel=0.01)
    assert found["soda_to_add_g"].amount.low == pytest.approx(0, abs=0.5)
    assert found["silica_to_add_g"].amount.high == pytest.approx(0, abs=0.5)


def test_soda_by_the_degree_makes_the_slag_what_is_wanted() -> None:
    found = work_out("thin_slag", slag_silica_g=exact(60), slag_soda_g=exact(60), slag_iron_oxide_g=exact(10))
    wanted, soda = found["slag_degree_wanted"].amount, found["soda_to_add_g"].amount
    again = work_out(
        "thin_slag", slag_silica_g=exact(60), slag_soda_g=exact(60 + soda.likely), slag_iron_oxide_g=exact(10)
    )
    assert again["slag_degree"].amount.likely == pytest.approx(wanted.likely, rel=1e-6)


# --- what the operator is told --------------------------------------------------------------------------------


@pytest.mark.parametrize("collector", ["lead", "bismuth"])
@pytest.mark.parametrize("look", ["shiny", "dull", "matt_crust", "coppery", "blackened", "unknown"])
def test_a_bead_that_goes_back_for_base_metal_gets_collector_a_cupel_and_time_at_every_end(
    collector: str, look: str
) -> None:
    found = work_out("dull_bead", bead_look=look, cupel_stain="none", collector=collector)
    for name in ("collector_to_add_g", "cupel_mass_g", "time_min", "cupels_pieces"):
        assert found[name].amount.low > 0, name


def test_cupels_for_a_bead_are_counted_in_those_at_hand() -> None:
    small, large = (
        amount(
            "dull_bead", "cupels_pieces", largest_cupel_mass_g=exact(body_g), collector="lead", bead_mass_g=exact(20)
        )
        for body_g in (15, 60)
    )
    assert small.likely > large.likely >= 1


def test_a_matt_bead_gets_a_little_more_bismuth_and_it_is_called_practice() -> None:
    add = work_out("dull_bead")["collector_to_add_g"]
    assert add.source == PRACTICE
    assert "no ratio was ever published" in add.how
    assert about(add.amount, 2.5, 2.5, 5)


def test_bismuth_is_never_converted_from_a_lead_table() -> None:
    little, much = (
        amount("copper_button", "collector_g", collector="bismuth", copper_share=exact(at)) for at in (0, 1)
    )
    assert little == much
    assert work_out("copper_button", collector="bismuth")["collector_g"].source == PRACTICE


def test_losses_of_gold_with_bismuth_say_whose_they_are() -> None:
    assert "no figures exist for bismuth" in work_out("dull_bead")["gold_loss_extra_g"].how
    assert "no figures exist for bismuth" in work_out("lost_gold", collector="bismuth")["gold_in_cupel_g"].how


def test_a_share_read_from_a_look_is_never_shown_as_published() -> None:
    tables = _TABLES[0].once(correction_tables)
    for (topic, _, what), found in tables.parts.items():
        if topic in ("look", "stain") and what in ("base_share", "bismuth_per_g"):
            assert "Beringer" not in found.source


def test_with_arsenic_suspected_everything_is_set_aside_and_nothing_is_fired() -> None:
    found = work_out("brittle_metal", suspected="antimony_arsenic")
    assert found["set_aside_g"].amount == exact(100)
    assert "licensed place" in found["set_aside_g"].how
    others = [figure for name, figure in found.items() if name != "set_aside_g"]
    assert others
    assert all(figure.unit == "g" and figure.amount == exact(0) for figure in others)


def test_with_the_cause_unknown_arsenic_is_thought_of() -> None:
    aside = work_out("brittle_metal", suspected="unknown")["set_aside_g"]
    assert aside.amount.high == 100
    assert "arsenic" in aside.how


def test_nitre_stays_a_small_part_and_is_kept_from_charcoal() -> None:
    for cause in ("bismuth", "lead", "sulphur", "tellurium", "unknown"):
        nitre = work_out("brittle_metal", suspected=cause)["nitre_g"]
        assert nitre.amount.high <= 5
        assert "never with charcoal" in nitre.how


def test_a_speiss_is_set_aside_whole() -> None:
    found = work_out("speiss")
    assert list(found) == ["set_aside_mass_g"]
    assert found["set_aside_mass_g"].amount == exact(7)
    assert "never heat it" in found["set_aside_mass_g"].how


def test_iron_does_nothing_for_iron_matte_and_its_small_remainder_is_called_memory() -> None:
    iron = work_out("matte_iron", matte_kind="iron")["iron_to_add_g"]
    assert 0 < iron.amount.low <= iron.amount.high < 0.1 * 10
    assert "full of iron" in iron.how
    assert "from memory" in iron.source


def test_a_little_iron_matte_under_much_slag_needs_no_roast() -> None:
    assert amount("matte_iron", "roast_first", matte_kind="iron", slag_mass_g=exact(500)) == exact(0)


def test_copper_matte_is_always_roasted_first() -> None:
    assert amount("matte_iron", "roast_first", matte_kind="copper", slag_mass_g=exact(500)) == exact(1)


def test_a_hot_muffle_that_froze_a_button_points_to_another_cause() -> None:
    found = work_out("frozen_cupel", temperature_c=exact(1050), cupel_kind="bone_ash")
    assert found["heat_to_gain_c"].amount == exact(0)
    assert "tin" in found["heat_to_gain_c"].how


def test_a_foaming_slag_gets_nothing() -> None:
    found = work_out("thin_slag", slag_look="foamy")
    assert all(figure.amount == exact(0) for name, figure in found.items() if name.endswith("_to_add_g"))


def test_where_only_borax_is_used_no_soda_is_asked_for() -> None:
    with_soda, without = work_out("thin_slag"), work_out("thin_slag", flux_used="borax_only")
    assert without["soda_to_add_g"].amount == exact(0)
    # Beringer, 1904, p. 93: 2 parts of soda or 4 of borax to 1 of quartz, here as soda ash and anhydrous borax
    more = without["borax_to_add_g"].amount.likely - with_soda["borax_to_add_g"].amount.likely
    assert more == pytest.approx(1.67 * with_soda["soda_to_add_g"].amount.likely)
    ash, dry = 105.988 / (2 * 84.007), 201.22 / 381.37
    assert (4 * dry) / (2 * ash) == pytest.approx(1.67, abs=0.01)


def test_silver_stays_whatever_is_cupelled() -> None:
    found = work_out("low_fineness", silver_share=exact(0.2))
    assert found["base_to_remove_g"].amount == exact(0)
    assert found["silver_left_g"].amount.likely == pytest.approx(2)
    assert found["reachable_fineness_permille"].amount.likely == pytest.approx(800)
    assert "licensed place" in found["silver_left_g"].how


def test_a_bead_fine_enough_already_gets_nothing() -> None:
    found = work_out("low_fineness", fineness_permille=exact(0.96))
    assert found["too_much_g"].amount == exact(0)
    assert found["collector_to_add_g"].amount == exact(0)


def test_base_metal_to_remove_brings_the_bead_to_the_fineness_wanted() -> None:
    removed = amount("low_fineness", "base_to_remove_g", silver_share=exact(0), fineness_wanted_permille=exact(0.9))
    assert 10 * 800 / (10 - removed.likely) == pytest.approx(900)


def test_one_step_of_the_scale_is_no_difference_and_three_are() -> None:
    one = work_out("scale_check", mass_weighed_g=exact(10.01))
    assert one["within_share"].amount.likely == 1
    range_of = work_out("scale_check")
    assert range_of["within_share"].amount.high < 1
    assert range_of["smallest_meaning_difference_g"].amount.high == pytest.approx(0.02)
    # four evenly spread readings of half a step each way: standard deviation sqrt(4/12), twice that
    assert range_of["smallest_meaning_difference_g"].amount.likely == pytest.approx(0.01 * 2 * math.sqrt(4 / 12))


@given(true=st.floats(1, 100), step=st.sampled_from([0.001, 0.01, 0.1]), zeros=st.tuples(*[st.floats(-0.5, 0.5)] * 2))
@settings(deadline=None)
def test_rounding_alone_never_parts_two_weighings_by_more_than_is_said(
    true: float, step: float, zeros: tuple[float, float]
) -> None:
    shown = [(round(true / step + zero) - round(zero)) * step for zero in zeros]
    found = work_out(
        "scale_check", mass_weighed_g=exact(shown[0]), mass_expected_g=exact(shown[1]), scale_step_g=exact(step)
    )
    assert abs(shown[0] - shown[1]) <= found["smallest_meaning_difference_g"].amount.high * (1 + 1e-9)


def test_gold_is_never_found_in_more_than_is_missing() -> None:
    found = work_out("lost_gold", gold_found_g=exact(0.999), slag_mass_g=exact(1000))
    for name in ("gold_in_cupel_g", "gold_in_slag_g", "gold_in_red_iron_slag_g", "unexplained_g"):
        assert found[name].amount.high <= 0.001 + 1e-12


def test_without_slag_and_cupel_all_missing_gold_is_unexplained() -> None:
    found = work_out("lost_gold", slag_mass_g=exact(0), cupel_mass_g=exact(0))
    assert found["unexplained_g"].amount == found["missing_g"].amount


def test_a_full_first_cupel_and_the_rest_make_the_whole() -> None:
    found = work_out("second_cupel", cupel_kind="bone_ash")
    rest, whole = found["cupel_mass_for_rest_g"].amount.likely, found["cupel_mass_g"].amount.likely
    assert rest + 12 == pytest.approx(whole)
    assert found["share_taken_by_first"].amount.likely == pytest.approx(12 / whole)


def test_a_button_is_cut_until_each_piece_suits_the_largest_cupel() -> None:
    found = work_out("second_cupel", cupel_kind="bone_ash", largest_cupel_mass_g=exact(10))
    whole, pieces = found["cupel_mass_g"].amount, found["pieces"].amount
    assert whole.high / pieces.high <= 10
    assert pieces.high == math.ceil(whole.high / 10)


# --- laws -----------------------------------------------------------------------------------------------------


def inputs_of(name: str) -> tuple[Input, ...]:
    return CORRECTIONS[name].inputs(_TABLES[0])


def masses(name: str) -> list[str]:
    return [one.name for one in inputs_of(name) if one.unit == "g"]


@pytest.mark.parametrize("name", CORRECTIONS)
def test_every_figure_is_declared_and_says_how_and_whence(name: str) -> None:
    correction, found = CORRECTIONS[name], work_out(name)
    assert set(correction.outputs) <= set(found) <= {*correction.outputs, *correction.sometimes}
    for key, figure in found.items():
        assert key == figure.name
        assert figure.how
        assert figure.source
        assert not figure.name.endswith("_g") or figure.unit == "g"
        assert not figure.name.endswith("_c") or figure.unit == "C"
        assert not figure.name.endswith("_min") or figure.unit == "min"


@pytest.mark.parametrize("name", CORRECTIONS)
def test_every_word_of_an_input_is_known_to_the_tables(name: str) -> None:
    for one in inputs_of(name):
        for word in one.options:
            assert work_out(name, **{one.name: word})


@pytest.mark.parametrize("name", [name for name in CORRECTIONS if name != "scale_check"])
@given(factor=st.floats(0.01, 100))
@settings(max_examples=30, deadline=None)
def test_grams_grow_in_step_with_the_piece(name: str, factor: float) -> None:
    usual = work_out(name)
    given_masses = {key: value for key, value in USUAL[name].items() if key in masses(name)}
    larger = work_out(name, **{key: value.scaled(factor) for key, value in given_masses.items()})  # type: ignore[union-attr]
    for key, figure in usual.items():
        if figure.unit == "g":
            wanted = figure.amount.scaled(factor)
            assert about(larger[key].amount, wanted.low, wanted.likely, wanted.high, rel=1e-6), key


@pytest.mark.parametrize("name", CORRECTIONS)
def test_a_correction_of_things_nobody_knows_gives_wide_ranges_and_nothing_negative(name: str) -> None:
    values: dict[str, Value] = {}
    for one in inputs_of(name):
        if one.options:
            values[one.name] = "unknown" if "unknown" in one.options else one.options[0]
        else:
            high = HIGHEST[one.unit]
            low = 0.001 if one.name in ("scale_step_g", "fineness_wanted_permille") else 0.0
            values[one.name] = Range(low, high / 3, high)
    for figure in CORRECTIONS[name].figures(_TABLES[0], values).values():
        assert math.isfinite(figure.amount.low)
        assert math.isfinite(figure.amount.high)
        assert figure.amount.low >= 0 or figure.name == "difference_g", figure.name


@st.composite
def pieces(draw: st.DrawFn, name: str) -> tuple[dict[str, Value], dict[str, Value]]:
    """A piece exactly known, and the same piece known only within ranges."""
    sharp: dict[str, Value] = {}
    wide: dict[str, Value] = {}
    for one in inputs_of(name):
        if one.options:
            sharp[one.name] = wide[one.name] = draw(st.sampled_from(one.options))
            continue
        least = {"g": 0.01, "permille": 0.00001}.get(one.unit, 0.0)
        range_of = sorted(draw(st.tuples(*[st.floats(least, HIGHEST[one.unit])] * 3)))
        if "wanted" in one.name:
            range_of = [max(0.001, value) for value in range_of]
        sharp[one.name], wide[one.name] = exact(range_of[1]), Range(*range_of)
    return sharp, wide


@pytest.mark.parametrize("name", CORRECTIONS)
@given(data=st.data())
@settings(max_examples=60, deadline=None)
def test_what_holds_for_a_piece_lies_within_what_is_said_when_it_is_known_only_roughly(
    name: str, data: st.DataObject
) -> None:
    sharp, wide = data.draw(pieces(name))
    known, rough = (CORRECTIONS[name].figures(_TABLES[0], values) for values in (sharp, wide))
    for key, figure in known.items():
        if key not in rough:
            continue
        inner, outer = figure.amount, rough[key].amount
        room = 1e-6 * max(1.0, abs(outer.low), abs(outer.high))
        assert outer.low - room <= inner.low, key
        assert inner.high <= outer.high + room, key


@given(shares=st.tuples(st.floats(0, 1), st.floats(0, 1)))
@settings(deadline=None)
def test_more_copper_never_means_less_lead(shares: tuple[float, float]) -> None:
    less, more = (work_out("copper_button", copper_share=exact(share)) for share in sorted(shares))
    for name in ("lead_by_silver_table_g", "lead_by_gold_table_g", "collector_g", "cupel_mass_g"):
        for end in ("low", "likely", "high"):
            assert getattr(less[name].amount, end) <= getattr(more[name].amount, end) + 1e-9


@given(finer=st.tuples(st.floats(0, 1), st.floats(0, 1)))
@settings(deadline=None)
def test_a_poorer_bead_never_needs_less_lead(finer: tuple[float, float]) -> None:
    poor, rich = (
        amount("low_fineness", "collector_to_add_g", fineness_permille=exact(value), silver_share=exact(0))
        for value in sorted(finer)
    )
    assert poor.likely >= rich.likely - 1e-9


@given(heats=st.tuples(st.floats(0, 1400), st.floats(0, 1400)))
@settings(deadline=None)
def test_a_colder_muffle_never_needs_less_heat(heats: tuple[float, float]) -> None:
    cold, hot = (amount("frozen_cupel", "heat_to_gain_c", temperature_c=exact(heat)) for heat in sorted(heats))
    assert cold.low >= hot.low
    assert cold.high >= hot.high


# --- what is refused ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CORRECTIONS)
def test_a_negative_mass_is_refused_in_one_sentence(name: str) -> None:
    for key in masses(name):
        with pytest.raises(InputError) as refused:
            work_out(name, **{key: Range(-1, 0.5, 1)})
        assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("name", "key", "value", "says"),
    [
        ("slag_shot", "shot_share", exact(1.2), "at most 1"),
        ("copper_button", "copper_share", Range(0, 0.5, 1.5), "at most 1"),
        ("low_fineness", "fineness_permille", exact(1.001), "at most 1000"),
        ("low_fineness", "fineness_wanted_permille", exact(0), "at least 1"),
        ("frozen_cupel", "temperature_c", exact(3000), "at most 2000"),
        ("reheat_charge", "time_in_min", exact(-5), "at least 0"),
        ("dull_bead", "bead_mass_g", exact(0), "weighs 0 g"),
        ("dull_bead", "bead_look", "rosy", "one of shiny"),
        ("dull_bead", "collector", "mercury", "one of lead, bismuth"),
        ("matte_iron", "matte_kind", exact(1), "an amount"),
        ("matte_iron", "matte_mass_g", "much", "is an amount"),
        ("scale_check", "scale_step_g", exact(0), "at least"),
    ],
)
def test_what_cannot_be_is_refused_with_what_would_be_right(name: str, key: str, value: Value, says: str) -> None:
    with pytest.raises(InputError, match=says):
        work_out(name, **{key: value})


@pytest.mark.parametrize("name", CORRECTIONS)
def test_an_input_without_a_value_is_named(name: str) -> None:
    for one in inputs_of(name):
        if one.required:
            left = {key: value for key, value in USUAL[name].items() if key != one.name}
            with pytest.raises(InputError, match=one.name):
                CORRECTIONS[name].figures(_TABLES[0], left)
