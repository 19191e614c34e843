"""Time and memory of the proof over all answers, of the shipped rules and of made-up ones.

    python -m tests.benchmarks.proofs 100 1000 10000

Each base is proved in a process of its own, so that the memory is its own too. Made-up rules are not asked whether
each of them matters: chance makes hundreds that do not, and every one of them would be a find.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from dataclasses import asdict, dataclass
from pathlib import Path
from unittest.mock import patch

from advisor.proof.prove import CHECKS, prove
from advisor.rulebase.compiling import limits
from advisor.rulebase.loading import load_rule_base
from tests.proof.generated import generated

SHIPPED = 0
"""Stands for the shipped rules instead of a number of made-up ones."""


@dataclass(frozen=True, slots=True)
class Proved:
    """One proof.

    Attributes:
        rules: How many made-up rules, or ``SHIPPED``.
        seconds: Processor time of the proof, without reading the rules.
        megabytes: The most memory that the process ever held.
        checks: Seconds of each check, as a clock shows them.
    """

    rules: int
    seconds: float
    megabytes: int
    checks: dict[str, float]


def proved(rules: int) -> Proved:
    """Prove made-up or shipped rules in a process of its own."""
    command = [sys.executable, "-m", "tests.benchmarks.proofs", "--one", str(rules)]
    return Proved(**json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout))


def _prove_here(rules: int) -> Proved:
    if rules == SHIPPED:
        bases = [load_rule_base(use_cache=False, diagnosis=both, promises=True) for both in (False, True)]
        only = CHECKS
    else:
        # More than a shop may have, to show how the time grows.
        with patch.object(limits, "MOST_ENTRIES", 100_000):
            bases = [generated(rules)]
        only = tuple(check for check in CHECKS if check != "alive")
    begun = time.process_time()
    verdicts = [verdict for base in bases for verdict in prove(base, only)[0].verdicts]
    seconds = time.process_time() - begun
    checks = {name: round(sum(v.seconds for v in verdicts if v.name == name), 1) for name in only}
    return Proved(rules, seconds, _peak_megabytes(), checks)


def _peak_megabytes() -> int:
    # A process that was started by a large one begins with that one's peak in ``getrusage``, but not here.
    (line,) = (line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM:"))
    return int(line.split()[1]) // 1024


def main(counts: list[int]) -> None:
    """Print a line for each number of rules; the shipped rules come first."""
    for rules in (SHIPPED, *counts):
        one = proved(rules)
        name = f"{rules:,} rules" if rules else "the shipped rules"
        checks = ", ".join(f"{check} {seconds:g}" for check, seconds in one.checks.items())
        print(f"{name}: {one.seconds:.1f} s, {one.megabytes} MB ({checks})", flush=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(asdict(_prove_here(int(sys.argv[2])))))
    else:
        main([int(word) for word in sys.argv[1:]])
