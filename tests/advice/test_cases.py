"""Every worked case gives the advice it says; together they reach every way, stop and kind of preparation."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import get_args

import pytest

from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.advice.batches.entries import ExpectedAdvice
from advisor.advice.build_advice import build_advice
from advisor.advice.comparing import unmet
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import OutcomeKind
from advisor.engine.conclude import conclude
from advisor.rulebase.model import RuleBase
from tests.advice.widths import OPEN, narrower, pinned, widths
from tests.conftest import ROOT

CASES = sorted((ROOT / "cases").glob("*.yaml"))


Case = Callable[[Path], tuple[BatchFile, ExpectedAdvice, Advice]]


@pytest.fixture(scope="module")
def case(shipped: RuleBase) -> Case:
    """A case with its advice, worked out once."""

    @cache
    def worked_out(path: Path) -> tuple[BatchFile, ExpectedAdvice, Advice]:
        batch = read_batch(path, shipped)
        assert batch.expected is not None
        return (
            batch,
            batch.expected,
            build_advice(conclude(shipped, batch.answers), batch.title, look_for_changes=False),
        )

    return worked_out


def argument_truths(advice: Advice) -> dict[str, str]:
    return {
        argument.id: argument.truth
        for decision in advice.decisions
        for option in decision.options
        for argument in (*option.arguments, *option.silent)
    }


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_case_gives_the_advice_it_says(path: Path, case: Case, shipped: RuleBase) -> None:
    batch, expected, advice = case(path)
    assert unmet(expected, advice) == []
    assert not advice.warnings or not advice.amounts, "nothing is weighed out on an answer that is doubted"
    assert {*expected.first, *expected.without_first} <= set(shipped.preparations)
    assert {*expected.hazards, *expected.without_hazards} <= set(shipped.hazards)
    assert {*expected.steps, *expected.without_steps} <= set(shipped.steps)
    assert batch.description
    assert batch.why


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_case_says_that_it_is_invented(path: Path) -> None:
    assert "invented" in path.read_text(encoding="utf-8").lower()


def test_there_are_enough_cases_and_enough_of_them_checked_against_a_published_source(shipped: RuleBase) -> None:
    batches = [read_batch(path, shipped) for path in CASES]
    assert len(batches) >= 25
    assert sum(bool(batch.checked_against) for batch in batches) >= 8


@pytest.mark.parametrize("decision", ["route", "collector", "cupel", "borax"])
def test_every_option_of_the_decision_comes_out_of_some_case(decision: str, case: Case, shipped: RuleBase) -> None:
    reached = set()
    for path in CASES:
        _, _, advice = case(path)
        reached |= {note.chosen for note in advice.decisions if note.id == decision}
    assert reached == set(shipped.decisions[decision].options)


def test_every_reason_to_stop_holds_in_some_case(case: Case, shipped: RuleBase) -> None:
    stops = {a.id for a in shipped.decisions["route"].arguments if a.entry.says == "require"}
    holding = set()
    for path in CASES:
        _, _, advice = case(path)
        holding |= {name for name, truth in argument_truths(advice).items() if truth == "holds"}
    assert stops <= holding, stops - holding


def test_every_outcome_comes_out_of_some_case(case: Case) -> None:
    assert {case(path)[2].outcome for path in CASES} == set(get_args(OutcomeKind))


def test_every_kind_of_preparation_comes_out_of_some_case(case: Case, shipped: RuleBase) -> None:
    """A kind of preparation is a file of them: of the sand, the place, the gear, the fire, the shelf."""
    shown = {note.id for path in CASES for note in case(path)[2].first}
    kinds: dict[str, set[str]] = {}
    for name, preparation in shipped.preparations.items():
        kinds.setdefault(preparation.origin.file, set()).add(name)
    assert len(kinds) >= 8
    assert [file for file, names in kinds.items() if not names & shown] == []


def test_no_weighed_range_of_a_case_is_narrower_than_its_sources_made_it(case: Case) -> None:
    was, found = pinned(), {}
    for path in CASES:
        told = narrower(was.get(path.stem, {}), widths(case(path)[2]))
        found.update({path.stem: told} if told else {})
    assert found == {}, "say which source made it narrower, and write them anew: python -m tests.advice.widths"


def test_a_range_that_becomes_narrower_is_found() -> None:
    assert narrower({"iron": 10.0}, {"iron": 9.0}) == ["iron: 10.0 was, 9.0 is"]
    assert narrower({"iron": OPEN}, {"iron": 50.0}) == ["iron: 0.0 was, 50.0 is"]
    assert narrower({"iron": 10.0, "soda_ash": 2.0}, {"iron": OPEN, "soda_ash": 2.1}) == []
