"""Draws full sets of answers at random and looks at each with the inference itself, without any solver.

    python -m tests.proof.random_check 1000000      # on one core
    python -m tests.proof.random_check 1000000 2    # on two

It says how many promises were looked at and which were broken; what is proved must never be broken here.
"""

from __future__ import annotations

import multiprocessing
import sys
import time
from collections import Counter
from random import Random

from advisor.engine.conclude import conclude_state
from advisor.proof.search import oracle
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from tests.proof.drawn_answers import case_states, drawn_full


def broken_promises(rule_base: RuleBase, state: list[int]) -> tuple[str, list[str]]:
    """The option taken first, and every promise that these full answers break."""
    conclusions = conclude_state(rule_base, {}, state)
    found = [f"complete {name}" for name in oracle.without_option(conclusions)]
    found += [f"decided {' '.join(tie)}" for tie in oracle.ties(conclusions)]
    found += [f"consistent {argument}" for _, argument in oracle.clashes(conclusions)]
    found += [
        f"safe {name}"
        for name, invariant in rule_base.invariants.items()
        if oracle.breaches(conclusions, invariant, for_certain=False)
    ]
    return next(iter(conclusions.outcomes.values())).chosen, found


def draw_many(count: int, seed: int, rule_base: RuleBase | None = None) -> tuple[Counter[str], Counter[str]]:
    """How often each first option came out, and how often each promise was broken."""
    rule_base = rule_base or load_rule_base(use_cache=False, promises=True)
    random, near = Random(seed), case_states(rule_base)
    taken: Counter[str] = Counter()
    broken: Counter[str] = Counter()
    for _ in range(count):
        option, found = broken_promises(rule_base, drawn_full(rule_base, random, near))
        taken[option] += 1
        broken.update(found)
    return taken, broken


def _share(job: tuple[int, int]) -> tuple[Counter[str], Counter[str]]:
    return draw_many(*job)


def main(count: int, processes: int = 1) -> int:
    """Draw at least so many sets and print what came out; returns 1 if a promise was broken."""
    begun = time.perf_counter()
    size = max(1, min(10_000, count // processes))
    jobs = [(size, seed) for seed in range(-(-count // size))]
    taken: Counter[str] = Counter()
    broken: Counter[str] = Counter()
    with multiprocessing.Pool(processes) as pool:
        for some_taken, some_broken in pool.imap_unordered(_share, jobs):
            taken += some_taken
            broken += some_broken
    print(f"{taken.total():,} full sets of answers in {time.perf_counter() - begun:.0f} s")
    print("first decision: " + ", ".join(f"{option} {number:,}" for option, number in taken.most_common()))
    print(f"broken promises: {dict(broken) or 'none'}")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:] or ["1000000"])))
