"""What still hangs on one answer."""

from __future__ import annotations

from advisor.engine.ask.completions import outlook_of
from advisor.engine.conclude import Conclusions, Outcome
from advisor.frozen import frozen
from advisor.rulebase.model import Argument, Fact
from advisor.words import tr


@frozen
class Stakes:
    """What still hangs on one answer.

    Attributes:
        undecided: For each open decision the answer bears on, its title and the options that may still win.
        may_rule_out: Options that the answer may rule out.
        may_speak: What arguments may say, as "for ...: reason".
        hazards: Hazards that may drop out or stay.
        steps: How many steps depend on it.
        weights: Materials whose weight depends on it.
        causes: Options of decisions for several that it may speak for or against, such as causes.
    """

    undecided: tuple[tuple[str, tuple[str, ...]], ...]
    may_rule_out: tuple[tuple[str, str], ...]
    may_speak: tuple[tuple[str, str, str], ...]
    hazards: tuple[str, ...]
    steps: int
    weights: tuple[str, ...]
    causes: tuple[str, ...] = ()


def stakes(conclusions: Conclusions, fact: Fact) -> Stakes:
    """What still hangs on the answer for a fact."""
    rule_base = conclusions.rule_base
    undecided, ruled, speaking = [], [], []
    state = list(conclusions.state)
    # An answer bears on what is worked out from it as well.
    depending = outlook_of(rule_base).depending
    variables = (*fact.variables, *(other for variable in fact.variables for other in depending.get(variable, ())))
    for outcome in conclusions.outcomes.values():
        decision, possible = outcome.decision, _possible(outcome)
        left = [argument for argument in decision.arguments if argument.condition.hangs_on(variables, state)]
        left = [argument for argument in left if _tells(argument, possible)]
        for argument in left:
            says = argument.says
            about = argument.options if says == "require" else [o for o in argument.options if o in possible]
            options = "; ".join(f"'{decision.title_of(option)}'" for option in about)
            if says in ("require", "rule_out"):
                out = tr("rule out {options}", options=options)
                struck = out if says == "rule_out" else tr("require {options}", options=options)
                ruled.append((struck, argument.entry.reason))
            else:
                speaking.append((says, options, argument.entry.reason))
        if left:
            undecided.append((decision.entry.title, tuple(decision.title_of(option) for option in possible)))
    causes = [
        several.decision.title_of(name)
        for several in conclusions.several.values()
        for name in several.open
        if any(argument.condition.hangs_on(variables, state) for argument in several.prepared[name].speaking)
    ]
    return Stakes(
        causes=tuple(causes),
        undecided=tuple(undecided),
        may_rule_out=tuple(ruled),
        may_speak=tuple(speaking),
        hazards=tuple(h.entry.title for h in rule_base.hazards.values() if h.condition.hangs_on(variables, state)),
        steps=sum(s.condition.hangs_on(variables, state) for s in rule_base.steps.values()),
        weights=tuple(
            dict.fromkeys(
                rule_base.materials[a.entry.material].entry.title
                for a in rule_base.amounts.values()
                if a.condition.hangs_on(variables, state)
            )
        ),
    )


def _possible(outcome: Outcome) -> list[str]:
    """The options that may still win; none once the decision is settled."""
    left = 0 if outcome.settled else outcome.tally.possible()
    return [option for place, option in enumerate(outcome.decision.options) if left >> place & 1]


def _tells(argument: Argument, possible: list[str]) -> bool:
    """Whether an argument can tell the options apart that may still win."""
    about = [option for option in possible if option in argument.options]
    return len(possible) > 1 and about != (possible if argument.says == "require" else [])
