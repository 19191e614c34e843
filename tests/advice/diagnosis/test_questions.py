"""How many looks a diagnosis takes, and that they are enough: every worked piece asked for truthfully."""

from __future__ import annotations

from statistics import median

from tests.benchmarks.pieces import CASES, asked_truthfully
from tests.benchmarks.questions import most_of

LOOKED_AT_NO_FURTHER = {"record-with-a-gap", "worse-after-red-heat"}
"""Pieces of which more has to be seen than is asked for in one go: a bead of which the books do not close, a bar that
another metal explains as well."""


def test_few_looks_bring_a_piece_to_the_act_that_the_whole_truth_brings() -> None:
    asked = {path.stem: asked_truthfully(path) for path in CASES}
    counts = [len(found.counted) for found, _ in asked.values()]
    assert median(counts) <= 6
    assert most_of(counts) <= 10
    assert {name for name, (_, same) in asked.items() if not same} <= LOOKED_AT_NO_FURTHER
