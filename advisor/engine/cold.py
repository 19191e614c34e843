"""What is done cold while a question about a danger holds every heat back: cleaning, looking, weighing."""

from __future__ import annotations

from itertools import takewhile

from advisor.engine.ask.looks import StillPossible, likeliest
from advisor.engine.conclude import Conclusions, conclude_forced
from advisor.engine.correction import at_work, own_steps
from advisor.engine.piece import seen_on_it
from advisor.engine.state import state_of
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import Step
from advisor.rulebase.reading.expand_causes import NOTHING, REMEDY

_BY_HAND = frozenset({"sort", "wash", "crush", "break", "handle"})
"""Acts that need no heat; what is dried is warmed."""


def taken_instead(conclusions: Conclusions, remedy: str) -> Conclusions:
    """The conclusions as they are for another correction, whatever speaks against it."""
    rule_base, answers = conclusions.rule_base, conclusions.answers
    return conclude_forced(rule_base, answers, state_of(rule_base, answers), {REMEDY: remedy})


def done_cold(conclusions: Conclusions) -> StillPossible | None:
    """The correction that needs no heat, where only what is not answered holds it back; None where there is none.

    What is answered and forbids it still does. That a piece is as it should be is not said while something of the
    piece itself is open that could speak against it.
    """
    outcome = conclusions.outcomes[REMEDY]
    if outcome.chosen != outcome.decision.fallback or outcome.stops_by_what_is_known:
        return None
    best = likeliest(conclusions, outcome)
    if best is None or not _stays_cold(taken_instead(conclusions, best.option)):
        return None
    if best.option == NOTHING and any(seen_on_it(conclusions.rule_base, name) for name in best.hangs_on):
        return None
    return best


def cold_beginning(correction: Conclusions) -> list[Step]:
    """The first steps of a correction that are done by hand, before anything is weighed in or made hot.

    Args:
        correction: What follows if it is chosen.
    """
    acting = at_work(correction)
    surely = (step for step in own_steps(acting) if acting.truth(step.condition) == HOLDS)
    before_heat = takewhile(lambda step: not step.entry.acts or _by_hand(step), surely)
    return [step for step in before_heat if step.entry.acts]


def _stays_cold(conclusions: Conclusions) -> bool:
    return conclusions.truth(conclusions.rule_base.findings["stays_cold"].condition) == HOLDS


def _by_hand(step: Step) -> bool:
    return _BY_HAND.issuperset(act.split()[0] for act in step.entry.acts)
