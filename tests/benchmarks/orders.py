"""Other orders of asking, for comparison: ``python -m tests.benchmarks.orders [--sample N] [--minutes M]``.

On a sample of batches the number of questions is laid beside

- the *best order found by search*: what the engine thinks of a question is multiplied by a weight of the fact's own,
  and the weights are changed at random for as long as that asks fewer questions on the sample. They are fitted to the
  very batches they are measured on, which flatters the search; how they do on other batches is printed too;
- the same without the rule that questions which can stop the work come first, which shows what that caution costs;
- the smallest set of answers found that settles the advice, for somebody who knows all answers beforehand. No order
  can be below the smallest such set, and none can be as good without knowing the answers.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from random import Random
from unittest.mock import patch

from advisor.engine.ask import questions
from advisor.engine.ask.details import Details
from advisor.engine.ask.questions import needed_questions, next_question
from advisor.engine.ask.scoring import Score, score_of
from advisor.engine.ask.settling import Look
from advisor.engine.conclude import Conclusions, conclude
from advisor.rulebase.model import Fact
from tests.benchmarks.questions import Written, batch, consult, mean, rules

Weights = Mapping[str, float]
"""By how much what is thought of a question is multiplied."""

Asked = tuple[int, set[str]]
"""How many questions were asked, and the facts that were weighed against each other."""


@contextmanager
def weighted(weights: Weights, seen: set[str]) -> Iterator[None]:
    """The engine with other weights; the facts that were weighed are noted."""
    likelihood = Details.likelihood

    def scored(conclusions: Conclusions, look: Look) -> Score:
        score = score_of(conclusions, look)

        def weighed(name: str, variables: Iterable[int]) -> float:
            seen.add(name)
            return score(name, variables) * weights.get(name, 1.0)

        return weighed

    def likely(details: Details, fact: Fact) -> float:
        seen.add(fact.name)
        return likelihood(details, fact) * weights.get(fact.name, 1.0)

    with patch.object(questions, "score_of", scored), patch.object(Details, "likelihood", likely):
        yield


def asked(seed: int, stop_first: bool = True) -> int:
    """How many questions are asked about a batch; perhaps without those that can stop the work coming first."""
    truth = batch(seed)
    answers: Written = {}
    while (question := next(needed_questions(conclude(rules(), answers), stop_first), None)) is not None:
        answers[question.fact] = truth[question.fact]
    return len(answers)


def asked_with(weights: Weights, seed: int, stop_first: bool) -> Asked:
    """How many questions are asked with some weights, and the facts that were weighed."""
    seen: set[str] = set()
    with weighted(weights, seen):
        return asked(seed, stop_first), seen


def climbed(sample: range, seconds: float, stop_first: bool) -> dict[str, float]:
    """The weights found by climbing: random changes that ask no more questions on the sample are kept."""
    random = Random(sample.start)
    weights: dict[str, float] = {}
    now = {seed: asked_with(weights, seed, stop_first) for seed in sample}
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        names = sorted(set().union(*(seen for _, seen in now.values())))
        changed = random.sample(names, random.choice((1, 1, 2, 3)))
        trial = {**weights, **{n: weights.get(n, 1.0) * math.exp(random.gauss(0.0, 1.5)) for n in changed}}
        before = {seed: old for seed, old in now.items() if not old[1].isdisjoint(changed)}
        after = _no_worse(trial, before, stop_first)
        if after is not None:
            weights, now = trial, {**now, **after}
    return weights


def _no_worse(trial: Weights, before: Mapping[int, Asked], stop_first: bool) -> dict[int, Asked] | None:
    """What is asked with trial weights, or None as soon as they are clearly worse, or in the end if they are."""
    found: dict[int, Asked] = {}
    more = 0
    for seed, (count, _) in before.items():
        found[seed] = asked_with(trial, seed, stop_first)
        more += found[seed][0] - count
        if more > _CLEARLY:
            return None
    return found if more <= 0 else None


_CLEARLY = 6


def smallest_found(seed: int, orders: int = 3) -> int:
    """The smallest set of answers found that settles the advice: what was asked, with needless ones left out again."""
    random = Random(seed)
    given = consult(batch(seed))
    best = len(given)
    for _ in range(orders):
        kept = dict(given)
        for name in random.sample(list(given), len(given)):
            fewer = {n: v for n, v in kept.items() if n != name}
            if next_question(conclude(rules(), fewer)) is None:
                kept = fewer
        best = min(best, len(kept))
    return best


def main() -> None:
    """Print the comparison."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sample", type=int, default=200)
    parser.add_argument("--minutes", type=float, default=20.0)
    chosen = parser.parse_args()
    sample, others = range(chosen.sample), range(chosen.sample, 2 * chosen.sample)
    ours = mean([asked(seed) for seed in sample])
    elsewhere = mean([asked(seed) for seed in others])
    print(f"on a sample of                            {len(sample)}")
    print(
        f"mean of the engine                        {ours:.2f}  (on as many other batches {elsewhere:.2f})", flush=True
    )
    smallest = mean([smallest_found(seed) for seed in sample])
    print(
        f"smallest settling set, all known before   {smallest:.2f}  (the engine: {ours / smallest:.2f} times)",
        flush=True,
    )
    for stop_first, words in ((True, "what can stop the work first"), (False, "anything first")):
        weights = climbed(sample, chosen.minutes * 60, stop_first)
        start = mean([asked(seed, stop_first) for seed in sample])
        best = mean([asked_with(weights, seed, stop_first)[0] for seed in sample])
        fresh = mean([asked_with(weights, seed, stop_first)[0] for seed in others])
        print(f"\n{words}: with the engine's scores        {start:.2f}")
        print(f"best order found by search                {best:.2f}  (the engine: {ours / best:.3f} times)")
        print(
            f"the same order on other batches           {fresh:.2f}  (the engine: {elsewhere / fresh:.3f} times)",
            flush=True,
        )


if __name__ == "__main__":
    main()
