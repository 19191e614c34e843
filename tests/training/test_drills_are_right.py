"""Laws of drills: what is marked right is what the consultation advises for the same facts."""

from __future__ import annotations

import pytest

from advisor.advice.build_advice import build_advice
from advisor.engine.state import NOT_KNOWN
from advisor.rulebase.model import Several
from advisor.training.drills.drawing_up import drill_set, numbered_drill
from advisor.training.drills.drill import MOST_CHOICES, MOST_TOLD, Drill
from advisor.training.examining import Given, conclusions_of, key_of, mark_of, read_given
from advisor.training.syllabus import KINDS
from advisor.training.training_rules import TrainingRules
from tests.training.consulting import advice_for

CHUNKS, DRILLS = range(4), 150
SLOW = {0: ("cause",), 1: ("remedy",), 2: ("weigh",)}
QUICK = tuple(kind for kind in KINDS if (kind,) not in SLOW.values())
"""Of twenty drills three are of the kinds that take long to draw; the others share the rest."""


@pytest.mark.parametrize("chunk", CHUNKS)
def test_the_answer_marked_right_is_the_advice_of_the_consultation(training: TrainingRules, chunk: int) -> None:
    seen = set()
    for number in range(DRILLS):
        drill = numbered_drill(training, f"law {chunk}", number, SLOW.get(number % 20, QUICK))
        seen.add(drill.kind)
        offered = [choice.id for choice in drill.choices]
        assert len(offered) == len(set(offered)) <= MOST_CHOICES
        assert len(drill.told) <= MOST_TOLD + 2
        if drill.kind == "weigh":
            _check_weighing(training, drill)
            continue
        right = advice_for(training, drill)
        assert right, drill
        assert right <= set(offered), "every tied answer is offered"
        assert not drill.several or len(right) <= len(offered)
        assert drill.several or len(right) < len(offered), "something is wrong among the choices"
        assert not _reveals(drill, right), drill.text
        if number % 10 == 0:
            _check_marks(training, drill, right)
    assert seen == set(KINDS)


def _check_weighing(training: TrainingRules, drill: Drill) -> None:
    amount = key_of(training, drill).amount
    assert amount is not None
    for value in (amount.low, amount.likely, amount.high):
        assert mark_of(training, drill, read_given(drill, repr(value))) == "right"


def _reveals(drill: Drill, right: set[str]) -> bool:
    said = {choice.id for choice in drill.choices if choice.label.lower() in drill.text.lower()}
    return drill.kind != "control" and bool(said & right) and not said - right


def _check_marks(training: TrainingRules, drill: Drill, right: set[str]) -> None:
    assert key_of(training, drill).right == right
    if drill.several:
        assert mark_of(training, drill, Given(frozenset(right))) == "right"
        for name in right:
            worth = mark_of(training, drill, Given(frozenset(right - {name})))
            assert worth == "incomplete" if len(right) > 1 else worth in ("wrong", "unsafe")
        return
    for number, choice in enumerate(drill.choices, 1):
        mark = mark_of(training, drill, read_given(drill, str(number)))
        assert (mark == "right") == (choice.id in right)


def test_a_weighing_accepts_exactly_the_range_of_the_plan(training: TrainingRules) -> None:
    materials = set()
    for drill in drill_set(training, 3, 12, ("weigh",)):
        planned = build_advice(conclusions_of(training, drill), look_for_changes=False).amounts[drill.subject]
        key = key_of(training, drill).amount
        assert key is not None
        assert (key.low, key.likely, key.high) == (planned.low_g, planned.likely_g, planned.high_g)
        for amount, mark in (
            (planned.low_g, "right"),
            (planned.likely_g, "right"),
            (planned.high_g, "right"),
            (planned.low_g * 0.999, "wrong"),
            (planned.high_g * 1.001, "wrong"),
        ):
            assert mark_of(training, drill, Given(amount=amount)) == mark
        materials.add(drill.subject)
    assert len(materials) >= 2


def test_a_drill_about_a_decision_tells_all_that_is_not_usual(training: TrainingRules) -> None:
    for drill in drill_set(training, 11, 40, ("route", "collector")):
        told = {line.label for line in drill.told}
        for name, answer in drill.answers.items():
            if answer != training.syllabus.usual.get(name):
                assert training.route.facts[name].label in told, name


def test_told_and_rest_together_hold_every_fact_once(training: TrainingRules) -> None:
    for drill in drill_set(training, 12, 40, ("route", "collector", "danger", "weigh")):
        facts = [training.route.facts[name].label for name in drill.answers if name != "cost_wanted"]
        shown = [line.label for line in (*drill.told, *drill.rest) if line.label in facts]
        assert sorted(shown) == sorted(facts)


def test_drawn_batches_are_of_every_kind_and_some_hold_what_nobody_knows(training: TrainingRules) -> None:
    drills = [numbered_drill(training, "kinds", number, ("route",)) for number in range(300)]
    topics = {drill.topic for drill in drills}
    assert {"mercury-shows", "people-live-here", "send_out", "clean_up", "smelt_iron", "cupel_direct"} <= topics
    assert any(NOT_KNOWN in drill.answers.values() for drill in drills)
    assert any(drill.case for drill in drills)
    minerals = [drill.answers["sulphide_minerals"] for drill in drills if "sulphide_minerals" in drill.answers]
    held = {item for answer in minerals if isinstance(answer, Several) for item in answer.present}
    assert {"pyrite", "arsenopyrite", "galena", "stibnite"} <= held
