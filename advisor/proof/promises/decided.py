"""Whether every decision can be taken: an option is left, no tie stays, and no requirement contradicts another."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from advisor.engine import Conclusions, full_domains
from advisor.proof.report import Failure, PromiseVerdict
from advisor.proof.search import oracle
from advisor.proof.search.prover import Prover
from advisor.proof.space.decisions import tie_places
from advisor.proof.space.logic import Bit
from advisor.proof.space.world import World
from advisor.rulebase.language.conditions import single_cells
from advisor.words import one_of, tr

_FULL, _PARTIAL = tr("full"), tr("partial")


def complete(prover: Prover) -> PromiseVerdict:
    """Every set of answers leaves an option."""
    verdict = PromiseVerdict(
        "complete", tr("Every set of answers, full or partial, leaves an option that nothing rules out.")
    )
    for name, decision in prover.decisions.items():
        shows = partial(_nothing_left, name)
        for kind, world in ((_FULL, prover.full), (_PARTIAL, prover.partial)):
            verdict.checked += 1
            if world.logic.possible(shows(world)):
                says = tr(
                    "With these {kind} answers every option of '{name}' is ruled out, '{fallback}' too.",
                    kind=kind,
                    name=name,
                    fallback=decision.entry.fallback,
                )
                confirms = partial(_lacks_option, name)
                verdict.failures.append(prover.failure(name, says, shows, confirms, world))
                break
    strikers = [
        a.id
        for decision in prover.decisions.values()
        for a in decision.arguments
        if a.says == "require" and decision.entry.fallback not in a.options
    ]
    looked_at = tr("Looked at over full and partial answers: {decisions}.", decisions=", ".join(prover.decisions))
    strike = tr("No rule strikes a fallback.")
    if strikers:
        strike = tr("{count} requirements could strike a fallback.", count=len(strikers))
    if not verdict.failures:
        verdict.lines.append(" ".join((looked_at, strike)))
    return verdict


def _nothing_left(name: str, world: World) -> Bit:
    return world.logic.opposite(world.logic.either(world.decisions[name].allowed))


def _lacks_option(name: str, conclusions: Conclusions) -> bool:
    return name in set(oracle.without_option(conclusions))


def decided(prover: Prover) -> PromiseVerdict:
    """No tie is left to the order of the options in the file."""
    verdict = PromiseVerdict("decided", tr("No set of answers ends in a tie that the rules do not break."))
    pairs = 0
    for name, decision in prover.decisions.items():
        for first, second in _unordered(prover, name):
            pairs += 1
            shows = partial(_tie, name, first, second)
            for kind, world in ((_FULL, prover.full), (_PARTIAL, prover.partial)):
                verdict.checked += 1
                if world.logic.possible(shows(world)):
                    one, other = decision.options[first], decision.options[second]
                    says = tr(
                        "With these {kind} answers '{one}' and '{other}' are equally supported, and the tie order of "
                        "'{name}' names neither; only their place in the file decides.",
                        kind=kind,
                        one=one,
                        other=other,
                        name=name,
                    )
                    confirms = partial(_tied, name, one, other)
                    verdict.failures.append(
                        prover.failure(
                            tr("{name}: {one} or {other}", name=name, one=one, other=other),
                            says,
                            shows,
                            confirms,
                            world,
                        )
                    )
                    break
    if not pairs:
        verdict.lines.append(tr("Every decision names all of its options in its tie order, so every tie is broken."))
    elif not verdict.failures:
        verdict.lines.append(
            tr("Pairs of options outside a tie order: {pairs}. None of them can tie at the top.", pairs=pairs)
        )
    return verdict


def _unordered(prover: Prover, name: str) -> Iterator[tuple[int, int]]:
    """Pairs of options that no tie order separates; the first wins a tie by its place in the file."""
    places = tie_places(prover.decisions[name])
    for first, one in enumerate(places):
        for second, other in enumerate(places):
            if one < other and one[0] == other[0]:
                yield first, second


def _tie(name: str, first: int, second: int, world: World) -> Bit:
    found = world.decisions[name]
    equal = world.logic.equal(found.support[first], found.support[second])
    return world.logic.every([found.chosen[first], found.allowed[first], found.allowed[second], equal])


def _tied(name: str, one: str, other: str, conclusions: Conclusions) -> bool:
    return (name, one, other) in set(oracle.ties(conclusions))


def consistent(prover: Prover) -> PromiseVerdict:
    """Nothing is required and ruled out at once, and every single answer can be given."""
    verdict = PromiseVerdict(
        "consistent",
        tr("With full answers nothing is required and ruled out at once, and no requirements exclude each other."),
    )
    world = prover.full
    for name, decision in prover.decisions.items():
        for argument in decision.arguments:
            if argument.says != "require":
                continue
            verdict.checked += 1
            shows = partial(_clash, name, argument.id)
            if world.logic.possible(shows(world)):
                wanted = one_of(f"'{option}'" for option in argument.options)
                says = tr(
                    "With these answers '{id}' requires {wanted}, but other rules rule that out.",
                    id=argument.id,
                    wanted=wanted,
                )
                confirms = partial(_clashes, name, argument.id)
                verdict.failures.append(prover.failure(argument.id, says, shows, confirms, world))
    requirements = verdict.checked
    for failure in _answers_nobody_can_give(prover, verdict):
        verdict.failures.append(failure)
    if not verdict.failures:
        verdict.lines.append(
            tr(
                "{requirements} requirements, and {checked} single answers: each can be given.",
                requirements=requirements,
                checked=verdict.checked - requirements,
            )
        )
    return verdict


def _clash(name: str, argument: str, world: World) -> Bit:
    found = world.decisions[name]
    options = found.decision.options
    wanted = world.rule_base.arguments[argument]
    out = [found.surely_out[options.index(option)] for option in wanted.options]
    return world.logic.every([world.holds(wanted.condition), *out])


def _clashes(name: str, argument: str, conclusions: Conclusions) -> bool:
    return (name, argument) in set(oracle.clashes(conclusions))


def _answers_nobody_can_give(prover: Prover, verdict: PromiseVerdict) -> Iterator[Failure]:
    """Cells that always contradict what follows from the other answers."""
    world, rule_base = prover.full, prover.rule_base
    for fact in rule_base.facts.values():
        for variable, full in full_domains(rule_base, fact):
            for cell in single_cells(full):
                verdict.checked += 1
                place = cell.bit_length() - 1
                if not world.logic.possible(world.space.given[variable][place]):
                    words = rule_base.variables[variable]
                    says = tr(
                        "'{domain}' can never be answered for '{item}'.",
                        domain=words.domain[place],
                        item=words.item or fact.name,
                    )
                    yield Failure(fact.name, says)
