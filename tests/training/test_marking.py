"""What an answer is worth, and why it is said to be so."""

from __future__ import annotations

import pytest

from advisor.errors import InputError
from advisor.training.drills.chance import Chance
from advisor.training.drills.drawing_up import drill_of, drill_set
from advisor.training.drills.drill import Drill
from advisor.training.drills.hazards import subject_of
from advisor.training.examining import NOT_KNOWN_GIVEN, Given, conclusions_of, key_of, mark_of, read_given
from advisor.training.reasons import marked
from advisor.training.syllabus import KINDS
from advisor.training.training_rules import TrainingRules


def drill_about(training: TrainingRules, kind: str, topic: str) -> Drill:
    for number in range(30):
        drill = drill_of(training, kind, Chance("test", number), topic)
        if drill is not None:
            return drill
    raise AssertionError(f"no drill about {topic}")


def test_a_hot_route_where_mercury_means_stop_is_unsafe(training: TrainingRules) -> None:
    drill = drill_about(training, "route", "mercury-shows")
    for choice in drill.choices:
        expected = "right" if choice.id == "stop" else "unsafe"
        assert mark_of(training, drill, Given(frozenset({choice.id}))) == expected


def test_too_much_caution_is_wrong_but_not_unsafe(training: TrainingRules) -> None:
    drill = drill_about(training, "route", "smelt_iron")
    assert mark_of(training, drill, Given(frozenset({"stop"}))) == "wrong"


def test_lead_where_it_is_not_permitted_is_unsafe(training: TrainingRules) -> None:
    for number in range(400):
        drill = drill_of(training, "collector", Chance("no lead", number))
        assert drill is not None
        outcome = conclusions_of(training, drill).outcomes["collector"]
        if drill.answers["lead_rules"] == "forbidden" and outcome.chosen == "bismuth":
            assert mark_of(training, drill, Given(frozenset({"lead"}))) == "unsafe"
            return
    raise AssertionError("lead was never forbidden")


@pytest.mark.parametrize("topic", ["carbon-monoxide", "lead-fume", "mercury-vapour"])
def test_some_dangers_missing_is_incomplete_none_seen_is_unsafe_and_one_too_many_is_nearly_right(
    training: TrainingRules, topic: str
) -> None:
    drill = drill_about(training, "danger", topic)
    right = key_of(training, drill).right
    assert topic in right
    assert mark_of(training, drill, Given(right - {topic})) == ("incomplete" if len(right) > 1 else "unsafe")
    assert mark_of(training, drill, Given()) == "unsafe"
    extra = next(choice.id for choice in drill.choices if choice.id not in right)
    assert mark_of(training, drill, Given(right | {extra})) == "nearly"
    assert mark_of(training, drill, Given(frozenset({extra}))) == "unsafe"


def test_a_control_left_out_is_incomplete_and_none_at_all_is_unsafe(training: TrainingRules) -> None:
    drill = drill_about(training, "control", "moisture-explosion")
    right = key_of(training, drill).right
    assert mark_of(training, drill, Given(right)) == "right"
    assert mark_of(training, drill, Given(right - {min(right)})) == ("incomplete" if len(right) > 1 else "unsafe")
    assert mark_of(training, drill, Given()) == "unsafe"


@pytest.mark.parametrize("topic", ["dry_the_sand", "get_tongs"])
def test_what_can_be_mended_is_answered_by_mending_it_and_not_by_stopping(training: TrainingRules, topic: str) -> None:
    drill = drill_about(training, "first", topic)
    right = key_of(training, drill).right
    assert topic in right
    assert right.isdisjoint({"work", "find_out", "stop"})
    assert mark_of(training, drill, Given(right)) == "right"
    assert mark_of(training, drill, Given(frozenset({"stop"}))) == "wrong"
    for lit_too_early in (frozenset(), frozenset({"work"}), right | {"work"}):
        assert mark_of(training, drill, Given(frozenset(lit_too_early))) == "unsafe"
    assert mark_of(training, drill, Given(right - {topic})) == ("incomplete" if len(right) > 1 else "unsafe")


@pytest.mark.parametrize(("topic", "begun"), [("work", "right"), ("find_out", "unsafe"), ("stop", "unsafe")])
def test_each_outcome_without_a_preparation_has_its_drill(training: TrainingRules, topic: str, begun: str) -> None:
    drill = drill_about(training, "first", topic)
    assert key_of(training, drill).right == {topic}
    assert mark_of(training, drill, Given(frozenset({topic}))) == "right"
    assert mark_of(training, drill, Given(frozenset({"work"}))) == begun
    mended = frozenset(choice.id for choice in drill.choices if choice.id not in ("work", "find_out", "stop"))
    assert mark_of(training, drill, Given(mended)) == ("wrong" if topic == "work" else "unsafe")


def test_a_drill_about_what_comes_first_says_everything_that_is_lacking(training: TrainingRules) -> None:
    for drill in drill_set(training, 9, 15, ("first",)):
        conclusions = conclusions_of(training, drill)
        told = {line.label for line in drill.told}
        for name, answer in drill.answers.items():
            assert answer == training.syllabus.usual.get(name) or training.route.facts[name].label in told
        offered = {choice.id for choice in drill.choices} - key_of(training, drill).right
        assert offered.isdisjoint(one.name for one in conclusions.preparations())


def test_no_drill_tells_or_answers_what_is_computed(training: TrainingRules) -> None:
    computed = {fact.name: fact.label for fact in training.route.facts.values() if fact.computed}
    assert computed
    for drill in drill_set(training, 10, 36, ("route", "collector", "first", "danger", "control", "weigh")):
        assert computed.keys().isdisjoint(drill.answers)
        assert set(computed.values()).isdisjoint(line.label for line in (*drill.told, *drill.rest))


def test_wrong_controls_come_from_far_subjects(training: TrainingRules) -> None:
    for drill in drill_set(training, 5, 40, ("control",)):
        own = drill.subject
        for choice in drill.choices:
            other = choice.id.partition("#")[0]
            subjects = [subject_of(training.route.hazards[name]) for name in (own, other)]
            assert other == own or subjects[1] in training.syllabus.far[subjects[0]]


def test_each_pick_is_told_right_missing_or_too_many(training: TrainingRules) -> None:
    drill = next(
        drill
        for drill in drill_set(training, 6, 40, ("danger",))
        if len(key_of(training, drill).right) == 2 and len(drill.choices) == 5
    )
    right = sorted(key_of(training, drill).right)
    wrong = next(choice.id for choice in drill.choices if choice.id not in right)
    number = {choice.id: place for place, choice in enumerate(drill.choices, 1)}
    result = marked(training, drill, Given(frozenset({right[0], wrong})))
    assert result.picks == f"Right: {number[right[0]]}. Missing: {number[right[1]]}. Too many: {number[wrong]}."
    assert marked(training, drill, Given(frozenset({right[0]}))).mark == "incomplete"
    assert marked(training, drill, Given(frozenset(right))).picks == ""


def test_a_fault_in_an_advice_is_a_weight_that_no_plan_of_it_weighs(training: TrainingRules) -> None:
    for drill in drill_set(training, 3, 12, ("fault",)):
        (fault,) = key_of(training, drill).right
        for choice in drill.choices:
            assert mark_of(training, drill, Given(frozenset({choice.id}))) == (
                "right" if choice.id == fault else "wrong"
            )
        assert len(drill.choices) >= 3


def test_not_known_is_never_right_and_never_unsafe(training: TrainingRules) -> None:
    for drill in drill_set(training, 2, 16):
        assert mark_of(training, drill, NOT_KNOWN_GIVEN) == "not_known"


@pytest.mark.parametrize("kind", KINDS)
def test_every_mark_says_what_is_right_and_why_with_a_source(training: TrainingRules, kind: str) -> None:
    for drill in drill_set(training, 8, 4, (kind,)):
        result = marked(training, drill, NOT_KNOWN_GIVEN)
        assert result.right
        assert result.title
        assert result.why
        assert all(reason.text for reason in (*result.why, *result.why_not))
    assert any(reason.sources for reason in result.why)


def test_a_wrong_route_is_told_what_rules_it_out(training: TrainingRules) -> None:
    drill = drill_about(training, "route", "mercury-shows")
    result = marked(training, drill, Given(frozenset({"send_out"})))
    required = training.route.arguments["mercury-shows"].entry.reason
    assert required in [reason.text for reason in result.why]
    assert result.why_not
    assert result.why_not[0].sources


def test_a_worked_case_says_its_why_only_when_it_came_out_alike(training: TrainingRules) -> None:
    said = 0
    for drill in drill_set(training, 21, 70, ("route", "cause", "remedy")):
        result = marked(training, drill, NOT_KNOWN_GIVEN)
        assert not result.case_says or drill.case
        said += bool(result.case_says)
    assert said >= 3


@pytest.mark.parametrize("typed", ["", "x", "0", "7", "-1", "1 2", "1.5", "²", "1" * 5000, "None"])
def test_what_is_no_choice_is_refused_with_a_sentence(training: TrainingRules, typed: str) -> None:
    drill = drill_about(training, "route", "smelt_iron")
    with pytest.raises(InputError, match="type one number from 1 to"):
        read_given(drill, typed)


@pytest.mark.parametrize("typed", ["", "much", "-3", "5 ml", "10 to 20 g", "nan", "1e999", "²"])
def test_what_is_no_weight_is_refused_with_a_sentence(training: TrainingRules, typed: str) -> None:
    drill = next(drill_set(training, 1, 1, ("weigh",)))
    with pytest.raises(InputError):
        read_given(drill, typed)


def test_a_weight_may_be_typed_with_or_without_its_unit(training: TrainingRules) -> None:
    drill = next(drill_set(training, 1, 1, ("weigh",)))
    assert read_given(drill, "25") == read_given(drill, "25 g") == read_given(drill, "0.025 kg") == Given(amount=25.0)


def test_every_subject_of_hazards_has_far_subjects(training: TrainingRules) -> None:
    subjects = {subject_of(hazard) for hazard in training.route.hazards.values()}
    assert set(training.syllabus.far) == subjects
    assert all(set(far) <= subjects for far in training.syllabus.far.values())
