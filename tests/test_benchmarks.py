"""The benchmarks run and measure what they say. How fast anything is stands in no test."""

from __future__ import annotations

import pytest

from advisor.engine import conclude
from tests.benchmarks import starts, within
from tests.benchmarks.measure import parts
from tests.benchmarks.questions import TONIGHT, batch, is_needless, mean, measured, most_of, rules


def test_a_start_is_measured_beside_a_bare_program() -> None:
    ours, theirs = starts.help_seconds(runs=1)
    assert ours > 0
    assert theirs > 0


def test_each_part_of_a_run_is_measured_with_its_goal() -> None:
    lines = {what: ratio for what, _, _, ratio, _, _ in parts(runs=1)}
    assert set(lines) == {
        "building one advice",
        "computed plan",
        "smelting charge planned",
        "slowest correction",
        "drawing as letters",
        "drawing as SVG",
    }
    assert all(ratio > 0 for ratio in lines.values())


@pytest.mark.parametrize("diagnosis", [False, True], ids=["route", "diagnosis"])
def test_every_question_of_a_batch_is_timed(diagnosis: bool) -> None:
    times = within.shipped_question_seconds(batches=1, diagnosis=diagnosis)
    assert len(times) > 3
    assert times == sorted(times)
    assert times[0] > 0


@pytest.mark.parametrize("rules", [100, 1000])
def test_another_engine_comes_to_the_same_conclusions(rules: int) -> None:
    # Imported here: the other engine is loaded by nothing else.
    from tests.benchmarks.engines import compare

    one = compare(rules, answers=10, loads=1)  # raises where the two differ
    assert one.answers == 10
    assert one.rules == rules


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_in_a_known_room_few_questions_lead_to_the_advice_of_the_whole_truth(first: int) -> None:
    found = measured(range(first, first + 50))
    assert len(found.counts) == 50
    assert (found.otherwise, found.left) == ([], [])
    assert mean(found.counts) <= 12
    assert most_of(found.counts) <= 16
    dangers = ("mercury_history", "mercury_signs", "arsenic_signs", "foreign_matter", TONIGHT)
    assert {found.asked[name] for name in dangers} == {50}, "every danger of a batch is asked about"


def test_few_questions_are_needless() -> None:
    judged = measured(range(10_000, 10_004), judge=True)
    assert judged.judged == sum(judged.counts)
    assert sum(judged.needless.values()) < 0.12 * judged.judged


def test_a_danger_is_never_a_needless_question() -> None:
    truth = batch(0)
    whole = conclude(rules(), truth)
    assert not is_needless("mercury_signs", truth, whole)
    assert not is_needless("arsenic_signs", truth, whole)
