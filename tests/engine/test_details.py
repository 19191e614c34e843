"""What the hazards, steps and weights of an advice still hang on."""

from __future__ import annotations

from advisor.engine import NOT_KNOWN, Answers, conclude, needed_names
from advisor.engine.ask.details import Details, details_of
from advisor.rulebase.model import RuleBase
from tests.rulebase.small_base import compiled

DRY = {"wet": False, "share": 0.0}


def of(rules: RuleBase, answers: Answers) -> Details:
    conclusions = conclude(rules, answers)
    return details_of(rules, answers, conclusions.state)


def asked(details: Details) -> set[str]:
    return {name for name, fact in details.rule_base.facts.items() if details.needs(fact)}


def test_the_mass_and_the_price_are_needed_where_something_is_weighed_out() -> None:
    rules = compiled()
    assert asked(of(rules, {"wet": False})) >= {"mass", "price"}
    assert needed_names(conclude(rules, {"wet": False})) >= {"mass", "dry_mass", "price", "soda"}


def test_where_nothing_is_weighed_out_they_are_not() -> None:
    rules = compiled()
    assert asked(of(rules, {"wet": True})) == {"shelf"}
    assert needed_names(conclude(rules, {"wet": True})) == set()


def test_a_fact_that_a_hazard_or_a_referral_hangs_on_is_needed_until_it_is_answered_or_not_known() -> None:
    rules = compiled()
    assert {"wet", "shelf"} <= asked(of(rules, {}))
    assert asked(of(rules, {"wet": NOT_KNOWN, "shelf": NOT_KNOWN})).isdisjoint({"wet", "shelf"})


def test_what_an_unknown_keeps_anyway_needs_no_other_fact() -> None:
    rules = compiled(
        "hazards:\n  - {id: splash, title: Splash, severity: grave, when: wet or heat >= heat_limit, harm: Burns., "
        "controls: [{do: Care.}], stop_if: [It spits.], source: practice}\n"
    )
    assert "heat" in asked(of(rules, {}))
    assert "heat" in asked(of(rules, {"wet": False}))
    assert "heat" not in asked(of(rules, {"wet": NOT_KNOWN}))


def test_what_surely_enters_a_weight_is_likelier_to_be_asked_than_what_perhaps_does() -> None:
    rules = compiled()
    sure, perhaps = of(rules, {"wet": False}), of(rules, {})
    mass = rules.facts["mass"]
    assert sure.likelihood(mass) == 1.0
    assert perhaps.likelihood(rules.facts["pots"]) == 0.0


def test_what_may_come_to_follow_is_asked_after_what_decides_that() -> None:
    rules = compiled(
        "facts:\n  assay: {label: assay, group: batch, kind: quantity, unit: g, least: 0 g, most: 9 g,\n"
        "    ask: How much?, find_out: Weigh., explain: Invented., when_unknown: {low: 0 g, likely: 1 g, high: 2 g},\n"
        "    implied: [{when: place is none, value: 0 g}]}\n"
        "expectations:\n  - {id: bead, title: Bead, when: route is melt, formula: assay * 2,\n"
        "     looks: Round., source: practice}\n"
    )
    assert of(rules, {"wet": False}).driving() == {"assay": {"place"}}
    assert of(rules, {"wet": False, "place": "shed"}).driving() == {}
