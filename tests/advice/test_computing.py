"""The computation inside the consultation: minerals from answers, one weight for each material, routes side by side."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.advice.notes.computed import CHARGE_BY_RULE, COMPUTED_CHARGE
from advisor.advice.plan.minerals import minerals_of
from advisor.advice.plan.planned_batch import fumes, work_out
from advisor.advice.plan.weighing import Weigher, weight_words
from advisor.engine import conclude
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.model import RuleBase
from advisor.units import Range
from tests.batches import PYRITIC, advice_of, answers_of, conclusions_of
from tests.conftest import ROOT

HOODED = {
    "place": "closed_room",
    "open_ground": "no",
    "furnace_fuel": "current",
    "extraction": "working",
    "hood_open_area": "0.3 m2",
    "hood_face_speed": "1 m/s",
    "room_volume": "30 m3",
    "air_flow": "500 m3/h",
}
"""A closed room with an electric furnace under a hood that draws fast enough for lead. Invented."""


def groups(advice) -> dict:  # type: ignore[no-untyped-def, type-arg]
    assert advice.computed is not None
    return {group.title: group for group in advice.computed.groups}


def test_the_answers_become_minerals_that_weigh_the_batch(shipped: RuleBase) -> None:
    concentrate = minerals_of(Weigher(conclusions_of(shipped)), Tables(shipped))
    assert concentrate.dry_mass_g.likely == pytest.approx(100)
    assert sum(part.mass_g.likely for part in concentrate.minerals) == pytest.approx(100, rel=0.02)
    assert concentrate.mass_g("gold").likely == pytest.approx(5, rel=0.02)


def test_more_sulphide_never_needs_less_iron(shipped: RuleBase) -> None:
    needed = []
    for share in (10, 20, 30):
        advice = advice_of(shipped, sulphide_share=f"{share} %")
        figures = groups(advice)[COMPUTED_CHARGE].figures
        needed.append(next(f.likely for f in figures if f.name == "iron_taken_up_g"))
    assert needed == sorted(needed)


def test_bismuth_on_the_cupel_is_computed_as_practice(shipped: RuleBase) -> None:
    advice = advice_of(shipped, reagents=["bismuth", "borax_anhydrous", "soda_ash", "iron"])
    assert advice.collector == "bismuth"
    figures = {f.name: f for f in groups(advice)["Collector"].figures}
    assert figures["bismuth_g"].source == "common practice, no source"


def test_the_fume_screen_appears_only_where_the_work_may_be_in_a_closed_room(shipped: RuleBase) -> None:
    titles = set(groups(advice_of(shipped, **HOODED)))
    assert any(title.startswith("Fume screen") for title in titles)
    assert not any(title.startswith("Fume screen") for title in groups(advice_of(shipped)))


def test_room_and_fan_are_asked_only_for_a_closed_room(shipped: RuleBase) -> None:
    from advisor.engine.ask.questions import open_questions
    from advisor.engine.conclude import conclude

    closed = conclude(shipped, answers_of(shipped, PYRITIC, **{**HOODED, "room_volume": None, "air_flow": None}))
    assert {question.fact for question in open_questions(closed)} == {"room_volume", "air_flow"}
    assert open_questions(conclusions_of(shipped)) == []


def test_a_roast_carries_its_gas_and_stages(shipped: RuleBase) -> None:
    advice = advice_of(shipped, **ROASTED)
    assert advice.route == "roast_smelt"
    found = groups(advice)
    assert {"Stages", "Air and gases"} <= set(found)
    so2 = next(f for f in found["Air and gases"].figures if f.name == "so2_g")
    assert so2.likely > 50


def test_two_routes_side_by_side_differ_in_gold_reagents_hours_and_hazards(shipped: RuleBase) -> None:
    from advisor.advice.plan.side_by_side import side_by_side

    tables = Tables(shipped)
    worked = work_out(conclusions_of(shipped), tables)
    sides = {side.route: side for side in side_by_side(worked, tables, ("cupel_direct",))}
    smelt, direct = sides["smelt_iron"], sides["cupel_direct"]
    assert (smelt.state, direct.state) == ("chosen", "ruled_out")
    assert direct.why_not
    assert "soda_ash" in smelt.reagents_g
    assert "soda_ash" not in direct.reagents_g
    assert smelt.hours.likely > direct.hours.likely
    assert smelt.pots is not None
    assert direct.pots is None
    assert smelt.gold_kept_g.high <= smelt.gold_in_batch_g.high + 1e-6
    assert "lead" in smelt.fume_g
    assert smelt.deadly


def test_no_route_is_laid_beside_a_stop_unless_asked(shipped: RuleBase) -> None:
    assert advice_of(shipped, mercury_signs="yes").side_by_side == ()


def test_the_weighed_plan_is_the_computed_one(shipped: RuleBase) -> None:
    advice = advice_of(shipped, quartz_share="40 %", black_sand_share="5 %", sulphide_share="20 %")
    soda = advice.amounts["soda_ash"]
    assert soda.computed is not None
    assert soda.computed.how
    step = next(
        step for step in advice.steps if step.id == "weigh-soda" or ("soda ash" in step.do and "soda_ash" in step.uses)
    )
    assert f"{soda.likely_g:.0f} g" in step.do


def test_what_the_rules_do_not_weigh_is_not_computed_into_the_plan(shipped: RuleBase) -> None:
    advice = advice_of(
        shipped, sulphide_share="3 %", reagents=["borax_anhydrous", "soda_ash", "silica", "litharge", "flour"]
    )
    assert advice.route == "smelt_iron"
    assert "iron" not in advice.amounts, "no iron is at hand, and so little sulphide needs none"


def test_the_computed_charge_lands_in_its_window(shipped: RuleBase) -> None:
    for quartz in (0, 15, 40):
        several = groups(advice_of(shipped, quartz_share=f"{quartz} %"))[COMPUTED_CHARGE].said[0]
        assert several.kind == "verdict", several.text


def test_a_melt_of_clean_gold_is_left_to_the_rule_of_thumb(shipped: RuleBase) -> None:
    advice = advice_of(
        shipped,
        batch_mass="30 g",
        gold_share="95 %",
        sulphide_share="0 %",
        sulphide_minerals=[],
        black_sand_share="1 %",
        quartz_share="1 %",
    )
    assert advice.route == "melt_clean"
    assert all(amount.computed is None for amount in advice.amounts.values())


ROASTED = {
    "batch_mass": "200 g",
    "sulphide_share": "55 %",
    "quartz_share": "5 %",
    "black_sand_share": "5 %",
    "place": "outdoors",
    "extraction": "none",
    "people_near": "nobody",
    "time_available": "12 h",
    "protective_gear": [
        "face_shield",
        "heat_gloves",
        "plain_clothing",
        "closed_boots",
        "fume_mask",
        "acid_gas_mask",
    ],
}


def test_the_fume_of_a_roast_route_counts_what_the_roast_itself_gives_off(shipped: RuleBase) -> None:
    from advisor.advice.plan.side_by_side import side_by_side

    tables = Tables(shipped)
    worked = work_out(conclusions_of(shipped, **ROASTED), tables)
    assert worked.roast is not None
    roast = next(side for side in side_by_side(worked, tables, ("smelt_iron",)) if side.route == "roast_smelt")
    # A gram of pyrite burns to 1.07 g of sulphur dioxide (4 FeS2 + 11 O2), all of which goes into the air.
    from_roast = worked.roast.sulphur_dioxide.amount.likely
    assert from_roast > 50
    # Less only what rounding to six places takes away.
    assert roast.fume_g["sulphur_dioxide"].likely >= from_roast - 1e-6


def test_lead_of_pot_and_cupel_are_breathed_together(shipped: RuleBase) -> None:
    tables = Tables(shipped)
    (lead,) = [fume for fume in fumes(work_out(conclusions_of(shipped), tables), tables) if fume.agent == "lead"]
    assert {part.step for part in lead.parts} == {"lead_in_smelt", "lead_on_cupel"}
    on_cupel = next(part for part in lead.parts if part.step == "lead_on_cupel")
    share = tables.ranged("fume_shares", "step", "lead_on_cupel").amount
    assert lead.released_g.likely > (on_cupel.mass_g * share).likely


def test_the_screen_in_the_advice_says_what_it_counted(shipped: RuleBase) -> None:
    said = [s.text for s in groups(advice_of(shipped, **HOODED))["Fume screen: lead"].said]
    assert any("lead in smelt" in text and "lead on cupel" in text for text in said)


def case_advice(shipped: RuleBase, name: str) -> Advice:
    batch = read_batch(ROOT / "cases" / f"{name}.yaml", shipped)
    return build_advice(conclude(shipped, batch.answers), batch.title, look_for_changes=False)


def test_only_a_roast_of_copper_goes_by_the_rule_of_thumb(shipped: RuleBase) -> None:
    by_rule = case_advice(shipped, "copper-and-no-buyer")
    assert CHARGE_BY_RULE in groups(by_rule)
    assert all(amount.computed is None for amount in by_rule.amounts.values())
    for case in ("galena-batch-under-a-lead-licence", "galena-brings-its-own-lead", "rusted-lode-sand-with-litharge"):
        advice = case_advice(shipped, case)
        assert COMPUTED_CHARGE in groups(advice)
        assert advice.amounts["soda_ash"].computed is not None
    assert "litharge" not in case_advice(shipped, "galena-brings-its-own-lead").amounts


def test_rust_gets_the_charge_that_is_printed_for_it(shipped: RuleBase) -> None:
    """Beringer 1904: p. 139, 30 g of common borax, 30 g of bicarbonate, 50 g of litharge and 7 g of flour to 60 g of
    iron oxide and quartz; p. 91, 15, 15, 60 and 5 g to 20 g of ore. Reckoned to 100 g, anhydrous, as soda ash.
    """
    advice = case_advice(shipped, "rusted-lode-sand-with-litharge")
    low = {"borax_anhydrous": 26.4, "soda_ash": 31.5, "litharge": 83.3}
    high = {"borax_anhydrous": 39.6, "soda_ash": 47.3, "litharge": 300.0}
    for name, least in low.items():
        weighed = advice.amounts[name]
        assert weighed.low_g <= high[name], name
        assert weighed.high_g >= least, name
    assert low["litharge"] <= advice.amounts["litharge"].likely_g <= high["litharge"]
    assert low["borax_anhydrous"] <= advice.amounts["borax_anhydrous"].likely_g <= high["borax_anhydrous"]


def test_of_a_split_the_pouch_is_weighed_beside_the_pot_and_its_gold_stays_out_of_it(shipped: RuleBase) -> None:
    batch = read_batch(ROOT / "cases" / "coarse-gold-out-rest-with-iron.yaml", shipped)
    worked = work_out(conclude(shipped, batch.answers), Tables(shipped))
    weigher, charge = worked.weigher, worked.charge
    assert charge is not None
    pouch, pot = weigher.beside_the_pot("bismuth"), weigher.in_pot("bismuth")
    assert pouch.likely == pytest.approx(weigher["pouch_collector"].likely)
    assert weigher["bismuth"].likely == pytest.approx(pouch.likely + pot.likely, rel=1e-3)
    assert charge.weighed.charge.reagents_g["bismuth"].likely == pytest.approx(pot.likely, rel=1e-3)
    gold = weigher["gold_mass"].likely - weigher["gold_on_cupel"].likely
    assert charge.concentrate.mass_g("gold").likely == pytest.approx(gold)


def test_a_quantity_that_is_computed_says_how_the_computation_got_it(shipped: RuleBase) -> None:
    advice = advice_of(shipped)
    figures = {figure.name: figure for group in advice.computed.groups for figure in group.figures}  # type: ignore[union-attr]
    for name, figure in (("cupel_mass", "cupel_mass_g"), ("charge_volume", "charge_volume_ml")):
        assert advice.quantities[name].how.startswith(figures[figure].how)


BRASS: dict[str, Any] = {"foreign_matter": ["copper_or_brass"], "stock_lead": "200 g"}


def test_known_copper_gets_lead_as_a_line_a_step_and_a_larger_cupel(shipped: RuleBase) -> None:
    without, with_brass = advice_of(shipped), advice_of(shipped, **BRASS)
    assert "lead_doses" not in without.amounts
    line = with_brass.amounts["lead_doses"]
    assert 0 < line.low_g <= line.likely_g <= line.high_g
    steps = {step.id: step for step in with_brass.steps}
    step = steps["cupel-lead-for-copper"]
    assert f"Cut {weight_words(Range(line.low_g, line.likely_g, line.high_g))} of clean sheet lead" in step.do
    assert [*steps].index("cupel-drive-lead") < [*steps].index(step.id)
    # Button and lead together choose the cupel: a gram of lead makes 1.077 g of oxide, and bone ash takes its weight.
    more = with_brass.quantities["cupel_mass"].likely - without.quantities["cupel_mass"].likely
    assert more > 0.98 * 1.077 * line.likely_g
    assert with_brass.hours is not None
    assert without.hours is not None
    assert with_brass.hours.likely > without.hours.likely


@pytest.mark.parametrize(
    "changed",
    [
        {"foreign_matter": None},
        {"foreign_matter": ["lead_shot"]},
        {**BRASS, "sulphide_share": "4 %", "reagents": [*PYRITIC["reagents"], "nitre"], "stock_nitre": "500 g"},
    ],
    ids=["not told", "lead shot", "nitre burns it"],
)
def test_no_lead_is_weighed_for_copper_that_is_not_known(changed: dict[str, Any], shipped: RuleBase) -> None:
    advice = advice_of(shipped, **changed)
    assert "lead_doses" not in advice.amounts
    assert not [step.id for step in advice.steps if step.id == "cupel-lead-for-copper"]


def test_where_sheet_lead_is_lacking_it_is_got_first(shipped: RuleBase) -> None:
    shelf = [name for name in PYRITIC["reagents"] if name != "lead"]
    advice = advice_of(shipped, foreign_matter=["copper_or_brass"], reagents=shelf)
    assert "sheet_lead_for_copper" in {one.id for one in advice.first}
    assert "lead_doses" in advice.amounts
