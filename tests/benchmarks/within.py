"""What single parts of a run take, in processor time: the next question, the advice, the computed plan."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Mapping
from functools import partial
from random import Random

from advisor.advice.batches.batch_file import read_batch
from advisor.engine.ask.questions import next_question
from advisor.engine.conclude import Conclusions, conclude
from advisor.engine.what_if import other_answers
from advisor.rulebase.drawings import Drawing
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase, Value
from tests.benchmarks.engines import generated_base
from tests.benchmarks.generated import as_answers, drawn_answers
from tests.benchmarks.starts import CASE
from tests.engine.law_draws import drawn_truth
from tests.shipped import piece_rules, route_rules


def question_seconds(rule_base: RuleBase, truths: list[Mapping[str, Value]]) -> list[float]:
    """Seconds that choosing each next question took when these batches were asked about, in order of length."""
    times: list[float] = []
    for truth in truths:
        answers: dict[str, Value] = {}
        while True:
            start = time.process_time()
            question = next_question(conclude(rule_base, answers))
            times.append(time.process_time() - start)
            if question is None:
                break
            answers[question.fact] = truth[question.fact]
    return sorted(times)


def shipped_question_seconds(batches: int = 60, *, diagnosis: bool = False) -> list[float]:
    """The next question on the shipped rules."""
    rule_base = piece_rules() if diagnosis else route_rules()
    return question_seconds(rule_base, [drawn_truth(rule_base, Random(seed), harmless=True) for seed in range(batches)])


def generated_question_seconds(count: int, batches: int = 10) -> list[float]:
    """The next question on generated rules."""
    with generated_base(count):
        rule_base = load_rule_base()
    truths = [as_answers(drawn_answers(Random(seed))) for seed in range(batches)]
    return question_seconds(rule_base, truths)  # type: ignore[arg-type]


def share_at(times: list[float], share: float) -> float:
    """The time that this share of all stays within."""
    return times[min(len(times) - 1, int(len(times) * share))]


def case_conclusions() -> Conclusions:
    """What follows from the case that is measured."""
    rule_base = route_rules()
    return conclude(rule_base, read_batch(CASE, rule_base).answers)


def advice_parts(runs: int = 9) -> tuple[float, float]:
    """Median seconds of building one advice, and of what would change it within that."""
    from advisor.advice.build_advice import build_advice

    conclusions = case_conclusions()
    build_advice(conclusions)
    return (
        median_seconds(lambda: build_advice(conclusions), runs),
        median_seconds(lambda: other_answers(conclusions, ("route", "collector"), hazards=True), runs),
    )


def computed_plan_seconds(runs: int = 15) -> float:
    """Median seconds of the whole computed plan of one batch, tables loaded."""
    from advisor.advice.notes.computed import computed_note
    from advisor.advice.plan.planned_batch import work_out
    from advisor.metallurgy.common.document import Citer
    from advisor.metallurgy.common.tables import Tables
    from tests.batches import conclusions_of

    rule_base = route_rules()
    conclusions, tables, citer = conclusions_of(rule_base), Tables(rule_base), Citer(rule_base.sources)
    computed_note(work_out(conclusions, tables), tables, citer)
    return median_seconds(lambda: computed_note(work_out(conclusions, tables), tables, citer), runs)


def charge_seconds(runs: int = 15) -> float:
    """Median seconds of one smelting charge, planned from its minerals."""
    from advisor.metallurgy.charge.plan import Place, plan_charge
    from advisor.metallurgy.charge.weights import Wish
    from tests.metallurgy.charge_examples import charge_data, typical

    place = Place(500.0, {"soda_ash": 1.0})
    return median_seconds(lambda: plan_charge(typical(), Wish("iron"), charge_data(), place), runs)


def slowest_correction_seconds(runs: int = 15) -> float:
    """Median seconds of the slowest computation of a correction, tables loaded."""
    from advisor.metallurgy.calculators import COMPUTATIONS
    from advisor.metallurgy.common.tables import Tables
    from tests.metallurgy.test_corrections import USUAL

    tables = Tables(piece_rules())
    return max(
        median_seconds(partial(COMPUTATIONS[name].figures, tables, given), runs) for name, given in USUAL.items()
    )


def slowest_drawing_seconds(draw: Callable[[Drawing], object], runs: int = 15) -> float:
    """Median seconds of the shipped drawing that takes longest to draw."""
    drawings = piece_rules().drawings.values()
    return max(median_seconds(partial(draw, drawing), runs) for drawing in drawings)


def median_seconds(what: Callable[[], object], runs: int) -> float:
    """Median seconds that a call takes."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        what()
        times.append(time.process_time() - start)
    return statistics.median(times)
