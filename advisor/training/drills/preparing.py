"""Drills about what comes first: what can be mended before anything is lit, and where one stops or finds out."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.advice.build_advice import comes_first
from advisor.engine import Conclusions
from advisor.rulebase.language.conditions import FAILS
from advisor.training.drills.chance import Chance
from advisor.training.drills.decisions import deciding_facts, drawn_or_worked, is_hot, retold
from advisor.training.drills.drill import Choice, Drill, reveals
from advisor.training.drills.telling import differing, lines, rest_of, tested_facts
from advisor.training.training_rules import TrainingRules
from advisor.words import tr

OUTCOMES = (
    Choice("work", tr("Nothing is lacking: begin"), tr("No preparation is wanted, and nothing stops the work.")),
    Choice("find_out", tr("Find out more before anything else"), tr("The route hangs on what is not known yet.")),
    Choice("stop", tr("Stop: light no fire"), tr("No preparation that can be made tonight would change that.")),
)
"""What may be answered besides a preparation."""

_PREPARATIONS = 3


def first_drill(training: TrainingRules, chance: Chance, wanted: str = "") -> Drill | None:
    """What comes first with this batch? None when the draw makes no good drill."""
    drawn = drawn_or_worked(training, chance)
    if drawn is None:
        return None
    lacking = [one.lacking for one in drawn[0].preparations()]
    facts = differing(training, drawn[0].answers, tested_facts(training.route, lacking))
    ready = retold(training, *drawn, [*deciding_facts(training, drawn[0], "route"), *facts])
    if ready is None:
        return None
    conclusions, told = ready.conclusions, ready.told
    if conclusions.kind in ("work", "first") and not is_hot(conclusions):
        return None  # Work without fire is taught by the drills about the route.
    standing = comes_first(conclusions)
    topic = wanted or chance.one(sorted(standing))
    if topic not in standing:
        return None
    drill = Drill(
        kind="first",
        topic=topic,
        base="route",
        answers=conclusions.answers,
        subject="",
        ask=tr("The fire is to be lit tonight. What comes first with this batch? Pick all."),
        told=lines(training, training.route, conclusions.answers, told),
        rest=rest_of(training, training.route, conclusions.answers, told),
        choices=(*_offered(conclusions, topic, sorted(standing), chance), *OUTCOMES),
        several=True,
        case=ready.case,
    )
    return None if reveals(drill, standing) else drill


def _offered(conclusions: Conclusions, topic: str, standing: Iterable[str], chance: Chance) -> list[Choice]:
    """The preparation in question, some that stand beside it, and some for which nothing is lacking."""
    known = conclusions.rule_base.preparations
    there = [name for name in standing if name in known and name != topic]
    idle = [name for name, one in known.items() if conclusions.truth(one.lacking) == FAILS]
    wanted = [topic] if topic in known else []
    wanted += chance.some(there, int(chance.share() * _PREPARATIONS))
    wanted += chance.some(idle, _PREPARATIONS)
    by_title = {known[name].entry.title: name for name in reversed(wanted)}
    kept = [name for name in wanted if name in by_title.values()][:_PREPARATIONS]
    return [Choice(name, known[name].entry.title) for name in known if name in kept]
