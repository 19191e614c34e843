"""What single answers would have changed the advice: what trying every answer finds, no more and no less."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.engine import NOT_KNOWN, Answers, Conclusions, OtherAnswer, Target, conclude, other_answers
from advisor.engine.stretches import words_of_domain
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import LOOKED_AT, REMEDY
from tests.batches import conclusions_of
from tests.conftest import ROOT
from tests.engine.drawn_bases import drawn_base
from tests.engine.law_draws import consistent, drawn_truth, some_answers
from tests.engine.trial import changed_by_trial
from tests.rulebase.small_base import compiled

CASES = sorted((ROOT / "cases").glob("*.yaml"))
DIAGNOSES = sorted((ROOT / "cases" / "diagnosis").glob("*.yaml"))
BOTH = ("route", "collector")

Told = set[tuple[str, str, Target]]


def by_trial(
    conclusions: Conclusions, decisions: tuple[str, ...] = BOTH, *, hazards: bool = True, leave_out: str = ""
) -> Told:
    """What trying finds, the cells of a variable that reach one target joined and told in words."""
    rule_base, joined = conclusions.rule_base, dict[tuple[int, Target], int]()
    for target, places in changed_by_trial(conclusions, decisions, hazards=hazards, leave_out=leave_out).items():
        for variable, cell in places:
            joined[variable, target] = joined.get((variable, target), 0) | cell
    return {
        (rule_base.variables[variable].name, words, target)
        for (variable, target), domain in joined.items()
        for words in words_of_domain(rule_base, variable, domain)
    }


def told(found: list[OtherAnswer]) -> Told:
    assert len({(one.fact, one.words, one.target) for one in found}) == len(found)
    return {(one.fact, one.words, one.target) for one in found}


def drawn(rule_base: RuleBase, random: Random) -> Answers | None:
    """Answers of which some are not known or not given; None when those drawn contradict each other."""
    truth = drawn_truth(rule_base, random, harmless=random.random() < 0.8)
    known = random.choice((random.random(), 1.0))
    answers = some_answers(truth, random, known, (1 - known) / 2)
    return answers if consistent(rule_base, answers) else None


@pytest.mark.parametrize("path", CASES[::8], ids=lambda path: path.stem)
def test_of_a_shipped_case_they_are_what_trying_every_answer_finds(path: Path, shipped: RuleBase) -> None:
    conclusions = conclude(shipped, read_batch(path, shipped).answers)
    found = told(other_answers(conclusions, BOTH, hazards=True))
    assert found
    assert found == by_trial(conclusions)


@pytest.mark.parametrize("block", range(3))
def test_so_they_are_for_drawn_answers_of_which_some_are_not_known(block: int, shipped: RuleBase) -> None:
    compared = 0
    for seed in range(6):
        answers = drawn(shipped, Random(f"{block}-{seed}"))
        if answers is not None:
            conclusions = conclude(shipped, answers)
            assert told(other_answers(conclusions, BOTH, hazards=True)) == by_trial(conclusions), (block, seed)
            compared += 1
    assert compared >= 4


@pytest.mark.parametrize("block", range(4))
def test_so_they_are_on_drawn_small_rule_bases(block: int) -> None:
    effects = set()
    for seed in range(12):
        random = Random(f"{block}-{seed}")
        rule_base = drawn_base(random)
        answers = drawn(rule_base, random)
        if answers is not None:
            decisions = random.choice((("route", "vessel"), ("lid",), ("route", "vessel", "lid")))
            conclusions = conclude(rule_base, answers)
            found = told(other_answers(conclusions, decisions, hazards=True))
            assert found == by_trial(conclusions, decisions), (block, seed)
            effects |= {target.effect for _, _, target in found}
    assert effects == {None, "appears", "disappears"}


@pytest.mark.parametrize("answers", [{}, {"wet": True}, {"wet": False}, {"wet": NOT_KNOWN, "place": "shed"}])
def test_so_they_are_on_the_small_rule_base(answers: Answers) -> None:
    conclusions = conclude(compiled(), answers)
    found = told(other_answers(conclusions, ("route", "vessel"), hazards=True))
    assert found == by_trial(conclusions, ("route", "vessel"))


@pytest.mark.parametrize("path", DIAGNOSES[::60], ids=lambda path: path.stem)
def test_so_they_are_in_a_diagnosis(path: Path, diagnosing: RuleBase) -> None:
    conclusions = conclude(diagnosing, read_batch(path, diagnosing).answers)
    found = told(other_answers(conclusions, (REMEDY,), hazards=False, leave_out=frozenset({LOOKED_AT})))
    assert found
    assert found == by_trial(conclusions, (REMEDY,), hazards=False, leave_out=LOOKED_AT)


def test_so_they_are_with_nothing_seen_yet(diagnosing: RuleBase) -> None:
    conclusions = conclude(diagnosing, {})
    found = told(other_answers(conclusions, (REMEDY,), hazards=False, leave_out=frozenset({LOOKED_AT})))
    assert found == by_trial(conclusions, (REMEDY,), hazards=False, leave_out=LOOKED_AT)


@pytest.mark.parametrize(("written", "to"), [("9.99 %", "smelt_iron"), ("10 %", "split")])
def test_the_clean_part_worth_taking_turns_the_route_exactly_at_its_threshold(
    shipped: RuleBase, written: str, to: str
) -> None:
    assert conclusions_of(shipped, clean_part_share=written).outcomes["route"].chosen == to


def changes_of(conclusions: Conclusions) -> list[OtherAnswer]:
    return other_answers(conclusions, BOTH, hazards=True)


def test_a_change_is_told_with_the_stretch_of_amounts_that_brings_it(shipped: RuleBase) -> None:
    changes = changes_of(conclusions_of(shipped))
    words = [c.words for c in changes if c.fact == "clean_part_share" and c.target.to == "split"]
    assert words == ["10 % or more"]


def test_another_collector_at_hand_is_told(shipped: RuleBase) -> None:
    found = [c for c in changes_of(conclusions_of(shipped)) if c.target.name == "collector"]
    assert {("reagents", "bismuth")} <= {(c.fact, c.target.to) for c in found}


def test_an_answer_that_works_only_with_another_one_is_not_told(shipped: RuleBase) -> None:
    conclusions = conclusions_of(
        shipped, sulphide_share="20 %", gold_share="20 %", black_sand_share="5 %", batch_mass="20 g"
    )
    assert "cupel_direct" not in {c.target.to for c in changes_of(conclusions)}


def test_mercury_signs_bring_the_hazard_of_mercury(shipped: RuleBase) -> None:
    conclusions = conclusions_of(shipped, dryness="damp")
    effects = {(c.fact, c.target.name, c.target.to) for c in changes_of(conclusions) if c.target.hazard}
    assert ("mercury_signs", "mercury-vapour", "appears") in effects


def test_a_stop_that_rests_on_where_in_its_stretch_an_amount_lies_is_not_told(shipped: RuleBase) -> None:
    conclusions = conclude(shipped, read_batch(ROOT / "cases" / "lead-made-from-litharge.yaml", shipped).answers)
    to_stop = {change.fact for change in changes_of(conclusions) if change.target.to == "stop"}
    assert "mercury_signs" in to_stop
    assert "batch_mass" not in to_stop
