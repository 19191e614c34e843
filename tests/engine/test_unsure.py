"""Counting what stays open is the same as looking at every completion of the rest."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.engine.unsure import counted_truth
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN, AllOf, AnyOf, Condition, Leaf, Tree, single_cells

FULL = 0b111
tests = st.builds(lambda v, inside: Leaf(v, inside, FULL, "", ""), st.integers(0, 3), st.integers(1, 6))
trees: st.SearchStrategy[Tree] = st.recursive(
    tests,
    lambda inner: st.builds(
        lambda kind, parts: kind(tuple(parts)),
        st.sampled_from((AllOf, AnyOf)),
        st.lists(inner, min_size=2, max_size=3),
    ),
    max_leaves=6,
)


@given(
    tree=trees,
    state=st.lists(st.integers(1, 7), min_size=4, max_size=4),
    unsure=st.frozensets(st.integers(0, 3)),
    may=st.booleans(),
)
def test_what_is_counted_is_so_in_every_completion(
    tree: Tree, state: list[int], unsure: frozenset[int], may: bool
) -> None:
    condition = Condition("", tree)
    unsure = frozenset(v for v in unsure if state[v] & (state[v] - 1))
    choices = [[domain] if v in unsure else list(single_cells(domain)) for v, domain in enumerate(state)]
    truths = {condition.truth(list(domain)) for domain in product(*choices)}
    counts = {truth != FAILS if may else truth == HOLDS for truth in truths}
    found = counted_truth(condition, state, unsure, may=may)
    if found != OPEN:
        assert counts == {found == HOLDS}


@pytest.mark.parametrize(("may", "truth"), [(True, HOLDS), (False, OPEN)])
def test_a_danger_that_one_unknown_leaves_open_counts_whatever_the_other_fact_is(may: bool, truth: int) -> None:
    either = Condition("", AnyOf((Leaf(0, 1, 3, "", ""), Leaf(1, 1, 3, "", ""))))
    assert counted_truth(either, [3, 3], frozenset({0}), may=may) == truth
