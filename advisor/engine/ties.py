"""Causes that are as likely as each other and call for different corrections, and the look that parts them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from advisor.engine.ask.question import askable
from advisor.engine.causes import ABSENT, PRESENT, SeveralOutcome, open_evidence, support_in
from advisor.engine.conclude import Conclusions
from advisor.engine.piece import seen_on_it
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, HOLDS, single_cells
from advisor.rulebase.model import Argument, Fact
from advisor.rulebase.reading.expand_causes import CAUSE, NOTHING, REMEDY, goes_on

_AS_LIKELY = 1
"""Causes whose support differs by no more than one slight sign are as likely as each other."""

_PARTS_BY = 3
"""An answer tells for a cause that it lifts above every other by a fair sign."""

_MOST = 3


@frozen
class Rival:
    """One of several causes that are as likely.

    Attributes:
        cause: The cause.
        remedy: The correction that it calls for.
    """

    cause: str
    remedy: str


@frozen
class Tie:
    """Causes that are as likely as each other.

    Attributes:
        rivals: The causes, each with its correction.
        fact: The fact of the piece that parts them; None where no look that is left does.
        tells: For each answer of it that tells for one of them: the answer, and the cause.
    """

    rivals: tuple[Rival, ...]
    fact: str | None
    tells: tuple[tuple[str, str], ...]


def tie_of(conclusions: Conclusions) -> Tie | None:
    """The causes that are as likely by what was seen, where they call for different corrections; None without."""
    several = conclusions.several[CAUSE]
    rivals = [
        Rival(name, remedy)
        for name in _as_likely(conclusions, several)
        if (remedy := _called_for(conclusions, name)) is not None
    ][:_MOST]
    if len({rival.remedy for rival in rivals}) < 2:
        return None
    fact, tells = _parting(conclusions, several, [rival.cause for rival in rivals])
    return Tie(tuple(rivals), fact, tells)


def _as_likely(conclusions: Conclusions, several: SeveralOutcome) -> list[str]:
    """The causes as likely as the best one; none where what is seen makes each of them clear."""
    causes = conclusions.rule_base.causes
    seen = [name for name in several.ranked() if _seen_of(conclusions, several, name)]
    level = max((several.supports[name].now for name in seen), default=0) - _AS_LIKELY
    near = [name for name in seen if several.supports[name].now >= max(_PARTS_BY, level)]
    faults = [name for name in near if not goes_on(causes[name].entry)]
    # That all is well is no rival of a fault, but another cause of the very thing that was seen is.
    rivals = [
        name
        for name in near
        if name in faults or any(_same_sight(conclusions, several, name, fault) for fault in faults)
    ]
    clear = all(several.supports[name].domain(several.taken_at) == PRESENT for name in rivals)
    return [] if clear else rivals


def _seen_of(conclusions: Conclusions, several: SeveralOutcome, name: str) -> set[int]:
    """The variables of the piece by which a cause is supported."""
    variables = conclusions.rule_base.variables
    return {
        variable
        for sign in several.prepared[name].speaking
        if sign.weight > 0 and sign.condition.truth(conclusions.state) == HOLDS
        for variable in sign.condition.variables
        if seen_on_it(conclusions.rule_base, variables[variable].name)
    }


def _same_sight(conclusions: Conclusions, several: SeveralOutcome, one: str, other: str) -> bool:
    """Whether two causes rest on the same thing that was seen."""
    return not _seen_of(conclusions, several, one).isdisjoint(_seen_of(conclusions, several, other))


def _called_for(conclusions: Conclusions, name: str) -> str | None:
    """The correction that a cause calls for, were it the one; None where nothing that it calls for is left."""
    if goes_on(conclusions.rule_base.causes[name].entry):
        return NOTHING
    several, outcome = conclusions.several[CAUSE], conclusions.outcomes[REMEDY]
    variable = several.decision.variables[several.decision.options.index(name)]
    state = list(conclusions.state)
    state[variable] = PRESENT
    options = outcome.decision.options
    calls = [
        argument
        for argument in outcome.decision.arguments
        if argument.says == "for"
        and argument.id.startswith(f"{name.replace('_', '-')}-put-right-")
        and not outcome.tally.surely_out[options.index(argument.options[0])]
        and argument.condition.truth(state) != FAILS
    ]
    best: Argument | None = max(calls, key=lambda argument: argument.weight, default=None)
    return None if best is None else best.options[0]


def _parting(
    conclusions: Conclusions, several: SeveralOutcome, names: list[str]
) -> tuple[str | None, tuple[tuple[str, str], ...]]:
    """The fact of the piece whose answers part some causes best, and which answer tells for which."""
    rule_base, state = conclusions.rule_base, list(conclusions.state)
    evidence = {variable for name in names for variable in open_evidence(several.prepared[name], state)}
    facts = [n for n in askable(conclusions, sorted(evidence)) if seen_on_it(rule_base, n)]
    facts = [name for name in facts if rule_base.facts[name].entry.from_plan is None]
    found = {name: list(_tells(conclusions, several, rule_base.facts[name], names)) for name in facts}

    def worth(name: str) -> tuple[int, float]:
        leads = sum(lead for _, _, lead in found[name])
        return len({cause for _, cause, _ in found[name]}), leads / math.sqrt(1 + rule_base.facts[name].entry.minutes)

    best = max((name for name in facts if found[name]), key=worth, default=None)
    return best, () if best is None else tuple((answer, cause) for answer, cause, _ in found[best])


def _tells(
    conclusions: Conclusions, several: SeveralOutcome, fact: Fact, names: list[str]
) -> Iterator[tuple[str, str, int]]:
    """For each answer that tells for one of some causes: the answer in words, the cause, and by how much it leads."""
    variables = conclusions.rule_base.variables
    for index in fact.variables if fact.entry.kind in ("choice", "yes_no", "several") else ():
        state = list(conclusions.state)
        for cell in single_cells(state[index]):
            word = variables[index].domain[cell.bit_length() - 1]
            if variables[index].item and cell == ABSENT:
                continue
            state[index] = cell
            heights = {name: support_in(several.prepared[name], state) for name in names}
            lead = sorted(names, key=lambda name: (heights[name].out == HOLDS, -heights[name].now))
            first, second = heights[lead[0]], heights[lead[1]]
            by = several.taken_at if second.out == HOLDS else first.now - second.now
            if by >= _PARTS_BY and first.out != HOLDS:
                yield _words(fact, variables[index].item, word), lead[0], by


def _words(fact: Fact, item: str, word: str) -> str:
    if fact.entry.kind == "yes_no":
        return word
    return fact.entry.options[item or word].label
