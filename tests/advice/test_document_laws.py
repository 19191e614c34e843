"""The laws of the document on drawn realistic batches, and that each law can be broken."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.engine import conclude
from tests.advice.document_laws import LAWS, breaches
from tests.benchmarks.questions import batch, rules


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_every_law_of_the_document_holds(first: int) -> None:
    found = {seed: said for seed in range(first, first + 50) if (said := breaches(seed))}
    assert found == {}


def smelted() -> Advice:
    """The first drawn advice that weighs litharge or bismuth, and cupels."""
    for seed in range(200):
        advice = build_advice(conclude(rules(), batch(seed)), look_for_changes=False)
        if advice.route == "smelt_iron" and "cupel_mass" in advice.quantities and "soda_ash" in advice.amounts:
            return advice
    raise AssertionError("no smelt among the drawn batches")


def broken(law: str, advice: Advice) -> list[str]:
    (found,) = [one for one in LAWS if one.__name__ == law]
    return list(found(advice))


def test_each_law_finds_its_breach() -> None:
    advice = smelted()
    assert [said for law in LAWS for said in law(advice)] == []
    soda = advice.amounts["soda_ash"]
    others = {name: amount for name, amount in advice.amounts.items() if name != "soda_ash"}
    weigh = next(s for s in advice.steps if s.uses == ("soda_ash",) and s.stage == "weigh_out")
    said_otherwise = replace(weigh, do="Weigh 0 g of soda ash.")
    steps = tuple(said_otherwise if s is weigh else s for s in advice.steps)
    assert broken("every_weighed_material_has_a_step", replace(advice, steps=()))
    assert broken("no_step_uses_what_is_not_weighed", replace(advice, amounts=others))
    assert broken("no_step_says_nought", replace(advice, steps=steps))
    assert broken("a_weight_is_the_same_in_list_and_step", replace(advice, steps=steps))
    nothing = replace(advice, amounts={**others, "soda_ash": replace(soda, likely_g=0.0)})
    assert broken("weights_are_what_the_scale_can_show", nothing)
    assert advice.hours is not None
    assert broken("hours_are_the_sum_of_the_plan", replace(advice, hours=replace(advice.hours, likely=0.1)))
    beside = replace(advice, amounts={**advice.amounts, "nitre": replace(soda, high_g=1e6), "flour": soda})
    assert broken("nitre_stays_within_its_limit_and_without_fuel", beside)
    for law, name in (("one_button", "button_mass"), ("the_cupel_drinks_the_button", "cupel_mass")):
        told = {**advice.quantities, name: replace(advice.quantities[name], likely=1e5)}
        assert broken(law, replace(advice, quantities=told))
    for law in ("what_is_weighed_brings_its_dangers", "an_act_brings_its_dangers"):
        assert broken(law, replace(advice, hazards=()))
    hot = next(s for s in advice.steps if rules().steps[s.id].heat)
    assert hot.temperature_c is not None
    hotter = replace(hot, temperature_c=replace(hot.temperature_c, likely=2000.0))
    assert broken(
        "figures_of_heat_agree", replace(advice, steps=tuple(hotter if s is hot else s for s in advice.steps))
    )
