"""Answers, and what they leave possible."""

from __future__ import annotations

import pytest

from advisor.engine import NOT_KNOWN, Answers, ContradictionError, state_of, state_with, value_words
from advisor.engine.state import answered_state
from advisor.rulebase.model import Several
from advisor.units import Range
from tests.rulebase.small_base import compiled

SPARE = """
facts:
  spare: {label: spare pot, group: room, kind: yes_no, ask: Spare?, find_out: Look., explain: Invented.,
          implied: [{when: place is none, value: no}]}
arguments:
  - {id: spare-for-pot, about: vessel.pot, says: for, strength: slight, when: spare, reason: Invented.,
     source: practice}
"""


def test_with_nothing_answered_everything_sensible_is_possible() -> None:
    rules = compiled()
    assert state_of(rules, {})[rules.facts["wet"].variables[0]] == 0b11


def test_an_answer_leaves_its_cell_and_not_known_leaves_all() -> None:
    rules = compiled()
    (place,) = rules.facts["place"].variables
    assert state_of(rules, {"place": "shed"})[place] == 0b010
    assert state_of(rules, {"place": NOT_KNOWN})[place] == 0b111


def test_items_of_a_list_are_there_missing_or_perhaps() -> None:
    rules = compiled()
    answers = {"shelf": Several(frozenset({"soda"}), frozenset({"nitre"}))}
    state = state_of(rules, answers)
    assert [state[variable] for variable in rules.facts["shelf"].variables] == [0b10, 0b11, 0b01]


def test_what_follows_is_applied_and_a_contradiction_names_both_sides() -> None:
    rules = compiled(SPARE)
    (spare,) = rules.facts["spare"].variables
    assert state_of(rules, {"place": "none"})[spare] == 0b01
    assert state_of(rules, {"place": "shed"})[spare] == 0b11
    with pytest.raises(ContradictionError, match=r"'spare' is given as yes, but place is 'no place'"):
        state_of(rules, {"place": "none", "spare": True})


COMPETING = """
facts:
  tool:
    {label: tool, group: room, kind: choice, ask: Which?, find_out: Look., explain: Invented.,
     options: {a: {label: first, means: one}, b: {label: second, means: two}, c: {label: third, means: three}},
     implied: [{when: wet, value: a}, {when: place is none, value: b}, {when: "place in (none, shed)", value: a}]}
arguments:
  - {id: tool-for-pot, about: vessel.pot, says: for, strength: slight, when: tool is b, reason: Invented.,
     source: practice}
"""


@pytest.mark.parametrize(
    ("answers", "cells"),
    [
        ({"wet": True, "place": "none"}, 0b001),
        ({"wet": False, "place": "none"}, 0b010),
        ({"place": "none"}, 0b111),
        ({"wet": NOT_KNOWN, "place": "none"}, 0b111),
        ({"place": "shed"}, 0b001),
        ({"wet": True}, 0b001),
    ],
    ids=["first holds", "first fails", "first open", "first not known", "first open with the same value", "later open"],
)
def test_a_later_value_follows_only_when_no_earlier_one_that_differs_may(answers: Answers, cells: int) -> None:
    rules = compiled(COMPETING)
    (tool,) = rules.facts["tool"].variables
    assert state_of(rules, answers)[tool] == cells


def test_moving_one_answer_takes_back_what_followed_from_it() -> None:
    rules = compiled(SPARE)
    (place,), (spare,) = rules.facts["place"].variables, rules.facts["spare"].variables
    answers = {"place": "none"}
    moved = state_with(rules, answers, rules.facts["place"], place, 0b001)
    assert moved == state_of(rules, {"place": "outdoors"})
    assert answered_state(rules, answers)[spare] == 0b11


def test_answers_are_said_back_in_words() -> None:
    facts = compiled().facts
    assert value_words(facts["wet"], True) == "yes"
    assert value_words(facts["place"], "shed") == "open shed"
    assert value_words(facts["share"], Range.exact(0.05)) == "5 %"
    shelf = Several(frozenset({"soda"}), frozenset({"lead"}))
    assert value_words(facts["shelf"], shelf) == "soda ash, perhaps lead metal"
    assert value_words(facts["wet"], NOT_KNOWN) == "not known"
    assert value_words(facts["wet"], None) == "not answered"
