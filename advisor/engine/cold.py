"""What is done cold while a question about a danger holds every heat back: cleaning, looking, weighing."""

from __future__ import annotations

from itertools import takewhile

from advisor.engine.ask.looks import StillPossible
from advisor.engine.conclude import Conclusions, conclude_forced
from advisor.engine.correction import at_work, own_steps
from advisor.engine.state import state_of
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import Step
from advisor.rulebase.reading.expand_causes import CAUSE, NOTHING, REMEDY, STAYS_COLD

_BY_HAND = frozenset({"sort", "wash", "crush", "break", "handle"})
"""Acts that need no heat; what is dried is warmed."""


def taken_instead(conclusions: Conclusions, remedy: str) -> Conclusions:
    """The conclusions as they are for another correction, whatever speaks against it."""
    rule_base, answers = conclusions.rule_base, conclusions.answers
    return conclude_forced(rule_base, answers, state_of(rule_base, answers), {REMEDY: remedy})


def done_cold(conclusions: Conclusions, best: StillPossible | None) -> Conclusions | None:
    """What follows if the likeliest correction is done: one without heat, which only a question about heat holds back.

    None where there is none. Such a question is one whose answer may demand that all else be left. What is answered and
    demands it still does, and so does everything, answered or not, that can make this very act a danger. That nothing
    has to be put right is said only where the whole was seen to be as it should be.

    Args:
        conclusions: What follows from what was seen.
        best: The likeliest correction.
    """
    outcome = conclusions.outcomes[REMEDY]
    if best is None or outcome.chosen != outcome.decision.fallback or outcome.stops_by_what_is_known:
        return None
    if best.option == NOTHING and not _all_well(conclusions):
        return None
    tally, place = outcome.tally, outcome.decision.options.index(best.option)
    striking = zip(tally.prepared.constraints, tally.prepared.struck_options, tally.constraint_truths, strict=True)
    own = any(truth and place in struck and rule.says == "rule_out" for rule, struck, truth in striking)
    if own:
        return None
    taken = taken_instead(conclusions, best.option)
    return taken if _stays_cold(taken) else None


def cold_beginning(correction: Conclusions) -> list[Step]:
    """The first steps of a correction that are done by hand, before anything is weighed in or made hot.

    Args:
        correction: What follows if it is chosen.
    """
    acting = at_work(correction)
    surely = (step for step in own_steps(acting) if acting.truth(step.condition) == HOLDS)
    before_heat = takewhile(lambda step: not step.entry.acts or _by_hand(step), surely)
    return [step for step in before_heat if step.entry.acts]


def _all_well(conclusions: Conclusions) -> bool:
    causes = conclusions.rule_base.causes
    return any(causes[name].entry.all_well for name in conclusions.several[CAUSE].taken)


def _stays_cold(conclusions: Conclusions) -> bool:
    return conclusions.truth(conclusions.rule_base.findings[STAYS_COLD].condition) == HOLDS


def _by_hand(step: Step) -> bool:
    return _BY_HAND.issuperset(act.split()[0] for act in step.entry.acts)
