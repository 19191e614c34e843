"""How many questions the route consultation asks: ``python -m tests.benchmarks.questions [--batches N]``.

Batches are drawn as in the laws; those are kept whose whole truth ends in work at a fire. Every question is answered
truthfully. In a known room its facts are answered beforehand. What can differ each night is asked as one block, when
the first of it is asked for, and counts as one question. When nothing more is asked, the advice must be that of the
whole truth, and nothing may be left that was not asked.

A question is needless if no other possible answer would change anything printed, with the whole truth in all other
answers: route, collector, cupel, borax, what comes first, hazards, steps, weights, expectations and referrals.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from multiprocessing import Pool
from random import Random

from advisor.advice.build_advice import build_advice
from advisor.advice.checking import impossible
from advisor.document import json_text
from advisor.engine import Conclusions, ContradictionError, NotKnown, asked_together, conclude, next_question
from advisor.errors import InputError
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import Fact, Several, Value
from advisor.rulebase.values import cell_range, possible_domain
from advisor.units import Range
from tests.engine.completing import advice_shown, conditions_shown
from tests.engine.law_draws import consistent, drawn_truth
from tests.shipped import route_rules as rules

Written = dict[str, Value | NotKnown]

TONIGHT = "tonight"
"""The name under which the block of what can differ each night is counted."""


@dataclass
class Tally:
    """What was found on some batches.

    Attributes:
        counts: Questions asked in each batch.
        asked: How often each fact, or the block of tonight, was asked for.
        needless: How often it was asked for in vain; only where this was looked at.
        judged: Questions that were looked at for this.
        otherwise: Batches for which what was asked leads to another advice than the whole truth.
        left: Batches with something in the advice that could still be changed by what was not asked.
        seconds: Processor time that choosing each next question took.
    """

    counts: list[int] = field(default_factory=list)
    asked: Counter[str] = field(default_factory=Counter)
    needless: Counter[str] = field(default_factory=Counter)
    judged: int = 0
    otherwise: list[int] = field(default_factory=list)
    left: list[int] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        """Add what was found on other batches."""
        self.counts += other.counts
        self.asked += other.asked
        self.needless += other.needless
        self.judged += other.judged
        self.otherwise += other.otherwise
        self.left += other.left
        self.seconds += other.seconds


def batch(seed: int) -> dict[str, Value]:
    """The truth of a batch that ends in work at a fire."""
    random = Random(seed)
    while True:
        truth = drawn_truth(rules(), random, harmless=random.random() < 0.8)
        if consistent(rules(), truth):
            conclusions = conclude(rules(), truth)
            at_a_fire = conclusions.truth(rules().findings["hot_work"].condition) == HOLDS
            if at_a_fire and conclusions.kind in ("work", "first") and not _impossible(conclusions):
                return truth


def _impossible(conclusions: Conclusions) -> bool:
    """Whether the answers add up to something that cannot be."""
    return bool(impossible(conclusions))


def watched(truth: Mapping[str, Value], tally: Tally, *, known_room: bool) -> tuple[Written, list[str]]:
    """Answer every question truthfully: the answers in the end, and what was asked."""
    facts = rules().facts
    answers: Written = {n: v for n, v in truth.items() if known_room and facts[n].entry.belongs_to == "room"}
    asked = []
    while True:
        start = time.process_time()
        conclusions = conclude(rules(), answers)
        question = next_question(conclusions)
        tally.seconds.append(time.process_time() - start)
        if question is None:
            return answers, asked
        tonight = question.fact in _tonight()
        together = _tonight() if tonight else tuple(asked_together(conclusions, question.fact))
        asked.append(TONIGHT if tonight else " and ".join(together))
        answers |= {fact: truth[fact] for fact in together}


@cache
def _tonight() -> tuple[str, ...]:
    return tuple(n for n, fact in rules().facts.items() if fact.entry.belongs_to == TONIGHT and not fact.computed)


def measured(seeds: range, *, known_room: bool = True, judge: bool = False) -> Tally:
    """What is found on some batches.

    Args:
        seeds: One for each batch.
        known_room: Whether the facts of the room are answered beforehand.
        judge: Whether to look which questions were needless, which takes seconds a batch.
    """
    tally = Tally()
    for seed in seeds:
        truth = batch(seed)
        answers, asked = watched(truth, tally, known_room=known_room)
        tally.counts.append(len(asked))
        tally.asked.update(asked)
        found, whole = conclude(rules(), answers), conclude(rules(), truth)
        if advice_shown(found) != advice_shown(whole):
            tally.otherwise.append(seed)
        if not all(outcome.settled for outcome in found.outcomes.values()):
            tally.left.append(seed)
        if judge:
            tally.judged += len(asked)
            tally.needless.update(name for name in asked if is_needless(name, truth, whole))
    return tally


def is_needless(name: str, truth: Mapping[str, Value], whole: Conclusions) -> bool:
    """Whether no other possible answer changes anything printed.

    Args:
        name: The fact, the facts asked in one go, or the block of tonight.
        truth: The whole truth.
        whole: What follows from it.
    """
    changed = [
        other
        for fact in (_tonight() if name == TONIGHT else name.split(" and "))
        for value in other_values(rules().facts[fact], truth[fact])
        for other in _with_other(truth, fact, value)
    ]
    if any(conditions_shown(other) != conditions_shown(whole) for other in changed):
        return False
    printed_now = printed(whole)
    return all(printed(other) == printed_now for other in changed)


def other_values(fact: Fact, value: Value) -> Iterable[Value]:
    """Every other answer for a fact; of an amount the ends and the middle of what rules tell apart."""
    kind, options = fact.entry.kind, fact.entry.options
    if isinstance(value, Several):
        return [Several(value.present ^ {option}) for option in options]
    if isinstance(value, Range):
        cells = [cell_range(fact, c) for c in range(2 * len(fact.breakpoints) + 1) if possible_domain(fact) >> c & 1]
        amounts = {amount for cell in cells for amount in (cell.low, cell.likely, cell.high)}
        return [Range.exact(amount) for amount in sorted(amounts) if amount != value.likely]
    return [not value] if kind == "yes_no" else [option for option in options if option != value]


def _with_other(truth: Mapping[str, Value], name: str, value: Value) -> Iterator[Conclusions]:
    """What follows with one answer given otherwise, where that can be; what follows from it gives way."""
    answers: Written = {**truth, name: value}
    while True:
        try:
            found = conclude(rules(), answers)
        except ContradictionError as problem:
            if problem.fact == name:
                return
            del answers[problem.fact]
            continue
        if not _impossible(found):
            yield found
        return


def printed(conclusions: Conclusions) -> tuple[object, ...]:
    """What is printed of an advice, but for the answers and what speaks for and against."""
    try:
        advice = build_advice(conclusions, look_for_changes=False)
    except InputError as problem:
        return (str(problem),)
    parts = (*advice.first, *advice.hazards, *advice.steps, *advice.expectations, *advice.referrals)
    weights = [(name, one.low_g, one.likely_g, one.high_g) for name, one in advice.amounts.items()]
    chosen = [note.chosen for note in advice.decisions]
    return (advice.outcome, chosen, weights, advice.cost_low, advice.cost_high, [json_text(part) for part in parts])


def spread(seeds: range, parts: int) -> list[range]:
    """A range cut into parts."""
    size = max(1, -(-len(seeds) // parts))
    return [seeds[start : start + size] for start in range(0, len(seeds), size)]


def mean(counts: list[int]) -> float:
    """The mean."""
    return sum(counts) / len(counts)


def most_of(counts: list[int], share: float = 0.95) -> int:
    """The number that this share of all stays within."""
    return sorted(counts)[min(len(counts) - 1, int(len(counts) * share))]


def _in_known_room(seeds: range) -> Tally:
    return measured(seeds)


def _in_new_room(seeds: range) -> Tally:
    return measured(seeds, known_room=False)


def _judged(seeds: range) -> Tally:
    return measured(seeds, judge=True)


def _print_table(title: str, tally: Tally) -> None:
    seconds = sorted(tally.seconds)
    print(title)
    print(f"  batches                                   {len(tally.counts)}")
    print(f"  mean number of questions                  {mean(tally.counts):.2f}")
    print(f"  95th percentile                           {most_of(tally.counts)}")
    print(f"  advice not that of the whole truth        {len(tally.otherwise)}")
    print(f"  advice that something not asked can turn  {len(tally.left)}")
    if tally.judged:
        print(f"  needless questions                        {sum(tally.needless.values()) / tally.judged:.1%}")
    print(f"  choosing a question, p50                  {seconds[len(seconds) // 2] * 1000:.2f} ms")
    print(f"  choosing a question, p99                  {seconds[int(len(seconds) * 0.99)] * 1000:.2f} ms")
    for name, times in tally.asked.most_common():
        needless = f", {tally.needless[name] / times:.0%} needless" if tally.needless[name] else ""
        print(f"    {name:24} {times / len(tally.counts):5.2f}{needless}", flush=True)


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--batches", type=int, default=10_000)
    parser.add_argument("--judged", type=int, default=300)
    parser.add_argument("--processes", type=int, default=2)
    chosen = parser.parse_args()
    tables = (
        ("in a known room", _in_known_room, chosen.batches),
        ("a first consultation, nothing known of the room", _in_new_room, -(-chosen.batches // 10)),
        ("in a known room, each question judged", _judged, chosen.judged),
    )
    with Pool(chosen.processes) as pool:
        for title, look, batches in tables:
            whole = Tally()
            for tally in pool.imap_unordered(look, spread(range(batches), 40 * chosen.processes)):
                whole.add(tally)
            _print_table(title, whole)


if __name__ == "__main__":
    main()
