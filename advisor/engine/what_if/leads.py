"""How far moves can shift the lead of one option over another: bounds that never fall short.

Support is a sum: what each variable gives by its own, and arguments that test several variables. A move is credited
with the whole gain of every argument it may help to turn, so no set of moves gains more than its moves are credited
with. If a set of few moves closes a gap, then one of them is credited with its share of the gap or more.
"""

from __future__ import annotations

from bisect import bisect_right

from advisor.engine.decide import Weights
from advisor.engine.what_if.moves import Moves, Spot, bits_of
from advisor.rulebase.language.conditions import FAILS, HOLDS, Leaf, leaves, single_cells
from advisor.rulebase.model import Argument

Pair = tuple[int, int]


def counted(truth: int, weight: int) -> int:
    """What an argument gives to the least support: an open one counts only against."""
    if truth == HOLDS:
        return weight
    return min(weight, 0) if truth != FAILS else 0


class Leads:
    """Bounds for the options of one decision, seen from the answers as they are now.

    What follows from other answers and is not given may change without a move of its own. A move that drives it is
    credited with everything it may give, and a move of it with its gain over the worst it may be.
    """

    def __init__(self, weights: Weights, moves: Moves, mixed_truths: list[int]) -> None:
        self._weights = weights
        self._moves = moves
        self._truths = mixed_truths
        self._loose = {v for driven in moves.loose.values() for v in driven}
        self._moved = [
            m for v in sorted(weights.variables | set(moves.loose)) for m in bits_of(moves.of_variable.get(v, 0))
        ]
        self._helps = self._helping()
        self._ordered: dict[Pair, tuple[list[int], list[int], dict[int, int]]] = {}

    def _helping(self) -> dict[int, list[tuple[int, int, int]]]:
        """For each move, the mixed arguments it may raise or lower, with the least and greatest truth they may get."""
        found: dict[int, list[tuple[int, int, int]]] = {}
        for position, (argument, _) in enumerate(self._weights.mixed):
            up, down = self._turning(argument)
            for move in bits_of(up | down):
                now = self._truths[position]
                entry = (position, FAILS if down >> move & 1 else now, HOLDS if up >> move & 1 else now)
                found.setdefault(move, []).append(entry)
        return found

    def _turning(self, argument: Argument) -> tuple[int, int]:
        """The moves that may raise the truth of an argument, and those that may lower it."""
        up = down = 0
        tests = list(leaves(argument.condition.tree))
        seen = {leaf.variable for leaf in tests}
        for leaf in tests:
            moves = self._moves
            driven = moves.drivers.get(leaf.variable, 0)
            everything = moves.of_variable.get(leaf.variable, 0)
            sure = len(seen) == len(tests) and leaf.variable not in self._loose
            up |= driven | (self._raising(leaf) if sure else everything)
            down |= driven | (self._lowering(leaf) if sure else everything)
        return up, down

    def _raising(self, leaf: Leaf) -> int:
        holds = not self._moves.state[leaf.variable] & ~leaf.inside
        return 0 if holds else self._moves.into(leaf.variable, leaf.inside)

    def _lowering(self, leaf: Leaf) -> int:
        fails = not self._moves.state[leaf.variable] & leaf.inside
        return 0 if fails else self._moves.into(leaf.variable, leaf.full & ~leaf.inside)

    def credited(self, spot: Spot, pair: Pair, gap: int, most: int) -> int:
        """Moves of which one is needed to bring the first option so much further ahead with at most so many moves."""
        credits, order, by_move = self._of_pair(pair)
        revised = self._revised(spot, pair, by_move)
        best = sorted((*credits[-most:], *revised.values()))[-most:] if revised else credits[-most:]
        if sum(credit for credit in best if credit > 0) < gap:
            return 0
        share = -(-gap // most)
        moves = 0
        for place in range(bisect_right(credits, share - 1), len(credits)):
            moves |= 1 << order[place]
        for move, credit in revised.items():
            if credit >= share:
                moves |= 1 << move
            else:
                moves &= ~(1 << move)
        return moves

    def _of_pair(self, pair: Pair) -> tuple[list[int], list[int], dict[int, int]]:
        found = self._ordered.get(pair)
        if found is None:
            by_move = {move: self._credit(move, pair) for move in self._moved}
            ordered = sorted((credit, move) for move, credit in by_move.items())
            found = self._ordered[pair] = ([c for c, _ in ordered], [m for _, m in ordered], by_move)
        return found

    def _credit(self, move: int, pair: Pair) -> int:
        variable, cell = self._moves.places[move]
        credit = self._own(variable, cell, pair)
        for driven in self._moves.loose.get(variable, ()):
            if driven in self._weights.tables:
                row = self._differences(driven, pair)
                credit += max(row) - min(row)
        for position, least, greatest in self._helps.get(move, ()):
            credit += self._mixed(position, pair, self._truths[position], least, greatest)
        return credit

    def _own(self, variable: int, cell: int, pair: Pair) -> int:
        table = self._weights.tables.get(variable)
        if table is None:
            return 0
        row = table[cell.bit_length() - 1]
        here = row[pair[0]] - row[pair[1]]
        if variable in self._loose:
            return here - min(self._differences(variable, pair))
        now = [table[c.bit_length() - 1] for c in single_cells(self._moves.state[variable])]
        return here - min(r[pair[0]] for r in now) + min(r[pair[1]] for r in now)

    def _differences(self, variable: int, pair: Pair) -> list[int]:
        return [row[pair[0]] - row[pair[1]] for row in self._weights.tables[variable]]

    def _mixed(self, position: int, pair: Pair, now: int, least: int, greatest: int) -> int:
        """The most that turning one mixed argument can gain."""
        vector = self._weights.mixed[position][1]
        first, second = vector[pair[0]], vector[pair[1]]
        if first == second:
            return 0
        gains = [counted(truth, first) - counted(truth, second) for truth in range(least, greatest + 1)]
        return max(gains) - (counted(now, first) - counted(now, second))

    def _revised(self, spot: Spot, pair: Pair, by_move: dict[int, int]) -> dict[int, int]:
        """New credits of the moves that bear on mixed arguments which the moves made so far bear on too."""
        weights = self._weights
        touched = {p for v, _, _ in spot.changed for p in weights.mixed_of.get(v, ())}
        revised: dict[int, int] = {}
        for position in touched:
            argument, vector = weights.mixed[position]
            if vector[pair[0]] == vector[pair[1]]:
                continue
            now = argument.condition.truth(spot.state)
            most = self._mixed(position, pair, now, FAILS, HOLDS)
            for move in bits_of(self._moves.reaching(argument.condition.variables) & ~spot.frozen):
                before = sum(
                    self._mixed(p, pair, self._truths[p], least, greatest)
                    for p, least, greatest in self._helps.get(move, ())
                    if p == position
                )
                revised[move] = revised.get(move, by_move.get(move, 0)) - before + most
        return revised
