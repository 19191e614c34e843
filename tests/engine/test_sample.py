"""What drawn completions show: a decision parted by outcome, and changes that turn it."""

from __future__ import annotations

from advisor.engine import NOT_KNOWN, Answers, conclude
from advisor.engine.ask.contested import contested_of
from advisor.engine.ask.sample import Sample, sample_of
from advisor.rulebase.model import RuleBase
from advisor.units import Range
from tests.rulebase.small_base import compiled

NO_PLACE = """
arguments:
  - {id: no-place, about: route.stop, says: require, kind: means,
     when: place is none, reason: Invented., source: practice}
"""


def of(rules: RuleBase, answers: Answers) -> Sample:
    conclusions = conclude(rules, answers)
    return sample_of(rules, contested_of(conclusions, conclusions.outcomes["route"]))


def test_each_drawn_completion_comes_to_one_option_that_may_still_win() -> None:
    sample = of(compiled(NO_PLACE), {})
    assert set(sample.parted) <= set(sample.contested.options)
    assert len(sample.parted) > 1
    assert sum(sample.parted.values()) == sample.block.valid


def test_a_change_that_turns_the_option_is_not_one_that_turns_whether_work_stops() -> None:
    rules = compiled(NO_PLACE)
    sample = of(rules, {})
    share, place = rules.facts["share"].variables, rules.facts["place"].variables
    assert sample.turn(share, stops=False) is not None
    assert sample.turn(share, stops=True) is None
    turn = sample.turn(place, stops=True)
    assert turn is not None
    assert (turn.first == 0b100) != (turn.second == 0b100)


def test_what_no_rule_about_the_decision_tests_turns_nothing() -> None:
    rules = compiled()
    assert of(rules, {}).turn(rules.facts["pots"].variables, stops=False) is None


def test_where_something_not_known_may_follow_no_turn_is_claimed() -> None:
    rules = compiled(
        "facts:\n  spare: {label: spare pot, group: room, kind: yes_no, ask: Spare?, find_out: Look.,\n"
        "    explain: Invented., implied: [{when: place is none, value: no}]}\n"
        "arguments:\n  - {id: spare-forbids, about: route.melt, says: rule_out, kind: means,\n"
        "     when: spare, reason: Invented.,\n"
        "     source: practice}\n"
        "  - {id: no-place, about: route.roast, says: for, strength: slight, when: place is outdoors,\n"
        "     reason: Invented., source: practice}\n"
    )
    answers: Answers = {"wet": False, "share": Range.exact(0.0)}
    place = rules.facts["place"].variables
    assert of(rules, answers).turn(place, stops=False) is not None
    assert of(rules, {**answers, "spare": NOT_KNOWN}).turn(place, stops=False) is None
