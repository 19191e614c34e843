"""Drills about decisions: the route, the collector, and what to do with a piece."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from advisor.engine import Conclusions, Outcome
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.model import Argument
from advisor.training.drills.batches import drawn_batch, settled_batch, usual_answers
from advisor.training.drills.chance import Chance
from advisor.training.drills.drill import MOST_CHOICES, MOST_TOLD, Choice, Drill, reveals
from advisor.training.drills.telling import ALWAYS, decided_lines, differing, lines, rest_of, tested_facts
from advisor.training.training_rules import TrainingRules

CASES_IN_TEN = 2


def best_options(outcome: Outcome) -> frozenset[str]:
    """The options that are as good as the chosen one: not to be ruled out, with the same support."""
    options = outcome.decision.options
    chosen = options.index(outcome.chosen)
    if outcome.tally.ruled_out(chosen) != FAILS:
        return frozenset({outcome.chosen})
    best = outcome.support[chosen][0]
    return frozenset(
        option
        for place, option in enumerate(options)
        if outcome.tally.ruled_out(place) == FAILS and outcome.support[place][0] == best
    )


def route_drill(training: TrainingRules, chance: Chance) -> Drill | None:
    """Which route? None when the draw makes no good drill."""
    ready = _retold_for(training, chance, "route")
    return None if ready is None else _drill(training, ready, "route")


def collector_drill(training: TrainingRules, chance: Chance) -> Drill | None:
    """Which collector? Only where the route asks for one."""
    ready = _retold_for(training, chance, "collector")
    return None if ready is None or not is_hot(ready.conclusions) else _drill(training, ready, "collector")


def drawn_or_worked(training: TrainingRules, chance: Chance) -> tuple[Conclusions, str] | None:
    """A drawn batch or a worked one, with the name of the worked one."""
    if chance.share() * 10 < CASES_IN_TEN:
        path = chance.one(training.batch_cases)
        answers = {**usual_answers(training, training.route), **training.case(path).answers}
        case = path.name
    else:
        answers, case = drawn_batch(training, chance), ""
    conclusions = settled_batch(training.route, answers)
    return None if conclusions is None else (conclusions, case)


@frozen
class Retold:
    """A batch that is usual but for what is told of it.

    Attributes:
        conclusions: What follows from it.
        told: Names of the facts that are told.
        case: The worked case it was taken from, or nothing.
    """

    conclusions: Conclusions
    told: list[str]
    case: str


def _retold_for(training: TrainingRules, chance: Chance, name: str) -> Retold | None:
    drawn = drawn_or_worked(training, chance)
    if drawn is None:
        return None
    return retold(training, *drawn, deciding_facts(training, drawn[0], name))


def retold(training: TrainingRules, before: Conclusions, case: str, facts: Collection[str]) -> Retold | None:
    """A drawn batch once more, with nothing unusual but these facts; None when too much would have to be told."""
    answers = {
        **usual_answers(training, training.route),
        **{n: before.answers[n] for n in facts if n in before.answers},
    }
    after = settled_batch(training.route, answers)
    if after is None:
        return None
    told = [n for n in training.route.facts if n in after.answers and n in facts]
    return None if len(told) > MOST_TOLD else Retold(after, told, case)


def deciding_facts(training: TrainingRules, conclusions: Conclusions, name: str) -> list[str]:
    """The facts that a decision hangs on and that are not as usual, and what one asks first about any concentrate."""
    rule_base = conclusions.rule_base
    decisions = ("route",) if name == "route" else ("route", name)
    conditions = [
        argument.condition
        for decision in decisions
        for argument in weighing_arguments(conclusions, conclusions.outcomes[decision])
    ]
    names = differing(training, conclusions.answers, tested_facts(rule_base, conditions))
    return [n for n in rule_base.facts if n in names or n in ALWAYS]


def weighing_arguments(conclusions: Conclusions, outcome: Outcome) -> Iterator[Argument]:
    """The arguments that make the choice: those that stand for or against the chosen option and its rivals."""
    rivals = {outcome.chosen, *_rivals(outcome)[:2]}
    for argument in outcome.decision.arguments:
        if conclusions.truth(argument.condition) == FAILS:
            continue
        if argument.entry.says == "require" or not rivals.isdisjoint(argument.options):
            yield argument


def _rivals(outcome: Outcome) -> list[str]:
    """The other options, the best supported first, whatever rules them out; of equal ones those like the chosen one."""
    options, entries = outcome.decision.options, outcome.decision.entry.options
    chosen = options.index(outcome.chosen)

    def rank(place: int) -> tuple[int, bool, int, int]:
        unlike = entries[options[place]].piece != entries[outcome.chosen].piece
        return -outcome.support[place][0], unlike, abs(place - chosen), place

    order = sorted(range(len(options)), key=rank)
    return [options[place] for place in order if options[place] != outcome.chosen]


def is_hot(conclusions: Conclusions) -> bool:
    """Whether the work that is advised needs a fire."""
    finding = conclusions.rule_base.findings.get("hot_work")
    return finding is not None and conclusions.truth(finding.condition) == HOLDS


def offered_options(outcome: Outcome) -> list[str]:
    """The options to choose among: all of the best, the stop, and the best rivals, in the order of the rules."""
    wanted = [*sorted(best_options(outcome)), *outcome.decision.entry.stops[:1], *_rivals(outcome)]
    kept = set(list(dict.fromkeys(wanted))[:MOST_CHOICES])
    return [option for option in outcome.decision.options if option in kept]


def decision_topic(conclusions: Conclusions, outcome: Outcome) -> str:
    """What a drill about a decision teaches: the requirement that decides, or else the option."""
    for argument in outcome.decision.arguments:
        decides = argument.entry.says == "require" and outcome.chosen in argument.options
        if decides and conclusions.truth(argument.condition) == HOLDS:
            return argument.id
    return outcome.chosen


def choices_of(outcome: Outcome) -> tuple[Choice, ...]:
    """The offered options as choices."""
    entries = outcome.decision.entry.options
    return tuple(Choice(name, entries[name].title, entries[name].summary) for name in offered_options(outcome))


def _drill(training: TrainingRules, ready: Retold, name: str) -> Drill | None:
    conclusions, told = ready.conclusions, ready.told
    outcome, answers = conclusions.outcomes[name], conclusions.answers
    given = () if name == "route" else decided_lines(conclusions, ["route"])
    drill = Drill(
        kind=name,
        topic=decision_topic(conclusions, outcome),
        base="route",
        answers=answers,
        subject=name,
        ask=outcome.decision.entry.question,
        told=(*lines(training, training.route, answers, told), *given),
        rest=rest_of(training, training.route, answers, told),
        choices=choices_of(outcome),
        case=ready.case,
    )
    right = best_options(outcome)
    return None if reveals(drill, right) or len(right) >= len(drill.choices) else drill
