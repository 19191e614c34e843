"""The engine as examiner: what is right, what an answer is worth, and when it would have hurt somebody."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.advice.build_advice import comes_first
from advisor.advice.plan.planned_batch import work_out
from advisor.advice.plan.weighing import GRAMS
from advisor.engine import Conclusions, Outcome, conclude_forced
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.reading.expand_causes import CAUSE
from advisor.training.drills.decisions import best_options
from advisor.training.drills.drill import Drill, Key
from advisor.training.drills.hazards import active_controls
from advisor.training.drills.pieces import best_causes, same_picture
from advisor.training.drills.reading import faulty, grams_of, phase_of
from advisor.training.drills.weighing import planned_range
from advisor.training.training_rules import TrainingRules
from advisor.units import MeasureError, Range, parse_measure
from advisor.words import tr


@frozen
class Given:
    """What a learner answered.

    Attributes:
        picked: The choices picked; empty where none of several was picked.
        amount: The amount given, in g, where one was asked for.
        known: Whether there was an answer at all.
    """

    picked: frozenset[str] = frozenset()
    amount: float | None = None
    known: bool = True


NOT_KNOWN_GIVEN = Given(known=False)


def conclusions_of(training: TrainingRules, drill: Drill) -> Conclusions:
    """What the engine says to the facts of a drill; the same that a consultation would say."""
    return training.conclude(drill.base, drill.answers)


def key_of(training: TrainingRules, drill: Drill, conclusions: Conclusions | None = None) -> Key:
    """What is right, as the engine says now.

    Args:
        training: The rules.
        drill: The drill.
        conclusions: What the engine said already, if it was asked.
    """
    if drill.kind == "picture":
        return Key(same_picture(training.pieces.facts[drill.subject], drill.pictures[0]))
    conclusions = conclusions or conclusions_of(training, drill)
    offered = [choice.id for choice in drill.choices]
    if drill.kind in ("route", "collector", "remedy"):
        return Key(best_options(conclusions.outcomes[drill.subject]))
    if drill.kind == "cause":
        return Key(best_causes(conclusions.several[CAUSE]))
    if drill.kind == "first":
        return Key(comes_first(conclusions) & frozenset(offered))
    if drill.kind == "danger":
        return Key(frozenset(name for name in offered if conclusions.attached(name)))
    if drill.kind == "phase":
        phase = phase_of(conclusions, drill.subject)
        return Key(frozenset(offered) & frozenset(() if phase is None else phase.hazards))
    if drill.kind == "screen":
        return Key(frozenset({drill.subject}))
    if drill.kind == "fault":
        worked = work_out(conclusions, training.tables)
        return Key(faulty(worked, {name: grams_of(name) for name in offered}))
    if drill.kind == "control":
        active = active_controls(conclusions, training.route.hazards[drill.subject])
        return Key(frozenset(name for name in offered if name in active))
    return Key(amount=planned_range(work_out(conclusions, training.tables), drill.subject))


def mark_of(training: TrainingRules, drill: Drill, given: Given) -> str:
    """What an answer is worth: right, nearly, incomplete, not_known, wrong or unsafe."""
    if not given.known:
        return "not_known"
    conclusions = None if drill.kind == "picture" else conclusions_of(training, drill)
    key = key_of(training, drill, conclusions)
    if key.amount is not None:
        return "right" if given.amount is not None and within(key.amount, given.amount) else "wrong"
    if drill.several:
        return _mark_of_several(training, drill, key, given)
    if given.picked <= key.right and given.picked:
        return "right"
    if conclusions is not None and drill.kind in ("route", "collector", "remedy"):
        picked = next(iter(sorted(given.picked)), "")
        if is_unsafe(conclusions, conclusions.outcomes[drill.subject], picked):
            return "unsafe"
    return "wrong"


def within(amount: Range, value: float) -> bool:
    """Whether an amount lies in the plan's own range, its ends included."""
    return amount.low <= value <= amount.high


def _mark_of_several(training: TrainingRules, drill: Drill, key: Key, given: Given) -> str:
    """A right pick with some missing is incomplete; who saw none of what can kill would have been hurt."""
    missed, extra, found = key.right - given.picked, given.picked - key.right, given.picked & key.right
    if drill.kind == "first":
        return _mark_of_first(missed, extra, found)
    if missed and found and not extra:
        return "incomplete"
    if not found and (drill.kind == "control" or _any_deadly(training, missed)):
        return "unsafe"
    if missed or len(extra) > 1:
        return "wrong"
    return "nearly" if extra else "right"


def _any_deadly(training: TrainingRules, names: Iterable[str]) -> bool:
    return any(training.route.hazards[name].entry.severity == "deadly" for name in names)


def _mark_of_first(missed: frozenset[str], extra: frozenset[str], found: frozenset[str]) -> str:
    """Lighting too early would have hurt; stopping or looking without need is wrong and hurts nobody."""
    waits = bool(extra & {"stop", "find_out"})
    if "work" in extra or (missed - {"work"} and not waits and not found):
        return "unsafe"
    if missed and not extra:
        return "incomplete"
    if missed or waits or len(extra) > 1:
        return "wrong"
    return "nearly" if extra else "right"


def is_unsafe(conclusions: Conclusions, outcome: Outcome, picked: str) -> bool:
    """Whether acting on a wrong option would have hurt: the engine stops or keeps cold, or a new deadly danger comes.

    The engine itself is asked what would follow if the option were taken. While something has to be found out first
    every deadly danger of the option is a new one, since nobody had looked.
    """
    if picked not in outcome.decision.options:
        return False
    place = outcome.decision.options.index(picked)
    stops = outcome.decision.entry.stops
    if outcome.stops and picked not in stops:
        return True
    if outcome.tally.ruled_out(place) == FAILS:
        return False
    name = outcome.decision.name
    taken = conclude_forced(conclusions.rule_base, conclusions.answers, _open_state(conclusions), {name: picked})
    return bool(_deadly(taken) - (set() if conclusions.kind == "find_out" else _deadly(conclusions)))


def _open_state(conclusions: Conclusions) -> list[int]:
    """The state of the answers before any decision was taken."""
    state = list(conclusions.state)
    for decision in conclusions.rule_base.agenda.values():
        for variable in decision.variables:
            state[variable] = conclusions.rule_base.variables[variable].full
    return state


def _deadly(conclusions: Conclusions) -> set[str]:
    hazards = conclusions.rule_base.hazards
    return {name for name in conclusions.hazards() if hazards[name].entry.severity == "deadly"}


def read_given(drill: Drill, typed: str) -> Given:
    """What was typed as an answer: numbers of the choices, or an amount.

    Raises:
        InputError: If it cannot be understood; the message says what would be right.
    """
    if not drill.choices:
        return Given(amount=_grams(typed))
    words = typed.replace(",", " ").split()
    if not words or not all(word.isascii() and word.isdigit() for word in words):
        raise InputError(_right_way(drill))
    numbers = [int(word[:6]) for word in words]
    if drill.several and numbers == [0]:
        return Given()
    if not all(1 <= number <= len(drill.choices) for number in numbers) or (len(numbers) > 1 and not drill.several):
        raise InputError(_right_way(drill))
    return Given(frozenset(drill.choices[number - 1].id for number in numbers))


def _grams(typed: str) -> float:
    try:
        amount = parse_measure(typed, GRAMS)
    except MeasureError as problem:
        raise InputError(tr("{problem}; type grams, for example 25", problem=problem)) from None
    if not amount.is_exact or amount.low < 0:
        raise InputError(tr("one weight is wanted; type grams, for example 25"))
    return amount.likely


def _right_way(drill: Drill) -> str:
    count = len(drill.choices)
    if drill.several:
        return tr("type the numbers that apply, from 1 to {count}, for example: 1 3   (0 = none)", count=count)
    return tr("type one number from 1 to {count}", count=count)


def titles(drill: Drill, names: Iterable[str]) -> list[str]:
    """Choices by their labels, in the order in which they are offered."""
    wanted = set(names)
    return [choice.label for choice in drill.choices if choice.id in wanted]
