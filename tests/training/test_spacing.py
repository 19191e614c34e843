"""What is not known comes back sooner, and the clock is the caller's."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import fsrs
import pytest

from advisor.training.lesson import next_drill
from advisor.training.readiness import report_of
from advisor.training.records import Record
from advisor.training.spacing import answered
from advisor.training.training_rules import TrainingRules

NOW = datetime(2031, 3, 1, 6, 0, tzinfo=UTC)
DAY = timedelta(days=1)


def after(
    training: TrainingRules, item: str, *marks: str, start: Record | None = None, apart: timedelta = DAY
) -> Record:
    """A record with these answers, one after the other."""
    record = start or Record(name="Test")
    for number, mark in enumerate(marks):
        record = answered(training.syllabus, record, item, item, mark, NOW + number * apart)
    return record


def due(record: Record, item: str) -> datetime:
    return record.cards[item].due


@pytest.mark.parametrize("mark", ["wrong", "not_known", "unsafe"])
def test_what_was_not_known_is_back_within_minutes(training: TrainingRules, mark: str) -> None:
    record = after(training, "route:stop", mark)
    assert due(record, "route:stop") <= NOW + timedelta(minutes=10)
    assert record.due(NOW) == []
    assert record.due(NOW + timedelta(minutes=10)) == ["route:stop"]


def test_what_is_known_stays_away_longer_each_time(training: TrainingRules) -> None:
    gaps = []
    record, now = Record(name="Test"), NOW
    for _ in range(5):
        record = answered(training.syllabus, record, "weigh:soda_ash", "soda", "right", now)
        gaps.append(due(record, "weigh:soda_ash") - now)
        now = due(record, "weigh:soda_ash")
    assert gaps == sorted(gaps)
    assert gaps[-1] > 20 * DAY


@pytest.mark.parametrize(("worse", "better"), [("unsafe", "wrong"), ("wrong", "nearly"), ("nearly", "right")])
def test_the_worse_the_answer_the_sooner_it_comes_back(training: TrainingRules, worse: str, better: str) -> None:
    known = after(training, "danger:x", "right", "right", "right", apart=3 * DAY)
    then = NOW + 20 * DAY
    one, other = (answered(training.syllabus, known, "danger:x", "x", mark, then) for mark in (worse, better))
    for record in (one, other):
        assert record.cards["danger:x"].stability is not None
    assert one.cards["danger:x"].stability < other.cards["danger:x"].stability  # type: ignore[operator]
    assert due(one, "danger:x") <= due(other, "danger:x")


def test_what_concerns_safety_comes_back_sooner(training: TrainingRules) -> None:
    marks = ["right"] * 4
    safety, other = after(training, "danger:x", *marks), after(training, "picture:x", *marks)
    assert due(safety, "danger:x") < due(other, "picture:x")


def test_the_spacing_is_that_of_the_published_library_without_fuzz(training: TrainingRules) -> None:
    scheduler = fsrs.Scheduler(desired_retention=0.9, enable_fuzzing=False)
    card = fsrs.Card(card_id=1, due=NOW)
    for number, rating in enumerate((fsrs.Rating.Good, fsrs.Rating.Good, fsrs.Rating.Again, fsrs.Rating.Hard)):
        card, _ = scheduler.review_card(card, rating, NOW + number * 3 * DAY)
    record = after(training, "weigh:x", "right", "right", "wrong", "nearly", apart=3 * DAY)
    assert due(record, "weigh:x") == card.due
    assert record.cards["weigh:x"].stability == card.stability


def test_mercury_comes_back_until_it_is_known(training: TrainingRules) -> None:
    item = "route:mercury-shows"
    record = after(training, "weigh:lead", "right", start=after(training, item, "unsafe"))
    drill = next_drill(training, record, NOW + timedelta(hours=1))
    assert drill.item == item
    known = answered(training.syllabus, record, item, item, "right", NOW + timedelta(hours=1))
    known = answered(training.syllabus, known, "weigh:lead", "x", "right", NOW + timedelta(hours=1))
    assert next_drill(training, known, NOW + timedelta(hours=1)).item != item


def test_what_was_unsafe_comes_before_what_has_waited_longer(training: TrainingRules) -> None:
    record = after(training, "picture:bead_shape.round", "wrong")
    record = answered(training.syllabus, record, "route:mercury-shows", "m", "unsafe", NOW + timedelta(minutes=5))
    record = answered(training.syllabus, record, "weigh:lead", "x", "right", NOW + timedelta(minutes=5))
    assert next_drill(training, record, NOW + DAY).item == "route:mercury-shows"


def test_a_new_drill_is_about_something_new_and_of_the_kind_wanted(training: TrainingRules) -> None:
    record = Record(name="Test")
    for _ in range(12):
        drill = next_drill(training, record, NOW, ("danger", "picture"))
        assert drill.kind in ("danger", "picture")
        assert drill.item not in record.cards
        record = answered(training.syllabus, record, drill.item, "x", "right", NOW)


# Who is ready


def series(training: TrainingRules, kind: str, marks: list[str], start: Record | None = None) -> Record:
    record = start or Record(name="Test")
    for number, mark in enumerate(marks):
        record = answered(training.syllabus, record, f"{kind}:{number % 12}", "x", mark, NOW)
    return record


def is_ready(training: TrainingRules, record: Record, work: str) -> bool:
    return next(w for w in report_of(training.syllabus, record, NOW).works if w.work == work).ready


def test_nobody_is_ready_without_answers(training: TrainingRules) -> None:
    report = report_of(training.syllabus, Record(name="Test"), NOW)
    assert not any(work.ready for work in report.works)
    assert report.last is None


def test_one_is_ready_at_the_last_answer_wanted_and_not_before(training: TrainingRules) -> None:
    wanted = training.syllabus.ready["safety"].last
    assert not is_ready(training, series(training, "danger", ["right"] * (wanted - 1)), "safety")
    assert is_ready(training, series(training, "danger", ["right"] * wanted), "safety")


def test_one_unsafe_answer_in_the_last_ones_takes_readiness_away_until_it_is_far_back(training: TrainingRules) -> None:
    wanted = training.syllabus.ready["safety"].last
    assert not is_ready(training, series(training, "control", ["right"] * wanted + ["unsafe"]), "safety")
    assert not is_ready(training, series(training, "control", ["unsafe"] + ["right"] * (wanted - 1)), "safety")
    assert is_ready(training, series(training, "control", ["unsafe"] + ["right"] * wanted), "safety")


def test_points_lost_count_up_to_the_limit(training: TrainingRules) -> None:
    rule, lost = training.syllabus.ready["safety"], training.syllabus.marks["wrong"].lost
    allowed = rule.most_lost // lost
    assert is_ready(
        training, series(training, "danger", ["wrong"] * allowed + ["right"] * (rule.last - allowed)), "safety"
    )
    more = ["wrong"] * (allowed + 1) + ["right"] * (rule.last - allowed - 1)
    assert not is_ready(training, series(training, "danger", more), "safety")


def test_the_same_thing_over_and_over_does_not_make_ready(training: TrainingRules) -> None:
    record = after(training, "danger:x", *["right"] * 40)
    assert not is_ready(training, record, "safety")


def test_work_that_comes_first_must_be_ready_first(training: TrainingRules) -> None:
    only = series(training, "route", ["right"] * 20)
    assert not is_ready(training, only, "choosing")
    assert is_ready(training, series(training, "danger", ["right"] * 20, only), "choosing")
