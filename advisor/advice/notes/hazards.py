"""The hazards of one step or preparation: those that it names, and those that its acts bring."""

from __future__ import annotations

from advisor.engine import Conclusions
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.model import Preparation, Step

SEVERITIES = ("deadly", "grave", "moderate")


def hazards_of(conclusions: Conclusions, work: Step | Preparation) -> tuple[str, ...]:
    """Names of the hazards of a step or a preparation that are not excluded, the worst first.

    What comes with all work with fire is left to the hazards of the whole document, unless its acts bring it by name.
    """
    truth, hazards = conclusions.truth, conclusions.rule_base.hazards
    brought = [name for name, condition in work.brings if condition is None or truth(condition) != FAILS]
    there = [name for name in dict.fromkeys((*work.entry.hazards, *brought)) if conclusions.attached(name)]
    return tuple(sorted(there, key=lambda name: SEVERITIES.index(hazards[name].entry.severity)))
