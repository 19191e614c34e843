"""What a consultation says to the facts of a drill, worked out without the code that marks drills."""

from __future__ import annotations

from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.engine.conclude import Conclusions, conclude
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.training.drills.drill import Drill
from advisor.training.training_rules import TrainingRules


def advice_for(training: TrainingRules, drill: Drill) -> set[str]:
    """The choices that the consultation supports, by the kind of drill; for a picture what it was drawn for."""
    if drill.kind == "picture":
        options = training.pieces.facts[drill.subject].entry.options
        return {name for name, option in options.items() if option.picture == drill.pictures[0]}
    conclusions = conclude(training.pieces if drill.base == "pieces" else training.route, drill.answers)
    if drill.kind == "first":
        return _said_first(conclusions) & {choice.id for choice in drill.choices}
    if drill.kind in ("route", "collector", "remedy"):
        return _winners(conclusions, drill.kind)
    if drill.kind == "cause":
        supports = conclusions.several["cause"].supports
        taken = conclusions.several["cause"].taken
        return {name for name in taken if supports[name].now == max(supports[other].now for other in taken)}
    offered = {choice.id for choice in drill.choices}
    if drill.kind in ("phase", "screen", "fault"):
        return _said(build_advice(conclusions, look_for_changes=False), drill)
    if drill.kind == "danger":
        return offered & set(conclusions.hazards())
    controls = conclusions.rule_base.hazards[drill.subject].controls
    applying = {
        f"{drill.subject}#{place}"
        for place, control in enumerate(controls)
        if control.condition is None or conclusions.truth(control.condition) == HOLDS
    }
    return offered & applying


def _said(advice: Advice, drill: Drill) -> set[str]:
    """What the advice itself says: the hazards of a phase, a weight, or which weight is not one of its own."""
    if drill.kind == "phase":
        (phase,) = [one for one in advice.phases if one.id == drill.subject]
        return {choice.id for choice in drill.choices if choice.id in phase.hazards}
    if drill.kind == "screen":
        likely = advice.amounts[drill.subject].likely_g
        return {choice.id for choice in drill.choices if advice.amounts[choice.id].likely_g == likely}
    found = set()
    for choice in drill.choices:
        name, _, grams = choice.id.partition("=")
        if not advice.amounts[name].low_g <= float(grams) <= advice.amounts[name].high_g:
            found.add(choice.id)
    return found


def _said_first(conclusions: Conclusions) -> set[str]:
    """What the advice heads its page with: the preparations under FIRST, or how it came out."""
    advice = build_advice(conclusions, look_for_changes=False)
    return {note.id for note in advice.first} if advice.outcome == "first" else {advice.outcome}


def _winners(conclusions: Conclusions, decision: str) -> set[str]:
    """The option the consultation names, and any that stands exactly as well."""
    outcome = conclusions.outcomes[decision]
    options = outcome.decision.options
    standing = {name: outcome.support[place][0] for place, name in enumerate(options)}
    free = {name for place, name in enumerate(options) if outcome.tally.ruled_out(place) == FAILS}
    winners = {outcome.chosen} | {name for name in free if standing[name] == standing[outcome.chosen]}
    if outcome.chosen in free:
        assert standing[outcome.chosen] == max(standing[name] for name in free)
        return winners
    return {outcome.chosen}
