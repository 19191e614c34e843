"""What may be asked at all."""

from __future__ import annotations

from advisor.engine import NOT_KNOWN, conclude
from advisor.engine.ask.question import askable
from tests.rulebase.small_base import compiled

LATER = """
facts:
  lid: {label: lid, group: room, kind: yes_no, ask: A lid?, find_out: Look., explain: Invented., ask_if: not wet}
arguments:
  - {id: lid-for-pot, about: vessel.pot, says: for, strength: slight, when: lid, reason: Invented., source: practice}
"""


def test_facts_are_told_in_the_order_of_the_rules_with_their_own_variables() -> None:
    rules = compiled()
    wet, shelf = rules.facts["wet"].variables, rules.facts["shelf"].variables
    found = askable(conclude(rules, {}), [shelf[2], *wet, shelf[0]])
    assert list(found) == ["wet", "shelf"]
    assert found["shelf"] == {shelf[0], shelf[2]}


def test_what_was_answered_is_not_asked_again_even_if_it_is_not_known() -> None:
    rules = compiled()
    variables = [*rules.facts["wet"].variables, *rules.facts["place"].variables]
    assert list(askable(conclude(rules, {"wet": NOT_KNOWN}), variables)) == ["place"]


def test_a_decision_is_never_asked() -> None:
    rules = compiled()
    assert askable(conclude(rules, {}), [rules.decisions["route"].variable]) == {}


def test_nobody_is_sent_to_look_before_it_is_certain_that_one_may() -> None:
    rules = compiled(LATER)
    lid = rules.facts["lid"].variables
    assert list(askable(conclude(rules, {"wet": False}), lid)) == ["lid"]
    for answers in ({}, {"wet": NOT_KNOWN}, {"wet": True}):
        assert askable(conclude(rules, answers), lid) == {}
