"""Which single answers would change a diagnosis: what is to be done, or which causes are taken.

A single answer bears on the few causes that have a sign of it, and through them on the correction. Only these are
judged anew; everything else stays as it is. Sets of several answers are not looked for: nearly every sign bears on
some cause, so nearly every pair would have to be looked at.
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engine.causes import Ballot, Support, Verdict, support_in
from advisor.engine.conclude import Conclusions
from advisor.engine.what_if.changes import OtherAnswers, Target
from advisor.engine.what_if.contests import Contest
from advisor.engine.what_if.flips import Flips
from advisor.engine.what_if.moves import Moves, Spot
from advisor.engine.what_if.stretches import Block, blocks, other_answers
from advisor.rulebase.language.conditions import HOLDS


def single_changes(conclusions: Conclusions, leave_out: frozenset[str] = frozenset()) -> list[OtherAnswers]:
    """Every single answer that changes a decision for one option, or takes an option of one for several in or out.

    Args:
        conclusions: What follows from the answers now, in a consultation with decisions for several options.
        leave_out: Facts whose answers are left as they are.
    """
    rule_base = conclusions.rule_base
    found: dict[Target, list[Block]] = {}
    moves = Moves(conclusions)
    judges = [_Judge(verdict, moves) for verdict in conclusions.verdicts.values()]
    flips = Flips(moves)
    contests = [(ruling, Contest(ruling, moves, flips)) for ruling in conclusions.rulings.values()]
    for number, (variable, _) in enumerate(moves.places):
        if rule_base.variables[variable].name in leave_out:
            continue
        spot = moves.spot(1 << number)
        if spot.repairs is not None:
            continue
        for judge in judges:
            for target in judge.judged_anew(spot):
                found.setdefault(target, []).append(((variable, moves.cells[number]),))
        for ruling, contest in contests:
            chosen = ruling.decision.options[contest.poll(spot).chosen]
            if chosen != ruling.chosen:
                target = Target(ruling.decision.name, chosen)
                found.setdefault(target, []).append(((variable, moves.cells[number]),))
                break
    listed = [
        (variable, OtherAnswers((answer,), target))
        for target, places in found.items()
        for ((variable, cells),) in blocks(places)
        for answer in other_answers(rule_base, variable, cells)
    ]
    return [one for _, one in sorted(listed, key=lambda placed: placed[0])]


class _Judge:
    """One decision for several options, judged anew where answers bear on it."""

    def __init__(self, verdict: Verdict, moves: Moves) -> None:
        self._verdict = verdict
        self._state = moves.state
        self._bearing: dict[int, list[str]] = {}
        for name, ballot in verdict.ballots.items():
            for variable in self._variables(ballot, verdict.supports[name]):
                self._bearing.setdefault(variable, []).append(name)
        self._places = dict(zip(verdict.ballots, verdict.decision.variables, strict=True))

    def _variables(self, ballot: Ballot, support: Support) -> set[int]:
        """What can change an option's support: while it is ruled out, only what rules it out."""
        rulings, speaking = ballot.rulings, ballot.speaking
        if support.out == HOLDS:
            rulings = [argument for argument in rulings if argument.condition.truth(self._state) == HOLDS]
            speaking = []
        return {variable for argument in (*rulings, *speaking) for variable in argument.condition.variables}

    def judged_anew(self, spot: Spot) -> Iterator[Target]:
        """The options taken in or out at a spot, whose state is brought up to date with the decision."""
        names = dict.fromkeys(name for variable, _, _ in spot.changed for name in self._bearing.get(variable, ()))
        verdict = self._verdict
        cells = []
        for name in names:
            before, after = verdict.supports[name], support_in(verdict.ballots[name], spot.state)
            cells.append((self._places[name], after.acted_on(verdict.taken_at)))
            now_taken = after.taken(verdict.taken_at)
            if now_taken != before.taken(verdict.taken_at):
                yield Target(verdict.decision.name, name, effect="appears" if now_taken else "disappears")
        for variable, now in cells:
            before_cells = spot.state[variable]
            if now != before_cells:
                spot.state[variable] = now
                spot.changed = (*spot.changed, (variable, before_cells, now))
