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
        may_rule_out: What arguments may rule out or require, each with its reason.
        may_speak: What arguments may speak for or against, each with its reason.
        hazards: Hazards that may drop out or stay.
        steps: How many steps depend on it.
        weights: Materials whose weight depends on it.
        causes: Options of decisions for several that it may speak for or against, such as causes.
    """

    undecided: tuple[tuple[str, tuple[str, ...]], ...]
    may_rule_out: tuple[tuple[str, str], ...]
    may_speak: tuple[tuple[str, str], ...]
    hazards: tuple[str, ...]
    steps: int
    weights: tuple[str, ...]
    causes: tuple[str, ...] = ()


def stakes(conclusions: Conclusions, fact: Fact) -> Stakes:
    """What still hangs on the answer for a fact."""
    rule_base = conclusions.rule_base
    undecided: list[tuple[str, tuple[str, ...]]] = []
    ruled: list[tuple[str, str]] = []
    speaking: list[tuple[str, str]] = []
    state = list(conclusions.state)
    # An answer bears on what is worked out from it as well.
    depending = outlook_of(rule_base).depending
    variables = (*fact.variables, *(other for variable in fact.variables for other in depending.get(variable, ())))
    for outcome in conclusions.outcomes.values():
        decision, possible = outcome.decision, _possible(outcome)
        left = [argument for argument in decision.arguments if argument.condition.hangs_on(variables, state)]
        left = [argument for argument in left if _tells(argument, possible)]
        for argument in left:
            about = argument.options if argument.says == "require" else [o for o in argument.options if o in possible]
            options = "; ".join(f"'{decision.title_of(option)}'" for option in about)
            told = (_may(argument, options), argument.entry.reason)
            (ruled if argument.says in ("require", "rule_out") else speaking).append(told)
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


def _may(argument: Argument, options: str) -> str:
    """What an argument may do to some options."""
    match argument.says:
        case "require":
            return tr("require {options}", options=options)
        case "rule_out":
            return tr("rule out {options}", options=options)
        case "for":
            return tr("speak for {options}", options=options)
        case _:
            return tr("speak against {options}", options=options)


def _possible(outcome: Outcome) -> list[str]:
    """The options that may still win; none once the decision is settled."""
    left = 0 if outcome.settled else outcome.tally.possible()
    return [option for place, option in enumerate(outcome.decision.options) if left >> place & 1]


def _tells(argument: Argument, possible: list[str]) -> bool:
    """Whether an argument can tell the options apart that may still win."""
    about = [option for option in possible if option in argument.options]
    return len(possible) > 1 and about != (possible if argument.says == "require" else [])
