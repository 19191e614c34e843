"""The facts of the trade that the plan must give (common practice, no source)."""

from __future__ import annotations

import pytest

from advisor.advice.documents.advice import Advice
from advisor.rulebase.model import RuleBase
from tests.batches import advice_of
from tests.metallurgy.published_charges import NEAR

GRAVITY_GOLD = {
    "batch_mass": "15 g",
    "gold_share": "70 %",
    "sulphide_share": "2 %",
    "black_sand_share": "10 %",
    "quartz_share": "5 %",
    "clean_part_share": "0 %",
    "reagents": ["bismuth", "borax_anhydrous", "soda_ash"],
    "cupels": ["cement"],
}


def words(advice: Advice) -> str:
    return " ".join(f"{step.do} {step.look_for or ''}" for step in advice.steps).lower()


def test_a_hundred_grams_take_fifty_of_fused_borax_two_hundred_of_soda_and_twenty_of_litharge(
    shipped: RuleBase,
) -> None:
    advice = advice_of(shipped)
    assert advice.route == "smelt_iron"
    assert advice.amounts["borax_anhydrous"].likely_g == pytest.approx(50, rel=0.02)
    assert advice.amounts["soda_ash"].likely_g == pytest.approx(200, rel=0.02)
    assert advice.amounts["litharge"].likely_g == pytest.approx(20, rel=0.02)
    assert advice.amounts["iron"].likely_g > 0


def test_common_borax_is_about_one_part(shipped: RuleBase) -> None:
    advice = advice_of(shipped, reagents=["borax_decahydrate", "soda_ash", "litharge", "lead", "iron"])
    amount = advice.amounts["borax_decahydrate"]
    assert amount.likely_g == pytest.approx(100, rel=0.06)
    assert amount.low_g <= 100 <= amount.high_g


@pytest.mark.parametrize("grams", [50, 250, 1000])
def test_the_charge_scales_with_the_batch(shipped: RuleBase, grams: int) -> None:
    small, large = advice_of(shipped), advice_of(shipped, batch_mass=f"{grams} g")
    for name in ("borax_anhydrous", "soda_ash", "litharge"):
        assert large.amounts[name].likely_g == pytest.approx(small.amounts[name].likely_g * grams / 100, rel=1e-3)
    # Of iron each is the least in whole grams, rounded up.
    fewer, more = sorted((small.amounts["iron"].likely_g * grams / 100, large.amounts["iron"].likely_g))
    assert more - fewer <= max(1, grams / 100)


def test_the_iron_smelt_is_heated_slowly_held_twenty_minutes_near_1200_and_poured_into_a_cone(
    shipped: RuleBase,
) -> None:
    advice = advice_of(shipped)
    hold = next(step for step in advice.steps if "about 20 minutes" in step.do)
    assert hold.temperature_c is not None
    assert hold.temperature_c.low <= 1200 <= hold.temperature_c.high
    assert hold.time_min is not None
    assert hold.time_min.low <= 20 <= hold.time_min.high
    told = words(advice)
    for phrase in ("heat it slowly", "cone mould", "loosen the slag", "without matte on top", "choose the cupel"):
        assert phrase in told, phrase


def test_a_fifteen_gram_button_goes_to_a_small_cupel_chosen_after_weighing(shipped: RuleBase) -> None:
    assert "weigh the button, then choose the cupel. a 15 g button goes to a small cupel" in words(advice_of(shipped))


def test_direct_cupelling_wraps_clean_gold_with_bismuth_in_a_pouch(shipped: RuleBase) -> None:
    advice = advice_of(shipped, **GRAVITY_GOLD)
    assert (advice.route, advice.collector) == ("cupel_direct", "bismuth")
    assert advice.decisions[2].chosen == "cement"
    told = words(advice)
    for phrase in ("pouch", "hollow", "matt or", "under it", "gold-yellow"):
        assert phrase in told, phrase


def test_who_has_no_cupel_reads_first_how_one_is_made_of_portland_cement(shipped: RuleBase) -> None:
    advice = advice_of(shipped, cupels=[], cupels_dry=None, cupel_count=None)
    made = next(one for one in advice.first if one.id == "make_cupels")
    assert "portland cement" in made.do.lower()


def test_the_start_of_bismuth_is_never_given_as_published(shipped: RuleBase) -> None:
    advice = advice_of(shipped, **GRAVITY_GOLD)
    for line in advice.amounts["bismuth"].lines:
        assert {source.kind for source in line.sources} <= {"practice", "memory"}
        assert line.high_g > 1.5 * line.low_g


@pytest.mark.parametrize("phrase", ["10 to 15 mm", "30 mesh", "50 mesh", "25 kW", "10 m3", "first two ports", "third"])
def test_the_upstream_figures_stand_in_the_clean_up_plan_of_a_large_poor_lot(shipped: RuleBase, phrase: str) -> None:
    advice = advice_of(shipped, panning_helps="yes", gold_share="0.5 %", batch_mass="3 kg")
    assert advice.route == "clean_up"
    told = " ".join(f"{step.do} {step.look_for or ''} {step.reason or ''}" for step in advice.steps)
    assert phrase.lower() in told.lower()


def test_nobody_inspects_a_crusher_for_a_handful_of_sand(shipped: RuleBase) -> None:
    advice = advice_of(shipped, panning_helps="yes", gold_share="1 %", batch_mass="200 g")
    assert advice.route == "clean_up"
    assert not [step.id for step in advice.steps if step.id.startswith("upstream")]


@pytest.mark.parametrize("share", ["85 %", "89 %", "90 %", "92 %", "95 %"])
def test_nearly_clean_gold_is_melted_under_a_little_borax_at_any_share(shipped: RuleBase, share: str) -> None:
    lot = {"sulphide_minerals": [], "sulphide_share": "0 %", "black_sand_share": "8 %", "quartz_share": "1 %"}
    advice = advice_of(shipped, batch_mass="225 g", gold_share=share, **lot)
    assert (advice.route, advice.collector) == ("melt_clean", "none")
    assert advice.amounts["borax_anhydrous"].likely_g < 0.1 * 225


def test_rich_sand_is_never_cupelled_as_it_is(shipped: RuleBase) -> None:
    lot = {"gold_share": "30 %", "sulphide_share": "4 %", "black_sand_share": "25 %", "quartz_share": "25 %"}
    advice = advice_of(shipped, batch_mass="150 g", **lot)
    assert advice.route == "melt_clean"
    assert advice.amounts["soda_ash"].likely_g > advice.amounts["borax_anhydrous"].likely_g > 30
    assert advice.amounts["iron"].likely_g == pytest.approx(3, abs=1)


def test_the_lead_of_galena_is_the_collector_and_no_litharge_is_weighed(shipped: RuleBase) -> None:
    galena = {"sulphide_minerals": ["galena"], "sulphide_share": "23 %", "lead_share": "23 %"}
    advice = advice_of(shipped, batch_mass="400 g", gold_share="2 %", send_out_possible="no", **galena)
    assert (advice.route, advice.collector) == ("smelt_iron", "lead")
    assert "litharge" not in advice.amounts
    assert 110 <= advice.quantities["lead_in_button"].likely <= 160
    assert max(step.temperature_c.high for step in advice.steps if step.stage == "heat" and step.temperature_c) <= 1000


def test_black_sand_by_the_kilogram_goes_to_the_magnet_because_of_its_slag(shipped: RuleBase) -> None:
    lot = {"sulphide_minerals": [], "sulphide_share": "0 %", "black_sand_share": "90 %", "magnetics_out": "no"}
    advice = advice_of(shipped, batch_mass="3 kg", gold_share="0.1 %", panning_helps="yes", **lot)
    assert advice.route == "clean_up"
    smelt = next(option for option in advice.decisions[0].options if option.id == "smelt_iron")
    assert "black-sand-makes-mostly-slag" in {argument.id for argument in smelt.arguments}


def test_rust_takes_litharge_borax_and_flour_by_the_printed_charge(shipped: RuleBase) -> None:
    rust = {"weathering": "oxidised", "arsenic_test": "clean", "sulphide_minerals": [], "sulphide_share": "0 %"}
    advice = advice_of(shipped, batch_mass="120 g", gold_share="8 %", black_sand_share="60 %", **rust)
    assert (advice.route, advice.collector) == ("smelt_iron", "lead")
    assert advice.amounts["litharge"].likely_g >= 100
    assert 14 * (1 - NEAR) <= advice.amounts["flour"].likely_g <= 30
    assert advice.amounts.keys().isdisjoint({"nitre", "iron"})
