"""Reasons are true of the batch that they are given for."""

from __future__ import annotations

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.engine import conclude
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.model import RuleBase, Value
from advisor.units import Range
from tests.conftest import ROOT


def reasons(case: str, shipped: RuleBase, **changed: Value) -> dict[str, str]:
    """What is said for and against every option, by the id of the argument."""
    answers = {**read_batch(ROOT / "cases" / f"{case}.yaml", shipped).answers, **changed}
    found = conclude(shipped, answers)
    return {
        argument.entry.id: argument.entry.reason
        for decision in shipped.decisions.values()
        for argument in decision.arguments
        if found.truth(argument.condition) != FAILS
    }


@pytest.mark.parametrize("share", [0.65, 0.7, 0.75])
def test_two_thirds_of_gold_are_not_called_nearly_all_gold(share: float, shipped: RuleBase) -> None:
    said = " ".join(reasons("nearly-clean-gold-at-85", shipped, gold_share=Range.exact(share)).values()).lower()
    assert "its gold" in said
    for wrong in ("nearly all gold", "nearly clean gold", "hardly anything in the batch"):
        assert wrong not in said


def test_nothing_is_said_to_be_left_for_a_magnet_where_one_is_to_be_passed(shipped: RuleBase) -> None:
    said = reasons("nearly-clean-gold-at-85", shipped, magnetics_out=False)
    assert "nothing left for a magnet" not in said["nothing-left-to-clean"]


def test_rust_wants_litharge_only_where_litharge_may_be_used(shipped: RuleBase) -> None:
    with_litharge = reasons("rusted-lode-sand-with-litharge", shipped)
    forbidden = reasons("rusted-lode-sand-with-litharge", shipped, lead_rules="forbidden")
    assert "rust-wants-litharge-and-flour" in with_litharge
    assert "rust-goes-into-a-plain-slag" not in with_litharge
    assert "rust-wants-litharge-and-flour" not in forbidden
    assert "rust-goes-into-a-plain-slag" in forbidden
