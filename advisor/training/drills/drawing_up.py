"""Draws up drills: one of a kind, one about a topic, or a set that a seed fixes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from advisor.errors import InputError
from advisor.training.drills.chance import Chance
from advisor.training.drills.decisions import collector_drill, route_drill
from advisor.training.drills.drill import Drill
from advisor.training.drills.fitting import fitted
from advisor.training.drills.hazards import control_drill, danger_drill
from advisor.training.drills.pieces import cause_drill, picture_drill, remedy_drill
from advisor.training.drills.preparing import first_drill
from advisor.training.drills.reading import fault_drill, phase_drill, screen_drill
from advisor.training.drills.weighing import weigh_drill
from advisor.training.training_rules import TrainingRules
from advisor.words import tr

_TRIES = 400
_TRIES_FOR_TOPIC = 200
_KEPT_OF_THIN = 0.5
_OTHERS = 5

_WITH_TOPIC: dict[str, Callable[[TrainingRules, Chance, str], Drill | None]] = {
    "first": first_drill,
    "danger": danger_drill,
    "control": control_drill,
    "phase": phase_drill,
    "weigh": weigh_drill,
    "screen": screen_drill,
    "fault": fault_drill,
    "picture": picture_drill,
    "cause": cause_drill,
    "remedy": remedy_drill,
}
_WITHOUT: dict[str, Callable[[TrainingRules, Chance], Drill | None]] = {
    "route": route_drill,
    "collector": collector_drill,
}


def drill_of(training: TrainingRules, kind: str, chance: Chance, topic: str = "") -> Drill | None:
    """A drill of one kind, about one topic if it is named; None when none was found."""
    for _ in range(_TRIES_FOR_TOPIC if topic else _TRIES):
        drill = _try(training, kind, chance, topic)
        drill = None if drill is None else fitted(training.pieces, drill)
        if drill is None or topic not in ("", drill.topic):
            continue
        if topic or drill.topic != training.syllabus.kinds[kind].thin or chance.share() < _KEPT_OF_THIN:
            return drill
    return None


def _try(training: TrainingRules, kind: str, chance: Chance, topic: str) -> Drill | None:
    if kind in _WITHOUT:
        return _WITHOUT[kind](training, chance)
    return _WITH_TOPIC[kind](training, chance, topic)


def drill_set(training: TrainingRules, seed: int, count: int, kinds: Sequence[str] = ()) -> Iterator[Drill]:
    """The drills that a seed fixes; the first of a longer set are those of a shorter one.

    What was asked already is not asked again as long as a few draws find something else.

    Raises:
        InputError: If a kind makes no drill with these rules.
    """
    asked: set[str] = set()
    for number in range(1, count + 1):
        drill = numbered_drill(training, seed, number, kinds)
        for again in range(1, _OTHERS + 1):
            if drill.item not in asked:
                break
            drill = numbered_drill(training, f"{seed}.{again}", number, kinds)
        asked.add(drill.item)
        yield drill


def numbered_drill(training: TrainingRules, seed: int | str, number: int, kinds: Sequence[str] = ()) -> Drill:
    """One drill of a set.

    Raises:
        InputError: If the kind makes no drill with these rules.
    """
    chance = Chance("drill", seed, number, *sorted(kinds))
    known = training.syllabus.kinds
    chosen = [known[name] for name in known if not kinds or name in kinds]
    kind = chance.weighted([(kind.weight, kind.name) for kind in chosen])
    drill = drill_of(training, kind, chance)
    if drill is None:
        raise InputError(
            tr("no drill of the kind '{kind}' can be drawn with these rules; leave it out with --kind", kind=kind)
        )
    return drill
