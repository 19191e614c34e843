"""Drills about dangers: which are there, and what must be done against one."""

from __future__ import annotations

from pathlib import PurePath

from advisor.engine import Conclusions
from advisor.rulebase.language.conditions import HOLDS, OPEN
from advisor.rulebase.model import Hazard
from advisor.training.drills.chance import Chance
from advisor.training.drills.decisions import drawn_or_worked
from advisor.training.drills.drill import MOST_TOLD, Choice, Drill, DrillLine, reveals
from advisor.training.drills.telling import decided_lines, differing, lines, rest_of, tested_decisions, tested_facts
from advisor.training.training_rules import TrainingRules
from advisor.words import tr

_OFFERED = 5
_WEIGHTS = {"deadly": 4.0, "grave": 2.0, "moderate": 1.0}


def danger_drill(training: TrainingRules, chance: Chance, wanted: str = "") -> Drill | None:
    """Which of these dangers are there? None when the draw makes no good drill."""
    drawn = drawn_or_worked(training, chance)
    if drawn is None:
        return None
    conclusions, case = drawn
    topic = _focus(conclusions, chance, wanted)
    if topic is None:
        return None
    offered = _offered_hazards(conclusions, topic, chance)
    hazards = [training.route.hazards[name] for name in offered]
    told, rest = _told(training, conclusions, hazards)
    drill = Drill(
        kind="danger",
        topic=topic,
        base="route",
        answers=conclusions.answers,
        subject="",
        ask=tr("Which of these dangers must you count on here? Pick all."),
        choices=tuple(Choice(h.entry.id, h.entry.title, h.entry.harm) for h in hazards),
        told=told,
        rest=rest,
        several=True,
        case=case,
    )
    right = frozenset(name for name in offered if conclusions.attached(name))
    return drill if 0 < len(drill.told) <= MOST_TOLD and not reveals(drill, right) else None


def control_drill(training: TrainingRules, chance: Chance, wanted: str = "") -> Drill | None:
    """What must be done against this danger? Wrong choices are what is done against other dangers."""
    drawn = drawn_or_worked(training, chance)
    if drawn is None:
        return None
    conclusions, case = drawn
    topic = _focus(conclusions, chance, wanted)
    if topic is None:
        return None
    hazard = training.route.hazards[topic]
    own = active_controls(conclusions, hazard)
    if not own:
        return None
    picked = [own[place] for place in sorted(chance.some(range(len(own)), 1 + int(chance.share() * min(3, len(own)))))]
    others = _other_controls(training, conclusions, hazard, chance, _OFFERED - len(picked))
    choices = chance.some([*picked, *others], _OFFERED)
    told, rest = _told(training, conclusions, [hazard])
    drill = Drill(
        kind="control",
        topic=topic,
        base="route",
        answers=conclusions.answers,
        subject=topic,
        ask=tr(
            "The danger: {title}. {harm} What must you do against it? Pick all.",
            title=hazard.entry.title,
            harm=hazard.entry.harm,
        ),
        choices=tuple(Choice(name, _control_text(training, name)) for name in choices),
        told=told,
        rest=rest,
        several=True,
        case=case,
    )
    return drill if len(drill.choices) == _OFFERED and len(drill.told) <= MOST_TOLD else None


def active_controls(conclusions: Conclusions, hazard: Hazard) -> list[str]:
    """The controls of a hazard that apply here, each as hazard and place."""
    return [
        f"{hazard.entry.id}#{place}"
        for place, control in enumerate(hazard.controls)
        if control.condition is None or conclusions.truth(control.condition) == HOLDS
    ]


def subject_of(hazard: Hazard) -> str:
    """The subject of a hazard: the file in which it stands."""
    return PurePath(hazard.origin.file).stem


def control_of(training: TrainingRules, name: str) -> tuple[Hazard, int]:
    """The hazard and the place of a control that is offered."""
    hazard, _, place = name.partition("#")
    return training.route.hazards[hazard], int(place)


def _control_text(training: TrainingRules, name: str) -> str:
    hazard, place = control_of(training, name)
    return hazard.controls[place].do


def _focus(conclusions: Conclusions, chance: Chance, wanted: str) -> str | None:
    hazards = conclusions.rule_base.hazards
    attached = conclusions.hazards()
    if wanted:
        return wanted if wanted in attached else None
    if not attached:
        return None
    return chance.weighted([(_WEIGHTS[hazards[name].entry.severity], name) for name in attached])


def _offered_hazards(conclusions: Conclusions, topic: str, chance: Chance) -> list[str]:
    """The hazard in question, some that are there too, and some that are not, in the order of the rules."""
    hazards = conclusions.rule_base.hazards
    there = [name for name in conclusions.hazards() if name != topic]
    absent = [name for name in hazards if not conclusions.attached(name)]
    # Those of the same subject are the plausible ones.
    near = [name for name in absent if hazards[name].origin.file == hazards[topic].origin.file]
    far = [name for name in absent if name not in near]
    beside = chance.some(there, 1 + int(chance.share() * 2))
    wrong = (chance.some(near, 2) + chance.some(far, _OFFERED))[: _OFFERED - 1 - len(beside)]
    kept = {topic, *beside, *wrong}
    return [name for name in hazards if name in kept]


def _other_controls(
    training: TrainingRules, conclusions: Conclusions, hazard: Hazard, chance: Chance, count: int
) -> list[str]:
    """Controls of hazards of far subjects: none of them does anything against this hazard."""
    far = training.syllabus.far.get(subject_of(hazard), ())
    others = [other for other in training.route.hazards.values() if subject_of(other) in far]
    texts = {control.do for control in hazard.controls}
    found: list[str] = []
    for other in chance.some(others, len(others)):
        names = [name for name in active_controls(conclusions, other) if _control_text(training, name) not in texts]
        if names and len(found) < count:
            found.append(chance.one(names))
    return found


def _told(
    training: TrainingRules, conclusions: Conclusions, hazards: list[Hazard]
) -> tuple[tuple[DrillLine, ...], tuple[DrillLine, ...]]:
    """What is told: the decisions and the facts that these hazards hang on."""
    rule_base, answers = training.route, conclusions.answers
    conditions = [hazard.condition for hazard in hazards]
    conditions += [c.condition for h in hazards for c in h.controls if c.condition is not None and len(hazards) == 1]
    given = decided_lines(conclusions, {"route", *tested_decisions(rule_base, conditions)})
    told = differing(training, answers, tested_facts(rule_base, conditions))
    shown = (*given, *lines(training, rule_base, answers, told))
    return shown, rest_of(training, rule_base, answers, told)


def kept_for_doubt(conclusions: Conclusions, name: str) -> bool:
    """Whether a hazard is there only because something is not known."""
    return conclusions.truth(conclusions.rule_base.hazards[name].condition) == OPEN
