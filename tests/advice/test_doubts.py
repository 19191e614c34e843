"""A stop names first what was answered; what nobody was asked any more counts too, but is called so."""

from __future__ import annotations

from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.engine.conclude import conclude
from advisor.engine.state import NOT_KNOWN, Answers
from advisor.rulebase.model import RuleBase


def advice(rule_base: RuleBase, answers: Answers) -> Advice:
    return build_advice(conclude(rule_base, answers))


def test_a_stop_for_what_is_not_known_is_explained_by_that_alone(shipped: RuleBase) -> None:
    found = advice(shipped, {"mercury_history": NOT_KNOWN})
    assert found.stop
    assert "Not known, so it counts: This batch may hold mercury" in found.reason
    assert "Monazite" not in found.reason
    first, *others = found.lifts
    assert (first.asked, first.doubt) == (True, "not known, so it counts")
    assert "mercury" in first.because
    assert len(others) > 3
    assert {(lift.asked, lift.doubt) for lift in others} == {(False, "not asked, so it counts")}


def test_what_is_known_to_hold_stands_before_all_doubts(shipped: RuleBase) -> None:
    found = advice(shipped, {"mercury_history": NOT_KNOWN, "dwelling": True})
    assert [lift.doubt for lift in found.lifts][:2] == ["", "not known, so it counts"]
    assert "people live" in found.lifts[0].because.lower()
    assert "Not known" not in found.reason


def test_with_nothing_asked_every_reason_of_the_stop_counts(shipped: RuleBase) -> None:
    found = advice(shipped, {})
    assert found.stop
    assert {lift.asked for lift in found.lifts} == {False}
    assert "so it counts" in found.reason
