"""The seeded faults still fit the rule files, and worked cases catch those that no promise names."""

from __future__ import annotations

import pytest

from advisor.rulebase.model import RuleBase
from tests.proof.mutate import RULES, caught_by_cases, mutated
from tests.proof.mutations import MUTATIONS

CASES_ALONE = (6, 8, 25, 34, 35, 38, 39, 40, 41, 49, 50)
"""Moved limits and strengths, mostly: a promise names the limit and not its value. The rest: ``tests.proof.mutate``."""


def test_every_seeded_fault_changes_its_file() -> None:
    for mutation in MUTATIONS:
        assert mutation.text() != (RULES / mutation.file).read_text(encoding="utf-8"), mutation.what
    assert len({mutation.text() for mutation in MUTATIONS}) == len(MUTATIONS) >= 40


@pytest.fixture(scope="module")
def without_a_fault(shipped: RuleBase) -> set[str]:
    """The cases that come out otherwise on the rules as they are; there should be none."""
    return set(caught_by_cases(shipped))


@pytest.mark.parametrize("number", CASES_ALONE)
def test_a_worked_case_comes_out_otherwise_where_a_limit_or_strength_is_moved(
    number: int, without_a_fault: set[str]
) -> None:
    mutation = MUTATIONS[number - 1]
    assert set(caught_by_cases(mutated(mutation))) - without_a_fault, mutation.what
