"""What answers would have changed the advice: each one listed is tried, none is missing, none is larger than needed."""

from __future__ import annotations

from itertools import combinations, product
from pathlib import Path
from random import Random

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.engine.conclude import Conclusions, conclude
from advisor.engine.state import NOT_KNOWN, Answers
from advisor.engine.what_if.changes import MOST_SETS, OtherAnswers, smallest_changes, smallest_sets
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import RuleBase
from tests.batches import conclusions_of
from tests.conftest import ROOT
from tests.engine.drawn_bases import drawn_base
from tests.engine.law_draws import consistent, drawn_truth, some_answers
from tests.engine.trial import Place, Sets, Trial
from tests.rulebase.small_base import compiled

CASES = sorted((ROOT / "cases").glob("*.yaml"))
BOTH = ("route", "collector")


def searched(conclusions: Conclusions, decisions: tuple[str, ...] = BOTH) -> Sets:
    """The smallest changes, joined cells taken apart again."""
    found: Sets = {}
    for target, smallest in smallest_sets(conclusions, decisions, hazards=True):
        assert smallest.complete
        for block in smallest.blocks:
            for cells in product(*(single_cells(cells) for _, cells in block)):
                moved: set[Place] = {(variable, cell) for (variable, _), cell in zip(block, cells, strict=True)}
                found.setdefault(target, set()).add(frozenset(moved))
    return found


def up_to(found: Sets, most: int) -> Sets:
    """Those of at most so many answers."""
    return {target: sets for target, sets in found.items() if len(next(iter(sets))) <= most}


def of_case(path: Path, shipped: RuleBase) -> Conclusions:
    return conclude(shipped, read_batch(path, shipped).answers)


def drawn(rule_base: RuleBase, random: Random) -> Answers | None:
    """Answers of which some are not known or not given; None when those drawn contradict each other."""
    truth = drawn_truth(rule_base, random, harmless=random.random() < 0.8)
    known = random.choice((random.random(), 1.0))
    answers = some_answers(truth, random, known, (1 - known) / 2)
    return answers if consistent(rule_base, answers) else None


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_single_answers_are_those_that_trying_every_answer_finds(path: Path, shipped: RuleBase) -> None:
    conclusions = of_case(path, shipped)
    assert up_to(searched(conclusions), 1) == Trial(conclusions, BOTH).smallest(1)


@pytest.mark.parametrize("block", range(6))
def test_so_they_are_for_drawn_answers_of_which_some_are_not_known(block: int, shipped: RuleBase) -> None:
    compared = 0
    for seed in range(30):
        answers = drawn(shipped, Random(f"{block}-{seed}"))
        if answers is not None:
            conclusions = conclude(shipped, answers)
            assert up_to(searched(conclusions), 1) == Trial(conclusions, BOTH).smallest(1), (block, seed)
            compared += 1
    assert compared >= 20


@pytest.mark.parametrize(
    "name", ["sheet-lead-for-rich-gold", "poor-batch-kept-and-gathered", "no-gloves-no-pan-no-buyer"]
)
def test_the_pairs_are_those_that_trying_every_pair_finds(name: str, shipped: RuleBase) -> None:
    conclusions = of_case(ROOT / "cases" / f"{name}.yaml", shipped)
    by_trial = Trial(conclusions, BOTH).smallest(2)
    assert up_to(searched(conclusions), 2) == by_trial
    assert any(len(next(iter(sets))) == 2 for sets in by_trial.values())


@pytest.mark.parametrize("block", range(6))
def test_on_drawn_small_rule_bases_all_sets_up_to_three_are_those_found_by_trial(block: int) -> None:
    sizes: set[int] = set()
    for seed in range(8):
        random = Random(f"{block}-{seed}")
        rule_base = drawn_base(random)
        answers = drawn(rule_base, random)
        if answers is None:
            continue
        decisions = random.choice((("route", "vessel"), ("route", "lid"), ("lid",), ("route", "vessel", "lid")))
        conclusions = conclude(rule_base, answers)
        by_trial = Trial(conclusions, decisions).smallest(3)
        assert searched(conclusions, decisions) == by_trial, (block, seed)
        sizes |= {len(next(iter(sets))) for sets in by_trial.values()}
    assert {1, 2} <= sizes


@pytest.mark.parametrize("answers", [{}, {"wet": True}, {"wet": False}, {"wet": NOT_KNOWN, "place": "shed"}])
def test_on_the_small_rule_base_all_sets_are_those_found_by_trial(answers: Answers) -> None:
    conclusions = conclude(compiled(), answers)
    assert searched(conclusions, ("route", "vessel")) == Trial(conclusions, ("route", "vessel")).smallest(3)


@pytest.mark.parametrize("path", CASES[::5], ids=lambda path: path.stem)
def test_every_set_listed_reaches_its_target_and_no_part_of_it_does(path: Path, shipped: RuleBase) -> None:
    conclusions = of_case(path, shipped)
    trial = Trial(conclusions, BOTH)
    for target, sets in searched(conclusions).items():
        for one in sorted(sets, key=sorted)[:40]:
            assert target in trial.reached(tuple(one))
            for size in range(1, len(one)):
                assert all(target not in trial.reached(part) for part in combinations(one, size))


@pytest.mark.parametrize("block", range(4))
def test_so_it_is_for_drawn_answers(block: int, shipped: RuleBase) -> None:
    listed = 0
    for seed in range(5):
        random = Random(f"sets-{block}-{seed}")
        answers = drawn(shipped, random)
        if answers is None:
            continue
        conclusions = conclude(shipped, answers)
        trial = Trial(conclusions, BOTH)
        for target, sets in searched(conclusions).items():
            for one in random.sample(sorted(sets, key=sorted), min(5, len(sets))):
                listed += 1
                assert target in trial.reached(tuple(one))
                for size in range(1, len(one)):
                    assert all(target not in trial.reached(part) for part in combinations(one, size))
    assert listed > 100


@pytest.mark.parametrize(("written", "to"), [("5 %", "cupel_direct"), ("5.01 %", "smelt_iron")])
def test_the_sulphide_limit_turns_the_route_exactly_at_its_threshold(shipped: RuleBase, written: str, to: str) -> None:
    conclusions = conclusions_of(
        shipped, sulphide_share=written, gold_share="60 %", black_sand_share="5 %", batch_mass="20 g"
    )
    assert conclusions.rulings["route"].chosen == to


def changes_of(conclusions: Conclusions) -> list[OtherAnswers]:
    return list(smallest_changes(conclusions, BOTH).found)


def words_of(change: OtherAnswers) -> dict[str, str]:
    return {answer.fact: answer.words for answer in change.answers}


def test_a_change_is_told_with_the_stretch_of_amounts_that_brings_it(shipped: RuleBase) -> None:
    conclusions = conclusions_of(
        shipped, sulphide_share="20 %", gold_share="60 %", black_sand_share="5 %", batch_mass="20 g"
    )
    told = [words_of(c).get("sulphide_share", "") for c in changes_of(conclusions) if c.target.to == "cupel_direct"]
    assert told == ["5 % or less"]


def test_another_collector_at_hand_is_told(shipped: RuleBase) -> None:
    found = [c for c in changes_of(conclusions_of(shipped)) if c.target.name == "collector"]
    assert {("reagents", "bismuth")} <= {(c.answers[0].fact, c.target.to) for c in found}


def test_two_answers_are_told_together_where_neither_is_enough(shipped: RuleBase) -> None:
    conclusions = conclusions_of(
        shipped, sulphide_share="20 %", gold_share="20 %", black_sand_share="5 %", batch_mass="20 g"
    )
    pairs = [words_of(c) for c in changes_of(conclusions) if c.target.to == "cupel_direct"]
    assert {"gold_share", "sulphide_share"} in [set(pair) for pair in pairs]
    pair = next(pair for pair in pairs if set(pair) == {"gold_share", "sulphide_share"})
    assert pair["gold_share"].startswith("30 % or more")
    assert pair["sulphide_share"] == "5 % or less"


def test_the_number_of_sets_left_out_is_told(shipped: RuleBase) -> None:
    conclusions = conclusions_of(shipped)
    sets = {target: found.blocks for target, found in smallest_sets(conclusions, BOTH, hazards=True) if found.size > 1}
    cut = {target: blocks for target, blocks in sets.items() if len(blocks) > MOST_SETS}
    assert cut
    for target, blocks in cut.items():
        listed = [c for c in changes_of(conclusions) if c.target == target]
        assert len(listed) == MOST_SETS
        assert [c.more for c in listed] == [0] * (MOST_SETS - 1) + [len(blocks) - MOST_SETS]


def test_a_search_that_is_broken_off_says_so(shipped: RuleBase) -> None:
    found = list(smallest_sets(conclusions_of(shipped), BOTH, hazards=True, spots=50))
    assert not all(smallest.complete for _, smallest in found)


def test_the_list_of_no_shipped_case_is_broken_off(shipped: RuleBase) -> None:
    assert all(smallest_changes(of_case(path, shipped), BOTH).complete for path in CASES)


def test_mercury_signs_bring_the_hazard_of_mercury_and_dry_sand_takes_away_the_drying(shipped: RuleBase) -> None:
    conclusions = conclusions_of(shipped, dryness="damp")
    effects = {(c.answers[0].fact, c.target.name, c.target.to) for c in changes_of(conclusions) if c.target.hazard}
    assert ("mercury_signs", "mercury-vapour", "appears") in effects
    assert ("dryness", "drying-the-concentrate", "disappears") in effects
