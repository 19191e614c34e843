"""The trial fusion, against C. and J. J. Beringer, A Text-book of Assaying, ninth edition (1904), pp. 92 to 97."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import InputError
from advisor.metallurgy.charge.oxygen import oxygen_needs
from advisor.metallurgy.charge.reducing import nitre_for, oxygen_per_lead, reductant_for
from advisor.metallurgy.charge.trial import TrialWeights, Weighing, by_trial, trial_of
from advisor.metallurgy.common.range_sums import ZERO
from advisor.metallurgy.common.rows import SourcedRange
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.concentrate.composition import Concentrate, by_masses
from advisor.rulebase.model import RuleBase
from advisor.units import Range
from tests.metallurgy.charge_examples import charge_data, concentrate, exact, minerals, notes

EXACTLY = SourcedRange(exact(1), "as weighed")
WEIGHTS = TrialWeights(3.0, 50.0, 1.9, EXACTLY, 0.928, "beringer-1904, p. 92")

# p. 96: lead from 3 g, flour and nitre for 20 g of ore.
TABLE = [(0, 3.3, 0), (3, 1.3, 0), (6, 0, 4), (9, 0, 9), (12, 0, 14), (15, 0, 19), (18, 0, 24), (21, 0, 29)]


def lead_per_g(button_g: float) -> Range:
    return trial_of(Weighing(exact(3), exact(button_g)), ZERO, WEIGHTS, notes()).lead


@pytest.mark.parametrize(("button_g", "flour_g", "nitre_g"), TABLE)
def test_the_table_of_the_book_comes_out_of_the_button(button_g: float, flour_g: float, nitre_g: float) -> None:
    down, data = lead_per_g(button_g).scaled(20), charge_data()
    # Its nitre is that for 25 g of lead from litharge, its flour that for 20 g from 80 g of red lead.
    nitre = nitre_for(down - exact(25), data.oxidants["nitre"]).amount
    flour = reductant_for(exact(20 + 16) - down, data.reductants["flour"]).amount
    assert nitre.likely == pytest.approx(nitre_g, abs=0.3) or button_g < 6
    assert flour.likely == pytest.approx(flour_g, abs=0.2) or button_g >= 6


@pytest.mark.parametrize(("button_g", "less"), [(6, 0), (9, 1), (12, 2), (21, 5)])
def test_the_short_rule_of_the_book_asks_for_less_nitre_as_the_note_says(
    button_g: float, less: float, shipped: RuleBase
) -> None:
    ours = nitre_for(lead_per_g(button_g).scaled(20) - exact(25), charge_data().oxidants["nitre"]).amount.likely
    assert ours - 1.3 * (button_g - 3) == pytest.approx(less, abs=0.5)  # p. 92
    note = Tables(shipped).notes["trial_rule"].text
    assert "1.3 times" in note
    assert "5 g less at 21 g" in " ".join(note.split())


# p. 97, with litharge: mineral, g, lead without nitre; then grams and nitre of another pot, and what it gave.
# Left out is chalcopyrite with quartz, where 5 g of nitre held only 7.5 g of lead, less than in any other trial.
PREDICTED = [
    ("pyrite", 4, 46.5, 4, 5, 25.5),
    ("pyrite", 4, 40.5, 4, 5, 24.5),
    ("pyrite", 4, 40.5, 7, 12.5, 27.0),
    ("pyrite", 4, 40.5, 10, 20, 26.5),
    ("chalcopyrite", 5, 44.5, 5, 5, 23.0),
    ("blende", 5, 41.5, 5, 5, 21.5),
    ("blende", 5, 38.5, 5, 5, 22.5),
    ("blende", 5, 38.5, 10, 15, 21.6),
    ("antimonite", 5, 31.0, 5, 5, 11.5),
    ("antimonite", 5, 32.5, 10, 10, 18.7),
    ("galena", 10, 33.5, 10, 5, 13.0),
    ("galena", 10, 33.5, 15, 7.5, 19.5),
    ("galena", 10, 33.5, 20, 11, 22.7),
]


@pytest.mark.parametrize(("mineral", "tried_g", "lead_g", "grams", "nitre_g", "found_g"), PREDICTED)
def test_the_lead_without_nitre_foretells_the_lead_with_it(
    mineral: str, tried_g: float, lead_g: float, grams: float, nitre_g: float, found_g: float
) -> None:
    del mineral
    nitre = charge_data().oxidants["nitre"].lead
    left = exact(lead_g / tried_g * grams) - nitre.scaled(nitre_g)
    # The printed nitre lies between 3.2 and 5.3; the buttons of the book agree to a gram.
    assert left.low - 1.0 <= found_g <= left.high + 1.0


@given(st.floats(0.5, 30), st.floats(0.001, 0.4), st.floats(0.001, 0.4))
def test_a_coarser_scale_never_narrows_what_a_button_tells(button_g: float, step: float, more: float) -> None:
    fine, coarse = (
        trial_of(Weighing(exact(3), exact(button_g), one), exact(0.02), WEIGHTS, notes()).lead
        for one in (step, step + more)
    )
    assert coarse.low <= fine.low <= fine.likely <= fine.high <= coarse.high
    assert coarse.low < coarse.high


def test_the_gold_of_the_sample_is_no_lead() -> None:
    without, with_gold = (
        trial_of(Weighing(exact(3), exact(6)), gold, WEIGHTS, notes()).lead for gold in (ZERO, exact(0.2))
    )
    assert without.likely == pytest.approx(2)
    assert with_gold.likely == pytest.approx(1.8)


@st.composite
def lots(draw: st.DrawFn) -> tuple[Concentrate, Concentrate]:
    """A lot as it is, and as an eye sees it: its sulphide off by up to a factor of 1.6."""
    pyrite, magnetite, gold = draw(st.floats(2, 40)), draw(st.floats(0, 20)), draw(st.floats(0, 20))
    true = concentrate(pyrite=pyrite, magnetite=magnetite, gold=gold, quartz=100 - pyrite - magnetite - gold)
    seen = pyrite * draw(st.floats(1 / 1.6, 1 / 0.6))
    eye = Range(0.6 * seen, seen, 1.6 * seen)
    rest = 100 - seen - gold
    part = magnetite / (100 - pyrite - gold)
    masses = {"pyrite": eye, "magnetite": exact(rest * part), "gold": exact(gold), "quartz": exact(rest * (1 - part))}
    return true, replace(by_masses(minerals(), masses), dry_mass_g=exact(100))


@given(lots(), st.floats(10.1, 11.6))
def test_a_trial_finds_the_sulphide_that_an_eye_missed(pair: tuple[Concentrate, Concentrate], power: float) -> None:
    true, eye = pair
    # What the trials of the book gave for pyrite (p. 97), less what magnetite keeps up.
    button = 0.03 * max(0.0, true.mass_g("pyrite").likely * power - true.mass_g("magnetite").likely * 0.75)
    share = exact(true.mass_g("gold").likely / 100)
    trial = trial_of(Weighing(exact(3), exact(button + 3 * share.likely), 0.01), share, WEIGHTS, notes())
    fitted = by_trial(eye, trial, charge_data())
    if fitted is eye:
        assert trial.lead.likely <= 0
        return
    assert sum(part.mass_g.likely for part in fitted.minerals) == pytest.approx(eye.dry_mass_g.likely)
    found = fitted.mass_g("pyrite")
    assert found.low - 0.1 <= true.mass_g("pyrite").likely <= found.high + 0.1
    assert fitted.mass_g("gold") == eye.mass_g("gold")


@given(lots(), st.sampled_from(["iron", "nitre", "flux"]))
def test_the_measured_lead_takes_the_place_of_the_estimate(pair: tuple[Concentrate, Concentrate], method: str) -> None:
    _, eye = pair
    trial = trial_of(Weighing(exact(3), exact(6.6)), ZERO, WEIGHTS, notes())
    fitted = by_trial(eye, trial, charge_data())
    ratio = fitted.mass_g("quartz").likely / 100 / (trial.soda_ash)
    needs = oxygen_needs(fitted, {}, charge_data(), method, ratio)
    lead = needs.ore_g.scaled(1 / oxygen_per_lead())
    assert (lead.low, lead.likely, lead.high) == pytest.approx((220, 220, 220))


def test_more_lead_than_pure_sulphide_gives_is_refused() -> None:
    trial = trial_of(Weighing(exact(3), exact(39)), ZERO, WEIGHTS, notes())
    with pytest.raises(InputError, match="more than these sulphides alone"):
        by_trial(concentrate(galena=50, quartz=50), trial, charge_data())
