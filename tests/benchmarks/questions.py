"""How many questions the route consultation asks: ``python -m tests.benchmarks.questions [--batches N]``.

Batches are drawn as in the laws, four of five of them such that work can go on, and every question is answered
truthfully. For each question a change of its answer must be shown that changes the advice: two whole sets of answers
that differ in what was asked for and in nothing else (but what follows from it), concluded in the plainest way.
When nothing more is asked, the advice must be that of the whole truth.

Other orders of asking: ``tests.benchmarks.orders``.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from itertools import chain
from multiprocessing import Pool
from random import Random

from advisor.engine.ask.completions import completion_in, outlook_of, pool_block
from advisor.engine.ask.question import Question
from advisor.engine.ask.questions import needed_names, next_question, turn_for
from advisor.engine.ask.settling import free_variables
from advisor.engine.conclude import Conclusions, conclude
from advisor.engine.state import NotKnown, implied_value
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import Fact, RuleBase, Value
from advisor.rulebase.values import cells_of_value
from tests.engine.completing import advice_shown, concluded, value_of
from tests.engine.law_draws import consistent, drawn_truth

Written = dict[str, Value | NotKnown]


@dataclass
class Tally:
    """What was found on some batches.

    Attributes:
        counts: Questions asked in each batch.
        needless: Questions without any change that shows that they are needed.
        unshown: Questions kept because the search was too long.
        otherwise: Batches for which what was asked leads to another advice than the whole truth.
        seconds: Processor time that choosing each next question took.
    """

    counts: list[int] = field(default_factory=list)
    needless: list[str] = field(default_factory=list)
    unshown: int = 0
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
    rests = chain(({},), completions(conclusions, 12))
    if turn is None:
        return any(tried(conclusions, question.fact, whole_answers(conclusions, rest, truth)) for rest in rests)
    for rest in rests:
        for here, there in ((turn.first, turn.second), (turn.second, turn.first)):
            cells = {**rest, **turn.rest}
            one = whole_answers(conclusions, {**cells, turn.variable: here}, truth)
            one = followed(conclusions, one, question.fact)
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


def tried(conclusions: Conclusions, asked: str, whole: Written) -> bool:
    """Whether trying the cells of what is asked, one after another, leads to advice that differs.

    Two whole sets of answers then differ in what was asked and in what follows from it.
    """
    rule_base = conclusions.rule_base
    for fact in rule_base.facts.values():
        tested = {rule_base.variables[v].name for implied in fact.implied for v in implied.condition.variables}
        if asked in tested and fact.name not in conclusions.answers:
            whole = {**whole, fact.name: value_of(rule_base, fact, last_cells(rule_base, fact))}
    about = rule_base.facts[asked]
    last, found = last_cells(rule_base, about), set()
    for variable in about.variables:
        for cell in single_cells(rule_base.variables[variable].full):
            answers = {**whole, asked: value_of(rule_base, about, {**last, variable: cell})}
            after = concluded(rule_base, followed(conclusions, answers, asked))
            if after is not None:
                found.add(advice_shown(after))
    return len(found) > 1


def last_cells(rule_base: RuleBase, fact: Fact) -> dict[int, int]:
    """The last sensible cell of each variable of a fact."""
    cells = outlook_of(rule_base).cells
    return {variable: 1 << cells[variable].bit_length() - 1 for variable in fact.variables}


def followed(conclusions: Conclusions, answers: Written, kept: str) -> Written:
    """Whole answers with what follows from others made to follow, but for what was asked and one fact."""
    rule_base = conclusions.rule_base
    answers = dict(answers)
    following = [f for f in rule_base.facts.values() if f.implied and f.name not in conclusions.answers]
    state = rule_base.full_state
    for name, value in answers.items():
        for variable, cells in value_cells(rule_base, name, value).items():
            state[variable] = cells
    for _ in following:
        before = dict(answers)
        for fact in following:
            found = implied_value(fact, state)
            if found is not None and fact.name != kept:
                answers[fact.name] = found[0]
                for variable, cells in value_cells(rule_base, fact.name, found[0]).items():
                    state[variable] = cells
        if answers == before:
            break
    return answers


def completions(conclusions: Conclusions, most: int) -> Iterator[dict[int, int]]:
    """Some drawn completions of the answers, as cells."""
    rule_base = conclusions.rule_base
    state = list(conclusions.state)
    for ruling in conclusions.rulings.values():
        state[ruling.decision.variable] = rule_base.variables[ruling.decision.variable].full
    free = free_variables(rule_base, conclusions.answers, state)
    block = pool_block(outlook_of(rule_base), state, free)
    places = [place for place in range(block.valid.bit_length()) if block.valid >> place & 1]
    for place in places[:most]:
        yield completion_in(block, 1 << place)


def consult(truth: Mapping[str, Value]) -> Written:
    """Answer every question truthfully."""
    answers: Written = {}
    while (question := next_question(conclude(rules(), answers))) is not None:
        answers[question.fact] = truth[question.fact]
    return answers


def watched(truth: Mapping[str, Value], tally: Tally) -> Written:
    """Answer every question truthfully, and look at each one."""
    rule_base = rules()
    answers: Written = {}
    while True:
        start = time.process_time()
        conclusions = conclude(rule_base, answers)
        question = next_question(conclusions)
        tally.seconds.append(time.process_time() - start)
        if question is None:
            return answers
        if not is_shown(conclusions, question, truth):
            if any(look.budget.spent for look in outlook_of(rule_base).memory.get("looks", {}).values()):
                tally.unshown += 1
            else:
                tally.needless.append(question.fact)
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
        needless = [fact for tally in tallies for fact in tally.needless]
        print(f"batches                                   {len(counts)}")
        print(f"questions asked in all                    {sum(counts)}")
        print(f"needless questions                        {len(needless)} {sorted(set(needless)) or ''}")
        print(f"advice not that of the whole truth        {sum(len(tally.otherwise) for tally in tallies)}")
        print(f"kept because the search was too long      {sum(tally.unshown for tally in tallies)}")
        print(f"mean number of questions                  {mean(counts):.2f}")
        print(f"95th percentile                           {counts[int(len(counts) * 0.95)]}")
        print(f"choosing a question, p50                  {seconds[len(seconds) // 2] * 1000:.2f} ms")
        print(
            f"choosing a question, p99                  {seconds[int(len(seconds) * 0.99)] * 1000:.2f} ms", flush=True
        )


if __name__ == "__main__":
    main()
