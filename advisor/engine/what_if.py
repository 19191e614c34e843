"""Which single answers, given otherwise, would change the advice: each is given, and concluded anew.

A change of an earlier decision is told instead of the later ones that follow from it, and a hazard only while the
decisions that its rule looks at stay, since with another route come other hazards. What no answer bears on is not
concluded again. The fallback is told only where it is settled: a stop that rests on where in its stretch the amount
lies, or on something else that is not known, is none.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

from advisor.engine.alike import alike_cells
from advisor.engine.causes import support_in
from advisor.engine.conclude import Conclusions, prepared_decisions
from advisor.engine.decide import cautious_choice
from advisor.engine.state import ContradictionError, Moves
from advisor.engine.stretches import words_of_domain
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.model import Fact
from advisor.rulebase.values import possible_domain

Effect = Literal["appears", "disappears"]


@frozen
class Target:
    """What comes out otherwise.

    Attributes:
        name: A decision, or a hazard.
        to: The option it changes to; for a hazard that it appears or disappears.
        hazard: Whether it is a hazard.
        effect: For an option of which several may be taken, and for a hazard, whether it appears or disappears.
    """

    name: str
    to: str
    hazard: bool = False
    effect: Effect | None = None


@frozen
class OtherAnswer:
    """An answer that, given otherwise, changes something.

    Attributes:
        fact: The fact.
        words: The other answer in words.
        target: What comes out otherwise.
    """

    fact: str
    words: str
    target: Target


def other_answers(
    conclusions: Conclusions, decisions: tuple[str, ...], *, hazards: bool, leave_out: frozenset[str] = frozenset()
) -> list[OtherAnswer]:
    """Every single answer that changes something, in the order of the facts; neighbouring amounts are one answer.

    Args:
        conclusions: What follows from the answers now.
        decisions: The decisions for one option that are looked at, in order; those for several always are.
        hazards: Whether hazards are looked at too.
        leave_out: Facts whose answers are left as they are.
    """
    rule_base = conclusions.rule_base
    trial = _Trial(conclusions, decisions, hazards)
    found: dict[tuple[int, Target], int] = {}
    for fact in rule_base.facts.values():
        for variable, domain in trial.moves(fact) if fact.name not in leave_out and not fact.computed else ():
            for target in trial.reached(fact, variable, domain):
                found[variable, target] = found.get((variable, target), 0) | domain
    return [
        OtherAnswer(rule_base.variables[variable].name, words, target)
        for (variable, target), domain in found.items()
        for words in words_of_domain(rule_base, variable, domain)
    ]


class _Trial:
    """Gives answers otherwise, one at a time."""

    def __init__(self, before: Conclusions, decisions: tuple[str, ...], hazards: bool) -> None:
        self._before = before
        self._rule_base = before.rule_base
        self._moves = Moves(before.rule_base, before.answers)
        self._of_facts = [index for fact in before.rule_base.facts.values() for index in fact.variables]
        self._prepared = prepared_decisions(before.rule_base).for_one
        self._stay = {
            name: {*decisions[:place], *self._depends_on(self._prepared[name].variables)}
            for place, name in enumerate(decisions)
        }
        self._hazards = [
            (name, before.attached(name), hazard.condition, self._depends_on(hazard.condition.variables))
            for name, hazard in (self._rule_base.hazards.items() if hazards else ())
        ]
        self._places = {
            name: dict(zip(several.prepared, several.decision.variables, strict=True))
            for name, several in before.several.items()
        }
        self._bearing: dict[int, list[tuple[str, str]]] = {}
        for name, several in before.several.items():
            for option, prepared in several.prepared.items():
                for variable in prepared.variables:
                    self._bearing.setdefault(variable, []).append((name, option))

    def _depends_on(self, variables: Iterable[int]) -> set[str]:
        """The decisions for one option among some variables, and those that these depend on in turn."""
        tested, found = set(variables), set()
        for name, prepared in reversed(list(self._prepared.items())):
            if prepared.decision.variable in tested:
                found.add(name)
                tested |= prepared.variables
        return found

    def moves(self, fact: Fact) -> Iterator[tuple[int, int]]:
        """The other answers for a fact: a variable, and cells of it that no rule tells apart."""
        for variable in fact.variables:
            possible = (
                possible_domain(fact) if fact.entry.kind == "quantity" else self._rule_base.variables[variable].full
            )
            for kind in alike_cells(self._rule_base)[variable]:
                if kind & possible and self._moves.answered[variable] & ~kind:
                    yield variable, kind & possible

    def reached(self, fact: Fact, variable: int, domain: int) -> Iterator[Target]:
        """What comes out otherwise with one answer given otherwise; nothing when it contradicts another answer."""
        before = self._before
        try:
            state = self._moves.moved(fact, variable, domain)
        except ContradictionError:
            return
        moved = {index for index in self._of_facts if state[index] != before.state[index]}
        yield from self._judged(state, moved)
        changed, doubtful = self._decided(state, moved)
        for name, stay in self._stay.items():
            if name in changed and name not in doubtful and stay.isdisjoint(changed):
                yield Target(name, changed[name])
        for name, attached, condition, stay in self._hazards:
            if (condition.truth(state) != FAILS) is not attached and stay.isdisjoint(changed):
                effect: Effect = "disappears" if attached else "appears"
                yield Target(name, effect, True, effect)

    def _judged(self, state: list[int], moved: set[int]) -> Iterator[Target]:
        """The options taken in or out of decisions for several, which are brought up to date."""
        touched = dict.fromkeys(one for index in sorted(moved) for one in self._bearing.get(index, ()))
        for name, several in self._before.several.items():
            for index in several.decision.variables:
                state[index] = self._before.state[index]
            places = self._places[name]
            for option in (option for decision, option in touched if decision == name):
                support = support_in(several.prepared[option], state)
                self._put(state, moved, places[option], support.acted_on(several.taken_at))
                taken = support.taken(several.taken_at)
                if taken != several.supports[option].taken(several.taken_at):
                    yield Target(name, option, effect="appears" if taken else "disappears")

    def _decided(self, state: list[int], moved: set[int]) -> tuple[dict[str, str], set[str]]:
        """The decisions that come out otherwise, and which of them in doubt; all are brought up to date."""
        changed, doubtful = {}, set()
        for name, outcome in self._before.outcomes.items():
            prepared, chosen = self._prepared[name], outcome.chosen
            if not moved.isdisjoint(prepared.variables):
                tally = outcome.tally.after(moved, state)
                chosen = outcome.decision.options[cautious_choice(tally, tally.support())]
            self._put(state, moved, outcome.decision.variable, 1 << outcome.decision.options.index(chosen))
            if chosen != outcome.chosen:
                changed[name] = chosen
                if chosen == outcome.decision.fallback and tally.possible().bit_count() > 1:
                    doubtful.add(name)
        return changed, doubtful

    def _put(self, state: list[int], moved: set[int], index: int, domain: int) -> None:
        state[index] = domain
        if domain != self._before.state[index]:
            moved.add(index)
