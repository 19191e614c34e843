"""Completions of what was answered: a drawn pool of them, and all of them where they are few."""

from __future__ import annotations

import math
from bisect import bisect
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import accumulate

from advisor.engine.ask.blocks import MAY, MUST, Block, Column, MaskBook
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN, AnyOf, Condition, Leaf, Named, Tree, single_cells
from advisor.rulebase.model import Fact, RuleBase
from advisor.rulebase.values import domains_of_value, possible_domain

POOL = 512
_EAGER = 3.0
_FLAT_SHARE = 4


@frozen
class Follows:
    """A value that follows, as far as it says anything.

    Attributes:
        condition: When.
        unless: Conditions of the other values that go before this one; each has to fail.
        domain: For each of its variables, the cells it is in then.
    """

    condition: Condition
    unless: tuple[Condition, ...]
    domain: tuple[tuple[int, int], ...]

    def holds(self, block: Block) -> int:
        """The completions in which the value follows."""
        mask = block.holds(self.condition, MUST)
        for condition in self.unless:
            mask &= ~block.holds(condition, MAY)
        return mask

    def open(self, state: Sequence[int]) -> bool:
        """Whether the value may still come to follow in a state, but does not yet."""
        truth, others = self.condition.truth(state), [condition.truth(state) for condition in self.unless]
        return truth != FAILS and HOLDS not in others and OPEN in (truth, *others)

    def open_variables(self, state: Sequence[int]) -> frozenset[int]:
        """The variables that can still change whether the value follows."""
        return frozenset().union(*(condition.open_variables(state) for condition in (self.condition, *self.unless)))

    def ties(self, variable: int) -> bool:
        """Whether the value is one of a variable."""
        return any(variable == tied for tied, _ in self.domain)

    @property
    def variables(self) -> frozenset[int]:
        """The variables that it ties together."""
        tested = frozenset().union(*(condition.variables for condition in (self.condition, *self.unless)))
        return tested | {variable for variable, _ in self.domain}


@frozen
class Outlook:
    """What one rule base needs for looking at completions.

    Attributes:
        rule_base: The rules.
        domain: For each variable, the cells in which some sensible value lies.
        of_facts: The variables of facts.
        follows: The values that follow from others.
        follows_of: For each variable, those that it takes part in.
        inputs_of: For each computed variable, the variables that it is worked out from.
        depending: For each variable, the computed ones that are worked out from it, at first hand or later.
        book: Conditions compiled for blocks.
    """

    rule_base: RuleBase
    domain: tuple[int, ...]
    of_facts: tuple[int, ...]
    follows: tuple[Follows, ...]
    follows_of: Mapping[int, tuple[Follows, ...]]
    inputs_of: Mapping[int, tuple[int, ...]]
    depending: Mapping[int, tuple[int, ...]]
    book: MaskBook


def outlook_of(rule_base: RuleBase) -> Outlook:
    """The outlook of a rule base, made on first use."""
    return rule_base.once(_make_outlook)


def _make_outlook(rule_base: RuleBase) -> Outlook:
    domain = [variable.full for variable in rule_base.variables]
    for fact in rule_base.facts.values():
        if fact.entry.kind == "quantity":
            domain[fact.variables[0]] = possible_domain(fact)
    follows = []
    for fact in _drivers_first(rule_base):
        for place, implied in enumerate(fact.implied):
            tied = tuple(domains_of_value(fact, implied.value, rule_base.variables))
            if any(domain[variable] & ~bits for variable, bits in tied):
                unless = tuple(i.condition for i in fact.implied[:place] if i.value != implied.value)
                follows.append(Follows(implied.condition, unless, tied))
    of: dict[int, list[Follows]] = {}
    for follow in follows:
        for variable in follow.variables:
            of.setdefault(variable, []).append(follow)
    inputs = {fact.variables[0]: _inputs(rule_base, fact) for fact in rule_base.facts.values() if fact.computed}
    return Outlook(
        rule_base,
        tuple(domain),
        tuple(variable for fact in rule_base.facts.values() for variable in fact.variables),
        tuple(follows),
        {variable: tuple(found) for variable, found in of.items()},
        inputs,
        _depending(inputs),
        MaskBook(),
    )


def _depending(inputs: Mapping[int, tuple[int, ...]]) -> dict[int, tuple[int, ...]]:
    found: dict[int, dict[int, None]] = {}
    for computed, used in inputs.items():  # Each after those that it is worked out from.
        reached = dict.fromkeys(used)
        for variable, others in found.items():
            if reached.keys() & others.keys():
                reached[variable] = None
        for variable in reached:
            found.setdefault(variable, {})[computed] = None
    return {variable: tuple(others) for variable, others in found.items()}


def _inputs(rule_base: RuleBase, fact: Fact) -> tuple[int, ...]:
    """The variables that a computed fact is worked out from at first hand."""
    tested = {variable for condition in fact.choosing for variable in condition.variables}
    entering = {v for name in fact.used if name in rule_base.facts for v in rule_base.facts[name].variables}
    return tuple(sorted(tested | entering))


def _drivers_first(rule_base: RuleBase) -> Iterator[Fact]:
    """The facts whose value may follow from others, each after those that it follows from."""
    left = {name: fact for name, fact in rule_base.facts.items() if fact.implied}
    while left:
        waiting = {variable for fact in left.values() for variable in fact.variables}
        ready = [f for f in left.values() if all(waiting.isdisjoint(i.condition.variables) for i in f.implied)]
        # The compiler lets no facts follow from each other in a circle.
        assert ready
        yield from ready
        left = {name: fact for name, fact in left.items() if fact not in ready}


def _drawn_pool(rule_base: RuleBase) -> Block:
    """Completions of nothing, most of them such that work can go on; the same ones every time."""
    from random import Random  # Loaded only when a question is looked for.

    random = Random(1)
    outlook = outlook_of(rule_base)
    domain = outlook.domain
    hindering = _hindering(rule_base)
    columns: dict[int, Column] = {}
    for fact in rule_base.facts.values():
        for variable in fact.variables:
            options = list(single_cells(domain[variable]))
            eager = list(accumulate(math.exp(-_EAGER * hindering.get((variable, cell), 0.0)) for cell in options))
            masks = dict.fromkeys(options, 0)
            for place in range(POOL):
                if place % _FLAT_SHARE == 0:
                    cell = random.choice(options)
                else:
                    cell = options[bisect(eager, random.random() * eager[-1], 0, len(options) - 1)]
                masks[cell] |= 1 << place
            columns[variable] = tuple(masks.items())
    state = rule_base.full_state
    block = Block(outlook.book, state, columns, (1 << POOL) - 1)
    for follow in outlook.follows:
        columns, valid = followed(block, follow, follow.holds(block), columns)
        block = Block(outlook.book, state, columns, valid)
    return block


def _hindering(rule_base: RuleBase) -> dict[tuple[int, int], float]:
    """How much each cell of a variable speaks for striking options: what usually is not so where work goes on."""
    found: dict[tuple[int, int], float] = {}

    def spread(tree: Tree, weight: float) -> None:
        if isinstance(tree, Named):
            spread(tree.inner, weight)
        elif isinstance(tree, Leaf):
            for cell in single_cells(tree.inside):
                found[tree.variable, cell] = found.get((tree.variable, cell), 0.0) + weight
        else:
            share = 1 if isinstance(tree, AnyOf) else len(tree.parts)
            for part in tree.parts:
                spread(part, weight / share)

    for decision in rule_base.agenda.values():
        if decision.entry.stops:
            for argument in decision.arguments:
                if argument.says in ("require", "rule_out"):
                    share = len(argument.options) / len(decision.options)
                    spread(argument.condition.tree, 1 - share if argument.says == "require" else share)
    return found


def pool_block(outlook: Outlook, state: Sequence[int], free: Iterable[int]) -> Block:
    """The drawn completions of a state: the free variables as drawn, and what follows from them.

    Args:
        outlook: The outlook of the rule base.
        state: What is possible.
        free: The variables of the facts that were not asked.
    """
    whole = outlook.rule_base.once(_drawn_pool)
    columns = {variable: whole.columns[variable] for variable in free if variable in whole.columns}
    drawn = frozenset(columns)
    moved = {variable for variable in range(len(state)) if variable not in columns}
    valid = whole.valid
    unsure = frozenset(v for v in moved if state[v] & (state[v] - 1))
    block = Block(outlook.book, state, columns, valid, (whole, frozenset(moved)), unsure)
    for follow in outlook.follows:
        variables = follow.variables
        if moved.isdisjoint(variables) or variables.isdisjoint(columns):
            continue
        holds = follow.holds(block)
        if holds:
            columns, valid = followed(block, follow, holds, drawn)
            moved |= {variable for variable, _ in follow.domain}
            block = Block(outlook.book, state, columns, valid, (whole, frozenset(moved)))
    return block


def followed(block: Block, follow: Follows, holds: int, drawn: Collection[int]) -> tuple[dict[int, Column], int]:
    """The columns with a value made to follow where its condition holds; completions where it cannot are dropped.

    What was drawn gives way to what follows, what was answered does not.
    """
    columns, valid = dict(block.columns), block.valid
    for variable, bits in follow.domain:
        masks: dict[int, int] = {}
        for domain, mask in columns.get(variable, ((block.state[variable], block.valid),)):
            there = bits if variable in drawn and not domain & (domain - 1) else domain & bits
            if not there:
                valid &= ~(mask & holds)
                masks[domain] = masks.get(domain, 0) | mask & holds
            elif mask & holds:
                masks[there] = masks.get(there, 0) | mask & holds
            if mask & ~holds:
                masks[domain] = masks.get(domain, 0) | mask & ~holds
        columns[variable] = tuple(masks.items())
    return columns, valid


def agreeing(outlook: Outlook, block: Block, variables: Iterable[int]) -> int:
    """The completions in which nothing that follows is contradicted, as far as some variables are concerned."""
    valid = block.valid
    for follow in {id(f): f for v in variables for f in outlook.follows_of.get(v, ())}.values():
        holds = follow.holds(block)
        if holds:
            fits = block.valid
            for variable, bits in follow.domain:
                fits &= block.leaf(variable, bits, MAY)
            valid &= ~holds | fits
    return valid


def completion_in(block: Block, mask: int) -> dict[int, int]:
    """The cells of each variable of a block in one of some of its completions."""
    bit = mask & -mask
    return {variable: domain for variable, column in block.columns.items() for domain, where in column if where & bit}
