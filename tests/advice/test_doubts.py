"""A stop rests on what was answered; what only is not known is found out first, and nobody reads what was not asked."""

from __future__ import annotations

from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.engine.conclude import conclude
from advisor.engine.state import NOT_KNOWN, Answers
from advisor.rulebase.model import RuleBase
from tests.batches import advice_of


def advice(rule_base: RuleBase, answers: Answers) -> Advice:
    return build_advice(conclude(rule_base, answers), look_for_changes=False)


def test_what_is_only_not_known_is_no_reason_to_stop_but_the_first_to_find_out(shipped: RuleBase) -> None:
    found = advice(shipped, {"mercury_history": NOT_KNOWN})
    assert (found.outcome, found.stop, found.lifts) == ("find_out", False, ())
    assert "mercury_history" in {told.fact for told in found.looks[0].tells}


def test_a_stop_is_explained_by_what_holds_alone(shipped: RuleBase) -> None:
    found = advice(shipped, {"mercury_history": NOT_KNOWN, "dwelling": True})
    assert found.outcome == "stop"
    assert [lift.truth for lift in found.lifts] == ["holds"]
    assert found.lifts[0].seen == ("people living here: yes",)
    assert "people live" in found.reason.lower()
    assert "not known" not in found.reason.lower()
    assert "not asked" not in found.reason.lower()


def test_of_several_parts_of_a_condition_only_those_that_hold_are_said(shipped: RuleBase) -> None:
    found = advice_of(shipped, mercury_history="formerly", mercury_test="not_done")
    assert found.outcome == "stop"
    seen = found.lifts[0].seen
    assert any(words.startswith("mercury history") for words in seen)
    assert not any(words.startswith("signs of mercury") for words in seen)


def test_with_nothing_answered_everything_is_to_be_found_out(shipped: RuleBase) -> None:
    found = advice(shipped, {})
    assert found.outcome == "find_out"
    assert (found.amounts, found.steps, found.quantities, found.computed) == ({}, (), {}, None)
    assert found.looks
