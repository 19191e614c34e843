"""The gold of recorded batches, the chart over time, and what the next plan learns. All figures are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.advice.experience import Evidence, Experience, Way
from advisor.document import read_plain
from advisor.errors import InputError
from advisor.journal import Batch, Contents, Draft, Journal
from advisor.journal.accounts import account_of, accounts
from advisor.journal.balance_document import balance_of_all, balance_of_one
from advisor.journal.gathering import experience
from advisor.journal.plans import PlanNote, plan_drafts, plan_note, plan_of
from advisor.journal.vocabulary import RESULTS, read_pair
from advisor.rulebase.model import RuleBase
from advisor.units import Range
from tests.batches import advice_of, conclusions_of
from tests.journal.making import journal_at
from tests.metallurgy.charge_examples import notes

WAY = Way("smelt_iron", "lead", "bone_ash")


@pytest.fixture(scope="module")
def advice(shipped: RuleBase) -> Advice:
    return advice_of(shipped)


@pytest.fixture
def journal(tmp_path: Path) -> Journal:
    return journal_at(tmp_path / "journal.sqlite")


def opened(journal: Journal, advice: Advice | None, *words: str) -> Batch:
    batch, _ = journal.start("Invented", "Ana", plan_drafts(advice, None) if advice else ())
    if words:
        journal.add(batch, "Ana", [read_pair(word) for word in words])
    return batch


def test_the_key_figures_of_a_plan_are_kept_beside_the_whole_of_it(journal: Journal, advice: Advice) -> None:
    batch = opened(journal, advice)
    entries = journal.entries_of(batch)
    note = plan_of(entries)
    assert note == plan_note(advice, None)
    assert isinstance(note, PlanNote)
    assert (note.route, note.collector, note.cupel) == ("smelt_iron", "lead", "bone_ash")
    assert note.bead_g == next(e.mass_g for e in advice.expectations if e.id == "bead-from-smelt")
    assert note.weights["litharge"].mass_g.likely == advice.amounts["litharge"].likely_g
    assert note.gold_kept_share is not None
    assert 0.8 < note.gold_kept_share.low < note.gold_kept_share.likely < 1
    assert note.scale_step_g == 0.01
    assert read_plain(Advice, entries[1].document) == advice


def test_assayed_gold_in_and_out_is_balanced_with_its_errors(journal: Journal) -> None:
    # The same figures as the worked example of the balance: 500 g at 2 % (0.05 %) against 9.9 g at 95 % (0.5 %).
    words = ("feed=500g", "feed_gold=1.9 to 2.1 %", "bead=9.9g", "fineness=940 to 960 permille", "slag=100g")
    batch = opened(journal, None, *words)
    one = balance_of_one(account_of(batch, journal.entries_of(batch)), notes())
    assert one.unaccounted_g.likely == pytest.approx(0.595)
    assert one.signal
    assert not one.estimated
    assert "slag" in one.says


def test_slag_with_an_assay_counts_and_parts_are_added(journal: Journal) -> None:
    words = ("feed=100g", "feed_gold=5%", "bead=3g", "bead.2=1g", "fineness=1000 permille", "slag=200g")
    batch = opened(journal, None, *words, "slag_gold=5000 g/t")
    account = account_of(batch, journal.entries_of(batch))
    assert account.bead_g == Range.exact(4.0)
    assert balance_of_one(account, notes()).unaccounted_g.likely == pytest.approx(0.0, abs=1e-9)


def test_an_estimate_by_eye_counts_the_bead_whole_and_says_so(journal: Journal, advice: Advice) -> None:
    batch = opened(journal, advice, "bead=4.6g", "fineness=850 permille")
    one = balance_of_one(account_of(batch, journal.entries_of(batch)), notes())
    assert one.estimated
    assert one.unaccounted_g.likely == pytest.approx(0.4)
    assert not one.signal
    assert any("estimate by eye" in note for note in one.notes)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "has no bead; add it"),
        (("bead=u",), "has no bead; add it"),
        (("bead=3g",), "what went in .* is not recorded"),
        (("bead=3g", "feed=100g"), "neither assayed nor estimated"),
        (("bead=3g", "feed=100g", "feed_gold=5%"), "has no fineness; add it"),
    ],
)
def test_what_a_balance_lacks_is_said_with_the_command_that_adds_it(
    journal: Journal, words: tuple[str, ...], says: str
) -> None:
    batch = opened(journal, None, *words)
    with pytest.raises(InputError, match=rf"{says}[\s\S]*advisor journal add 1"):
        balance_of_one(account_of(batch, journal.entries_of(batch)), notes())


def shop(journal: Journal, advice: Advice, beads: list[float], *more: str) -> Contents:
    for bead in beads:
        opened(journal, advice, f"bead={bead}g", "outcome=clean", *more)
    return journal.look()


def test_the_chart_has_limits_from_five_batches_and_names_what_is_left_out(journal: Journal, advice: Advice) -> None:
    contents = shop(journal, advice, [4.6, 4.7, 4.5, 4.6])
    assert balance_of_all(accounts(contents)).low is None
    opened(journal, advice, "bead=1g", "outcome=spoilt")
    opened(journal, advice)
    contents = shop(journal, advice, [4.65, 4.6, 4.7, 4.5, 1.2])
    chart = balance_of_all(accounts(contents))
    assert chart.low is not None
    assert chart.high is not None
    assert [point.batch for point in chart.points] == [1, 2, 3, 4, 5, 7, 8, 9, 10, 11]
    assert [point.batch for point in chart.points if point.beyond] == [5, 11]
    assert [point.batch for point in chart.points if not point.in_limits] == [5, 11]
    assert chart.not_in_limits[0] == "batch 5: ended as spoilt"
    (without,) = chart.left_out
    assert "batch 6 has no bead" in without
    assert "Batches 5 and 11: beyond a limit" in chart.verdict


@pytest.mark.parametrize("outcome", ["clean", "again", "spoilt", "stopped", "sent_out"])
def test_a_lost_quarter_is_told_and_counted_whatever_the_batch_is_called(
    journal: Journal, advice: Advice, outcome: str
) -> None:
    shop(journal, advice, [4.6, 4.7, 4.5, 4.6, 4.65, 4.7, 4.6, 4.5])
    calm = balance_of_all(accounts(journal.look()))
    assert "No signal in 8 batches" in calm.verdict
    opened(journal, advice, "bead=3.5g", f"outcome={outcome}")
    chart = balance_of_all(accounts(journal.look()))
    assert [point.batch for point in chart.points if point.beyond] == [9]
    assert "No signal" not in chart.verdict
    assert "Batch 9: beyond a limit" in chart.verdict
    assert (chart.low, chart.mean, chart.high) == (calm.low, calm.mean, calm.high), "it cannot widen the limits"
    assert chart.together_g is not None
    whole = sum(account.balance.unaccounted.amount.likely for account in accounts(journal.look()) if account.balance)
    assert chart.together_g.likely == pytest.approx(whole)
    assert "of this batch" not in str(chart.together)


def test_each_point_carries_the_signal_of_its_own_balance(journal: Journal) -> None:
    words = ("feed=500g", "feed_gold=1.9 to 2.1 %", "fineness=940 to 960 permille", "outcome=clean")
    for bead in ("10.4g", "9.9g", "10.5g"):
        opened(journal, None, f"bead={bead}", *words)
    chart = balance_of_all(accounts(journal.look()))
    assert [(point.signal, point.beyond) for point in chart.points] == [(False, False), (True, False), (False, False)]
    assert "Batch 2: the difference is more than scale and assays explain" in chart.verdict
    assert "Fewer than 8 undisturbed batches cannot tell that all is well." in chart.verdict


def test_fewer_than_eight_batches_never_say_that_there_is_no_signal(journal: Journal, advice: Advice) -> None:
    for bead in (4.6, 4.7, 4.5, 4.6, 4.65, 4.7, 4.6):
        contents = shop(journal, advice, [bead])
        assert "No signal" not in balance_of_all(accounts(contents)).verdict


def test_other_feed_than_planned_brings_other_gold_and_no_grade_is_invented(journal: Journal, advice: Advice) -> None:
    # 100 g at 5 % by eye were planned; 200 g went in.
    fed = ((100, 4.6), (200, 9.2))
    plain, double = (opened(journal, advice, f"feed={feed}g", f"bead={bead}g") for feed, bead in fed)
    one, other = (balance_of_one(account_of(batch, journal.entries_of(batch)), notes()) for batch in (plain, double))
    assert other.lines[0].gold_g.likely == pytest.approx(2 * one.lines[0].gold_g.likely)
    assert other.lines[0].how.startswith("200 g x 5 %")
    assert other.unaccounted_g.likely == pytest.approx(2 * one.unaccounted_g.likely)


def test_experience_is_gathered_by_way_and_leaves_out_what_went_wrong(journal: Journal, advice: Advice) -> None:
    assert experience(journal) == Experience()
    expected = plan_note(advice, None).bead_g
    assert expected is not None
    shop(journal, advice, [expected.likely * ratio for ratio in (0.90, 0.92, 0.94)])
    opened(journal, advice, f"bead={expected.likely * 0.3}g", "outcome=spoilt")
    opened(journal, advice, "outcome=stopped")
    opened(journal, None, "bead=1g")
    found = experience(journal)
    assert list(found.ways) == [WAY]
    assert found.of("smelt_iron", "lead", "bone_ash").ratios == pytest.approx((0.90, 0.92, 0.94))
    assert found.of("smelt_iron", "bismuth", "bone_ash") == Evidence()


def test_an_amended_bead_is_the_one_that_counts(journal: Journal, advice: Advice) -> None:
    batch = opened(journal, advice, "bead=40g")
    number = journal.entries_of(batch)[-1].number
    journal.amend(number, "Ana", "a point too few", read_pair("bead=4.0g"))
    assert account_of(batch, journal.entries_of(batch)).bead_g == Range.exact(4.0)


def test_the_next_plan_shows_the_shops_own_range_beside_that_of_the_rules(shipped: RuleBase, advice: Advice) -> None:
    own = Experience({WAY: Evidence(ratios=(0.90, 0.92, 0.94))})
    next_plan = build_advice(conclusions_of(shipped), experience=own)
    (bead,) = [note for note in next_plan.expectations if note.shop is not None]
    assert bead.id == "bead-from-smelt"
    assert bead.mass_g is not None
    assert bead.shop is not None
    assert bead.mass_g == next(e.mass_g for e in advice.expectations if e.id == "bead-from-smelt")
    assert bead.shop.mass_g.likely == pytest.approx(0.92 * bead.mass_g.likely, rel=1e-3)
    assert bead.shop.batches == 3
    assert plan_note(next_plan, None) == plan_note(advice, None), "the journal compares with the rules alone"


def test_without_enough_batches_the_plan_is_the_same(shipped: RuleBase, advice: Advice) -> None:
    own = Experience({WAY: Evidence(ratios=(0.5, 0.5)), Way("cupel_direct", "lead", "bone_ash"): Evidence((0.9,) * 9)})
    assert build_advice(conclusions_of(shipped), experience=own) == advice


def test_clean_beads_with_bismuth_set_the_shops_ratio(journal: Journal, shipped: RuleBase) -> None:
    plan = advice_of(shipped, reagents=BISMUTH)
    assert plan.collector == "bismuth"
    for bismuth in (8, 9, 10):
        opened(journal, plan, "bead=4g", f"weighed.bismuth={bismuth}g", "outcome=clean")
    opened(journal, plan, "bead=4g", "weighed.bismuth=2g", "outcome=again")
    (evidence,) = experience(journal).ways.values()
    assert evidence.bismuth_ratios == (2.0, 2.25, 2.5)
    amount = learnt(shipped, journal).amounts["bismuth"]
    assert (amount.low_g, amount.likely_g, amount.high_g) == (8, 9, 10)
    assert amount.learned is not None
    assert amount.learned.source == "batches 1, 2 and 3"
    assert amount.learned.by_rules_g.likely == plan.amounts["bismuth"].likely_g
    assert plan_note(learnt(shipped, journal), None).weights["bismuth"].by_rules_g == amount.learned.by_rules_g


BISMUTH = ["borax_anhydrous", "soda_ash", "silica", "bismuth", "iron", "flour"]


def learnt(shipped: RuleBase, journal: Journal, mass: str = "100 g") -> Advice:
    """The next plan with bismuth, by what the journal holds."""
    conclusions = conclusions_of(shipped, reagents=BISMUTH, batch_mass=mass)
    return build_advice(conclusions, experience=experience(journal), look_for_changes=False)


def diagnosed(journal: Journal, batch: Batch, **changed: object) -> None:
    """Record a diagnosis that asks for a quarter more bismuth next time, with some of that line changed."""
    factor = {"low": 1.1, "likely": 1.25, "high": 1.5}
    line = {"kind": "amount", "id": "bismuth", "factor": factor, "only_if": None, "because": "Too little", **changed}
    document = {"document": "diagnosis", "version": 1, "next_batch": [line]}
    journal.add(batch, "Ana", [Draft("diagnosis", "diagnosis", "Too little", document=document)])


def test_a_diagnosis_changes_what_the_next_plan_weighs_out_whatever_its_mass(
    journal: Journal, shipped: RuleBase
) -> None:
    plan = advice_of(shipped, reagents=BISMUTH)
    by_rules = plan.amounts["bismuth"].likely_g
    batch = opened(journal, plan, f"weighed.bismuth={by_rules * 0.8}g", "bead=4g", "outcome=again")
    assert learnt(shipped, journal).amounts["bismuth"].learned is None
    diagnosed(journal, batch, only_if="the collector was bismuth")
    assert learnt(shipped, journal).amounts["bismuth"].learned is None, "what hangs on something open changes nothing"
    diagnosed(journal, batch)
    # A quarter more than what lay in the pot, which was a fifth less than the rules plan.
    for mass, times in (("100 g", 1), ("200 g", 2)):
        advice = learnt(shipped, journal, mass)
        amount = advice.amounts["bismuth"]
        assert amount.learned is not None
        assert (amount.learned.source, amount.likely_g) == ("batch 1", round(times * by_rules))
        assert amount.high_g < 2 * amount.low_g, "one batch that was nearly right leaves less open than the rules"
        assert any(f"{amount.likely_g:g} g" in step.do for step in advice.steps if "bismuth" in step.uses)


def test_clean_batches_after_a_diagnosis_take_its_place_from_three_on(journal: Journal, shipped: RuleBase) -> None:
    plan = advice_of(shipped, reagents=BISMUTH)
    opened(journal, plan, "weighed.bismuth=5g", "bead=4g", "outcome=clean")
    diagnosed(journal, opened(journal, plan, "weighed.bismuth=20g"))
    for grams in (26, 30):
        opened(journal, learnt(shipped, journal), f"weighed.bismuth={grams}g", "bead=4g", "outcome=clean")
        amount = learnt(shipped, journal).amounts["bismuth"]
        assert (amount.learned and amount.learned.source, amount.likely_g) == ("batch 2", 25)
    opened(journal, learnt(shipped, journal), "weighed.bismuth=28g", "bead=4g", "outcome=clean")
    amount = learnt(shipped, journal).amounts["bismuth"]
    assert amount.learned is not None
    assert amount.learned.source == "batches 3, 4 and 5"
    assert (amount.low_g, amount.likely_g, amount.high_g) == (26, 28, 30)


def test_what_the_rod_lost_is_the_least_iron_of_the_next_plan(journal: Journal, shipped: RuleBase) -> None:
    plan = advice_of(shipped, reagents=BISMUTH)
    for left in (4, 8, 6):
        words = ("weighed.iron=24g", f"rod_left={left}g", "weighed.soda_ash=190g", "bead=4g", "outcome=clean")
        opened(journal, plan, *words)
    advice = learnt(shipped, journal)
    iron, soda = advice.amounts["iron"], advice.amounts["soda_ash"]
    assert (iron.low_g, iron.likely_g) == (20, 24)
    assert soda.likely_g == 190


@pytest.mark.parametrize("name", RESULTS)
def test_every_example_of_a_result_can_be_recorded(name: str) -> None:
    assert read_pair(RESULTS[name].example).name == name
    assert read_pair(f"{name}=u").state == "not known"


@pytest.mark.parametrize(
    ("word", "says"),
    [
        ("bead", "is not an entry; write"),
        ("=3g", "is not an entry; write"),
        ("bead=", "nothing is written"),
        ("beed=3g", "closest: "),
        ("bead=3ml", "a mass is wanted"),
        ("bead=-3g", "cannot be"),
        ("bead=1e9g", "cannot be"),
        ("fineness=1100 permille", "cannot be"),
        ("outcome=fine", "known are clean"),
        ("weighed.Lith arge=3g", "not the name of a material"),
        ("weighed.=3g", "not the name of a material"),
        ("bead.a.b=3g", "is not known here"),
        ("note=" + "x" * 5000, "the most is 4000"),
    ],
)
def test_a_slip_is_refused_with_what_would_be_right(word: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_pair(word)
