"""Decides the promises of a small rule base by going through every set of answers with the inference itself."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from advisor.engine.conclude import Conclusions, conclude_state
from advisor.engine.state import Answers, ContradictionError, NotKnown, full_domains, state_of
from advisor.proof.search import oracle
from advisor.proof.search.decoding import range_of
from advisor.proof.search.prover import followers
from advisor.rulebase.language.conditions import FAILS, HOLDS, single_cells
from advisor.rulebase.model import Fact, RuleBase, Several, Value, Worse


def values_of(rule_base: RuleBase, fact: Fact, *, partial: bool) -> list[Value | None]:
    """Every answer to a question that the rules can tell apart; None for not known."""
    kind = fact.entry.kind
    if kind == "several":
        words = ("no", "yes", "perhaps") if partial else ("no", "yes")
        found: list[Value | None] = []
        for choice in product(words, repeat=len(fact.variables)):
            items = dict(zip(fact.entry.options, choice, strict=True))
            present = frozenset(item for item, word in items.items() if word == "yes")
            found.append(Several(present, frozenset(item for item, word in items.items() if word == "perhaps")))
        return found
    if kind == "quantity":
        places = [cell.bit_length() - 1 for cell in single_cells(full_domains(rule_base, fact)[0][1])]
        ends = [(a, b) for a in range(len(places)) for b in range(a, len(places)) if partial or a == b]
        return [range_of(fact, sum(1 << place for place in places[a : b + 1])) for a, b in ends]
    plain: list[Value | None] = [False, True] if kind == "yes_no" else list(fact.entry.options)
    return [*plain, None] if partial else plain


def every_answers(rule_base: RuleBase, *, partial: bool) -> Iterator[tuple[Answers, Conclusions]]:
    """Every set of answers that does not contradict itself, with what follows."""
    facts = list(rule_base.facts.values())
    for choice in product(*(values_of(rule_base, fact, partial=partial) for fact in facts)):
        answers: dict[str, Value | NotKnown] = {
            fact.name: value for fact, value in zip(facts, choice, strict=True) if value is not None
        }
        try:
            state = state_of(rule_base, answers)
        except ContradictionError:
            continue
        yield answers, conclude_state(rule_base, answers, state)


class Found:
    """What going through everything found.

    Attributes:
        counts: How many full and partial sets there are.
        incomplete: Decisions in which some answers leave no option.
        tied: Pairs of options that some answers leave tied.
        clashing: Requirements that clash for some full answers.
        broken: Invariants that some answers break.
        outcomes: Everything that some full answers bring into the advice.
        decisive: Arguments without which some full answers would be decided otherwise.
        careless: Orders of danger along which some full answers lose something.
        drivers: Facts with an answer that changes the advice while all others stay.
    """

    def __init__(self, rule_base: RuleBase) -> None:
        self.rule_base = rule_base
        self.incomplete: set[str] = set()
        self.tied: set[tuple[str, frozenset[str]]] = set()
        self.clashing: set[str] = set()
        self.broken: set[str] = set()
        self.outcomes: set[str] = set()
        self.decisive: set[str] = set()
        full = list(every_answers(rule_base, partial=False))
        partial = list(every_answers(rule_base, partial=True))
        self.counts = len(full), len(partial)
        for _, conclusions in full:
            self._look(conclusions, full=True)
        for _, conclusions in partial:
            self._look(conclusions, full=False)
        self._compare({self._key(conclusions): conclusions for _, conclusions in full})

    def _look(self, conclusions: Conclusions, *, full: bool) -> None:
        self.incomplete |= set(oracle.without_option(conclusions))
        self.tied |= {(name, frozenset(pair)) for name, *pair in oracle.ties(conclusions)}
        for name, invariant in self.rule_base.invariants.items():
            if oracle.breaches(conclusions, invariant, for_certain=full):
                self.broken.add(name)
        if full:
            self.clashing |= {argument for _, argument in oracle.clashes(conclusions)}
            self.outcomes |= oracle.outcome(conclusions)
            for name, outcome in conclusions.outcomes.items():
                for argument in outcome.decision.arguments:
                    if conclusions.truth(argument.condition) == HOLDS:
                        other = oracle.chosen_without(conclusions, outcome.decision, argument.id)
                        if other != conclusions.outcomes[name].chosen:
                            self.decisive.add(argument.id)

    def _key(self, conclusions: Conclusions) -> tuple[int, ...]:
        facts = self.rule_base.facts.values()
        return tuple(conclusions.state[variable] for fact in facts for variable in fact.variables)

    def _compare(self, full: dict[tuple[int, ...], Conclusions]) -> None:
        """Look at all pairs that differ in one fact, and in what follows from it."""
        self.careless: set[str] = set()
        self.drivers: set[str] = set()
        states = list(full.values())
        for fact in self.rule_base.facts.values():
            following = followers(self.rule_base, fact.name)
            loose = {v for name in (fact.name, *following) for v in self.rule_base.facts[name].variables}
            groups: dict[tuple[int, ...], list[Conclusions]] = {}
            for conclusions in states:
                fixed = [v for f in self.rule_base.facts.values() for v in f.variables if v not in loose]
                groups.setdefault(tuple(conclusions.state[v] for v in fixed), []).append(conclusions)
            for group in groups.values():
                for one, other in product(group, repeat=2):
                    if one is not other and self._follows(one, other, following):
                        self._step(fact, one, other)

    def _follows(self, one: Conclusions, other: Conclusions, following: set[str]) -> bool:
        for name in following:
            fact = self.rule_base.facts[name]
            if all(one.state[v] == other.state[v] for v in fact.variables):
                continue
            if not any(implied.condition.truth(other.state) == HOLDS for implied in fact.implied):
                return False
            for worse in self.rule_base.worse.values():
                if worse.entry.fact == name and any(_moved(one, other, v, o[::-1]) for v, o in worse.orders):
                    return False
        return True

    def _step(self, fact: Fact, one: Conclusions, other: Conclusions) -> None:
        if oracle.outcome(one) != oracle.outcome(other):
            self.drivers.add(fact.name)
        for name, worse in self.rule_base.worse.items():
            if worse.entry.fact == fact.name and _worse(fact, worse, one, other) and _loses(worse, one, other):
                self.careless.add(name)


def _moved(one: Conclusions, other: Conclusions, variable: int, order: tuple[int, ...]) -> bool:
    before, after = one.state[variable], other.state[variable]
    return before in order and after in order and order.index(before) < order.index(after)


def _worse(fact: Fact, worse: Worse, one: Conclusions, other: Conclusions) -> bool:
    changed = [v for v in fact.variables if one.state[v] != other.state[v]]
    orders = dict(worse.orders)
    return len(changed) == 1 and changed[0] in orders and _moved(one, other, changed[0], orders[changed[0]])


def _loses(worse: Worse, one: Conclusions, other: Conclusions) -> bool:
    rule_base = one.rule_base
    stays = all(outcome.chosen == other.outcomes[name].chosen for name, outcome in one.outcomes.items())
    decided = {v for decision in rule_base.decisions.values() for v in (decision.variable,)}
    for name, hazard in rule_base.hazards.items():
        dropped = one.attached(name) and not other.attached(name)
        if dropped and (stays or not hazard.condition.variables & decided):
            return True
        for place, control in enumerate(hazard.controls):
            shown = control.condition is not None and oracle.control_shown(one, name, place)
            if stays and shown and not oracle.control_shown(other, name, place):
                return True
    return any(one.truth(c) == FAILS and other.truth(c) == HOLDS for c in worse.never_adds)
