"""Drills about decisions: the route, the collector, and what to do with a piece."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engine.conclude import Conclusions, Ruling
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.model import Argument
from advisor.training.drills.batches import drawn_batch, settled_batch, usual_answers
from advisor.training.drills.chance import Chance
from advisor.training.drills.drill import MOST_CHOICES, MOST_TOLD, Choice, Drill, reveals
from advisor.training.drills.telling import ALWAYS, decided_lines, differing, lines, rest_of, tested_facts
from advisor.training.school import School

CASES_IN_TEN = 2


def best_options(ruling: Ruling) -> frozenset[str]:
    """The options that are as good as the chosen one: not to be ruled out, with the same support."""
    options = ruling.decision.options
    chosen = options.index(ruling.chosen)
    if ruling.standing.ruled_out(chosen) != FAILS:
        return frozenset({ruling.chosen})
    best = ruling.support[chosen][0]
    return frozenset(
        option
        for place, option in enumerate(options)
        if ruling.standing.ruled_out(place) == FAILS and ruling.support[place][0] == best
    )


def route_drill(school: School, chance: Chance) -> Drill | None:
    """Which route? None when the draw makes no good drill."""
    ready = _retold(school, chance, "route")
    if ready is None:
        return None
    conclusions, told, case = ready
    return _drill(school, conclusions, "route", told, case)


def collector_drill(school: School, chance: Chance) -> Drill | None:
    """Which collector? Only where the route asks for one."""
    ready = _retold(school, chance, "collector")
    if ready is None or not _is_hot(ready[0]):
        return None
    conclusions, told, case = ready
    return _drill(school, conclusions, "collector", told, case)


def drawn_or_worked(school: School, chance: Chance) -> tuple[Conclusions, str] | None:
    """A drawn batch or a worked one, with the name of the worked one."""
    if chance.share() * 10 < CASES_IN_TEN:
        path = chance.one(school.batch_cases)
        answers = {**usual_answers(school, school.route), **school.case(path).answers}
        case = path.name
    else:
        answers, case = drawn_batch(school, chance), ""
    conclusions = settled_batch(school.route, answers)
    return None if conclusions is None else (conclusions, case)


def _retold(school: School, chance: Chance, name: str) -> tuple[Conclusions, list[str], str] | None:
    """A batch that is usual but for what decides, what follows from it, and the facts told of it."""
    drawn = drawn_or_worked(school, chance)
    if drawn is None:
        return None
    before, case = drawn
    facts = _deciding_facts(school, before, name)
    answers = {**usual_answers(school, school.route), **{n: before.answers[n] for n in facts if n in before.answers}}
    after = settled_batch(school.route, answers)
    if after is None:
        return None
    told = [n for n in after.answers if n in facts]
    told = [n for n in school.route.facts if n in told]
    return None if len(told) > MOST_TOLD else (after, told, case)


def _deciding_facts(school: School, conclusions: Conclusions, name: str) -> list[str]:
    rule_base = conclusions.rule_base
    decisions = ("route",) if name == "route" else ("route", name)
    conditions = [
        argument.condition
        for decision in decisions
        for argument in weighing_arguments(conclusions, conclusions.rulings[decision])
    ]
    names = differing(school, conclusions.answers, tested_facts(rule_base, conditions))
    return [n for n in rule_base.facts if n in names or n in ALWAYS]


def weighing_arguments(conclusions: Conclusions, ruling: Ruling) -> Iterator[Argument]:
    """The arguments that make the choice: those that stand for or against the chosen option and its rivals."""
    rivals = {ruling.chosen, *_rivals(ruling)[:2]}
    for argument in ruling.decision.arguments:
        if conclusions.truth(argument.condition) == FAILS:
            continue
        if argument.entry.says == "require" or not rivals.isdisjoint(argument.options):
            yield argument


def _rivals(ruling: Ruling) -> list[str]:
    """The other options, the best supported first, whatever rules them out; of equal ones those like the chosen one."""
    options, entries = ruling.decision.options, ruling.decision.entry.options
    chosen = options.index(ruling.chosen)

    def rank(place: int) -> tuple[int, bool, int, int]:
        unlike = entries[options[place]].piece != entries[ruling.chosen].piece
        return -ruling.support[place][0], unlike, abs(place - chosen), place

    order = sorted(range(len(options)), key=rank)
    return [options[place] for place in order if options[place] != ruling.chosen]


def _is_hot(conclusions: Conclusions) -> bool:
    finding = conclusions.rule_base.findings.get("hot_work")
    return finding is not None and conclusions.truth(finding.condition) == HOLDS


def offered_options(ruling: Ruling) -> list[str]:
    """The options to choose among: all of the best, the stop, and the best rivals, in the order of the rules."""
    wanted = [*sorted(best_options(ruling)), *ruling.decision.entry.stops[:1], *_rivals(ruling)]
    kept = set(list(dict.fromkeys(wanted))[:MOST_CHOICES])
    return [option for option in ruling.decision.options if option in kept]


def ruling_topic(conclusions: Conclusions, ruling: Ruling) -> str:
    """What a drill about a decision teaches: the requirement that decides, or else the option."""
    for argument in ruling.decision.arguments:
        decides = argument.entry.says == "require" and ruling.chosen in argument.options
        if decides and conclusions.truth(argument.condition) == HOLDS:
            return argument.id
    return ruling.chosen


def choices_of(ruling: Ruling) -> tuple[Choice, ...]:
    """The offered options as choices."""
    entries = ruling.decision.entry.options
    return tuple(Choice(name, entries[name].title, entries[name].summary) for name in offered_options(ruling))


def _drill(school: School, conclusions: Conclusions, name: str, told: list[str], case: str) -> Drill | None:
    ruling, answers = conclusions.rulings[name], conclusions.answers
    given = () if name == "route" else decided_lines(conclusions, ["route"])
    drill = Drill(
        kind=name,
        topic=ruling_topic(conclusions, ruling),
        base="route",
        answers=answers,
        subject=name,
        ask=ruling.decision.entry.question,
        told=(*lines(school, school.route, answers, told), *given),
        rest=rest_of(school, school.route, answers, told),
        choices=choices_of(ruling),
        case=case,
    )
    right = best_options(ruling)
    return None if reveals(drill, right) or len(right) >= len(drill.choices) else drill
