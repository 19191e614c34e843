"""Whether a worse answer ever makes the advice more careless.

Two full sets of answers are compared that differ in one answer only, the second one worse; a fact whose
value follows from the worse answer follows it. Then

- no hazard that hangs on answers alone is dropped,
- where every decision comes out the same, no hazard and no control of a hazard is dropped,
- nothing that the order of danger names under ``never_adds`` begins to hold, such as a fire.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product

from advisor.engine import Answers, Conclusions, ContradictionError
from advisor.proof.report import Failure, PromiseVerdict
from advisor.proof.search import oracle
from advisor.proof.search.decoding import answers_found
from advisor.proof.search.neighbours import moved_along, others_same, same
from advisor.proof.search.prover import Prover, followers
from advisor.proof.space.logic import Bit
from advisor.proof.space.world import World
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import RuleBase, Worse
from advisor.words import tr

Shows = Callable[[Conclusions, Conclusions], bool]


@dataclass(frozen=True, slots=True)
class _Loss:
    """Something that a worse answer may not do: the sentence, where it happens, and whether the inference agrees."""

    says: str
    bit: Bit
    shows: Shows


def monotone(prover: Prover) -> PromiseVerdict:
    """A worse answer never drops a hazard or a control, and never begins what is declared."""
    verdict = PromiseVerdict(
        "monotone",
        tr("A worse answer never drops a hazard or a control while the decisions stay, and never lights a fire."),
    )
    orders = [] if prover.diagnosis else list(prover.rule_base.worse.values())
    for worse in orders:
        before, after = prover.compared(worse.entry.fact)
        fact = prover.rule_base.facts[worse.entry.fact]
        step = before.logic.every([_worse(before, after, worse), *others_same(before, after, fact)])
        verdict.checked += 1
        if not before.logic.possible(step):
            verdict.failures.append(Failure(worse.entry.id, tr("No two answers of this order can be compared.")))
        apart = {worse.entry.fact, *followers(prover.rule_base, worse.entry.fact)}
        moved = frozenset(v for name in apart for v in prover.rule_base.facts[name].variables)
        for losses in (_beginnings(before, after, worse), _drops(before, after, moved)):
            for loss in _found(before, after, step, list(losses), verdict):
                verdict.failures.append(_failure(prover.rule_base, worse, before, after, loss))
    verdict.declared = bool(orders)
    names = dict.fromkeys(worse.entry.fact for worse in orders)
    verdict.lines.append(
        tr("{count} facts have an order of danger: {names}.", count=len(names), names=", ".join(names) or tr("none"))
    )
    return verdict


def _worse(before: World, after: World, worse: Worse) -> Bit:
    """Exactly one variable of the fact moves to a worse cell; its others stay."""
    logic = before.logic
    fact = before.rule_base.facts[worse.entry.fact]
    moves = []
    for variable, order in worse.orders:
        others = [same(before, after, other) for other in fact.variables if other != variable]
        moves.append(logic.every([moved_along(before, after, variable, order), *others]))
    return logic.either(moves)


def _found(before: World, after: World, step: Bit, losses: list[_Loss], verdict: PromiseVerdict) -> Iterator[_Loss]:
    """The losses that a step can bring; the answers found last show the one that is yielded."""
    verdict.checked += len(losses)
    if _possible(before, after, step, before.logic.either(loss.bit for loss in losses)):
        for loss in losses:
            if _possible(before, after, step, loss.bit):
                yield loss
    else:  # What is proved helps to prove the rest.
        before.logic.require(
            before.logic.opposite(before.logic.every([step, before.logic.either(x.bit for x in losses)]))
        )


def _possible(before: World, after: World, *bits: Bit) -> bool:
    """Whether some answers make these true, asked for each pair of routes: the solver may take minutes otherwise."""
    first = next(iter(before.decisions), None)
    if first is None:
        return before.logic.possible(*bits)
    pairs = product(before.decisions[first].chosen, after.decisions[first].chosen)
    return any(before.logic.possible(*bits, one, other) for one, other in pairs)


def _beginnings(before: World, after: World, worse: Worse) -> Iterator[_Loss]:
    for condition in worse.never_adds:
        began = before.logic.every([before.truths.fails(condition), after.holds(condition)])
        yield _Loss(tr("makes this true: {text}", text=condition.text), began, _begins(condition.truth))


def _drops(before: World, after: World, moved: frozenset[int]) -> Iterator[_Loss]:
    """The hazards and controls that may be dropped.

    Where the decisions stay, a condition that tests none of the moved answers is the same in both worlds; nothing has
    to be searched for it.
    """
    logic, rule_base = before.logic, before.rule_base
    decided = {v for decision in rule_base.agenda.values() for v in decision.variables}
    stays = logic.every(logic.same(one, other) for one, other in _decisions(before, after))
    for name, hazard in rule_base.hazards.items():
        if hazard.condition.variables & moved:
            dropped = logic.every([before.shown("hazards", name), logic.opposite(after.shown("hazards", name))])
            alone = not hazard.condition.variables & decided
            kept = dropped if alone else logic.every([stays, dropped])
            yield _Loss(tr("drops the hazard '{name}'", name=name), kept, _drops_hazard(name, alone=alone))
        for place, control in enumerate(hazard.controls):
            tested = hazard.condition.variables | (control.condition.variables if control.condition else frozenset())
            if control.condition is not None and tested & moved:
                lost = logic.opposite(after.control_shown(hazard, control))
                bit = logic.every([stays, before.control_shown(hazard, control), lost])
                says = tr("drops the control '{do}' of '{name}'", do=control.do, name=name)
                yield _Loss(says, bit, _drops_control(name, place))


def _decisions(before: World, after: World) -> Iterator[tuple[Bit, Bit]]:
    """Every bit of every decision, in both worlds."""
    for name, found in before.decisions.items():
        yield from zip(found.chosen, after.decisions[name].chosen, strict=True)
    for name, judged in before.several.items():
        yield from zip(judged.possible, after.several[name].possible, strict=True)


def _stays(one: Conclusions, other: Conclusions) -> bool:
    if any(outcome.chosen != other.outcomes[name].chosen for name, outcome in one.outcomes.items()):
        return False
    several = (variable for verdict in one.several.values() for variable in verdict.decision.variables)
    return all((one.state[variable] ^ other.state[variable]) & 2 == 0 for variable in several)


def _drops_hazard(name: str, *, alone: bool) -> Shows:
    return lambda one, other: (alone or _stays(one, other)) and one.attached(name) and not other.attached(name)


def _drops_control(name: str, place: int) -> Shows:
    def shows(one: Conclusions, other: Conclusions) -> bool:
        lost = oracle.control_shown(one, name, place) and not oracle.control_shown(other, name, place)
        return _stays(one, other) and lost

    return shows


def _begins(truth: Callable[[tuple[int, ...]], int]) -> Shows:
    return lambda one, other: truth(one.state) != HOLDS and truth(other.state) == HOLDS


def _failure(rule_base: RuleBase, worse: Worse, before: World, after: World, loss: _Loss) -> Failure:
    one, other = answers_found(before.space), answers_found(after.space)
    one, other = _shortened(rule_base, worse, one, other, loss.shows)
    confirmed = _shown(rule_base, one, other, loss.shows)
    return Failure(
        worse.entry.id,
        tr("A worse answer for '{fact}' {says}.", fact=worse.entry.fact, says=loss.says),
        other,
        one,
        confirmed,
    )


def _shown(rule_base: RuleBase, one: Answers, other: Answers, shows: Shows) -> bool:
    try:
        return shows(oracle.concluded(rule_base, one), oracle.concluded(rule_base, other))
    except ContradictionError:
        return False


def _shortened(
    rule_base: RuleBase, worse: Worse, one: Answers, other: Answers, shows: Shows
) -> tuple[Answers, Answers]:
    """Both sets of answers without the facts that are not needed to show the loss, taken out one by one."""
    for name in rule_base.facts:
        if name == worse.entry.fact:
            continue
        shorter = {key: value for key, value in one.items() if key != name}
        also = {key: value for key, value in other.items() if key != name}
        if _shown(rule_base, shorter, also, shows):
            one, other = shorter, also
    return one, other
