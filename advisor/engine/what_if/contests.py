"""What stands between one option of a decision and being chosen, and which moves could clear it away.

The cautious choice is never an option that may be ruled out, and among the rest the one with the best least support.
So an option is chosen exactly when nothing may rule it out and every option that is ahead of it may be ruled out.
Each thing in the way gives a set of moves of which every solution holds at least one.
"""

from __future__ import annotations

from collections.abc import Iterator, KeysView

from advisor.engine.conclude import Ruling
from advisor.engine.what_if.flips import Flips, union
from advisor.engine.what_if.leads import Leads, counted
from advisor.engine.what_if.moves import Moves, Spot
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS


@frozen
class Poll:
    """How a decision comes out at a spot.

    Attributes:
        chosen: Position of the chosen option.
        low: Least support of each option.
        strikes: For each option, how many rulings may strike it.
        touched: Positions of the rulings that the moves bear on.
    """

    chosen: int
    low: list[int]
    strikes: list[int]
    touched: KeysView[int]


@frozen
class Effect:
    """What changing one variable alone does to a decision.

    Attributes:
        low: Option and change of its least support, where there is one.
        strikes: Option and change of the number of rulings that may strike it, where there is one.
        rulings: Truth of each ruling that tests the variable, by position.
        mixed: Truth of each argument about several variables that tests it, by position.
    """

    low: tuple[tuple[int, int], ...]
    strikes: tuple[tuple[int, int], ...]
    rulings: dict[int, int]
    mixed: dict[int, int]


def _steps(changes: list[int]) -> tuple[tuple[int, int], ...]:
    return tuple((option, step) for option, step in enumerate(changes) if step)


def _shared(alone: list[dict[int, int]]) -> list[tuple[int, list[int]]]:
    """The positions that several changes bear on, with the truth each change alone would bring."""
    if len(alone) < 2:
        return []
    truths: dict[int, list[int]] = {}
    for one in alone:
        for position, truth in one.items():
            truths.setdefault(position, []).append(truth)
    return [(position, several) for position, several in truths.items() if len(several) > 1]


class Contest:
    """One decision, with the decisions it depends on left as they are chosen now."""

    def __init__(self, ruling: Ruling, moves: Moves, flips: Flips) -> None:
        stand = ruling.standing
        self._weights = stand.weights
        self._truths = stand.ruling_truths
        self._mixed_truths = stand.mixed_truths
        self._moves, self._flips = moves, flips
        self._options = range(len(self._weights.base))
        self._low = [low for low, _ in ruling.support]
        self._strikes = [a + b for a, b in zip(stand.surely_out, stand.maybe_out, strict=True)]
        self._fallback = ruling.decision.options.index(ruling.decision.fallback)
        self._found_leads: Leads | None = None
        self._striking: list[list[int]] = [[] for _ in self._options]
        for position, options in enumerate(self._weights.ruled_options):
            for option in options:
                self._striking[option].append(position)
        self._effects: dict[tuple[int, int], Effect] = {}
        self._struck_now: dict[tuple[int, int], int] = {}

    @property
    def _leads(self) -> Leads:
        if self._found_leads is None:
            self._found_leads = Leads(self._weights, self._moves, self._mixed_truths)
        return self._found_leads

    def poll(self, spot: Spot) -> Poll:
        """How the decision comes out at a spot where the answers do not contradict each other."""
        found = spot.notes.get(self)
        if not isinstance(found, Poll):
            found = spot.notes[self] = self._poll(spot)
        return found

    def _poll(self, spot: Spot) -> Poll:
        weights = self._weights
        low, strikes = self._low.copy(), self._strikes.copy()
        touched: dict[int, int] = {}
        effects = [self._effect(*change) for change in spot.changed]
        for effect in effects:
            for option, step in effect.low:
                low[option] += step
            for option, step in effect.strikes:
                strikes[option] += step
            touched.update(effect.rulings)
        for position, truths in _shared([effect.rulings for effect in effects]):
            truth = weights.rulings[position].condition.truth(spot.state)
            step = self._strike_step(position, truth) - sum(self._strike_step(position, t) for t in truths)
            if step:
                for option in weights.ruled_options[position]:
                    strikes[option] += step
        for position, truths in _shared([effect.mixed for effect in effects]):
            argument, vector = weights.mixed[position]
            truth, now = argument.condition.truth(spot.state), self._mixed_truths[position]
            for option, weight in enumerate(vector):
                if weight:
                    alone = sum(counted(t, weight) - counted(now, weight) for t in truths)
                    low[option] += counted(truth, weight) - counted(now, weight) - alone
        allowed = [option for option in self._options if not strikes[option]] or [self._fallback]
        chosen = min(allowed, key=lambda option: (-low[option], weights.rank[option], option))
        return Poll(chosen, low, strikes, touched.keys())

    def _strike_step(self, position: int, truth: int) -> int:
        return (truth != FAILS) - (self._truths[position] != FAILS)

    def _effect(self, variable: int, before: int, after: int) -> Effect:
        """What changing one variable alone does."""
        found = self._effects.get((variable, after))
        if found is None:
            found = self._effects[variable, after] = self._work_out(variable, before, after)
        return found

    def _work_out(self, variable: int, before: int, after: int) -> Effect:
        weights = self._weights
        low, strikes = [0] * len(self._options), [0] * len(self._options)
        state = self._moves.state.copy()
        state[variable] = after
        if variable in weights.tables:
            for option, least, _ in weights.bounds(variable, before):
                low[option] -= least
            for option, least, _ in weights.bounds(variable, after):
                low[option] += least
        rulings = {p: weights.rulings[p].condition.truth(state) for p in weights.rulings_of.get(variable, ())}
        mixed = {p: weights.mixed[p][0].condition.truth(state) for p in weights.mixed_of.get(variable, ())}
        for position, truth in rulings.items():
            for option in weights.ruled_options[position]:
                strikes[option] += self._strike_step(position, truth)
        for position, truth in mixed.items():
            for option, weight in enumerate(weights.mixed[position][1]):
                low[option] += counted(truth, weight) - counted(self._mixed_truths[position], weight)
        return Effect(_steps(low), _steps(strikes), rulings, mixed)

    def obstacles(self, spot: Spot, option: int, most: int) -> Iterator[int]:
        """What stands between an option and being chosen.

        Args:
            spot: Where the moves made so far lead; the answers do not contradict each other there.
            option: The option that is to be chosen.
            most: How many more moves may be made, at least one.

        Returns:
            For each obstacle, moves of which at least one is in every set of at most so many further moves after
            which the option is chosen. None at all when it is chosen already.
        """
        poll = self.poll(spot)
        if poll.chosen == option:
            return
        fallback = option == self._fallback
        if not fallback:
            for position in self._striking[option]:
                flip = self._flips.to_failing(self._weights.rulings[position].condition, spot.state)
                if flip is not None:
                    yield union((flip,), most)
        lifted = self._unstruck(spot, option, most) if fallback and poll.strikes[option] else 0
        for other in self._options:
            if other == option or poll.strikes[other]:
                continue
            gap = self._gap(poll, option, other)
            if gap > 0 or (fallback and poll.strikes[option]):
                ahead = self._leads.credited(spot, (option, other), gap, most) if gap > 0 else 0
                yield ahead | lifted | self._strike(spot, poll, other, most)

    def _gap(self, poll: Poll, option: int, other: int) -> int:
        """How much least support an option lacks to be taken before another."""
        rank = self._weights.rank
        first = (rank[option], option) < (rank[other], other)
        return poll.low[other] - poll.low[option] + (0 if first else 1)

    def _unstruck(self, spot: Spot, option: int, most: int) -> int:
        conditions = (self._weights.rulings[position].condition for position in self._striking[option])
        return union((self._flips.to_failing(condition, spot.state) for condition in conditions), most)

    def _strike(self, spot: Spot, poll: Poll, option: int, most: int) -> int:
        """Moves of which one is needed to have an option struck that nothing strikes now."""
        rulings = self._striking[option]
        if poll.touched.isdisjoint(rulings):
            key = (option, most)
            if key not in self._struck_now:
                self._struck_now[key] = self._strike_by(rulings, self._moves.state, most)
            return self._struck_now[key]
        return self._strike_by(rulings, spot.state, most)

    def _strike_by(self, rulings: list[int], state: list[int], most: int) -> int:
        conditions = (self._weights.rulings[position].condition for position in rulings)
        return union((self._flips.to_standing(condition, state) for condition in conditions), most)
