"""Which look or test parts the possible causes best: the dangers first, then what tells most, and not too much."""

from __future__ import annotations

import math

from advisor.engine.ask.question import Question, askable, may_be_asked
from advisor.engine.causes import EITHER, SeveralOutcome, Support, open_evidence, support_in
from advisor.engine.conclude import Conclusions
from advisor.engine.piece import on_the_piece, seen_on_it
from advisor.engine.state import NotKnown
from advisor.rulebase.language.conditions import FAILS, single_cells
from advisor.rulebase.model import Argument, RuleBase
from advisor.rulebase.reading.expand_causes import LOOKED_AT, goes_on

ENOUGH_LOOKS = 8
"""So many looks at the piece are asked for while no fault is found; those for a danger do not count."""

NOT_KNOWN_IN_A_ROW = 3
"""After so many answers "not known" in a row nothing more is asked of the piece."""

_LEADING = 12
"""So many of the best supported causes are looked at when the next question is chosen; more would take too long."""


def cause_questions(conclusions: Conclusions, several: SeveralOutcome) -> list[Question]:
    """The questions that can still change which causes are acted on, the best first.

    Where one looks comes before all else, since it says what can be seen. Then comes what shows a danger. Then comes
    what tells most, until a fault is found that nothing seen speaks against, or enough was looked at. Only what is
    seen of the piece, and what it was worked with, is asked for: not the room, and not the history of the lot.
    """
    where = conclusions.rule_base.facts.get(LOOKED_AT)
    if where is not None and several.open and LOOKED_AT in askable(conclusions, where.variables):
        return [Question(LOOKED_AT, several.decision.name, 0.0)]
    found = _separating(conclusions, several, _dangerous(conclusions, several))
    # What is seen comes before what the piece was worked with: smoke and a bright line do not wait.
    dangers = [question for question in found if seen_on_it(conclusions.rule_base, question.fact)] or found
    if dangers:
        # In the order of the rules, which looks from afar before it goes near.
        order = {name: place for place, name in enumerate(conclusions.rule_base.facts)}
        stops = (Question(question.fact, "stop", question.score) for question in dangers)
        return sorted(stops, key=lambda question: order[question.fact])
    if gives_up(conclusions):
        return []
    work = [Question(name, several.decision.name, 0.0) for name in _work_of_the_correction(conclusions, several)]
    return work or _separating(conclusions, several, _worth_parting(conclusions, several))


def _work_of_the_correction(conclusions: Conclusions, several: SeveralOutcome) -> list[str]:
    """What the piece was worked with or shows, where the correction of a fault that was found hangs on it."""
    rule_base = conclusions.rule_base
    places = dict(zip(several.prepared, several.decision.variables, strict=True))
    found = {places[name] for name in several.taken if not goes_on(rule_base.causes[name].entry)}
    hangs = {
        variable
        for outcome in conclusions.outcomes.values()
        for argument in outcome.decision.arguments
        if argument.says == "for" and not found.isdisjoint(argument.condition.variables)
        for variable in argument.condition.open_variables(conclusions.state)
        if rule_base.variables[variable].name in rule_base.facts
        and (
            rule_base.facts[rule_base.variables[variable].name].entry.from_plan
            or seen_on_it(rule_base, rule_base.variables[variable].name)
        )
    }
    return list(askable(conclusions, sorted(hangs)))


def gives_up(conclusions: Conclusions) -> bool:
    """Whether the last answers about the piece were all "not known": then nothing more is asked of it."""
    said = list(conclusions.answers)
    if LOOKED_AT not in said:
        return False
    after = [conclusions.answers[name] for name in said[said.index(LOOKED_AT) + 1 :]]
    last = after[-NOT_KNOWN_IN_A_ROW:]
    return len(last) == NOT_KNOWN_IN_A_ROW and all(isinstance(answer, NotKnown) for answer in last)


def _worth_parting(conclusions: Conclusions, several: SeveralOutcome) -> list[str]:
    """The open causes that are still asked about.

    Once a fault is found only those of which a sign was seen, and that call for something else. Until then all, as
    long as not too much was looked at; then none.
    """
    causes = conclusions.rule_base.causes
    found = [name for name in several.taken if not goes_on(causes[name].entry)]
    open_causes = several.open
    if _looks(conclusions) >= ENOUGH_LOOKS:
        return []
    if not found:
        return open_causes
    called_for = {_first_remedy(conclusions, name) for name in found}
    return [
        name
        for name in open_causes
        if several.supports[name].now > 0
        and not goes_on(causes[name].entry)
        and _first_remedy(conclusions, name) not in called_for
    ]


def _first_remedy(conclusions: Conclusions, cause: str) -> str | None:
    by = conclusions.rule_base.causes[cause].entry.put_right
    return next((one.remedy for one in by if one.says == "for"), None)


def _looks(conclusions: Conclusions) -> int:
    """How many looks were taken that count.

    Weights that a figure is worked out from do not, so none is left half told; nor does what shows a danger, which is
    asked about whatever the piece may be.
    """
    rule_base = conclusions.rule_base
    weights = {name for fact in rule_base.facts.values() if fact.computed for name in fact.used}
    left_out = weights | rule_base.once(_facts_of_danger)
    return sum(seen_on_it(rule_base, name) and name not in left_out for name in conclusions.answers)


def _dangerous(conclusions: Conclusions, several: SeveralOutcome) -> list[str]:
    """The open options of which a later decision makes a stop: what they need is looked for before all else."""
    stopping = conclusions.rule_base.once(_stopping)
    speaking = (argument for argument in stopping if argument.condition.truth(conclusions.open_state) != FAILS)
    found = {conclusions.rule_base.variables[v].item for argument in speaking for v in argument.condition.variables}
    return [name for name in several.open if name in found]


def _stopping(rule_base: RuleBase) -> list[Argument]:
    """The arguments that make a stop of something, other than for want of anything better."""
    return [
        argument
        for decision in rule_base.agenda.values()
        for argument in decision.arguments
        if argument.says in ("for", "require")
        and (set(decision.entry.stops) - {decision.entry.fallback}) & set(argument.options)
    ]


def _facts_of_danger(rule_base: RuleBase) -> set[str]:
    """The facts by which a cause that makes a stop shows itself."""
    stopping = {rule_base.variables[v].item for one in rule_base.once(_stopping) for v in one.condition.variables}
    return {
        rule_base.variables[variable].name
        for decision in rule_base.agenda.values()
        if decision.entry.several
        for argument in decision.arguments
        if argument.says == "for" and stopping & set(argument.options)
        for variable in argument.condition.variables
    }


def _separating(conclusions: Conclusions, several: SeveralOutcome, open_options: list[str]) -> list[Question]:
    """The questions about the piece that can still change which options are taken, the one that tells most first.

    Args:
        conclusions: What follows from the answers.
        several: The decision for several options.
        open_options: Those of its options that are looked into.
    """
    if not open_options:
        return []
    state = list(conclusions.state)
    evidence = {name: set(open_evidence(several.prepared[name], state)) for name in open_options}
    rule_base = conclusions.rule_base
    tested = sorted(set().union(*evidence.values()))
    weights, begun = _worked_out(conclusions, tested)
    asked = {**askable(conclusions, tested), **weights}
    facts = {name: found for name, found in asked.items() if on_the_piece(rule_base, name)}
    leading = sorted(open_options, key=lambda name: (-several.supports[name].now, -several.supports[name].high))
    weighed = {name: _weighed_for(conclusions, name) for name in facts}
    scores = {}
    for name, variables in facts.items():
        touched = [option for option in open_options if not variables.isdisjoint(evidence[option])]
        parted = max(_parting(several, leading[:_LEADING], variable, state) for variable in variables)
        told = max(_telling(several, touched, variable, state) for variable in variables)
        minutes = rule_base.facts[name].entry.minutes
        scores[name] = (2 * told + parted + len(touched) / len(open_options)) / math.sqrt(1 + minutes)
    order = {name: place for place, name in enumerate(rule_base.facts)}
    found = [Question(weighed[name] or name, several.decision.name, score) for name, score in scores.items()]
    # Whoever has begun to weigh for a figure is not sent to look at something else in between.
    return sorted(found, key=lambda question: (question.fact not in begun, -question.score, order[question.fact]))


def _worked_out(conclusions: Conclusions, tested: list[int]) -> tuple[dict[str, set[int]], set[str]]:
    """What is asked for a figure that is worked out from weights: the first of them that is not answered.

    Returns:
        The facts with the variables that hang on them, and those of which another weight is told already.
    """
    rule_base, answers = conclusions.rule_base, conclusions.answers
    found, begun = dict[str, set[int]](), set[str]()
    for variable in tested:
        fact = rule_base.facts.get(rule_base.variables[variable].name)
        if fact is None or not fact.computed:
            continue
        used = [name for name in rule_base.facts if name in fact.used]
        missing = [name for name in used if name not in answers]
        hopeless = any(isinstance(answers.get(name), NotKnown) for name in used)
        if missing and not hopeless and all(may_be_asked(conclusions, name) for name in missing):
            found.setdefault(missing[0], set()).add(variable)
            begun |= {missing[0]} if len(missing) < len(used) else set()
    return found, begun


def _weighed_for(conclusions: Conclusions, name: str) -> str | None:
    """The one weight from which a fact follows, where the rest is known: nobody divides by hand."""
    facts = conclusions.rule_base.facts
    for implied in facts[name].implied:
        for variable in implied.condition.variables:
            by = conclusions.rule_base.variables[variable].name
            if by in facts and facts[by].computed:
                missing = [one for one in facts[by].used if one in facts and one not in conclusions.answers]
                if len(missing) == 1 and may_be_asked(conclusions, missing[0]):
                    return missing[0]
    return None


def _telling(several: SeveralOutcome, touched: list[str], variable: int, state: list[int]) -> float:
    """How well an answer about one variable shows a cause: 1 where each answer brings one that is acted on."""
    before = state[variable]
    best = []
    for cell in single_cells(before):
        state[variable] = cell
        heights = [support_in(several.prepared[name], state) for name in touched]
        best.append(max((min(one.now, several.taken_at) for one in heights if one.out == FAILS), default=0))
    state[variable] = before
    return sum(max(0, height) for height in best) / (len(best) * several.taken_at)


def _parting(several: SeveralOutcome, leading: list[str], variable: int, state: list[int]) -> float:
    """How far the answers about one variable part the leading options, and how many of them they settle."""
    domain = list(single_cells(state[variable]))
    before = state[variable]
    rows: list[list[Support]] = []
    for cell in domain:
        state[variable] = cell
        rows.append([support_in(several.prepared[name], state) for name in leading])
    state[variable] = before
    taken_at = several.taken_at
    settled = sum(support.domain(taken_at) != EITHER for row in rows for support in row) / len(rows)
    heights = ([support.now for support in column] for column in zip(*rows, strict=True))
    spread = sum(max(column) - min(column) for column in heights)
    return float(settled + spread / taken_at) / max(1, len(leading))
