"""Drills about what came out: what a picture shows, the cause it points to, and what to do with the piece."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.engine import Conclusions, NotKnown, SeveralOutcome
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import Fact, Value
from advisor.rulebase.reading.expand_causes import CAUSE, LOOKED_AT, REMEDY
from advisor.training.drills.batches import drawn_place, drawn_work, settled_batch
from advisor.training.drills.chance import Chance
from advisor.training.drills.decisions import CASES_IN_TEN, best_options, choices_of, weighing_arguments
from advisor.training.drills.drill import MOST_CHOICES, MOST_TOLD, Choice, Drill, DrillLine, picture_words, reveals
from advisor.training.drills.telling import differing, lines, rest_of, tested_facts
from advisor.training.drills.textbook import observations_of
from advisor.training.training_rules import TrainingRules
from advisor.words import tr

_CAUSES_OFFERED = 5
_CAUSES_TOLD = 2


def picture_drill(training: TrainingRules, chance: Chance, wanted: str = "") -> Drill | None:
    """What does the picture show? None when the draw makes no good drill."""
    shown = [
        (fact, name)
        for fact in training.pieces.facts.values()
        for name, option in fact.entry.options.items()
        if option.picture is not None and wanted in ("", f"{fact.name}.{name}")
    ]
    if not shown:
        return None
    fact, option = chance.one(shown)
    picture = fact.entry.options[option].picture
    assert picture is not None
    right = same_picture(fact, picture)
    others = [name for name in fact.entry.options if name not in right]
    kept = {*sorted(right)[:MOST_CHOICES], *chance.some(others, MOST_CHOICES - len(right))}
    drill = Drill(
        kind="picture",
        topic=f"{fact.name}.{option}",
        base="pieces",
        answers={},
        subject=fact.name,
        ask=tr("Look at the picture. {ask}", ask=fact.entry.ask),
        choices=tuple(Choice(n, o.label, o.means) for n, o in fact.entry.options.items() if n in kept),
        pictures=(picture,),
        hint=tr("In the picture: {picture_words}.", picture_words=picture_words(training.pieces, (picture,))),
    )
    return None if reveals(drill, right) or len(drill.choices) < 3 else drill


def same_picture(fact: Fact, picture: str) -> frozenset[str]:
    """The options of a fact that a picture shows."""
    return frozenset(name for name, option in fact.entry.options.items() if option.picture == picture)


def cause_drill(training: TrainingRules, chance: Chance, wanted: str = "") -> Drill | None:
    """Why did it come out like this?"""
    found = _piece(training, chance, wanted, drawn_work(training, chance))
    if found is None:
        return None
    conclusions, case = found
    cause_outcome = conclusions.several[CAUSE]
    if not cause_outcome.taken:
        return None
    told = _seen(training, conclusions, _cause_facts(conclusions, cause_outcome))
    offered = _offered_causes(cause_outcome, chance)
    drill = Drill(
        kind="cause",
        topic=cause_outcome.taken[0],
        base="pieces",
        answers=conclusions.answers,
        subject=CAUSE,
        ask=cause_outcome.decision.entry.question,
        told=lines(training, training.pieces, conclusions.answers, told),
        rest=rest_of(training, training.pieces, conclusions.answers, told),
        choices=_cause_choices(training, offered),
        pictures=_pictures(training, conclusions.answers, told),
        case=case,
    )
    right = best_causes(cause_outcome)
    return drill if _fits(drill) and len(offered) > len(right) and not reveals(drill, right) else None


def remedy_drill(training: TrainingRules, chance: Chance, wanted: str = "") -> Drill | None:
    """What is to be done with this very piece?"""
    found = _piece(training, chance, "", drawn_place(training, chance))
    if found is None:
        return None
    conclusions, case = found
    cause_outcome, outcome = conclusions.several[CAUSE], conclusions.outcomes[REMEDY]
    if not cause_outcome.taken or (wanted and outcome.chosen != wanted):
        return None
    conditions = [argument.condition for argument in weighing_arguments(conclusions, outcome)]
    tested = [*_cause_facts(conclusions, cause_outcome), *tested_facts(training.pieces, conditions)]
    told = _seen(training, conclusions, tested)
    causes = [training.pieces.causes[name].entry.title for name in cause_outcome.taken[:_CAUSES_TOLD]]
    right = best_options(outcome)
    # Too much caution beside another cold answer would be a coin toss in words.
    idle = set(outcome.decision.entry.stops) - right
    drill = Drill(
        kind="remedy",
        topic=outcome.chosen,
        base="pieces",
        answers=conclusions.answers,
        subject=REMEDY,
        ask=outcome.decision.entry.question,
        told=(*lines(training, training.pieces, conclusions.answers, told), DrillLine("cause", "; ".join(causes))),
        rest=rest_of(training, training.pieces, conclusions.answers, told),
        choices=tuple(choice for choice in choices_of(outcome) if choice.id not in idle),
        pictures=_pictures(training, conclusions.answers, told),
        case=case,
    )
    return drill if _fits(drill) and len(drill.choices) > len(right) and not reveals(drill, right) else None


def best_causes(cause_outcome: SeveralOutcome) -> frozenset[str]:
    """The best supported of the causes to act on; several when they stand alike."""
    taken = cause_outcome.taken
    return frozenset(name for name in taken if cause_outcome.supports[name].now == cause_outcome.supports[taken[0]].now)


def _fits(drill: Drill) -> bool:
    return 1 < len(drill.told) <= MOST_TOLD


def _piece(
    training: TrainingRules, chance: Chance, cause: str, place: Mapping[str, Value | NotKnown]
) -> tuple[Conclusions, str] | None:
    """A worked piece or a textbook one in a place, with the name of the worked one."""
    rule_base = training.pieces
    if not cause and chance.share() * 10 < CASES_IN_TEN:
        path = chance.one(training.piece_cases)
        seen: Mapping[str, Value | NotKnown] | None = training.case(path).answers
        case = path.name
    else:
        seen, case = observations_of(rule_base, cause or chance.one(list(rule_base.causes)), place, chance), ""
    if seen is None:
        return None
    conclusions = settled_batch(rule_base, {**place, **seen})
    return None if conclusions is None else (conclusions, case)


def _cause_facts(conclusions: Conclusions, cause_outcome: SeveralOutcome) -> list[str]:
    """The facts that the signs of the best causes test."""
    conditions = [
        argument.condition
        for name in cause_outcome.taken[:_CAUSES_TOLD]
        for argument in cause_outcome.prepared[name].speaking
        if conclusions.truth(argument.condition) == HOLDS
    ]
    return tested_facts(conclusions.rule_base, conditions)


def _seen(training: TrainingRules, conclusions: Conclusions, tested: Iterable[str]) -> list[str]:
    """What is told of a piece: where one stands, and what matters and was seen or differs from the usual."""
    names = {LOOKED_AT, *differing(training, conclusions.answers, tested)}
    return [name for name in training.pieces.facts if name in names and name in conclusions.answers]


def _offered_causes(cause_outcome: SeveralOutcome, chance: Chance) -> list[str]:
    """The best causes and the next best that are not acted on."""
    right = sorted(best_causes(cause_outcome))[: _CAUSES_OFFERED - 1]
    others = [name for name in cause_outcome.ranked() if name not in cause_outcome.taken]
    near = chance.some(others[: 2 * _CAUSES_OFFERED], _CAUSES_OFFERED - len(right))
    return [name for name in cause_outcome.supports if name in right or name in near]


def _cause_choices(training: TrainingRules, names: Iterable[str]) -> tuple[Choice, ...]:
    entries = training.pieces.causes
    return tuple(Choice(name, entries[name].entry.title, entries[name].entry.means) for name in names)


def _pictures(training: TrainingRules, answers: Mapping[str, Value | NotKnown], told: Iterable[str]) -> tuple[str, ...]:
    """The first picture of what was seen."""
    for name in told:
        answer = answers[name]
        options = training.pieces.facts[name].entry.options
        if isinstance(answer, str) and answer in options and options[answer].picture is not None:
            return (str(options[answer].picture),)
    return ()
