"""Drills about weighing: how many grams of one material, graded within the plan's own range."""

from __future__ import annotations

from advisor.advice.notes.spans import shown_range
from advisor.advice.plan.planned_batch import PlannedBatch, work_out
from advisor.engine import Conclusions
from advisor.errors import InputError
from advisor.rulebase.model import RuleBase
from advisor.training.drills.chance import Chance
from advisor.training.drills.decisions import drawn_or_worked
from advisor.training.drills.drill import MOST_TOLD, Drill
from advisor.training.drills.telling import decided_lines, differing, lines, rest_of, tested_decisions, tested_facts
from advisor.training.training_rules import TrainingRules
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.words import tr

_LEAST_WIDTH, _MOST_WIDTH = 1.1, 3.0
"""A range narrower than this, greatest over least, nobody can hit in the head; a wider one nobody can miss."""


def weigh_drill(training: TrainingRules, chance: Chance, wanted: str = "") -> Drill | None:
    """How many grams? None when the draw makes no good drill."""
    drawn = drawn_or_worked(training, chance)
    if drawn is None:
        return None
    conclusions, case = drawn
    try:
        worked = work_out(conclusions, training.tables)
        materials = [name for name in training.route.materials if _can_be_asked(worked, name)]
    except InputError:
        return None
    if wanted:
        materials = [name for name in materials if name == wanted]
    return _drill(training, worked, chance.one(materials), case) if materials else None


def planned_range(worked: PlannedBatch, material: str) -> Range:
    """The range of the plan as it is shown, in g."""
    return shown_range(worked.weigher[material])


def _can_be_asked(worked: PlannedBatch, material: str) -> bool:
    """Whether the plan weighs it in one line, in a range wide enough, and who knows the rule of thumb gets it right."""
    rules = worked.weigher.rules_for(material)
    if len(rules) != 1 or rules[0].entry.of not in rules[0].of.names:
        return False
    planned, thumb = planned_range(worked, material), worked.weigher.by_rule(rules[0])
    if not _LEAST_WIDTH * planned.low <= planned.high <= _MOST_WIDTH * planned.low:
        return False
    return 0 < planned.low <= thumb.likely <= planned.high


def _drill(training: TrainingRules, worked: PlannedBatch, material: str, case: str) -> Drill | None:
    conclusions, rule_base = worked.conclusions, training.route
    rule = worked.weigher.rules_for(material)[0]
    conditions = [rule.condition]
    facts = _formula_facts(conclusions, [*rule.of.names])
    told = [*facts, *differing(training, conclusions.answers, tested_facts(rule_base, conditions))]
    told = [name for name in rule_base.facts if name in told]
    parts = format_number(rule.parts.likely)
    drill = Drill(
        kind="weigh",
        topic=material,
        base="route",
        answers=conclusions.answers,
        subject=material,
        ask=tr(
            "How many grams of {title} do you weigh out for the whole batch?",
            title=rule_base.materials[material].entry.title,
        ),
        told=(
            *decided_lines(conclusions, {"route", "collector", *tested_decisions(rule_base, conditions)}),
            *lines(training, rule_base, conclusions.answers, told),
        ),
        rest=rest_of(training, rule_base, conclusions.answers, told),
        hint=tr(
            "Rule of thumb: {parts} g for each gram of {of_words}.",
            parts=parts,
            of_words=_of_words(rule_base, rule.entry.of),
        ),
        case=case,
    )
    return drill if len(drill.told) <= MOST_TOLD else None


def _formula_facts(conclusions: Conclusions, names: list[str]) -> list[str]:
    """The facts that an amount is computed from, through the quantities between them."""
    rule_base = conclusions.rule_base
    found: list[str] = []
    waiting = list(names)
    seen: set[str] = set()
    while waiting:
        name = waiting.pop(0)
        if name in seen:
            continue
        seen.add(name)
        if name in rule_base.facts:
            found.append(name)
        elif name in rule_base.quantities:
            for case in rule_base.quantities[name].cases:
                if case.condition is None or conclusions.truth(case.condition):
                    waiting += sorted(case.formula.names)
                    waiting += [] if case.condition is None else tested_facts(rule_base, [case.condition])
        elif name in rule_base.materials:
            continue
    return found


def _of_words(rule_base: RuleBase, name: str) -> str:
    """What an amount is computed from, in words."""
    if name in rule_base.quantities:
        return rule_base.quantities[name].entry.title
    return rule_base.facts[name].label if name in rule_base.facts else rule_base.materials[name].entry.title
