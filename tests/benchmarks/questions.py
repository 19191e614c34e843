"""How many questions the route consultation asks: ``python -m tests.benchmarks.questions [--batches N] [--sample N]``.

Batches are drawn as in the laws, four of five of them such that work can go on, and every question is answered
truthfully. For each question a change of its answer must be shown that changes the advice: two whole sets of answers
that differ in what was asked for and in nothing else (but what follows from it), concluded in the plainest way.

On a sample the number is laid beside better orders found by search:

- *looking ahead*: of the best few questions the one with which the engine, on completions drawn anew, needs the
  fewest questions in all;
- the engine with other weights of what a question tells against what it costs;
- the smallest set of answers found that settles the advice, for somebody who knows all answers beforehand. No order
  can be below the smallest such set, and none can be as good without knowing the answers.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from itertools import islice
from multiprocessing import Pool
from random import Random

from advisor.inference import scoring, settling
from advisor.inference.answers import NotKnown, implied_value
from advisor.inference.completions import completion_in, outlook_of, pool_block
from advisor.inference.conclusions import Conclusions, conclude
from advisor.inference.question import Question
from advisor.inference.questions import needed_names, needed_questions, next_question, turn_for
from advisor.knowledge.facts import cells_of_value
from advisor.knowledge.loading import load_rule_base
from advisor.knowledge.rulebase import RuleBase, Value
from tests.inference.completing import advice_shown, concluded, value_of
from tests.laws.drawing import consistent, drawn_truth

Written = dict[str, Value | NotKnown]

WIDTH = 4
"""So many of the best questions are looked into when looking ahead."""

FUTURES = 6
"""On so many completions each of them is tried."""

OTHER_COSTS = (0.05, 0.5, 1000.0)
"""Other least costs of a question; with the greatest only what it tells counts."""


@dataclass
class Tally:
    """What was found on some batches.

    Attributes:
        counts: Questions asked in each batch.
        needless: Questions without any change that shows that they are needed.
        unshown: Questions kept because the search was too long.
        seconds: Processor time that choosing each next question took.
    """

    counts: list[int] = field(default_factory=list)
    needless: list[str] = field(default_factory=list)
    unshown: int = 0
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


def whole_answers(conclusions: Conclusions, rest: Mapping[int, int], truth: Mapping[str, Value | NotKnown]) -> Written:
    """The answers, with every other fact in the cells given for it, or else as in the truth."""
    rule_base = conclusions.rule_base
    answers: Written = dict(conclusions.answers)
    for name, fact in rule_base.facts.items():
        if name in answers:
            continue
        given = {v: rest[v] for v in fact.variables if v in rest}
        if len(given) < len(fact.variables) and fact.entry.kind == "several":
            there = value_cells(rule_base, name, truth[name])
            given = {v: given.get(v, there[v]) for v in fact.variables}
        answers[name] = value_of(rule_base, fact, given) if len(given) == len(fact.variables) else truth[name]
    return answers


def value_cells(rule_base: RuleBase, name: str, value: Value | NotKnown) -> dict[int, int]:
    """The cells of each variable of a fact with a value; none for one that is not known."""
    if isinstance(value, NotKnown):
        return {}
    return dict(cells_of_value(rule_base.facts[name], value, rule_base.variables))


def is_shown(conclusions: Conclusions, question: Question, truth: Mapping[str, Value]) -> bool:
    """Whether two whole sets of answers show that the question can change the advice."""
    turn = turn_for(conclusions, question)
    if turn is None:
        return question.fact in driving(conclusions)
    for rest in ({}, *completions(conclusions, 12)):
        for here, there in ((turn.first, turn.second), (turn.second, turn.first)):
            cells = {**rest, **turn.rest}
            one = followed(
                conclusions, whole_answers(conclusions, {**cells, turn.variable: here}, truth), question.fact
            )
            other = whole_answers(conclusions, {**cells, turn.variable: there}, one)
            first = concluded(conclusions.rule_base, one)
            second = concluded(conclusions.rule_base, {**one, question.fact: other[question.fact]})
            if first is None or second is None:
                continue
            if here == there and question.fact in needed_names(first) and not first.stops:
                return True
            if advice_shown(first) != advice_shown(second):
                return True
    return False


def followed(conclusions: Conclusions, answers: Written, kept: str) -> Written:
    """Whole answers with what follows from others made to follow, but for what was asked and one fact."""
    rule_base = conclusions.rule_base
    answers = dict(answers)
    for _ in range(4):
        for fact in rule_base.facts.values():
            if fact.name not in conclusions.answers and fact.name != kept:
                state = rule_base.full_state
                for name, value in answers.items():
                    for variable, cells in value_cells(rule_base, name, value).items():
                        state[variable] = cells
                found = implied_value(fact, state)
                if found is not None:
                    answers[fact.name] = found[0]
    return answers


def driving(conclusions: Conclusions) -> set[str]:
    """The facts that can still decide whether the value of a fact follows that enters a weight now."""
    rule_base = conclusions.rule_base
    entering = needed_names(conclusions) - set(conclusions.answers)
    return {
        rule_base.variables[variable].name
        for name in entering & set(rule_base.facts)
        for implied in rule_base.facts[name].implied
        for variable in implied.condition.open_variables(conclusions.state)
    }


def completions(conclusions: Conclusions, most: int, random: Random | None = None) -> Iterable[dict[int, int]]:
    """Some drawn completions of the answers, as cells."""
    rule_base = conclusions.rule_base
    state = list(conclusions.state)
    for ruling in conclusions.rulings.values():
        state[ruling.decision.variable] = rule_base.variables[ruling.decision.variable].full
    free = settling.free_variables(rule_base, conclusions.answers, state)
    block = pool_block(outlook_of(rule_base), state, free)
    places = [place for place in range(block.valid.bit_length()) if block.valid >> place & 1]
    chosen = random.sample(places, min(most, len(places))) if random else places[:most]
    return [completion_in(block, 1 << place) for place in chosen]


def consult(truth: Mapping[str, Value], tally: Tally | None = None, given: Written | None = None) -> Written:
    """Answer every question truthfully."""
    rule_base = rules()
    answers: Written = dict(given or {})
    while True:
        start = time.process_time()
        conclusions = conclude(rule_base, answers)
        question = next_question(conclusions)
        if tally is not None:
            tally.seconds.append(time.process_time() - start)
        if question is None:
            return answers
        if tally is not None and not is_shown(conclusions, question, truth):
            if any(look.budget.spent for look in outlook_of(rule_base).memory.get("looks", {}).values()):
                tally.unshown += 1
            else:
                tally.needless.append(question.fact)
        answers[question.fact] = truth[question.fact]


def measured(seeds: range) -> Tally:
    """What is found on some batches."""
    tally = Tally()
    for seed in seeds:
        tally.counts.append(len(consult(batch(seed), tally)))
    return tally


def looking_ahead(seed: int) -> int:
    """Questions asked when each is chosen by trying the best few on completions drawn anew."""
    rule_base, truth, random = rules(), batch(seed), Random(seed)
    answers: Written = {}
    while True:
        conclusions = conclude(rule_base, answers)
        few = list(islice(needed_questions(conclusions), WIDTH))
        if not few:
            return len(answers)
        chosen = few[0]
        if len(few) > 1 and chosen.purpose != "details":
            futures = list(completions(conclusions, FUTURES, random))
            chosen = min(few, key=lambda question: _cost(conclusions, question, futures, truth))
        answers[chosen.fact] = truth[chosen.fact]


def _cost(
    conclusions: Conclusions, question: Question, futures: list[dict[int, int]], truth: Mapping[str, Value]
) -> float:
    total = 0
    for cells in futures:
        future = whole_answers(conclusions, cells, truth)
        given: Written = {**conclusions.answers, question.fact: future[question.fact]}
        if concluded(conclusions.rule_base, given) is not None:
            total += len(consult({n: v for n, v in future.items() if not isinstance(v, NotKnown)}, given=given))
    return total


def with_cost(least_cost: float, seeds: range) -> list[int]:
    """Questions asked with another least cost of a question."""
    before, scoring.LEAST_COST = scoring.LEAST_COST, least_cost
    try:
        return [len(consult(batch(seed))) for seed in seeds]
    finally:
        scoring.LEAST_COST = before


def stop_anywhere(seed: int) -> int:
    """Questions asked when those that can stop the work need not come first."""
    truth = batch(seed)
    answers: Written = {}
    while (question := next(needed_questions(conclude(rules(), answers), stop_first=False), None)) is not None:
        answers[question.fact] = truth[question.fact]
    return len(answers)


def smallest_found(seed: int, orders: int = 3) -> int:
    """The smallest set of answers found that settles the advice: what was asked, with needless ones left out again."""
    random, truth = Random(seed), batch(seed)
    asked = consult(truth)
    best = len(asked)
    for _ in range(orders):
        kept = dict(asked)
        for name in random.sample(list(asked), len(asked)):
            fewer = {n: v for n, v in kept.items() if n != name}
            if next_question(conclude(rules(), fewer)) is None:
                kept = fewer
        best = min(best, len(kept))
    return best


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
    parser.add_argument("--sample", type=int, default=200)
    parser.add_argument("--processes", type=int, default=2)
    chosen = parser.parse_args()
    sample = range(chosen.sample)
    with Pool(chosen.processes) as pool:
        tallies = pool.map(measured, spread(range(chosen.batches), 40 * chosen.processes), chunksize=1)
        counts = sorted(count for tally in tallies for count in tally.counts)
        seconds = sorted(second for tally in tallies for second in tally.seconds)
        needless = [fact for tally in tallies for fact in tally.needless]
        print(f"batches                                   {len(counts)}")
        print(f"questions asked in all                    {sum(counts)}")
        print(f"needless questions                        {len(needless)} {sorted(set(needless)) or ''}")
        print(f"kept because the search was too long      {sum(tally.unshown for tally in tallies)}")
        print(f"mean number of questions                  {mean(counts):.2f}")
        print(f"95th percentile                           {counts[int(len(counts) * 0.95)]}")
        print(f"choosing a question, p50                  {seconds[len(seconds) // 2] * 1000:.2f} ms")
        print(
            f"choosing a question, p99                  {seconds[int(len(seconds) * 0.99)] * 1000:.2f} ms", flush=True
        )
        if not chosen.sample:
            return
        tallies = pool.map(measured, spread(sample, chosen.processes))
        ours = mean([count for tally in tallies for count in tally.counts])
        print(f"\non a sample of                            {len(sample)}")
        print(f"mean of the engine                        {ours:.2f}", flush=True)
        found = {f"least cost {c}": mean([n for r in spread(sample, 2) for n in with_cost(c, r)]) for c in OTHER_COSTS}
        found["looking ahead"] = mean(pool.map(looking_ahead, sample, chunksize=1))
        for name, value in found.items():
            print(f"{name:<40}  {value:.2f}")
        print(f"engine against the best order found       {ours / min(found.values()):.3f}")
        anywhere = mean(pool.map(stop_anywhere, sample, chunksize=1))
        print(f"engine, stopping questions in any place   {anywhere:.2f}")
        smallest = mean(pool.map(smallest_found, sample, chunksize=1))
        print(f"smallest settling set found, all known    {smallest:.2f}  ({ours / smallest:.2f} times)")


if __name__ == "__main__":
    main()
