"""What to do before anything is lit, and what to find out before that."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from advisor.advice.documents.common import Look, PreparationNote, Remaining, Told, WayWithout
from advisor.advice.notes.arguments import source_notes
from advisor.advice.notes.hazards import hazards_of
from advisor.advice.notes.spans import span
from advisor.engine import Conclusions, OutcomeKind, ToFindOut, conclude_forced, looks, state_of, still_possible
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.model import Preparation, RuleBase
from advisor.rulebase.reading.texts import fill


def preparation_notes(
    conclusions: Conclusions, words: Callable[[str], str], also: Sequence[Preparation] = ()
) -> tuple[PreparationNote, ...]:
    """What stands under FIRST, in order.

    Args:
        conclusions: What follows from the answers, for the work that will be done.
        words: What stands in a text for the name of an amount.
        also: What stands there besides, because the plan itself asks for it.
    """
    found = sorted((*conclusions.preparations(), *also), key=lambda one: (not one.tonight, one.entry.order))
    return tuple(_note(conclusions, one, words, sure=one in also) for one in found)


def parting(conclusions: Conclusions, parted: Sequence[object]) -> list[Preparation]:
    """What tells where to part the work that was chosen, if it parts and the hours alone do not ask for that yet.

    Args:
        conclusions: What follows from the answers.
        parted: The sittings of the plan.
    """
    known = conclusions.rule_base.preparations.values() if len(parted) > 1 else ()
    wanted = [one for one in known if one.entry.parts_the_work and conclusions.truth(one.wanted) == HOLDS]
    return [one for one in wanted if one not in conclusions.preparations()]


def kind_with(conclusions: Conclusions, also: Sequence[Preparation]) -> OutcomeKind:
    """What it comes to with what the plan itself asks for under FIRST."""
    return "first" if also and conclusions.kind == "work" else conclusions.kind


def _note(
    conclusions: Conclusions, preparation: Preparation, words: Callable[[str], str], *, sure: bool
) -> PreparationNote:
    entry = preparation.entry
    facts = conclusions.rule_base.facts
    return PreparationNote(
        id=preparation.name,
        title=entry.title,
        called=entry.called or entry.title,
        certain=sure or conclusions.truth(preparation.lacking) == HOLDS,
        do=fill(entry.do, words),
        done_when=entry.done_when,
        time_min=span(preparation.time_min),
        tonight=preparation.tonight,
        waits=entry.waits,
        changes=tuple(facts[name].label for name in entry.changes),
        hazards=hazards_of(conclusions, preparation),
        sources=source_notes(preparation.sources),
    )


def look_notes(conclusions: Conclusions) -> tuple[Look, ...]:
    """What to find out, what tells most first; nothing where the work can go on or has to stop.

    Facts that one look tells stand under it, in the place of the one that tells most.
    """
    if conclusions.kind != "find_out":
        return ()
    told: dict[str, list[Told]] = {}
    for wanted in looks(conclusions):
        told.setdefault(_look_of(conclusions.rule_base, wanted.fact), []).append(_told(conclusions, wanted))
    return tuple(_look(conclusions.rule_base, name, tuple(tells)) for name, tells in told.items())


def _look_of(rule_base: RuleBase, fact: str) -> str:
    """The look that tells a fact; the fact itself where it has one of its own."""
    return next((name for name, look in rule_base.looks.items() if fact in look.entry.tells), fact)


def _told(conclusions: Conclusions, wanted: ToFindOut) -> Told:
    entry = conclusions.rule_base.facts[wanted.fact].entry
    return Told(
        fact=wanted.fact,
        label=entry.label,
        ask=entry.ask,
        find_out=entry.find_out,
        minutes=entry.minutes,
        purpose=wanted.purpose,
    )


def _look(rule_base: RuleBase, name: str, tells: tuple[Told, ...]) -> Look:
    if name in rule_base.looks:
        rule = rule_base.looks[name]
        return Look(
            id=name,
            title=rule.entry.title,
            do=rule.entry.do,
            minutes=rule.entry.minutes,
            tells=tells,
            sources=source_notes(rule.sources),
        )
    (one,) = tells
    return Look(id=name, title=one.label[:1].upper() + one.label[1:], do=one.find_out, minutes=one.minutes, tells=tells)


def way_without(
    conclusions: Conclusions, acting_of: Callable[[Conclusions], Conclusions] = lambda taken: taken
) -> WayWithout | None:
    """The best way that needs no preparation which takes longer than tonight; None where none does or there is none.

    Args:
        conclusions: What follows from the answers.
        acting_of: From conclusions to those of the work that will be done.
    """
    if all(one.tonight for one in acting_of(conclusions).preparations()):
        return None
    outcome = next(iter(conclusions.outcomes.values()))
    decision = outcome.decision
    fallback = outcome.support[decision.options.index(decision.fallback)][0]
    left = [
        (-outcome.support[place][0], place, option)
        for place, option in enumerate(decision.options)
        if option not in (outcome.chosen, *decision.entry.stops)
        and outcome.tally.ruled_out(place) == FAILS
        and outcome.support[place][0] > fallback
    ]
    rule_base, answers = conclusions.rule_base, conclusions.answers
    for _, _, option in sorted(left):
        taken = conclude_forced(rule_base, answers, state_of(rule_base, answers), {decision.name: option})
        if all(one.tonight for one in acting_of(taken).preparations()):
            entry = decision.entry.options[option]
            return WayWithout(id=option, title=entry.title, summary=entry.summary)
    return None


def remaining_notes(conclusions: Conclusions) -> tuple[Remaining, ...]:
    """The options that may come out once it is found out, three at most."""
    if conclusions.kind != "find_out":
        return ()
    facts, decisions = conclusions.rule_base.facts, conclusions.rule_base.decisions
    notes = []
    for one in still_possible(conclusions):
        entry = decisions[one.decision].entry.options[one.option]
        labels = tuple(facts[name].label for name in one.hangs_on)
        notes.append(Remaining(id=one.option, title=entry.title, summary=entry.summary, hangs_on=labels))
    return tuple(notes)
