"""The whole proof of one rule base."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator

from advisor.engine import Answers
from advisor.proof.promises.alive import alive
from advisor.proof.promises.decided import complete, consistent, decided
from advisor.proof.promises.invariants import safe
from advisor.proof.promises.mendable import mendable
from advisor.proof.promises.monotone import monotone
from advisor.proof.report import PromiseVerdict, Proof
from advisor.proof.search.prover import Prover
from advisor.proof.space.counting import consistent_count, full_count, partial_count
from advisor.rulebase.model import RuleBase

CHECKS = ("complete", "decided", "consistent", "alive", "safe", "mendable", "monotone")
"""The checks in their order."""


def prove(
    rule_base: RuleBase, only: tuple[str, ...] = CHECKS, notify: Callable[[PromiseVerdict], None] = lambda _: None
) -> tuple[Proof, dict[str, Answers]]:
    """Decide every promise of a rule base over all sets of answers.

    Args:
        rule_base: The rules.
        only: The checks to run.
        notify: Called with each verdict as soon as it is there.

    Returns:
        The proof, and for each thing that matters answers that show it.

    Raises:
        SolverMissingError: If the solver is not installed.
    """
    started = time.perf_counter()
    witnesses: dict[str, Answers] = {}
    verdicts = []
    for verdict in _verdicts(Prover(rule_base), only, witnesses):
        notify(verdict)
        verdicts.append(verdict)
    proof = Proof(
        full_sets=full_count(rule_base),
        consistent_sets=consistent_count(rule_base),
        partial_sets=partial_count(rule_base),
        verdicts=tuple(verdicts),
        seconds=time.perf_counter() - started,
    )
    return proof, witnesses


def _verdicts(prover: Prover, only: tuple[str, ...], witnesses: dict[str, Answers]) -> Iterator[PromiseVerdict]:
    checks: dict[str, Callable[[], PromiseVerdict]] = {
        "complete": lambda: complete(prover),
        "decided": lambda: decided(prover),
        "consistent": lambda: consistent(prover),
        "alive": lambda: alive(prover, witnesses),
        "safe": lambda: safe(prover),
        "mendable": lambda: mendable(prover),
        "monotone": lambda: monotone(prover),
    }
    for name in only:
        started = time.perf_counter()
        verdict = checks[name]()
        verdict.seconds = time.perf_counter() - started
        yield verdict
