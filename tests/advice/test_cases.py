"""Every worked case gives the advice it says; together they reach every way, stop and kind of preparation."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest

from advisor.advice.batches.entries import ExpectedAdvice
from advisor.advice.comparing import unmet
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import OutcomeKind
from advisor.rulebase.model import RuleBase
from tests.advice.widths import OPEN, narrower, pinned, widths
from tests.shipped import CASES, advice_of_case, batch_of


def expected_of(path: Path) -> ExpectedAdvice:
    """What a case says that it gives."""
    expected = batch_of(path).expected
    assert expected is not None
    return expected


def argument_truths(advice: Advice) -> dict[str, str]:
    return {
        argument.id: argument.truth
        for decision in advice.decisions
        for option in decision.options
        for argument in (*option.arguments, *option.silent)
    }


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_case_gives_the_advice_it_says(path: Path, shipped: RuleBase) -> None:
    batch, expected, advice = batch_of(path), expected_of(path), advice_of_case(path)
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


def test_there_are_enough_cases_and_enough_of_them_checked_against_a_published_source() -> None:
    batches = [batch_of(path) for path in CASES]
    assert len(batches) >= 25
    assert sum(bool(batch.checked_against) for batch in batches) >= 8


@pytest.mark.parametrize("decision", ["route", "collector", "cupel", "borax"])
def test_every_option_of_the_decision_comes_out_of_some_case(decision: str, shipped: RuleBase) -> None:
    reached = set()
    for path in CASES:
        advice = advice_of_case(path)
        reached |= {note.chosen for note in advice.decisions if note.id == decision}
    assert reached == set(shipped.decisions[decision].options)


def test_every_reason_to_stop_holds_in_some_case(shipped: RuleBase) -> None:
    stops = {a.id for a in shipped.decisions["route"].arguments if a.entry.says == "require"}
    holding = set()
    for path in CASES:
        advice = advice_of_case(path)
        holding |= {name for name, truth in argument_truths(advice).items() if truth == "holds"}
    assert stops <= holding, stops - holding


def test_every_outcome_comes_out_of_some_case() -> None:
    assert {advice_of_case(path).outcome for path in CASES} == set(get_args(OutcomeKind))


def test_every_kind_of_preparation_comes_out_of_some_case(shipped: RuleBase) -> None:
    """A kind of preparation is a file of them: of the sand, the place, the gear, the fire, the shelf."""
    shown = {note.id for path in CASES for note in advice_of_case(path).first}
    kinds: dict[str, set[str]] = {}
    for name, preparation in shipped.preparations.items():
        kinds.setdefault(preparation.origin.file, set()).add(name)
    assert len(kinds) >= 8
    assert [file for file, names in kinds.items() if not names & shown] == []


def test_no_weighed_range_of_a_case_is_narrower_than_its_sources_made_it() -> None:
    was, found = pinned(), {}
    for path in CASES:
        told = narrower(was.get(path.stem, {}), widths(advice_of_case(path)))
        found.update({path.stem: told} if told else {})
    assert found == {}, "say which source made it narrower, and write them anew: python -m tests.advice.widths"


def test_a_range_that_becomes_narrower_is_found() -> None:
    assert narrower({"iron": 10.0}, {"iron": 9.0}) == ["iron: 10.0 was, 9.0 is"]
    assert narrower({"iron": OPEN}, {"iron": 50.0}) == ["iron: 0.0 was, 50.0 is"]
    assert narrower({"iron": 10.0, "soda_ash": 2.0}, {"iron": OPEN, "soda_ash": 2.1}) == []
