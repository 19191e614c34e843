"""The seeded faults still fit the rule files, and worked cases catch those that no promise names."""

from __future__ import annotations

import pytest

from tests.proof.mutate import RULES, caught_by_cases, mutated
from tests.proof.mutations import MUTATIONS

CASES_ALONE = (6, 8, 25, 34, 35, 38, 39, 40, 41, 49, 50)
"""Moved limits and strengths, mostly: a promise names the limit and not its value. The rest: ``tests.proof.mutate``."""


def test_every_seeded_fault_changes_its_file() -> None:
    for mutation in MUTATIONS:
        assert mutation.text() != (RULES / mutation.file).read_text(encoding="utf-8"), mutation.what
    assert len({mutation.text() for mutation in MUTATIONS}) == len(MUTATIONS) >= 40


@pytest.mark.parametrize("number", CASES_ALONE)
def test_a_worked_case_comes_out_otherwise_where_a_limit_or_strength_is_moved(number: int) -> None:
    mutation = MUTATIONS[number - 1]
    assert caught_by_cases(mutated(mutation)) != [], mutation.what
