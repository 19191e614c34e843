"""What would narrow the weights that answers leave open: a trial that the plan may hold, or a better count."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.advice.plan.weighing import Weigher, is_wide
from advisor.engine import NotKnown
from advisor.rulebase.language.conditions import HOLDS
from advisor.units import Range

_NO_STAGE = "none"


def narrowers(weigher: Weigher) -> dict[str, str]:
    """What narrows each computed weight that spans too much, in words, by material; nothing where nothing does."""
    return {material: str(row["says"]) for material, row in _ways(weigher)}


def idle_stages(weigher: Weigher) -> set[str]:
    """The stages of trials that the plan leaves out: those that are not certain to go, or narrow no weight."""
    trials = {str(row["stage"]) for row in _rows(weigher, "narrowing")} - {_NO_STAGE}
    return trials - {str(row["stage"]) for _, row in _ways(weigher)}


def trial_fact(weigher: Weigher) -> str | None:
    """The fact that a trial of the plan would answer; None where it holds none."""
    return next((str(row["fact"]) for _, row in _ways(weigher) if row["stage"] != _NO_STAGE), None)


def _rows(weigher: Weigher, table: str) -> tuple[dict[str, float | str], ...]:
    return tuple(dict(row) for row in weigher.conclusions.rule_base.tables[table].rows)


def _ways(weigher: Weigher) -> Iterator[tuple[str, dict[str, float | str]]]:
    """Each material whose weight spans too much, with the first way that narrows it and can be gone."""
    wide = [name for name in weigher.computed if is_wide(weigher[name])]
    if not wide:
        return
    narrowed = {(row["way"], row["material"]) for row in _rows(weigher, "narrowed")}
    ways = [row for row in _rows(weigher, "narrowing") if _can_be_gone(weigher, row)]
    for material in wide:
        for row in ways:
            if (row["way"], material) in narrowed:
                yield material, row
                break


def _can_be_gone(weigher: Weigher, row: dict[str, float | str]) -> bool:
    conclusions = weigher.conclusions
    answer = conclusions.answers.get(str(row["fact"]))
    if row["stage"] == _NO_STAGE:
        return isinstance(answer, Range) and answer.is_exact and answer.high > 0
    steps = [step for step in conclusions.rule_base.steps.values() if step.entry.stage == row["stage"]]
    unanswered = answer is None or isinstance(answer, NotKnown)
    return unanswered and all(conclusions.truth(step.condition) == HOLDS for step in steps)
