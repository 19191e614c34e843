"""What still hangs on one answer."""

from __future__ import annotations

from advisor.frozen import frozen
from advisor.inference.conclusions import Conclusions
from advisor.knowledge.rulebase import Fact


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
    for ruling in conclusions.rulings.values():
        decision, left = ruling.decision, ruling.standing.possible()
        possible = {option for place, option in enumerate(decision.options) if left >> place & 1}
        if ruling.settled or len(possible) == 1:
            continue
        touched = False
        for argument in decision.arguments:
            says, about = argument.entry.says, possible.intersection(argument.options)
            # To require all that is possible, or to speak of nothing that is, changes nothing any more.
            if about == (possible if says == "require" else set()) or not argument.condition.hangs_on(
                fact.variables, state
            ):
                continue
            touched = True
            options = "; ".join(
                f"'{decision.title_of(o)}'" for o in argument.options if o in about or says == "require"
            )
            if says in ("require", "rule_out"):
                verb = "rule out" if says == "rule_out" else "require"
                ruled.append((f"{verb} {options}", argument.entry.reason))
            else:
                speaking.append((says, options, argument.entry.reason))
        if touched:
            undecided.append(
                (decision.entry.title, tuple(decision.title_of(o) for o in decision.options if o in possible))
            )
    causes = [
        verdict.decision.title_of(name)
        for verdict in conclusions.verdicts.values()
        for name in verdict.open
        if any(argument.condition.hangs_on(fact.variables, state) for argument in verdict.ballots[name].speaking)
    ]
    return Stakes(
        causes=tuple(causes),
        undecided=tuple(undecided),
        may_rule_out=tuple(ruled),
        may_speak=tuple(speaking),
        hazards=tuple(h.entry.title for h in rule_base.hazards.values() if h.condition.hangs_on(fact.variables, state)),
        steps=sum(s.condition.hangs_on(fact.variables, state) for s in rule_base.steps.values()),
        weights=tuple(
            dict.fromkeys(
                rule_base.materials[a.entry.material].entry.title
                for a in rule_base.amounts.values()
                if a.condition.hangs_on(fact.variables, state)
            )
        ),
    )
