"""The trial fusion in the advice: planned only beside a lead fire that is planned anyway, and taken back as answer."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.advice.documents.advice import Advice
from advisor.rulebase.model import RuleBase
from tests.batches import PYRITIC, advice_of

NITRE: dict[str, Any] = {
    "sulphide_share": "4 %",
    "reagents": [*PYRITIC["reagents"], "nitre"],
    "stock_nitre": "500 g",
}
"""Little sulphide, lead and nitre at hand: the nitre hangs on how much sulphide there is."""

# A danger, a law or a lack that stands against a lead fire.
AGAINST: list[dict[str, Any]] = [
    {"lead_rules": "forbidden"},
    {"lead_rules": "not known"},
    {"mercury_history": "formerly", "mercury_test": "not known"},
    {"mercury_signs": "not known"},
    {"arsenic_signs": "yes"},
    {"arsenic_signs": "not known"},
    {"sulphide_minerals": ["pyrite", "stibnite"]},
    {"sulphide_minerals": ["pyrite", "tellurides"]},
    {"people_near": "children_or_pregnant"},
    {"dwelling": "yes"},
    {"protective_gear": ["face_shield", "plain_clothing", "closed_boots", "fume_mask"]},
    {"protective_gear": ["face_shield", "heat_gloves", "plain_clothing", "closed_boots"]},
    {"tongs": "no"},
    {"crucible_kind": "graphite"},
    {"top_temperature": "900 C"},
    {"place": "closed_room", "extraction": "none"},
    {"operator": "learner_alone"},
    {"panning_helps": "yes"},
]


def trial_steps(advice: Advice) -> list[str]:
    return [step.id for step in advice.steps if step.id.startswith("trial-fusion-")]


def test_where_the_nitre_spans_too_much_a_trial_is_planned_with_the_hazards_of_its_fire(shipped: RuleBase) -> None:
    advice = advice_of(shipped, **NITRE)
    nitre = advice.amounts["nitre"]
    assert nitre.high_g > 3 * nitre.low_g
    assert nitre.narrower is not None
    assert "trial fusion" in nitre.narrower
    assert trial_steps(advice) == [
        "trial-fusion-gear",
        "trial-fusion-weigh",
        "trial-fusion-melt",
        "trial-fusion-tell",
    ]
    said = {hazard for step in advice.steps if step.id in trial_steps(advice) for hazard in step.hazards}
    fire = {"lead-fume", "litharge-dust-mixing", "molten-splash", "carbon-monoxide", "moisture-explosion"}
    assert fire <= said
    assert fire <= {hazard.id for hazard in advice.hazards}
    order = [step.id for step in advice.steps]
    assert order.index("trial-fusion-tell") < order.index("nitre-smelt-weigh-nitre")


def test_the_button_takes_the_place_of_the_estimate_and_the_trial_is_planned_no_more(shipped: RuleBase) -> None:
    before, after = advice_of(shipped, **NITRE), advice_of(shipped, **NITRE, trial_button="3 g")
    one, other = before.amounts["nitre"], after.amounts["nitre"]
    assert other.high_g < 3 * other.low_g
    assert other.high_g / other.low_g < one.high_g / max(one.low_g, 0.01) / 2
    assert other.computed is not None
    assert "by the trial fusion" in other.computed.how
    assert trial_steps(after) == []
    assert other.narrower is None
    # What nitre has to burn is told by the trial too: one figure in the whole advice.


def test_more_lead_in_the_button_asks_for_more_nitre(shipped: RuleBase) -> None:
    likely = [advice_of(shipped, **NITRE, trial_button=f"{g} g").amounts["nitre"].likely_g for g in (1.5, 2, 2.5, 3)]
    assert likely == sorted(likely)
    assert likely[0] < likely[-1]


def test_a_count_as_a_range_leaves_nothing_to_try(shipped: RuleBase) -> None:
    advice = advice_of(shipped, **{**NITRE, "sulphide_share": "4.5 to 5 %", "black_sand_share": "0 %"})
    assert trial_steps(advice) == []


@pytest.mark.parametrize("against", AGAINST, ids=str)
def test_nothing_of_a_trial_stands_beside_a_danger_a_law_or_a_lack(against: dict[str, Any], shipped: RuleBase) -> None:
    changed = {name: value for name, value in {**NITRE, **against}.items() if value != "not known"}
    for name, value in against.items():
        if value == "not known":
            changed[name] = "unknown"
    advice = advice_of(shipped, **changed)
    assert trial_steps(advice) == []
    assert not any("trial fusion" in (amount.narrower or "") for amount in advice.amounts.values())


def test_a_button_that_so_little_sulphide_cannot_give_is_asked_back(shipped: RuleBase) -> None:
    advice = advice_of(shipped, **NITRE, trial_button="12 g")
    assert any("trial fusion" in warning for warning in advice.warnings)
