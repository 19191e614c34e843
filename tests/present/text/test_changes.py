"""How the page and the document tell what would have changed the advice."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from rich.console import Console

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import Change
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


def sentence(change: Change) -> str:
    notes = [(change.label, change.answer), *((note.label, note.answer) for note in change.also)]
    return "; and ".join(f"{label}: {answer}" for label, answer in notes)


def test_two_answers_that_work_only_together_are_told_as_one_change(advice: Advice) -> None:
    pair = next(c for c in advice.changes_together if c.to == "cupel_direct" and len(c.also) == 1)
    assert {pair.fact, pair.also[0].fact} == {"gold_share", "sulphide_share"}
    assert f"{sentence(pair)}; together -> {pair.to_title}" in page_of(advice, explain=True)


def test_the_list_of_single_answers_holds_no_set(advice: Advice) -> None:
    assert advice.changes
    assert advice.changes_together
    assert all(not change.also and change.decision in ("route", "collector") for change in advice.changes)
    assert all(change.also for change in advice.changes_together)
    singles = {(change.decision, change.to) for change in advice.changes}
    assert singles.isdisjoint((change.decision, change.to) for change in advice.changes_together)


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
            other.severity != "moderate" and not other.also
            for other in advice.hazard_changes
            if other.to_title == change.to_title
        )


def test_the_page_says_how_many_sets_it_leaves_out(advice: Advice) -> None:
    told = page_of(advice)
    for to in {change.to for change in advice.changes_together}:
        found = [change for change in advice.changes_together if change.to == to]
        left = len(found) - 2 + found[-1].more
        assert (f"and {left} more, each a" in told) or left <= 0


def test_a_search_that_was_broken_off_is_told(advice: Advice) -> None:
    assert "Some changes may be missing" in page_of(replace(advice, changes_complete=False))
    assert "Some changes may be missing" not in page_of(advice)


def test_where_nothing_helps_the_page_says_so(shipped: RuleBase) -> None:
    nothing = replace(advice_of(shipped), changes=(), changes_together=())
    assert "No change of up to three answers would change the route or the collector." in page_of(nothing)
