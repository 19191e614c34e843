"""When a drill comes back: the published FSRS algorithm, from its maintained library, without random fuzz."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from advisor.training.records import AnswerEntry, CardEntry, Record
from advisor.training.syllabus import Syllabus

if TYPE_CHECKING:
    from fsrs import Scheduler


def _library() -> Any:
    # Only what was drilled needs it.
    import fsrs

    return fsrs


def scheduler_for(syllabus: Syllabus, kind: str) -> Scheduler:
    """The scheduler of one kind of drill; what concerns safety comes back sooner."""
    made: Scheduler = _library().Scheduler(desired_retention=syllabus.kinds[kind].retention, enable_fuzzing=False)
    return made


def answered(syllabus: Syllabus, record: Record, item: str, title: str, mark: str, now: datetime) -> Record:
    """The record after one more answer.

    Args:
        syllabus: What each mark counts.
        record: The record before.
        item: What was asked: kind and topic.
        title: The same in words.
        mark: What the answer was worth.
        now: When it was given, in UTC.
    """
    fsrs, rule = _library(), syllabus.marks[mark]
    answer = AnswerEntry.model_validate({"at": now, "item": item, "mark": mark})
    scheduler = scheduler_for(syllabus, answer.kind)
    card = _card(record.cards.get(item), now)
    for _ in range(rule.times):
        card, _ = scheduler.review_card(card, fsrs.Rating[rule.rating.capitalize()], now)
    return record.with_answer(answer, _entry(card, title))


def _card(entry: CardEntry | None, now: datetime) -> Any:
    fsrs = _library()
    if entry is None:
        return fsrs.Card(card_id=1, due=now)
    return fsrs.Card(
        card_id=1,
        state=fsrs.State(entry.state),
        step=entry.step,
        stability=entry.stability,
        difficulty=entry.difficulty,
        due=entry.due,
        last_review=entry.last_review,
    )


def _entry(card: Any, title: str) -> CardEntry:
    return CardEntry(
        title=title,
        state=card.state.value,
        step=card.step,
        stability=card.stability,
        difficulty=card.difficulty,
        due=card.due,
        last_review=card.last_review,
    )
