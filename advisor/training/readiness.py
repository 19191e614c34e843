"""Who is ready for what, by the trainer's rule: the last answers, the points lost in them, and nothing unsafe."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from pydantic import Field

from advisor.document import part
from advisor.training.records import AnswerEntry, Record
from advisor.training.syllabus import ReadyRule, Syllabus
from advisor.words import tr

_TREND = 10
"""Answers that are held against as many before them."""


@part
class Readiness:
    """How far one learner is with one piece of work."""

    work: str
    title: str
    ready: bool
    answers: Annotated[int, Field(description="Answers that were looked at.")]
    of: Annotated[int, Field(description="Answers that are wanted.")]
    lost: Annotated[int, Field(description="Points lost in them.")]
    unsafe: Annotated[int, Field(description="Unsafe answers in them.")]
    items: Annotated[int, Field(description="Different things answered right in them.")]
    missing: Annotated[tuple[str, ...], Field(description="What is still missing, as sentences; none when ready.")]


@part
class LearnerReport:
    """One learner."""

    name: str
    answers: int
    last: str | None
    due: Annotated[int, Field(description="Drills that have come back.")]
    lost_last: Annotated[int, Field(description="Points lost in the last ten answers.")]
    lost_before: Annotated[int | None, Field(description="Points lost in the ten before; none with fewer answers.")]
    unsafe_last: Annotated[tuple[str, ...], Field(description="What was last answered in an unsafe way.")]
    works: tuple[Readiness, ...]


@part
class TrainingReport:
    """All learners."""

    document: str = "training report"
    version: int = 1
    at: str
    basis: str = "practice"
    learners: tuple[LearnerReport, ...]
    unreadable: Annotated[tuple[str, ...], Field(description="Records that could not be read.")]


def report_of(syllabus: Syllabus, record: Record, now: datetime) -> LearnerReport:
    """How far one learner is."""
    works: dict[str, Readiness] = {}
    for rule in syllabus.ready.values():
        works[rule.work] = _readiness(syllabus, record, rule, works)
    last_marks = {answer.item: answer.mark for answer in record.answers}
    unsafe = [item for item, mark in last_marks.items() if mark == "unsafe"]
    before = record.answers[-2 * _TREND : -_TREND]
    return LearnerReport(
        name=record.name,
        answers=len(record.answers),
        last=record.answers[-1].at.isoformat() if record.answers else None,
        due=len(record.due(now)),
        lost_last=_lost(syllabus, record.answers[-_TREND:]),
        lost_before=None if len(record.answers) < 2 * _TREND else _lost(syllabus, before),
        unsafe_last=tuple(f"{_kind_title(syllabus, i)}: {record.cards[i].title}" for i in unsafe if i in record.cards),
        works=tuple(works.values()),
    )


def _lost(syllabus: Syllabus, answers: tuple[AnswerEntry, ...]) -> int:
    return sum(syllabus.marks[answer.mark].lost for answer in answers)


def _kind_title(syllabus: Syllabus, item: str) -> str:
    kind = item.partition(":")[0]
    return syllabus.kinds[kind].title if kind in syllabus.kinds else kind


def _readiness(syllabus: Syllabus, record: Record, rule: ReadyRule, before: dict[str, Readiness]) -> Readiness:
    looked_at = [answer for answer in record.answers if answer.kind in rule.kinds][-rule.last :]
    lost = sum(syllabus.marks[answer.mark].lost for answer in looked_at)
    unsafe = sum(answer.mark == "unsafe" for answer in looked_at)
    items = len({answer.item for answer in looked_at if answer.mark == "right"})
    missing = tuple(_missing(rule, looked_at, lost, unsafe, items, before))
    return Readiness(
        work=rule.work,
        title=rule.title,
        ready=not missing,
        answers=len(looked_at),
        of=rule.last,
        lost=lost,
        unsafe=unsafe,
        items=items,
        missing=missing,
    )


def _missing(
    rule: ReadyRule, looked_at: list[AnswerEntry], lost: int, unsafe: int, items: int, before: dict[str, Readiness]
) -> list[str]:
    found = []
    if len(looked_at) < rule.last:
        found.append(tr("{last} more answers", last=rule.last - len(looked_at)))
    if unsafe > rule.most_unsafe:
        found.append(
            tr(
                "{unsafe} unsafe in the last {last}, at most {most_unsafe}",
                unsafe=unsafe,
                last=rule.last,
                most_unsafe=rule.most_unsafe,
            )
        )
    if lost > rule.most_lost:
        found.append(
            tr(
                "{lost} points lost in the last {last}, at most {most_lost}",
                lost=lost,
                last=rule.last,
                most_lost=rule.most_lost,
            )
        )
    if items < rule.least_items:
        found.append(
            tr("{items} different things right, {least_items} wanted", items=items, least_items=rule.least_items)
        )
    found += [tr("first: {title}", title=before[work].title) for work in rule.after if not before[work].ready]
    return found
