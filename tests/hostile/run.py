"""The whole amount of hostile input: ``python -m tests.hostile.run --count 100000 [--seed N] [--only KIND]``.

Every piece of input is made from the seed, its kind and its number, so that what is found can be made again:
``--only KIND --seed N --first NUMBER --count 1``.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass, field
from pathlib import Path

from advisor.errors import AdvisorError
from tests.hostile import answers_input, journal_input, keys_input, program_input, rules_input
from tests.hostile.guard import HangError, guarded, peak_mb, seen

Kind = Callable[[random.Random, Path], None]
KINDS: dict[str, tuple[Kind, float]] = {
    "conditions": (rules_input.conditions, 0.3),
    "amounts": (rules_input.amounts, 0.28),
    "rules": (rules_input.rules, 0.2),
    "drawings": (rules_input.drawings, 0.06),
    "overlay": (rules_input.overlay, 0.0015),
    "answers": (answers_input.answers, 0.025),
    "observations": (answers_input.observations, 0.02),
    "inputs": (answers_input.inputs, 0.05),
    "journals": (journal_input.files, 0.03),
    "exports": (journal_input.exports, 0.025),
    "keys": (keys_input.keys, 0.006),
    "program": (program_input.program, 0.0025),
}
"""Each kind of input with its share of the whole."""

_PORTION = 100


@dataclass(slots=True)
class Tally:
    """What came of a portion of one kind.

    Attributes:
        kind: The kind.
        count: How many pieces.
        accepted: Taken and worked with to the end.
        refused: Refused with a sentence.
        slowest: Longest time of the processor, in seconds.
        peak: Greatest memory of the process, in MB.
        findings: What may never happen, with how often and the number of the first.
    """

    kind: str
    count: int = 0
    accepted: int = 0
    refused: int = 0
    slowest: float = 0.0
    peak: float = 0.0
    findings: Counter[str] = field(default_factory=Counter)
    first: dict[str, int] = field(default_factory=dict)

    def add(self, other: Tally) -> None:
        """Add another portion of the same kind."""
        self.count += other.count
        self.accepted += other.accepted
        self.refused += other.refused
        self.slowest, self.peak = max(self.slowest, other.slowest), max(self.peak, other.peak)
        self.findings += other.findings
        for said, number in other.first.items():
            self.first[said] = min(number, self.first.get(said, number))


def warm() -> None:
    """Load what every piece of input needs, before the clock runs and the guard is on."""
    for diagnosis in (False, True):
        rule_base = answers_input.shipped(diagnosis)
        answers_input.cases(diagnosis)
        answers_input.advise(random.Random(0), rule_base)
    journal_input.whole_file()
    rules_input.own_file(random.Random(0))


def portion(kind: str, seed: int, first: int, count: int, own: Path | None = None) -> Tally:
    """Some pieces of input of one kind, one after the other."""
    tally = Tally(kind)
    work = own or Path(tempfile.mkdtemp(prefix="hostile-", dir="/dev/shm" if Path("/dev/shm").is_dir() else None))
    try:
        for number in range(first, first + count):
            folder = work / str(number)
            folder.mkdir()
            tempfile.tempdir = str(folder)
            _one(tally, kind, random.Random(f"{seed} {kind} {number}"), number, folder)
            shutil.rmtree(folder, ignore_errors=True)
    finally:
        tempfile.tempdir = None
        if own is None:
            shutil.rmtree(work, ignore_errors=True)
    tally.peak = peak_mb()
    return tally


def _one(tally: Tally, kind: str, r: random.Random, number: int, folder: Path) -> None:
    tally.count += 1
    make, _ = KINDS[kind]
    began = time.process_time()
    try:
        if kind == "program":
            make(r, folder)
        else:
            with guarded(folder):
                make(r, folder)
        tally.accepted += 1
    except AdvisorError as problem:
        said = str(problem)
        tally.refused += 1
        if not said.strip() or len(said) > 200_000:
            _found(tally, f"the refusal is no sentence: {said[:60]!r}", number)
    except (Exception, HangError, RecursionError) as problem:
        _found(tally, _where(problem), number)
    for refused in seen():
        _found(tally, f"outside what is named: {refused}", number)
    tally.slowest = max(tally.slowest, time.process_time() - began)


def _found(tally: Tally, said: str, number: int) -> None:
    tally.findings[said] += 1
    tally.first.setdefault(said, number)


def _where(problem: BaseException) -> str:
    """What broke, and the last line of the program that stood in it."""
    frames = traceback.extract_tb(problem.__traceback__)
    inside = [frame for frame in frames if f"{os.sep}advisor{os.sep}" in frame.filename] or frames
    last = inside[-1]
    return (
        f"{type(problem).__name__} at {Path(last.filename).name}:{last.lineno}: {' '.join(str(problem).split())[:160]}"
    )


def run(count: int, seed: int, only: str | None, first: int, processes: int) -> dict[str, Tally]:
    """All kinds, or one, in several processes."""
    tallies = {kind: Tally(kind) for kind in KINDS if only in (None, kind)}
    with ProcessPoolExecutor(processes, initializer=warm) as pool:
        waiting = []
        for kind in tallies:
            whole = count if only else max(1, round(count * KINDS[kind][1]))
            for start in range(first, first + whole, _PORTION):
                size = min(_PORTION, first + whole - start)
                waiting.append(pool.submit(portion, kind, seed, start, size))
        random.Random(seed).shuffle(waiting)
        try:
            for number, done in enumerate(as_completed(waiting), 1):
                tally = done.result()
                tallies[tally.kind].add(tally)
                if number % 50 == 0:
                    print(f"{number} of {len(waiting)} portions", file=sys.stderr, flush=True)
        except KeyboardInterrupt:
            print("cut short; this is how far it came", file=sys.stderr)
            pool.shutdown(wait=False, cancel_futures=True)
    return tallies


def table(tallies: dict[str, Tally]) -> str:
    """What came of it, as a table with the findings below."""
    lines = [f"{'kind':<13}{'count':>8}{'accepted':>10}{'refused':>9}{'slowest s':>11}{'peak MB':>9}{'findings':>10}"]
    for t in tallies.values():
        lines.append(
            f"{t.kind:<13}{t.count:>8}{t.accepted:>10}{t.refused:>9}{t.slowest:>11.2f}{t.peak:>9.0f}"
            f"{sum(t.findings.values()):>10}"
        )
    lines.append(f"{'all':<13}{sum(t.count for t in tallies.values()):>8}")
    for t in tallies.values():
        lines += [f"{t.kind} {t.first[said]} ({often} times): {said}" for said, often in t.findings.most_common()]
    return "\n".join(lines)


def main() -> None:
    """Read the command line, run, and print the table; status 1 when anything was found."""
    signal.signal(signal.SIGINT, signal.default_int_handler)
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=list(KINDS))
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--processes", type=int, default=2)
    given = parser.parse_args()
    began = time.monotonic()
    tallies = run(given.count, given.seed, given.only, given.first, given.processes)
    print(table(tallies))
    print(f"seed {given.seed}, {time.monotonic() - began:.0f} s by the clock")
    sys.exit(any(tally.findings for tally in tallies.values()))


if __name__ == "__main__":
    main()
