"""What a person can mend stands under FIRST, strikes no route, and is told before it is needed."""

from __future__ import annotations

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.advice.plan.weighing import Weigher
from advisor.engine.conclude import conclude
from advisor.rulebase.model import RuleBase, Several
from tests.conftest import ROOT

MENDED = (
    "dryness",
    "floor",
    "tongs",
    "cupels_dry",
    "second_person",
    "mould",
    "scale_step",
    "protective_gear",
    "operator",
)
"""Facts whose every poor answer a person can mend before lighting."""

SMELTED_ANYHOW = (
    "iron-smelt-trade-check-weights",
    "rusted-lode-sand-with-litharge",
    "lead-made-from-litharge",
    "bismuth-oxide-and-charcoal",
    "split-with-lead-and-litharge",
    "plain-soda-smelt-without-a-rod",
    "roasted-charge-beside-beringer",
    "nitre-within-the-old-limits",
)
"""Cases of each way in which flour or charcoal may be weighed."""

SMELTED = "iron-smelt-trade-check-weights"


def advice_of(case: str, shipped: RuleBase) -> Advice:
    batch = read_batch(ROOT / "cases" / f"{case}.yaml", shipped)
    return build_advice(conclude(shipped, batch.answers), batch.title, look_for_changes=False)


@pytest.mark.parametrize("name", MENDED)
def test_no_argument_about_the_route_tests_what_can_be_mended(name: str, shipped: RuleBase) -> None:
    mended = {variable for variable, one in enumerate(shipped.variables) if one.name.split(".")[0] == name}
    assert mended
    longer = {f"{one.replace('_', '-')}-takes-longer" for one in shipped.preparations}
    testing = {
        argument.id
        for argument in shipped.decisions["route"].arguments
        if argument.condition.variables & mended and argument.id.rpartition("-")[0] not in longer
    }
    assert not testing


def test_every_preparation_stands_under_first_for_some_work(shipped: RuleBase) -> None:
    decided = {decision.variable for decision in shipped.decisions.values()}
    for name, preparation in shipped.preparations.items():
        assert preparation.condition.variables & decided, name
        assert not preparation.lacking.variables & decided, name


def test_the_mould_is_warmed_just_before_the_pour_and_gear_put_on_after_the_weighing(shipped: RuleBase) -> None:
    plan = [step.id for step in advice_of(SMELTED, shipped).steps]
    assert plan.index("ready-the-mould") + 1 == plan.index("pour-ready")
    assert plan.index("iron-smelt-weigh-soda") < plan.index("put-on-gear") < plan.index("iron-smelt-first-heat")
    assert plan.index("cupel-prove-the-heat") < plan.index("cupel-charge-button")


def test_a_look_for_mercury_comes_before_any_heat(shipped: RuleBase) -> None:
    for case in (SMELTED, "clean-gold-melted-with-borax", "sheet-lead-for-rich-gold"):
        plan = [step.id for step in advice_of(case, shipped).steps]
        assert plan.index("look-for-mercury-and-lead") < plan.index("dry-slowly"), case


@pytest.mark.parametrize("case", SMELTED_ANYHOW)
def test_whatever_weighs_flour_or_charcoal_dries_it_first_where_it_is_damp(case: str, shipped: RuleBase) -> None:
    batch = read_batch(ROOT / "cases" / f"{case}.yaml", shipped)
    damp = Several(frozenset({"damp_flour"}))
    found = conclude(shipped, {**batch.answers, "reagent_state": damp})
    weighed = any(Weigher(found)[name].high > 0 for name in ("flour", "charcoal"))
    assert weighed == ("dry_the_flour" in {one.name for one in found.preparations()})


def test_no_step_tells_a_second_time_what_to_do_without_a_mould(shipped: RuleBase) -> None:
    mould = shipped.facts["mould"].variables[0]
    assert not [step.entry.id for step in shipped.steps.values() if mould in step.condition.variables]


def test_a_preparation_that_takes_longer_says_so_against_what_needs_it(shipped: RuleBase) -> None:
    advice = advice_of("muffle-that-does-not-melt-gold", shipped)
    assert [one.id for one in advice.first if not one.tonight] == ["torch_for_the_finish"]
    against = {argument.id for option in advice.decisions[0].options for argument in option.arguments}
    assert "torch-for-the-finish-takes-longer-1" in against
