"""Answers given otherwise: every single move, and what a few of them together make of the state.

A *move* puts one variable into another cell: another option, an item seen or not seen, an amount in another stretch.
Cells that no rule tells apart make one move. What follows from other answers is worked out anew after every move, as it
is for the answers themselves. Sets of moves are kept as the bits of one integer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from advisor.engine.conclude import Conclusions
from advisor.engine.state import answered_state
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import HOLDS, Condition, leaves
from advisor.rulebase.model import Fact, RuleBase
from advisor.rulebase.values import cells_of_value, possible_cells


def bits_of(mask: int) -> Iterator[int]:
    """The places of the bits that are set, from the lowest."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest


@frozen
class Following:
    """A fact whose value may follow from others.

    Attributes:
        variables: Its variables.
        values: In order, when a value follows, and the cells it means for each variable.
    """

    variables: tuple[int, ...]
    values: tuple[tuple[Condition, tuple[tuple[int, int], ...]], ...]

    @property
    def tested(self) -> frozenset[int]:
        """The variables from which its value may follow."""
        return frozenset(v for condition, _ in self.values for v in condition.variables)


@dataclass(slots=True)
class Spot:
    """Where a set of moves leads.

    Attributes:
        moves: The moves, as bits.
        frozen: Every move of the variables that are moved already, as bits.
        state: The state, with the decisions as they are chosen now.
        changed: The variables that differ from now, with their cells now and here.
        repairs: When the answers contradict each other here, the moves of which one is needed to mend it.
        notes: What was worked out about this spot, by who worked it out.
    """

    moves: int
    frozen: int
    state: list[int]
    changed: tuple[tuple[int, int, int], ...]
    repairs: int | None
    notes: dict[object, object] = field(default_factory=dict)


class Moves:
    """Every single move from some answers.

    Attributes:
        state: The state now, with the decisions as chosen.
        places: Variable and cell of each move; the cell stands for all that the move may go to.
        cells: For each move, every cell it may go to, as bits.
        of_variable: For each variable of a fact, its moves as bits.
        drivers: For each variable whose value may follow and is not given, the moves it may follow from.
        loose: The variables that another variable may drive, by that other variable.
    """

    def __init__(self, conclusions: Conclusions) -> None:
        rule_base = conclusions.rule_base
        self.state = list(conclusions.state)
        self._answered = answered_state(rule_base, conclusions.answers)
        self.places: list[tuple[int, int]] = []
        self.cells: list[int] = []
        self.of_variable: dict[int, int] = {}
        for fact in rule_base.facts.values():
            self._add_moves(rule_base, fact)
        following = [_following(rule_base, fact) for fact in rule_base.facts.values() if fact.implied]
        self._tied = _tied(following)
        self.drivers = self._drivers(following)
        self.loose: dict[int, set[int]] = {}
        for variable, moves in self.drivers.items():
            for move in bits_of(moves):
                self.loose.setdefault(self.places[move][0], set()).add(variable)
        self._into: dict[tuple[int, int], int] = {}
        self._spots: dict[int, Spot] = {}

    def _add_moves(self, rule_base: RuleBase, fact: Fact) -> None:
        for variable in fact.variables:
            given = self._answered[variable]
            quantity = fact.entry.kind == "quantity"
            cells = possible_cells(fact) if quantity else rule_base.variables[variable].full
            moves = 0
            for alike in alike_cells(rule_base)[variable]:
                # Within the stretch of a single answer nothing is told apart, so no move leads there.
                if alike & cells and not (given & alike and not given & (given - 1)):
                    moves |= 1 << len(self.places)
                    self.places.append((variable, alike & cells & -(alike & cells)))
                    self.cells.append(alike & cells)
            self.of_variable[variable] = moves

    def _drivers(self, following: list[Following]) -> dict[int, int]:
        found = {v: 0 for one in following for v in one.variables if self._answered[v] & (self._answered[v] - 1)}
        for _ in following:
            before = dict(found)
            for one in following:
                moves = self.reaching(one.tested, found)
                found.update({v: found[v] | moves for v in one.variables if v in found})
            if found == before:
                break
        return found

    def reaching(self, variables: frozenset[int], drivers: Mapping[int, int] | None = None) -> int:
        """Every move that may change the cells of one of some variables, directly or through what follows."""
        through = self.drivers if drivers is None else drivers
        moves = 0
        for variable in variables:
            moves |= self.of_variable.get(variable, 0) | through.get(variable, 0)
        return moves

    def into(self, variable: int, cells: int) -> int:
        """The moves that put a variable into one of some cells."""
        key = (variable, cells)
        found = self._into.get(key)
        if found is None:
            moves = bits_of(self.of_variable.get(variable, 0))
            found = self._into[key] = sum(1 << move for move in moves if self.places[move][1] & cells)
        return found

    def spot(self, moves: int) -> Spot:
        """Where some moves lead, each of another variable."""
        found = self._spots.get(moves)
        if found is None:
            found = self._spots[moves] = self._work_out(moves)
        return found

    def _work_out(self, moves: int) -> Spot:
        state = self.state.copy()
        moved = [self.places[move] for move in bits_of(moves)]
        touched: dict[int, tuple[Following, ...]] = {}
        for variable, _ in moved:
            tied = self._tied.get(variable)
            if tied:
                touched[id(tied)] = tied
        variables = {variable for variable, _ in moved}
        for tied in touched.values():
            for one in tied:
                for variable in one.variables:
                    state[variable] = self._answered[variable]
                    variables.add(variable)
        frozen = 0
        for variable, cell in moved:
            state[variable] = cell
            frozen |= self.of_variable[variable]
        repairs = None
        for tied in touched.values():
            repairs = self._follow(tied, state)
            if repairs is not None:
                break
        now = self.state
        changed = tuple((v, now[v], state[v]) for v in variables if state[v] != now[v])
        return Spot(moves, frozen, state, changed, repairs)

    def _follow(self, tied: tuple[Following, ...], state: list[int]) -> int | None:
        """Narrow a state by what follows; where that contradicts an answer, the moves of which one is needed."""
        changed = True
        while changed:
            changed = False
            for one in tied:
                cells = next((cells for condition, cells in one.values if condition.truth(state) == HOLDS), ())
                for variable, bits in cells:
                    narrowed = state[variable] & bits
                    if not narrowed:
                        return self.into(variable, bits) | self.reaching(one.tested)
                    if narrowed != state[variable]:
                        state[variable] = narrowed
                        changed = True
        return None


_ALIKE: dict[int, tuple[RuleBase, dict[int, tuple[int, ...]]]] = {}


def alike_cells(rule_base: RuleBase) -> dict[int, tuple[int, ...]]:
    """For each variable, its cells parted into those that no decision, hazard or implied value tells apart."""
    found = _ALIKE.get(id(rule_base))
    if found is None or found[0] is not rule_base:
        if len(_ALIKE) > 8:
            _ALIKE.clear()
        tests: dict[int, set[int]] = {variable.index: set() for variable in rule_base.variables}
        for condition in _conditions(rule_base):
            for leaf in leaves(condition.tree):
                tests[leaf.variable].add(leaf.inside)
        for fact in rule_base.facts.values():
            for implied in fact.implied:
                for variable, cells in cells_of_value(fact, implied.value, rule_base.variables):
                    tests[variable].add(cells)
        alike = {v.index: _parted(v.full, tests[v.index]) for v in rule_base.variables}
        found = _ALIKE[id(rule_base)] = (rule_base, alike)
    return found[1]


def _conditions(rule_base: RuleBase) -> Iterator[Condition]:
    for decision in rule_base.decisions.values():
        yield from (argument.condition for argument in decision.arguments)
    yield from (hazard.condition for hazard in rule_base.hazards.values())
    yield from (implied.condition for fact in rule_base.facts.values() for implied in fact.implied)


def _parted(full: int, tests: set[int]) -> tuple[int, ...]:
    parts = [full]
    for inside in tests:
        parts = [part for whole in parts for part in (whole & inside, whole & ~inside) if part]
    return tuple(sorted(parts, key=lambda part: part & -part))


def _following(rule_base: RuleBase, fact: Fact) -> Following:
    values = ((i.condition, tuple(cells_of_value(fact, i.value, rule_base.variables))) for i in fact.implied)
    return Following(fact.variables, tuple(values))


def _tied(following: list[Following]) -> dict[int, tuple[Following, ...]]:
    """For each variable, the facts whose values hang together with it, in the order of the rule base."""
    groups: list[tuple[set[int], list[Following]]] = []
    for one in following:
        variables, members = set(one.variables) | one.tested, [one]
        apart = []
        for group in groups:
            if group[0].isdisjoint(variables):
                apart.append(group)
            else:
                variables |= group[0]
                members = group[1] + members
        groups = [*apart, (variables, members)]
    order = {id(one): place for place, one in enumerate(following)}
    tied = {}
    for variables, members in groups:
        ordered = tuple(sorted(members, key=lambda one: order[id(one)]))
        tied.update(dict.fromkeys(variables, ordered))
    return tied
