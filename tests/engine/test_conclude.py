"""Decisions are taken in order, each with the earlier ones as they are, and nothing is kept between two bases."""

from __future__ import annotations

from advisor.engine import NOT_KNOWN, conclude, conclude_forced, state_of
from advisor.engine.conclude import prepared_decisions
from tests.rulebase.small_base import compiled


def test_a_later_decision_follows_the_earlier_one() -> None:
    rules = compiled()
    dry = conclude(rules, {"wet": False})
    assert dry.outcomes["route"].chosen == "melt"
    assert dry.outcomes["vessel"].chosen == "pot"
    assert not dry.outcomes["route"].settled
    whole = conclude(rules, {"wet": False, "share": NOT_KNOWN})
    assert whole.outcomes["route"].chosen == "melt"


def test_an_unknown_that_may_rule_an_option_out_keeps_it_from_being_taken_and_its_hazard_attached() -> None:
    rules = compiled()
    unknown = conclude(rules, {"wet": NOT_KNOWN})
    assert unknown.outcomes["route"].chosen == "roast"
    assert unknown.hazards() == ["steam"]
    assert conclude(rules, {"wet": False}).hazards() == []


def test_a_forced_decision_is_taken_whatever_speaks_against_it_and_later_ones_follow() -> None:
    rules = compiled()
    answers = {"wet": True}
    forced = conclude_forced(rules, answers, state_of(rules, answers), {"route": "melt"})
    assert forced.outcomes["route"].chosen == "melt"
    assert forced.outcomes["vessel"].chosen == "pot"


def test_what_is_prepared_is_made_once_for_each_rule_base_and_of_that_one() -> None:
    one, other = compiled(), compiled()
    assert prepared_decisions(one) is prepared_decisions(one)
    assert prepared_decisions(one) is not prepared_decisions(other)
    assert prepared_decisions(other).for_one["route"].decision is other.decisions["route"]
