"""How the shipped diagnoses are asked for and what little of them tells: ``python -m tests.benchmarks.pieces [-v]``.

Each worked diagnosis of ``cases/diagnosis`` is asked for from its first question, every question answered by the case
and by its plan; what neither says is not known. Questions about a danger, and what is answered before, do not count.
Then each is cut down to what was opened with and two facts, once with the place of its plan and once without.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from statistics import median

from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.advice.next_batch import planned_answers
from advisor.engine import (
    NOT_KNOWN,
    Answers,
    Conclusions,
    NotKnown,
    at_work,
    cold_beginning,
    conclude,
    done_cold,
    likeliest,
    next_question,
    on_the_piece,
    seen_on_it,
    taken_instead,
)
from advisor.rulebase.model import Value
from advisor.rulebase.reading.expand_causes import CAUSE, HOLD, LOOKED_AT, REMEDY
from tests.benchmarks.questions import most_of
from tests.shipped import PIECES as CASES
from tests.shipped import piece_rules as rules
from tests.shipped import plan_of

SAID_WITH_IT = (LOOKED_AT, "work_done", "collector_used")
"""What belongs to every opening: where one looks, and what was done."""

Written = dict[str, Value | NotKnown]


@cache
def known_before(path: Path) -> Written:
    """What the plan of a case answers, so that nobody is asked for it."""
    return dict(planned_answers(plan_of(path), rules()))


@dataclass
class Asked:
    """A piece asked for to the end.

    Attributes:
        counted: The questions that count, in order.
        dangers: Those about a danger.
        conclusions: What follows in the end.
    """

    counted: list[str]
    dangers: list[str]
    conclusions: Conclusions


def ask_for(truth: Answers, before: Answers, opened: str = "") -> Asked:
    """Say what was opened with, then answer every question truthfully."""
    answers: Written = dict(before)
    counted: list[str] = []
    dangers: list[str] = []
    while True:
        conclusions = conclude(rules(), answers)
        question = next_question(conclusions)
        if question is None:
            return Asked(counted, dangers, conclusions)
        if counted == [LOOKED_AT] and opened and opened not in answers:
            # What a person opens with is taken as said.
            counted.append(opened)
            answers[opened] = truth[opened]
            continue
        (dangers if question.purpose == "stop" else counted).append(question.fact)
        answers[question.fact] = truth.get(question.fact, NOT_KNOWN)


def asked_truthfully(path: Path) -> tuple[Asked, bool]:
    """A worked diagnosis asked for from its first question, and whether that ends in the act that it says."""
    batch = read_batch(path, rules())
    # What a plan says of the work stands there, also where the case says it again; the place is that of the case.
    plan = known_before(path)
    by_plan = {n for n in plan if rules().facts[n].entry.from_plan}
    before = {n: batch.answers.get(n, v) for n, v in plan.items() if n in by_plan or n not in batch.answers}
    found = ask_for(batch.answers, before | of_the_place(batch), next(opening(batch), ""))
    assert batch.diagnosis is not None
    return found, found.conclusions.outcomes[REMEDY].chosen == batch.diagnosis.remedy


def opening(batch: BatchFile) -> Iterator[str]:
    """The facts that a person would tell of a piece: what tells most of its cause first."""
    assert batch.diagnosis is not None
    whole = conclude(rules(), batch.answers)
    named = [a for reason in batch.diagnosis.because for a in rules().decisions[CAUSE].arguments if a.id == reason]
    signs = [a for cause in batch.diagnosis.causes for a in rules().decisions[CAUSE].arguments if a.options == (cause,)]
    signs = [*named, *sorted(signs, key=lambda sign: -sign.weight)]
    for sign in signs:
        if sign.weight > 0 and sign.condition.truth(whole.state) == 2:
            for variable in sorted(sign.condition.variables):
                name = rules().variables[variable].name
                if name in batch.answers and name not in SAID_WITH_IT:
                    yield name
    yield from (name for name in batch.answers if seen_on_it(rules(), name))


def little(batch: BatchFile, facts: int = 3) -> Written:
    """A case cut down to where one looks, what it was worked with, what was opened with and two facts."""
    told = list(dict.fromkeys(opening(batch)))[:facts]
    return {name: batch.answers[name] for name in (*SAID_WITH_IT, *told) if name in batch.answers}


def of_the_place(batch: BatchFile) -> Written:
    """What a case says of the room and the lot otherwise than its plan."""
    return {n: v for n, v in batch.answers.items() if not on_the_piece(rules(), n)}


def came_to(conclusions: Conclusions) -> str:
    """An act; what is likely right while a danger is not answered; or why nothing is done."""
    outcome = conclusions.outcomes[REMEDY]
    best = likeliest(conclusions, outcome)
    if best is not None and done_cold(conclusions, best) is not None:
        return f"act, cold: {best.option}"
    kind = at_work(conclusions).kind
    if kind in ("work", "first") and outcome.chosen != HOLD:
        return f"act: {outcome.chosen}"
    if kind == "stop":
        return f"stop: {outcome.chosen}"
    if best is None:
        return f"{outcome.chosen}; the next look is named"
    begun = " begun cold" if cold_beginning(taken_instead(conclusions, best.option)) else ""
    return f"{outcome.chosen}; likely{begun}: {best.option}"


def main() -> None:
    """Print the figures."""
    loud = "-v" in sys.argv
    counts, dangers, asked = [], [], Counter[str]()
    otherwise = []
    for path in CASES:
        found, same = asked_truthfully(path)
        counts.append(len(found.counted))
        dangers.append(len(found.dangers))
        asked.update(found.counted)
        if not same:
            otherwise.append(path.stem)
        if loud:
            chosen = found.conclusions.outcomes[REMEDY].chosen
            print(f"{len(found.counted):3} {path.stem}: {chosen} {'' if same else '(another act)'} {found.counted}")
    print(f"pieces {len(counts)}; questions: median {median(counts)}, p95 {most_of(counts)}, most {max(counts)}")
    print(f"about a danger: median {median(dangers)}, p95 {most_of(dangers)}; another act in the end: {len(otherwise)}")
    if loud:
        print(otherwise, asked.most_common(40))
    for place in (True, False):
        acts = Counter[str]()
        for path in CASES:
            batch = read_batch(path, rules())
            before = {**known_before(path), **of_the_place(batch)} if place else {}
            conclusions = conclude(rules(), {**before, **little(batch)})
            acts[came_to(conclusions)] += 1
            if loud:
                assert batch.diagnosis is not None
                print(
                    f"  {path.stem}: {conclusions.kind} {conclusions.outcomes[REMEDY].chosen}"
                    f" ({batch.diagnosis.remedy}) causes {conclusions.several[CAUSE].taken[:3]}"
                    f" ({batch.diagnosis.causes}) told {list(little(batch))[2:]}"
                )
        print(f"cut down, {'the place known' if place else 'nothing else known'}: {dict(acts.most_common())}")


if __name__ == "__main__":
    main()
