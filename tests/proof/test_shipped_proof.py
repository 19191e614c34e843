"""The shipped rules keep what they promise, over all sets of answers; and no random answers say otherwise."""

from __future__ import annotations

from advisor.proof.prove import CHECKS, prove
from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.layers import merge
from tests.proof.mutate import shipped_documents
from tests.proof.random_check import draw_many


def test_the_shipped_rules_keep_their_promises_and_everything_in_them_matters(shipped: RuleBase) -> None:
    proof, witnesses = prove(shipped)
    assert tuple(verdict.name for verdict in proof.verdicts) == CHECKS
    assert proof.proved, [(failure.subject, failure.says) for _, failure in proof.failures()]
    for section in ("hazards", "steps", "amounts", "expectations", "referrals"):
        for name in getattr(shipped, section):
            assert f"{section}.{name}" in witnesses
    assert proof.partial_sets > proof.full_sets > proof.consistent_sets > 10**30


def test_random_answers_break_no_promise(shipped: RuleBase) -> None:
    taken, broken = draw_many(2_000, 7, shipped)
    assert not broken
    assert set(taken) == set(shipped.decisions["route"].options)


def test_the_diagnosis_keeps_its_promises(diagnosing: RuleBase) -> None:
    proof, witnesses = prove(diagnosing)
    assert proof.proved, [(failure.subject, failure.says) for _, failure in proof.failures()]
    for cause in diagnosing.causes:
        assert f"decisions.cause.{cause}" in witnesses


def test_there_are_enough_invariants(shipped: RuleBase, diagnosing: RuleBase) -> None:
    assert len(shipped.invariants) >= 50
    assert sum(invariant.of_diagnosis for invariant in diagnosing.invariants.values()) >= 10


def test_invariants_bring_no_limits_of_their_own(shipped: RuleBase) -> None:
    # Limits of their own would split the cells finer and so change the order of the questions.
    documents = [document for name, document in shipped_documents().items() if name != "invariants.yaml"]
    without = compile_rule_base(merge([("shipped rules", documents)]))
    assert without.variables == shipped.variables
