"""Which drill comes next for a learner: what has come back first, then something new."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from advisor.training.drills.chance import Chance
from advisor.training.drills.drawing_up import drill_of, numbered_drill
from advisor.training.drills.drill import Drill
from advisor.training.records import Record, record_name
from advisor.training.training_rules import TrainingRules

_MOST_SOUGHT = 3
_MOST_NEW = 6


def next_drill(training: TrainingRules, record: Record, now: datetime, kinds: Sequence[str] = ()) -> Drill:
    """The next drill of a learner.

    Raises:
        InputError: If no drill can be drawn with these rules.
    """
    last = record.answers[-1].item if record.answers else ""
    for item in _waiting(training, record, now, kinds, last)[:_MOST_SOUGHT]:
        kind, _, topic = item.partition(":")
        chance = Chance("back", record_name(record.name), item, len(record.answers))
        drill = drill_of(training, kind, chance, topic)
        if drill is not None:
            return drill
    return _new_drill(training, record, kinds, last)


def _waiting(training: TrainingRules, record: Record, now: datetime, kinds: Sequence[str], last: str) -> list[str]:
    """What has come back; what was unsafe first, and nothing twice in a row."""
    marks = {answer.item: answer.mark for answer in record.answers}
    wanted = [item for item in record.due(now) if item.partition(":")[0] in (kinds or training.syllabus.kinds)]
    return sorted((item for item in wanted if item != last), key=lambda item: marks.get(item) != "unsafe")


def _new_drill(training: TrainingRules, record: Record, kinds: Sequence[str], last: str) -> Drill:
    """A drill about something that is not known yet, as far as a few draws find one."""
    seed = record_name(record.name)
    number = len(record.answers) * _MOST_NEW
    drills = []
    for step in range(_MOST_NEW):
        drill = numbered_drill(training, seed, number + step, kinds)
        if drill.item not in record.cards:
            return drill
        drills.append(drill)
    return next((drill for drill in drills if drill.item != last), drills[0])
