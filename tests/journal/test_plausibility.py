"""Weights that can hardly be true are told, each held against the plan and what was weighed before. All invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.advice.documents.advice import Advice
from advisor.journal.plans import plan_drafts, plan_note
from advisor.journal.plausibility import doubt, doubts
from advisor.journal.vocabulary import ASKED, read_pair
from advisor.rulebase.model import RuleBase
from tests.batches import advice_of
from tests.journal.making import journal_at

# 100 g, a quarter pyrite, lead: litharge, soda, borax, iron, flour; a button, slag, a skin of matte, a bead of 5 g.
DOUBTFUL = [
    ("feed=200g", (), "The plan is for 100 g."),
    ("feed=100kg", (), "The plan is for 100 g."),
    ("weighed.litharge=500g", (), "The plan asks for"),
    ("weighed.nitre=20g", (), "The plan asks for none of this."),
    ("bead=46g", (), "The plan expects"),
    ("matte=1.4kg", (), "The plan expects"),
    ("bead=5.2g", ("button=5g",), "5.2 g of bead or bar is more than the button (5 g)."),
    ("slag=2kg", (), "The plan expects"),
    ("sweepings=2kg", (), "is more than all that went in"),
    ("rod_left=50g", ("weighed.iron=30g",), "is more than the rod that went in (30 g)"),
]
LIKELY = ["feed=104g", "weighed.iron=0g", "bead=4.6g", "bead.2=9g", "matte=0g", "fineness=850 permille", "note=200 g"]


@pytest.fixture(scope="module")
def advice(shipped: RuleBase) -> Advice:
    return advice_of(shipped)


@pytest.mark.parametrize(("word", "before", "says"), DOUBTFUL)
def test_a_weight_that_can_hardly_be_true_is_told(
    tmp_path: Path, advice: Advice, word: str, before: tuple[str, ...], says: str
) -> None:
    journal = journal_at(tmp_path / "journal.sqlite")
    batch, _ = journal.start("Invented", "Ana", plan_drafts(advice, None))
    if before:
        journal.add(batch, "Ana", [read_pair(one) for one in before])
    plan = plan_note(advice, None)
    found = doubt(read_pair(word), plan, journal.entries_of(batch))
    assert found is not None
    assert says in found
    # Given on one line with what speaks against it, it is told too.
    together = [read_pair(one) for one in (word, *before)]
    assert says in str(doubts(together, plan, ())[0])


@pytest.mark.parametrize("word", LIKELY)
def test_an_ordinary_weight_is_taken_without_a_word(tmp_path: Path, advice: Advice, word: str) -> None:
    journal = journal_at(tmp_path / "journal.sqlite")
    batch, _ = journal.start("Invented", "Ana", plan_drafts(advice, None))
    assert doubt(read_pair(word), plan_note(advice, None), journal.entries_of(batch)) is None
    assert doubt(read_pair(word), None, ()) is None


def test_only_what_the_work_gives_is_asked(shipped: RuleBase, advice: Advice) -> None:
    smelt = plan_note(advice, None)
    assert [name for name in ASKED if smelt.makes(name)] == list(ASKED)
    bismuth = ["bismuth", "borax_anhydrous"]
    rich = advice_of(
        shipped, gold_share="80 %", sulphide_share="1 %", quartz_share="3 %", reagents=bismuth, batch_mass="20 g"
    )
    assert rich.route == "cupel_direct"
    direct = plan_note(rich, None)
    assert [name for name in ASKED if direct.makes(name)] == ["feed", "cupel_gain", "bead", "fineness", "outcome"]
    nothing = plan_note(advice_of(shipped, mercury_signs="yes"), None)
    assert [name for name in ASKED if nothing.makes(name)] == ["feed", "outcome"]


def test_a_weight_or_time_is_noted_at_once_and_a_second_time_supersedes_the_first(tmp_path: Path) -> None:
    journal = journal_at(tmp_path / "journal.sqlite")
    batch, _ = journal.start("Invented", "Ana")
    for word in ("weighed.litharge=20g", "time.cupel-open=25min", "weighed.litharge=21g", "note=hot", "note=hotter"):
        journal.note_at_once(batch, "Ana", read_pair(word))
    entries = journal.entries_of(batch)
    assert [(entry.name, entry.text) for entry in entries] == [
        ("litharge", "20g"),
        ("cupel-open", "25min"),
        ("litharge", "21g"),
        ("note", "hot"),
        ("note", "hotter"),
    ]
    assert (entries[2].supersedes, entries[2].why) == (entries[0].uid, "noted anew")
    assert entries[1].amount is not None
    assert (entries[1].kind, entries[1].amount.likely, entries[1].unit) == ("time", 25, "min")
    assert journal.faults() == []
