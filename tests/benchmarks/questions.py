"""How many questions the route consultation asks: ``python -m tests.benchmarks.questions [--batches N]``.

Batches are drawn as in the laws, four of five of them such that work can go on, and every question is answered
truthfully. When nothing more is asked, the advice must be that of the whole truth.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from multiprocessing import Pool
from random import Random

from advisor.engine import NotKnown, conclude, next_question
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase, Value
from tests.engine.completing import advice_shown
from tests.engine.law_draws import consistent, drawn_truth

Written = dict[str, Value | NotKnown]


@dataclass
class Tally:
    """What was found on some batches.

    Attributes:
        counts: Questions asked in each batch.
        otherwise: Batches for which what was asked leads to another advice than the whole truth.
        seconds: Processor time that choosing each next question took.
    """

    counts: list[int] = field(default_factory=list)
    otherwise: list[int] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)


@cache
def rules() -> RuleBase:
    """The shipped rules."""
    return load_rule_base(use_cache=False)


def batch(seed: int) -> dict[str, Value]:
    """A truth, drawn as in the laws."""
    random = Random(seed)
    truth = drawn_truth(rules(), random, harmless=random.random() < 0.8)
    while not consistent(rules(), truth):
        truth = drawn_truth(rules(), random, harmless=True)
    return truth


def watched(truth: Mapping[str, Value], tally: Tally) -> Written:
    """Answer every question truthfully, and note how long each took to choose."""
    answers: Written = {}
    while True:
        start = time.process_time()
        question = next_question(conclude(rules(), answers))
        tally.seconds.append(time.process_time() - start)
        if question is None:
            return answers
        answers[question.fact] = truth[question.fact]


def measured(seeds: range) -> Tally:
    """What is found on some batches."""
    tally = Tally()
    for seed in seeds:
        truth = batch(seed)
        answers = watched(truth, tally)
        tally.counts.append(len(answers))
        if advice_shown(conclude(rules(), answers)) != advice_shown(conclude(rules(), truth)):
            tally.otherwise.append(seed)
    return tally


def spread(seeds: range, parts: int) -> list[range]:
    """A range cut into parts."""
    size = max(1, -(-len(seeds) // parts))
    return [seeds[start : start + size] for start in range(0, len(seeds), size)]


def mean(counts: list[int]) -> float:
    """The mean."""
    return sum(counts) / len(counts)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--batches", type=int, default=10_000)
    parser.add_argument("--processes", type=int, default=2)
    chosen = parser.parse_args()
    with Pool(chosen.processes) as pool:
        tallies = pool.map(measured, spread(range(chosen.batches), 40 * chosen.processes), chunksize=1)
        counts = sorted(count for tally in tallies for count in tally.counts)
        seconds = sorted(second for tally in tallies for second in tally.seconds)
        print(f"batches                                   {len(counts)}")
        print(f"questions asked in all                    {sum(counts)}")
        print(f"advice not that of the whole truth        {sum(len(tally.otherwise) for tally in tallies)}")
        print(f"mean number of questions                  {mean(counts):.2f}")
        print(f"95th percentile                           {counts[int(len(counts) * 0.95)]}")
        print(f"choosing a question, p50                  {seconds[len(seconds) // 2] * 1000:.2f} ms")
        print(
            f"choosing a question, p99                  {seconds[int(len(seconds) * 0.99)] * 1000:.2f} ms", flush=True
        )


if __name__ == "__main__":
    main()
