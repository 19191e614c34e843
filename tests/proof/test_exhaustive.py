"""On small made-up rule bases the solver says what going through every set of answers says."""

from __future__ import annotations

import pytest

from advisor.proof.promises.alive import alive
from advisor.proof.promises.decided import complete, consistent, decided
from advisor.proof.promises.invariants import safe
from advisor.proof.promises.monotone import monotone
from advisor.proof.search.prover import Prover
from advisor.proof.space.counting import consistent_count, full_count, partial_count
from advisor.rulebase.model import RuleBase
from tests.proof.exhaustive import Found, values_of
from tests.proof.generated import generated

SEEDS = (0, 1, 9, 12, 17, 25, 26, 33, 46, 58)
"""Chosen so that each kind of fault is in some of the bases and not in others."""


def small(seed: int) -> RuleBase:
    """A made-up base of a few facts, sound or broken in some way."""
    return generated(16, seed, facts=4, decisions=2, options=3, wild=0.5, ordered=seed % 2 == 0, implied=2, promises=6)


@pytest.fixture(scope="module")
def searched() -> dict[int, Found]:
    """What going through everything found, for each seed."""
    return {seed: Found(small(seed)) for seed in SEEDS}


@pytest.mark.parametrize("seed", SEEDS)
def test_the_solver_finds_what_going_through_everything_finds(seed: int, searched: dict[int, Found]) -> None:
    found = searched[seed]
    prover = Prover(found.rule_base)
    assert {failure.subject for failure in complete(prover).failures} == found.incomplete
    tied = {
        f"{name}: {' or '.join(o for o in found.rule_base.decisions[name].options if o in pair)}"
        for name, pair in found.tied
    }
    assert {failure.subject for failure in decided(prover).failures} == tied
    clashing = {failure.subject for failure in consistent(prover).failures if failure.answers is not None}
    assert clashing == found.clashing
    broken = {failure.subject for failure in safe(prover).failures if failure.answers is not None}
    assert broken == found.broken
    careless = {failure.subject for failure in monotone(prover).failures if failure.answers is not None}
    assert careless == found.careless


@pytest.mark.parametrize("seed", SEEDS)
def test_what_matters_is_what_matters_for_some_answers(seed: int, searched: dict[int, Found]) -> None:
    found = searched[seed]
    witnesses: dict[str, object] = {}
    verdict = alive(Prover(found.rule_base), witnesses)  # type: ignore[arg-type]
    idle = {failure.subject for failure in verdict.failures}
    for name in found.rule_base.decisions:
        for option in found.rule_base.decisions[name].options:
            assert (f"decisions.{name}.{option}" in idle) == (f"{name}.{option}" not in found.outcomes)
    for name in found.decisive:
        assert f"arguments.{name}" not in idle
    assert {f"facts.{name}" for name in found.rule_base.facts} - idle == {f"facts.{name}" for name in found.drivers}


@pytest.mark.parametrize("seed", SEEDS)
def test_every_failure_is_confirmed_by_the_inference(seed: int, searched: dict[int, Found]) -> None:
    prover = Prover(searched[seed].rule_base)
    for check in (complete, decided, consistent, safe, monotone):
        assert all(failure.confirmed for failure in check(prover).failures)


def test_sound_and_broken_bases_are_among_them(searched: dict[int, Found]) -> None:
    for kind in ("incomplete", "tied", "clashing", "broken", "careless"):
        results = [bool(getattr(found, kind)) for found in searched.values()]
        assert any(results), kind
        assert kind == "broken" or not all(results), kind
    kept = [set(found.rule_base.invariants) - found.broken for found in searched.values()]
    assert any(kept)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_size_of_the_answer_space_is_counted_right(seed: int, searched: dict[int, Found]) -> None:
    rule_base = searched[seed].rule_base
    assert consistent_count(rule_base) == searched[seed].counts[0]
    for count, partial in ((full_count(rule_base), False), (partial_count(rule_base), True)):
        ways = 1
        for fact in rule_base.facts.values():
            ways *= len(values_of(rule_base, fact, partial=partial))
        assert count == ways
