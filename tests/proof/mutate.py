"""Seeded faults of the shipped rules: which of them does the proof catch, which the worked cases?

    python -m tests.proof.mutate            # all, as a table
    python -m tests.proof.mutate 3 17       # only those numbers

Each mutation changes one place of one rule file. It is caught by a check of the proof that fails, or by a worked case
that comes out otherwise; what neither catches must be harmless: the advice is the same for all sets of answers.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.engine.conclude import Conclusions, conclude
from advisor.errors import AdvisorError, FaultyFile
from advisor.proof.prove import CHECKS, prove
from advisor.proof.space.logic import Logic
from advisor.proof.space.world import World
from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.layers import merge
from advisor.rulebase.reading.yaml_reader import Document, parse_yaml
from tests.conftest import ROOT

RULES = ROOT / "rules"


@dataclass(frozen=True, slots=True)
class Mutation:
    """One seeded fault.

    Attributes:
        what: What it does, for the table.
        file: The rule file, under ``rules``.
        after: Words in the file after which the fault is made, such as the id of the rule.
        old: What stands there.
        new: What stands there instead.
    """

    what: str
    file: str
    after: str
    old: str
    new: str

    def text(self) -> str:
        """The file with the fault in it."""
        text = (RULES / self.file).read_text(encoding="utf-8")
        start = text.index(self.after)
        place = text.index(self.old, start)
        return text[:place] + self.new + text[place + len(self.old) :]


@cache
def shipped_documents() -> dict[str, Document]:
    """The rule files of the route consultation, by their place under ``rules``."""
    paths = {str(path.relative_to(RULES)): path for path in sorted(RULES.rglob("*.yaml"))}
    documents = {name: parse_yaml(path.read_text(encoding="utf-8"), path.name) for name, path in paths.items()}
    return {name: one for name, one in documents.items() if "consultation" not in (one.data or {})}


def mutated(mutation: Mutation) -> RuleBase:
    """The shipped rules with the fault in them.

    Raises:
        FaultyFile: If the ordinary check of the rules refuses it.
    """
    documents = {**shipped_documents(), mutation.file: parse_yaml(mutation.text(), mutation.file)}
    return compile_rule_base(merge([("mutated rules", list(documents.values()))]))


def caught_by_proof(rule_base: RuleBase) -> list[str]:
    """The first check of the proof that fails, with the first things it found; the quick checks come first."""
    for names in (("complete", "decided", "consistent", "safe", "mendable"), ("monotone",), ("alive",)):
        proof, _ = prove(rule_base, only=names)
        failed = [verdict for verdict in proof.verdicts if not verdict.proved]
        if failed:
            return [f"proof {CHECKS.index(v.name) + 1} ({v.failures[0].subject})" for v in failed]
    return []


def caught_by_cases(rule_base: RuleBase) -> list[str]:
    """The worked cases that come out otherwise than they say."""
    return [path.stem for path in sorted((ROOT / "cases").glob("*.yaml")) if _differs(path, rule_base)]


def _differs(path: Path, rule_base: RuleBase) -> bool:
    try:
        batch = read_batch(path, rule_base)
        conclusions = conclude(rule_base, batch.answers)
    except AdvisorError:
        return True
    return any(_departures(batch, conclusions))


def _departures(batch: BatchFile, conclusions: Conclusions) -> Iterator[bool]:
    expected = batch.expected
    assert expected is not None
    for name in conclusions.outcomes:
        wanted = getattr(expected, name, None)
        yield wanted is not None and conclusions.outcomes[name].chosen != wanted
    # Where the work has to be parted is known only once its steps are planned.
    parting = {name for name, one in conclusions.rule_base.preparations.items() if one.entry.parts_the_work}
    kinds = {"work", "first"} if expected.outcome == "first" and set(expected.first) <= parting else {expected.outcome}
    yield conclusions.kind not in kinds
    first = {preparation.name for preparation in conclusions.preparations()}
    yield not set(expected.first) - parting <= first
    yield bool(set(expected.without_first) & first)
    hazards = set(conclusions.hazards())
    held = (n for n, s in conclusions.rule_base.steps.items() if conclusions.truth(s.condition) != FAILS)
    steps = (
        set(held) if conclusions.kind != "find_out" else set()
    )  # where something is to be found out, nothing is planned
    yield not set(expected.hazards) <= hazards
    yield bool(set(expected.without_hazards) & hazards)
    yield not set(expected.steps) <= steps
    yield bool(set(expected.without_steps) & steps)
    for name in expected.because:
        argument = conclusions.rule_base.arguments.get(name)
        yield argument is None or conclusions.truth(argument.condition) == FAILS


def same_advice(one: RuleBase, other: RuleBase) -> str | None:
    """None if two rule bases give the same advice for all full and partial answers, else a part that can differ.

    Both must tell the same amounts apart; parts that only one of them has count as never there.
    """
    if one.variables != other.variables or [f.breakpoints for f in one.facts.values()] != [
        f.breakpoints for f in other.facts.values()
    ]:
        return "the limits differ, and so something"
    for partial in (False, True):
        logic = Logic()
        first = World(logic, one, partial=partial)
        second = World(logic, other, partial=partial, beside=first)
        here, there = dict(first.outcome()), dict(second.outcome())
        for name in dict.fromkeys((*here, *there)):
            if logic.possible(logic.differ(here.get(name, False), there.get(name, False))):
                return name
    return None


def judged(mutation: Mutation) -> tuple[str, bool]:
    """What catches a mutation, for the table, and whether it is accounted for."""
    try:
        rule_base = mutated(mutation)
    except FaultyFile as problem:
        return f"rules check: {problem.faults[0].wrong}", True
    proof, cases = caught_by_proof(rule_base), caught_by_cases(rule_base)
    found = [*proof, *(f"case {name}" for name in cases[:2])]
    if len(cases) > 2:
        found.append(f"and {len(cases) - 2} more")
    if found:
        return "; ".join(found), True
    difference = same_advice(load_rule_base(use_cache=False), rule_base)
    if difference is None:
        return "harmless: the same advice for all answers, full and partial", True
    return f"NOT CAUGHT: {difference} can differ", False


def main(numbers: list[int]) -> int:
    """Print the table; returns the number of mutations that nothing catches."""
    from tests.proof.mutations import MUTATIONS

    print("| # | seeded fault | caught by |\n|---|---|---|", flush=True)
    missed = 0
    for number, mutation in enumerate(MUTATIONS, 1):
        if not numbers or number in numbers:
            words, fine = judged(mutation)
            missed += not fine
            print(f"| {number} | {mutation.what} | {words} |", flush=True)
    return missed


if __name__ == "__main__":
    sys.exit(1 if main([int(word) for word in sys.argv[1:]]) else 0)
