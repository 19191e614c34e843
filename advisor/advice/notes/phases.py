"""The work by phases: each step in one, each hazard where it is met."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.advice.documents.common import HazardNote, PhaseNote, PreparationNote, StepNote
from advisor.rulebase.model import RuleBase
from advisor.words import tr

FIRST = "first"
"""The phase of what is prepared before the work."""


def phase_notes(
    rule_base: RuleBase,
    preparations: Sequence[PreparationNote],
    steps: Sequence[StepNote],
    hazards: Sequence[HazardNote],
) -> tuple[PhaseNote, ...]:
    """The phases of a plan in order, each with its steps and the hazards met there, the worst first.

    A hazard is met where a preparation or step names it, and in the phases that name it. One that nothing of this
    plan names is met in the first phase, so that none is ever left out.
    """
    if not preparations and not steps:
        return ()
    met = {FIRST: {name for one in preparations for name in one.hazards}} if preparations else {}
    numbers: dict[str, list[int]] = {}
    for phase, entry in rule_base.phases.items():
        here = [step for step in steps if step.stage in entry.stages]
        if here:
            numbers[phase] = [step.number for step in here]
            met[phase] = {*entry.hazards, *(name for step in here for name in step.hazards)}
    first = next(iter(met))
    met[first] |= {hazard.id for hazard in hazards} - set().union(*met.values())
    return tuple(
        PhaseNote(
            id=phase,
            title=tr("First") if phase == FIRST else rule_base.phases[phase].title,
            routine=phase != FIRST and rule_base.phases[phase].routine,
            preparations=tuple(one.id for one in preparations) if phase == FIRST else (),
            steps=tuple(numbers.get(phase, ())),
            hazards=tuple(hazard.id for hazard in hazards if hazard.id in here),
        )
        for phase, here in met.items()
    )
