"""Three-valued truth, compared with brute force over every way the open facts could turn out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise, product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.rulebase.language.conditions import (
    FAILS,
    HOLDS,
    OPEN,
    AllOf,
    AnyOf,
    Condition,
    Leaf,
    Named,
    Tree,
    leaves,
    negation,
    single_cells,
    tree_truth,
    words_of,
)
from advisor.rulebase.language.words import NO_WORDS
from advisor.rulebase.model import RuleBase
from advisor.rulebase.values import domains_of_value, possible_domain, read_value
from tests.rulebase.small_base import compiled

# --- brute force -----------------------------------------------------------------------------------


def two_valued(tree: Tree, domain: Sequence[int]) -> bool:
    """Truth when every variable is in exactly one cell, straight from the meaning of and, or and is."""
    if isinstance(tree, Leaf):
        return bool(domain[tree.variable] & tree.inside)
    if isinstance(tree, Named):
        return two_valued(tree.inner, domain)
    results = [two_valued(part, domain) for part in tree.parts]
    return all(results) if isinstance(tree, AllOf) else any(results)


def completions(state: Sequence[int]) -> Iterator[tuple[int, ...]]:
    return product(*(tuple(single_cells(domain)) for domain in state))


def brute_truth(tree: Tree, state: Sequence[int]) -> int:
    results = {two_valued(tree, domain) for domain in completions(state)}
    return OPEN if len(results) == 2 else HOLDS if results == {True} else FAILS


def brute_open_variables(tree: Tree, state: Sequence[int]) -> set[int]:
    """The variables of which one value would give another truth, with all others as they are."""
    found = set()
    for domain in completions(state):
        here = two_valued(tree, domain)
        for variable, possible in enumerate(state):
            for cell in single_cells(possible):
                moved = [*domain[:variable], cell, *domain[variable + 1 :]]
                if two_valued(tree, moved) != here:
                    found.add(variable)
    return found


# --- drawing trees and states ----------------------------------------------------------------------

CELLS = 3
FULL = (1 << CELLS) - 1
MOST_VARIABLES = 5


def leaf(variable: int, inside: int) -> Leaf:
    return Leaf(variable, inside, FULL, f"v{variable} in {inside:03b}", f"v{variable} not in {inside:03b}")


@st.composite
def trees(draw: st.DrawFn, variables: list[int], depth: int, read_once: bool) -> Tree:
    """A tree over the variables; read once means that each stands in one place only."""
    if depth == 0 or len(variables) == 1 or draw(st.integers(0, 3)) == 0:
        inside = draw(st.integers(1, FULL - 1) if read_once else st.integers(0, FULL))
        return leaf(draw(st.sampled_from(variables)), inside)
    if draw(st.integers(0, 4)) == 0:
        return Named("finding", "a finding", draw(trees(variables, depth - 1, read_once)))
    kind = draw(st.sampled_from([AllOf, AnyOf]))
    if read_once:
        breakpoint = draw(st.integers(1, len(variables) - 1))
        groups = [variables[:breakpoint], variables[breakpoint:]]
    else:
        groups = [variables] * draw(st.integers(2, 3))
    return kind(tuple(draw(trees(group, depth - 1, read_once)) for group in groups))


states = st.lists(st.integers(1, FULL), min_size=MOST_VARIABLES, max_size=MOST_VARIABLES)
everything = list(range(MOST_VARIABLES))
read_once_trees = trees(everything, 4, True)
repeating_trees = trees(everything, 3, False)
any_trees = st.one_of(read_once_trees, repeating_trees)


# --- laws ------------------------------------------------------------------------------------------


@given(read_once_trees, states)
def test_truth_is_exact_when_each_fact_is_tested_once(tree: Tree, state: list[int]) -> None:
    assert Condition("", tree).truth(state) == brute_truth(tree, state)


@given(repeating_trees, states)
def test_truth_is_exact_when_facts_are_tested_in_several_places(tree: Tree, state: list[int]) -> None:
    assert Condition("", tree).truth(state) == brute_truth(tree, state)


@given(st.lists(st.tuples(trees(everything[:2], 2, False), st.booleans()), min_size=1, max_size=6), states)
def test_a_test_and_its_opposite_in_one_condition_are_seen_through(
    drawn: list[tuple[Tree, bool]], state: list[int]
) -> None:
    parts = tuple(negation(tree) if turned else tree for tree, turned in drawn)
    for tree in (AllOf((*parts, negation(parts[0]))), AnyOf((*parts, negation(parts[0])))):
        truth = Condition("", tree).truth(state)
        assert truth == brute_truth(tree, state)
        assert truth == (FAILS if isinstance(tree, AllOf) else HOLDS)


@given(any_trees, states)
def test_the_shown_truth_of_a_part_is_never_wrong_only_more_careful(tree: Tree, state: list[int]) -> None:
    assert tree_truth(tree, state) in (OPEN, brute_truth(tree, state))


def test_beyond_the_limit_of_splitting_the_truth_is_careful_and_not_wrong() -> None:
    domain = 5
    full = (1 << domain) - 1
    agree = [Leaf(v, 1 << c, full, "", "") for v in range(4) for c in (0, 1)]
    never = AllOf(tuple(AnyOf((a, b)) for a, b in pairwise(agree)))
    for tree in (never, AnyOf((never, negation(never)))):
        assert Condition("", tree).truth([full] * 4) in (OPEN, brute_truth(tree, [full] * 4))
    assert Condition("", AnyOf((never, negation(never)))).truth([0b11] * 4) == HOLDS


@given(any_trees, states)
def test_the_negation_holds_exactly_where_the_condition_fails(tree: Tree, state: list[int]) -> None:
    opposite = negation(tree)
    assert Condition("", opposite).truth(state) == HOLDS - Condition("", tree).truth(state)
    assert negation(opposite) == tree


@given(any_trees, states, states)
def test_knowing_more_never_unsettles_a_truth(tree: Tree, state: list[int], other: list[int]) -> None:
    condition = Condition("", tree)
    narrowed = [domain & more or domain for domain, more in zip(state, other, strict=True)]
    if condition.truth(state) != OPEN:
        assert condition.truth(narrowed) == condition.truth(state)


@given(any_trees, states)
def test_with_every_fact_known_nothing_is_open(tree: Tree, state: list[int]) -> None:
    known = [domain & -domain for domain in state]
    assert Condition("", tree).truth(known) == (HOLDS if two_valued(tree, known) else FAILS)


def turned_round(tree: Tree) -> Tree:
    if isinstance(tree, AllOf | AnyOf):
        return type(tree)(tuple(turned_round(part) for part in reversed(tree.parts)))
    return Named(tree.name, tree.said, turned_round(tree.inner)) if isinstance(tree, Named) else tree


@given(any_trees, states)
def test_the_order_of_the_parts_does_not_matter(tree: Tree, state: list[int]) -> None:
    there, back = Condition("", tree), Condition("", turned_round(tree))
    assert there.truth(state) == back.truth(state)
    assert there.open_variables(state) == back.open_variables(state)
    assert there.variables == back.variables


@given(read_once_trees, states)
def test_the_open_facts_are_exactly_those_that_can_still_change_the_truth(tree: Tree, state: list[int]) -> None:
    assert Condition("", tree).open_variables(state) == brute_open_variables(tree, state)


@given(repeating_trees, states)
def test_no_fact_that_can_change_the_truth_is_missing_from_the_open_ones(tree: Tree, state: list[int]) -> None:
    condition = Condition("", tree)
    assert condition.open_variables(state) >= brute_open_variables(tree, state)
    assert condition.open_variables(state) <= condition.variables
    if condition.truth(state) != OPEN:
        assert not condition.open_variables(state)


@given(any_trees, states)
def test_a_condition_on_one_fact_is_a_set_of_its_cells(tree: Tree, state: list[int]) -> None:
    condition = Condition("", tree)
    if condition.single is None:
        return
    variable, inside = condition.single
    assert condition.variables == {variable}
    for cell in single_cells(FULL):
        state[variable] = cell
        assert condition.truth(state) == (HOLDS if cell & inside else FAILS)


@given(any_trees, states)
def test_evaluating_leaves_the_state_as_it_was(tree: Tree, state: list[int]) -> None:
    before = list(state)
    Condition("", tree).truth(state)
    assert state == before


@given(any_trees)
def test_every_test_is_listed_for_explaining_from_left_to_right(tree: Tree) -> None:
    def expected(part: Tree) -> list[Leaf]:
        if isinstance(part, Leaf):
            return [part]
        parts = (part.inner,) if isinstance(part, Named) else part.parts
        return [found for inner in parts for found in expected(inner)]

    assert list(leaves(tree)) == expected(tree)
    assert Condition("", tree).variables == {found.variable for found in expected(tree)}


# --- words -----------------------------------------------------------------------------------------

A, B, C = leaf(0, 1), leaf(1, 2), leaf(2, 4)


def in_words(tree: Tree) -> str:
    """A condition whose tests say the place where their text stands."""
    return words_of(tree, NO_WORDS)


def test_a_condition_is_told_in_words_with_parentheses_where_they_are_needed() -> None:
    finding = Named("f", "it is hot enough", A)
    assert in_words(A) == "v0 in 001"
    assert in_words(AllOf((A, B))) == "v0 in 001 and v1 in 010"
    assert in_words(AllOf((AnyOf((A, B)), C))) == "(v0 in 001 or v1 in 010) and v2 in 100"
    assert in_words(AnyOf((finding, C))) == "it is hot enough or v2 in 100"
    assert Condition("text", AllOf((A, B))).words == in_words(AllOf((A, B)))


def test_a_negation_is_told_in_the_opposite_words() -> None:
    finding = Named("f", "it is hot enough", A)
    assert in_words(negation(A)) == "v0 not in 001"
    assert in_words(negation(AllOf((A, B)))) == "v0 not in 001 or v1 not in 010"
    assert in_words(negation(finding)) == "not: it is hot enough"
    assert in_words(negation(negation(finding))) == "it is hot enough"


# --- conditions as they are written ----------------------------------------------------------------


@pytest.fixture(scope="module")
def small() -> RuleBase:
    return compiled()


def condition_of(text: str) -> tuple[RuleBase, Condition]:
    rule_base = compiled(
        "referrals:\n  - {id: tested, who: x, decides: x, source: practice, when: '" + text.replace("'", "''") + "'}\n"
    )
    return rule_base, rule_base.referrals["tested"].condition


def state_of(rule_base: RuleBase, answers: dict[str, Any]) -> list[int]:
    """What written answers leave possible; facts that are not answered may be anything sensible."""
    state = rule_base.full_state
    for fact in rule_base.facts.values():
        if fact.unit:
            state[fact.variables[0]] = possible_domain(fact)
        if fact.name in answers:
            for index, domain in domains_of_value(fact, read_value(fact, answers[fact.name]), rule_base.variables):
                state[index] = domain
    return state


@pytest.mark.parametrize(
    ("text", "answers", "truth"),
    [
        ("wet", {}, OPEN),
        ("wet", {"wet": "yes"}, HOLDS),
        ("wet", {"wet": "no"}, FAILS),
        ("not wet", {"wet": "no"}, HOLDS),
        ("wet or not wet", {}, HOLDS),
        ("wet and not wet", {}, FAILS),
        ("place is none", {"place": "none"}, HOLDS),
        ("place is not none", {"place": "none"}, FAILS),
        ("place in (outdoors, shed)", {"place": "shed"}, HOLDS),
        ("place not in (outdoors, shed)", {"place": "shed"}, FAILS),
        ("place in (outdoors, shed, none)", {}, HOLDS),
        ("shelf has nitre", {"shelf": "soda, nitre"}, HOLDS),
        ("shelf has nitre", {"shelf": "soda"}, FAILS),
        ("shelf has nitre", {"shelf": "soda, nitre?"}, OPEN),
        ("shelf lacks nitre", {"shelf": "none"}, HOLDS),
        ("shelf has any of (soda, lead)", {"shelf": "lead"}, HOLDS),
        ("shelf has any of (soda, lead)", {"shelf": "lead?"}, OPEN),
        ("shelf has all of (soda, lead)", {"shelf": "lead"}, FAILS),
        ("shelf has all of (soda, lead)", {"shelf": "lead, soda"}, HOLDS),
        ("shelf has none of (soda, lead)", {"shelf": "nitre"}, HOLDS),
        ("shelf has none", {"shelf": "none"}, HOLDS),
        ("shelf has none", {"shelf": "soda?"}, OPEN),
        ("shelf has none", {"shelf": "soda?, lead"}, FAILS),
        ("shelf has any", {"shelf": "soda?, lead"}, HOLDS),
        ("shelf has any", {"shelf": "none"}, FAILS),
        ("not shelf has any", {"shelf": "none"}, HOLDS),
        ("share > share_limit", {"share": "4.99 %"}, FAILS),
        ("share > share_limit", {"share": "5 %"}, FAILS),
        ("share > share_limit", {"share": "50 permille"}, FAILS),
        ("share > share_limit", {"share": "5.01 %"}, HOLDS),
        ("share >= 5 %", {"share": "5 %"}, HOLDS),
        ("share < 5 %", {"share": "5 %"}, FAILS),
        ("share <= 5 %", {"share": "5 %"}, HOLDS),
        ("share = 5 %", {"share": "5 %"}, HOLDS),
        ("share = 5 %", {"share": "5.1 %"}, FAILS),
        ("share > 5 %", {"share": "4 to 6 %"}, OPEN),
        ("share > 5 %", {"share": "6 to 9 %"}, HOLDS),
        ("share between 5 % and 30 %", {"share": "5 %"}, HOLDS),
        ("share between 5 % and 30 %", {"share": "30 %"}, HOLDS),
        ("share between 5 % and 30 %", {"share": "4.99 %"}, FAILS),
        ("share between 5 % and 30 %", {"share": "30.01 %"}, FAILS),
        ("share between 5 % and 30 %", {"share": "6 to 29 %"}, HOLDS),
        ("share between 5 % and 30 %", {"share": "29 to 31 %"}, OPEN),
        ("not share between 5 % and 30 %", {"share": "31 %"}, HOLDS),
        ("share >= 0 %", {}, HOLDS),
        ("share < 0 %", {}, FAILS),
        ("share <= 100 %", {}, HOLDS),
        ("share < 5 % or share >= 5 %", {}, HOLDS),
        ("share < 5 % and share > 30 %", {}, FAILS),
        ("heat >= heat_limit", {"heat": "2012 F"}, HOLDS),
        ("heat >= heat_limit", {"heat": "2011 F"}, FAILS),
        ("heat > 0", {"heat": "20 C"}, HOLDS),
        ("pots >= 2", {"pots": "2"}, HOLDS),
        ("pots >= 2 pieces", {"pots": "1"}, FAILS),
        ("mass > 0.1 kg", {"mass": "101 g"}, HOLDS),
        ("rich_in_sulphide", {"share": "6 %"}, HOLDS),
        ("not rich_in_sulphide", {"share": "6 %"}, FAILS),
        ("rich_in_sulphide and share < 5 %", {}, FAILS),
        ("rich_in_sulphide and hot_enough", {"share": "6 %"}, OPEN),
    ],
)
def test_a_written_condition_has_the_truth_a_reader_expects(text: str, answers: dict[str, Any], truth: int) -> None:
    rule_base, condition = condition_of(text)
    assert condition.truth(state_of(rule_base, answers)) == truth
    assert condition.text == text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("wet", "wet batch: yes"),
        ("not wet", "wet batch: no"),
        ("place is shed", "place is 'open shed'"),
        ("place is not shed", "place is not 'open shed'"),
        ("place in (outdoors, shed)", "place is 'outdoors' or 'open shed'"),
        ("shelf has nitre", "shelf: nitre"),
        ("shelf lacks nitre", "shelf: no nitre"),
        ("share > share_limit", "sulphide share above 5 %"),
        ("not share > share_limit", "sulphide share at most 5 %"),
        ("share >= 50 permille", "sulphide share at least 5 %"),
        ("share < 5 %", "sulphide share below 5 %"),
        ("share <= 5 %", "sulphide share at most 5 %"),
        ("share = 5 %", "sulphide share 5 %"),
        ("not share = 5 %", "sulphide share not 5 %"),
        ("share between 5 % and 30 %", "sulphide share between 5 % and 30 %"),
        ("heat >= heat_limit", "top heat at least 1100 °C"),
        ("rich_in_sulphide", "much sulphide"),
        ("not rich_in_sulphide", "not: much sulphide"),
        ("route is melt", "Route is 'Melt'"),
        ("(wet or place is shed) and hot_enough", "(wet batch: yes or place is 'open shed') and hot enough"),
    ],
)
def test_a_written_condition_is_told_back_in_the_words_of_the_facts(text: str, words: str) -> None:
    assert condition_of(text)[1].words == words


def test_every_cell_of_a_quantity_lies_on_one_side_of_each_limit_written_for_it(small: RuleBase) -> None:
    """A test and its opposite share out the sensible values between them."""
    rule_base, over = condition_of("mass > 100 g or mass <= 20 g")
    fact = rule_base.facts["mass"]
    for cell in single_cells(possible_domain(fact)):
        state = rule_base.full_state
        state[fact.variables[0]] = cell
        assert {over.truth(state), Condition("", negation(over.tree)).truth(state)} == {HOLDS, FAILS}
    assert small.facts["mass"].breakpoints == ()
