"""How the page and the document tell what would have changed the advice."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from rich.console import Console

from advisor.advice.documents.advice import Advice
from advisor.present.text.changes import print_changes
from advisor.present.text.page import Page
from advisor.rulebase.model import RuleBase
from tests.batches import advice_of
from tests.terminal.program import flat


@pytest.fixture(scope="module")
def advice(shipped: RuleBase) -> Advice:
    """A smelt that only sulphide and poor gold together keep from being cupelled directly."""
    return advice_of(shipped, sulphide_share="20 %", gold_share="20 %", black_sand_share="5 %", batch_mass="20 g")


def page_of(advice: Advice, explain: bool = False) -> str:
    console = Console(file=io.StringIO(), width=80)
    print_changes(Page(console), advice, explain)
    assert isinstance(console.file, io.StringIO)
    return flat(console.file.getvalue())


def test_every_single_answer_that_changes_the_route_or_the_collector_is_told(advice: Advice) -> None:
    assert advice.changes
    assert all(change.decision in ("route", "collector") for change in advice.changes)
    for change in advice.changes:
        assert change.answer in page_of(advice)
        assert f"-> {change.to_title}" in page_of(advice)


def test_every_hazard_that_an_answer_brings_or_takes_away_is_in_the_document_and_explained(advice: Advice) -> None:
    attached = {hazard.id for hazard in advice.hazards}
    assert {change.severity for change in advice.hazard_changes} == {"deadly", "grave", "moderate"}
    for change in advice.hazard_changes:
        assert (change.hazard in attached) is (change.effect == "disappears")
        assert change.to_title.removesuffix(f" {change.effect}") in page_of(advice, explain=True)


def test_the_short_page_tells_the_grave_hazards_and_leaves_out_the_moderate_ones(advice: Advice) -> None:
    told = page_of(advice)
    hazards = told[told.index("Would take away or bring a hazard") :]
    for change in advice.hazard_changes:
        title = change.to_title.removesuffix(f" {change.effect}")
        assert (title in hazards) is any(
            other.severity != "moderate" for other in advice.hazard_changes if other.to_title == change.to_title
        )


def test_where_nothing_helps_the_page_says_so(shipped: RuleBase) -> None:
    nothing = replace(advice_of(shipped), changes=())
    assert "No single different answer would change the route or the collector." in page_of(nothing)
