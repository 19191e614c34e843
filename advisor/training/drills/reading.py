"""Drills about what the program says: the dangers of a phase, a first screen read, and an advice that a fault is in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import PhaseNote
from advisor.advice.plan.planned_batch import PlannedBatch, work_out
from advisor.advice.plan.weighing import Weigher, weight_words
from advisor.engine import Conclusions
from advisor.errors import InputError
from advisor.present.screens.common import weight_of
from advisor.present.screens.first import first_screen
from advisor.rulebase.model import RuleBase
from advisor.training.drills.chance import Chance
from advisor.training.drills.decisions import drawn_or_worked
from advisor.training.drills.drill import Choice, Drill, DrillLine
from advisor.training.drills.telling import ALWAYS, decided_lines, lines, rest_of
from advisor.training.drills.weighing import planned_range
from advisor.training.training_rules import TrainingRules
from advisor.units import Range
from advisor.words import tr

MOST_SHOWN = 11
"""Lines of a first screen that leave room for the question on a screen of 24."""

_OFFERED = 5
_FEWEST = 3
_BROKEN = 6.0
"""How many times too much or too little a broken rule weighs: far outside any range that a plan leaves open."""


def phase_drill(training: TrainingRules, chance: Chance, wanted: str = "") -> Drill | None:
    """Which dangers does this phase of the work meet? None when the draw makes no good drill."""
    drawn = drawn_or_worked(training, chance)
    if drawn is None or drawn[0].kind not in ("work", "first"):
        return None
    conclusions, case = drawn
    advice = build_advice(conclusions, look_for_changes=False)
    phases = [one for one in advice.phases if one.steps and one.hazards and wanted in ("", one.id)]
    if not phases:
        return None
    phase = chance.one(phases)
    elsewhere = [hazard.id for hazard in advice.hazards if hazard.id not in phase.hazards]
    there = chance.some(phase.hazards, 1 + int(chance.share() * 2))
    offered = {*there, *chance.some(elsewhere, _OFFERED - len(there))}
    known = training.route.hazards
    does = "; ".join(step.brief or step.do for step in advice.steps if step.number in phase.steps[:3])
    drill = Drill(
        kind="phase",
        topic=phase.id,
        base="route",
        answers=conclusions.answers,
        subject=phase.id,
        ask=tr("The phase: {title}. Which of these dangers does it meet? Pick all.", title=phase.title),
        told=(*decided_lines(conclusions, {"route", "collector"}), DrillLine(tr("it begins with"), does)),
        rest=rest_of(training, training.route, conclusions.answers, ()),
        choices=tuple(
            Choice(name, known[name].entry.title, known[name].entry.harm) for name in known if name in offered
        ),
        several=True,
        case=case,
    )
    return drill if len(drill.choices) >= _FEWEST and elsewhere else None


def phase_of(conclusions: Conclusions, name: str) -> PhaseNote | None:
    """A phase of the work that is advised; None where the advice has none of that name."""
    advice = build_advice(conclusions, look_for_changes=False)
    return next((one for one in advice.phases if one.id == name), None)


def screen_drill(training: TrainingRules, chance: Chance, wanted: str = "") -> Drill | None:
    """What does this first screen say to weigh out? None when the draw makes no good drill."""
    drawn = drawn_or_worked(training, chance)
    if drawn is None or drawn[0].kind not in ("work", "first"):
        return None
    conclusions, case = drawn
    try:
        advice = build_advice(conclusions, look_for_changes=False)
    except InputError:
        return None
    shown = tuple(line.text for line in first_screen(advice, 80, ())[:MOST_SHOWN])
    said = said_weights(advice, shown)
    materials = [name for name in said if wanted in ("", name)]
    if len(set(said.values())) < _FEWEST or not materials:
        return None
    material = chance.one(materials)
    others = {words: name for name, words in said.items() if words != said[material]}
    offered = {material, *chance.some(list(others.values()), _FEWEST)}
    title = training.route.materials[material].entry.title
    return Drill(
        kind="screen",
        topic=material,
        base="route",
        answers=conclusions.answers,
        subject=material,
        ask=tr("This is the beginning of a first screen. How much {title} lies on the scale?", title=title),
        shown=shown,
        choices=tuple(Choice(name, said[name]) for name in training.route.materials if name in offered),
        case=case,
    )


def said_weights(advice: Advice, shown: tuple[str, ...]) -> dict[str, str]:
    """The weights that stand on these lines beside their material, as they are said there."""
    found = {}
    for name, amount in advice.amounts.items():
        words = weight_of(amount)
        if any(amount.title in line and words in line for line in shown):
            found[name] = words
    return found


def fault_drill(training: TrainingRules, chance: Chance, wanted: str = "") -> Drill | None:
    """One weight of an advice comes from a broken rule: which? None when the draw makes no good drill."""
    drawn = drawn_or_worked(training, chance)
    if drawn is None or drawn[0].kind not in ("work", "first"):
        return None
    conclusions, case = drawn
    try:
        worked = work_out(conclusions, training.tables)
        said = _plain_weights(worked)
    except InputError:
        return None
    breakable = [name for name in said if wanted in ("", name) and _by_one_rule(worked, name)]
    if len(said) < _FEWEST or not breakable:
        return None
    broken = chance.one(breakable)
    wrong = _broken_weight(conclusions, broken, _BROKEN if chance.share() < 0.5 else 1 / _BROKEN)
    if planned_range(worked, broken).low <= wrong <= planned_range(worked, broken).high:
        return None
    others = [name for name in said if name != broken]
    kept = {broken, *chance.some(others, _OFFERED - 1)}
    shown = {name: wrong if name == broken else said[name] for name in said if name in kept}
    told = [name for name in training.route.facts if name in ALWAYS]
    return Drill(
        kind="fault",
        topic=broken,
        base="route",
        answers=conclusions.answers,
        subject="",
        ask=tr("One weight of this advice was made with a broken rule. Which one is not to be weighed?"),
        told=(
            *decided_lines(conclusions, {"route", "collector"}),
            *lines(training, training.route, conclusions.answers, told),
        ),
        rest=rest_of(training, training.route, conclusions.answers, told),
        choices=tuple(_weight_choice(training.route, name, grams) for name, grams in shown.items()),
        hint=tr("Think of what the whole batch weighs, and of what each gram of it wants."),
        case=case,
    )


def faulty(worked: PlannedBatch, choices: Mapping[str, float]) -> frozenset[str]:
    """The choices whose weight lies outside what the plan weighs; each choice is ``material=grams``."""
    found = set()
    for choice, grams in choices.items():
        planned = planned_range(worked, choice.partition("=")[0])
        if not planned.low <= grams <= planned.high:
            found.add(choice)
    return frozenset(found)


def grams_of(choice: str) -> float:
    """The weight that a choice of a drill about a fault offers, in g."""
    return float(choice.partition("=")[2])


def _weight_choice(rule_base: RuleBase, name: str, grams: float) -> Choice:
    title = rule_base.materials[name].entry.title
    return Choice(
        f"{name}={grams!r}", tr("{weight_words} of {title}", weight_words=weight_words(Range.exact(grams)), title=title)
    )


def _plain_weights(worked: PlannedBatch) -> dict[str, float]:
    """What the plan weighs of each material; where it may be none at all, it is no good for a drill."""
    planned = {name: planned_range(worked, name) for name in worked.conclusions.rule_base.materials}
    return {name: amount.likely for name, amount in planned.items() if amount.low > 0}


def _by_one_rule(worked: PlannedBatch, name: str) -> bool:
    """Whether one rule weighs it, so that breaking the rule breaks the weight."""
    return name not in worked.weigher.computed and len(worked.weigher.rules_for(name)) == 1


def _broken_weight(conclusions: Conclusions, name: str, times: float) -> float:
    """What the rules weigh of a material when its rule is broken: so many times too much."""
    rule_base = conclusions.rule_base
    rule = Weigher(conclusions).rules_for(name)[0]
    entry = rule.entry
    broken = replace(rule, parts=rule.parts.scaled(times))
    amounts = {**rule_base.amounts, entry.id: broken}
    wrong = replace(conclusions, rule_base=replace(rule_base, amounts=amounts))
    return float(f"{Weigher(wrong)[name].likely:.3g}")
