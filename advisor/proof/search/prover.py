"""Asks the solver about a rule base, and makes what it finds small and sure."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

from advisor.engine import Answers, Conclusions
from advisor.proof.report import Failure
from advisor.proof.search.decoding import answers_found
from advisor.proof.search.oracle import concluded
from advisor.proof.space.logic import Bit, Logic
from advisor.proof.space.world import World
from advisor.rulebase.model import Decision, RuleBase


class Prover:
    """The worlds of one rule base, each made when it is first needed.

    Attributes:
        rule_base: The rules.
    """

    def __init__(self, rule_base: RuleBase) -> None:
        self.rule_base = rule_base

    @property
    def decisions(self) -> dict[str, Decision]:
        """The decisions of this consultation for one option."""
        return {name: decision for name, decision in self.rule_base.agenda.items() if not decision.entry.several}

    @property
    def diagnosis(self) -> bool:
        """Whether this is the consultation of the diagnosis, which has promises of its own."""
        return any(decision.of_diagnosis for decision in self.rule_base.agenda.values())

    @cached_property
    def full(self) -> World:
        """All full sets of answers."""
        return World(Logic(), self.rule_base, partial=False)

    @cached_property
    def partial(self) -> World:
        """All sets of answers, with things not known."""
        return World(Logic(), self.rule_base, partial=True)

    @cached_property
    def beside(self) -> World:
        """All full sets of answers with any option of the first decision, as when routes are laid side by side."""
        first = next((n for n, d in self.rule_base.agenda.items() if not d.entry.several), "")
        return World(Logic(), self.rule_base, partial=False, free=frozenset({first}))

    def compared(self, *facts: str) -> tuple[World, World]:
        """Two full sets of answers that differ in some facts at most, and in what follows from them."""
        logic = Logic()
        before = World(logic, self.rule_base, partial=False)
        apart = frozenset(facts).union(*(followers(self.rule_base, fact) for fact in facts))
        return before, World(logic, self.rule_base, partial=False, beside=before, apart=apart)

    def failure(
        self,
        subject: str,
        says: str,
        shows: Callable[[World], Bit],
        confirms: Callable[[Conclusions], bool],
        world: World | None = None,
    ) -> Failure:
        """A failure with the smallest answers that show it.

        Args:
            subject: What is concerned.
            says: What is wrong.
            shows: The bit that is true where it shows.
            confirms: Whether the inference shows it for one set of answers.
            world: Where it was found last; used when nothing smaller shows it.
        """
        answers = self.smallest(shows)
        if answers is None:
            found = world or self.full
            if not found.logic.possible(shows(found)):
                raise AssertionError(f"{subject}: found before, but not found again")
            answers = answers_found(found.space)
        return Failure(subject, says, answers, confirmed=confirms(concluded(self.rule_base, answers)))

    def smallest(self, shows: Callable[[World], Bit]) -> Answers | None:
        """The fewest answers for which a bit is true, and the shortest lists in them.

        None when it needs full answers or never is.
        """
        world = self.partial
        logic, space, bit = world.logic, world.space, shows(world)
        if not logic.possible(bit):
            return None
        said = list(space.answered.values())
        items = [
            logic.every([space.answered[fact.name], space.given[variable][1]])
            for fact in self.rule_base.facts.values()
            if fact.entry.kind == "several"
            for variable in fact.variables
        ]
        _, count = self._fewest([bit], said)
        answers, _ = self._fewest([bit, logic.at_most_of(said, count)], items)
        return answers

    def _fewest(self, shown: list[Bit], counted: list[Bit]) -> tuple[Answers | None, int]:
        """Answers with as few of some bits as can be, and how many these are."""
        world, answers = self.partial, None
        least, middle, most = 0, len(counted), len(counted)
        while answers is None or least < most:
            if world.logic.possible(*shown, world.logic.at_most_of(counted, middle)):
                answers = answers_found(world.space)
                most = sum(map(world.logic.truth, counted))
            else:
                least = middle + 1
            middle = (least + most) // 2
        return answers, most


def followers(rule_base: RuleBase, name: str) -> set[str]:
    """The facts whose value may follow from the answer for a fact."""
    found = {name}
    for _ in rule_base.facts:
        tested = {variable for other in found for variable in rule_base.facts[other].variables}
        found |= {
            fact.name
            for fact in rule_base.facts.values()
            if any(implied.condition.variables & tested for implied in fact.implied)
        }
    return found - {name}
