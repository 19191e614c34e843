"""In which order the open questions about one decision come, and that none is lost on the way."""

from __future__ import annotations

import math
from random import Random

import pytest

from advisor.engine import Answers, Conclusions, conclude
from advisor.engine.ask.contested import Contested, contested_of
from advisor.engine.ask.order import STAY, by_gain, by_sample, group_now
from advisor.engine.ask.question import askable
from advisor.engine.ask.sample import sample_of
from advisor.units import Range
from tests.engine.drawn_bases import drawn_base
from tests.engine.law_draws import consistent, drawn_truth, some_answers
from tests.rulebase.small_base import compiled

DRY: Answers = {"wet": False}


def first_contested(conclusions: Conclusions) -> Contested:
    return contested_of(conclusions, next(iter(conclusions.outcomes.values())))


@pytest.mark.parametrize("block", range(2))
def test_what_bounds_leave_open_is_asked_and_first_what_is_shown_to_matter_or_may_spare_it(
    block: int,
) -> None:
    unshown = 0
    for seed in range(24):
        random = Random(f"{block}-{seed}")
        rule_base = drawn_base(random)
        answers = some_answers(drawn_truth(rule_base, random, harmless=False), random, 0.5, 0.2)
        if not consistent(rule_base, answers):
            continue
        conclusions = conclude(rule_base, answers)
        contested = first_contested(conclusions)
        wanted = list(askable(conclusions, contested.in_play()))
        for purpose in ("stop", "route"):
            found = [question.fact for question in by_sample(conclusions, contested, contested.in_play(), purpose)]
            # Where work may have to stop, what alone may spare a question comes too, before it.
            assert set(found) >= set(wanted) if purpose == "stop" else sorted(found) == sorted(wanted)
            assert len(found) == len(set(found))
            assert {q.fact for q in by_gain(conclusions, contested, contested.in_play(), purpose)} >= set(wanted)
        sample = sample_of(rule_base, contested)
        shown = [sample.turn(rule_base.facts[name].variables, stops=False) is not None for name in found]
        for place, name in enumerate(found):
            if not shown[place] and any(shown[place + 1 :]):
                following = [implied for later in found[place + 1 :] for implied in rule_base.facts[later].implied]
                spares = {variable for implied in following for variable in implied.condition.variables}
                assert spares & set(rule_base.facts[name].variables), "it comes first, and spares nothing that follows"
        unshown += shown.count(False)
    assert unshown


def test_the_group_asked_about_is_that_of_the_last_answer() -> None:
    rules = compiled()
    assert group_now(conclude(rules, {})) == ""
    assert group_now(conclude(rules, {"place": "shed", "wet": False})) == "batch"
    assert group_now(conclude(rules, {"wet": False, "place": "shed"})) == "room"


def test_a_question_about_the_same_subject_counts_more() -> None:
    rules = compiled()
    scores = {}
    for answers in ({"place": "shed", "wet": False}, {"wet": False, "place": "shed"}):
        conclusions = conclude(rules, answers)
        contested = first_contested(conclusions)
        (question,) = by_sample(conclusions, contested, contested.in_play(), "route")
        assert question.fact == "share"
        scores[group_now(conclusions)] = question.score
    assert scores["batch"] == pytest.approx(STAY * scores["room"])


DANGERS = """
arguments:
  - {id: no-place, about: route.stop, says: require, kind: means,
     when: place is none, reason: Invented., source: practice}
  - {id: wet-and-hot, about: route.stop, says: require, kind: means,
     when: wet and share > share_limit, reason: Invented.,
     source: practice}
"""


def test_where_work_may_have_to_stop_the_dangers_come_first_in_the_order_of_the_rules() -> None:
    rules = compiled(DANGERS)
    conclusions = conclude(rules, {})
    contested = first_contested(conclusions)
    assert contested.may_stop
    found = list(by_sample(conclusions, contested, contested.stopping(), "stop"))
    assert [question.fact for question in found] == ["wet", "share", "place"]
    assert [math.isinf(question.score) for question in found] == [True, True, False]
    assert all(math.isfinite(q.score) for q in by_sample(conclusions, contested, contested.in_play(), "route"))


def test_by_bounds_alone_the_fact_that_leaves_fewest_options_for_its_time_comes_first() -> None:
    rules = compiled(
        "arguments:\n  - {id: hot, about: route.melt, says: for, strength: slight, when: hot_enough,\n"
        "     reason: Invented., source: practice}\n"
    )
    conclusions = conclude(rules, {"wet": False, "mass": Range.exact(10.0)})
    contested = first_contested(conclusions)
    found = list(by_gain(conclusions, contested, contested.in_play(), "route"))
    assert [question.fact for question in found] == ["share", "heat"]
    assert found[0].score > found[1].score


def test_by_bounds_alone_what_a_fact_follows_from_comes_before_it() -> None:
    rules = compiled(
        "facts:\n  spare: {label: spare pot, group: room, kind: yes_no, ask: Spare?, find_out: Look.,\n"
        "    explain: Invented., implied: [{when: place is none, value: no}]}\n"
        "arguments:\n  - {id: spare-forbids, about: route.melt, says: rule_out, kind: means,\n"
        "     when: spare, reason: Invented.,\n"
        "     source: practice}\n"
    )
    conclusions = conclude(rules, {"wet": False, "share": Range.exact(0.0)})
    contested = first_contested(conclusions)
    found = [question.fact for question in by_gain(conclusions, contested, contested.in_play(), "route")]
    assert found == ["place", "spare"]
