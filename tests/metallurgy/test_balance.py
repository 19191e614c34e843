"""The gold balance against worked values, a linear solver, simulated batches and the laws of conservation."""

from __future__ import annotations

import math
import random
from contextlib import suppress

import pytest
import sympy
from hypothesis import assume, example, given
from hypothesis import strategies as st

from advisor.errors import InputError
from advisor.metallurgy.balance.gold import (
    SIGNAL_AT,
    GoldBalance,
    Holding,
    batch_balance,
    running_balance,
    two_product,
)
from advisor.units import Range
from tests.metallurgy.charge_examples import notes

grades = st.floats(0.1, 1e5)


def exact_recovery(feed: float, concentrate: float, tailing: float) -> float:
    made = two_product(Range.exact(feed), Range.exact(concentrate), Range.exact(tailing))
    return made.recovery.amount.likely


def sample(feed_share: float = 0.02, bead_g: float = 9.9) -> GoldBalance:
    feed = Holding("feed", 500.0, 0.05, feed_share, 0.0005)
    return batch_balance(feed, [Holding("bead", bead_g, 0.01, 0.95, 0.005)])


# --- Two products --------------------------------------------------------------------------------------


def test_the_worked_separation_recovers_eighty_per_cent_in_one_per_cent_of_the_mass() -> None:
    # Worked by hand: feed 20, concentrate 1500, tailing 4 g/t; 100 x 1500 x 16 / (20 x 1496) = 80.21 %.
    made = two_product(Range.exact(20.0), Range.exact(1500.0), Range.exact(4.0))
    assert made.recovery.amount.likely == pytest.approx(80.2, abs=0.05)
    assert made.mass_pull.amount.likely == pytest.approx(1.07, abs=0.005)
    assert made.enrichment.amount.likely == 75.0


@pytest.mark.parametrize(("f", "c", "t"), [(20, 1500, 4), (3, 90, 1), (250, 12000, 40), (7, 8, 1)])
def test_recovery_is_what_a_linear_solver_finds(f: int, c: int, t: int) -> None:
    # Independent road: solve C + T = 1 and C c + T t = f with the library sympy, exactly.
    mass_c, mass_t = sympy.symbols("mass_c mass_t")
    solved = sympy.solve([mass_c + mass_t - 1, mass_c * c + mass_t * t - f], [mass_c, mass_t])
    made = two_product(Range.exact(float(f)), Range.exact(float(c)), Range.exact(float(t)))
    assert made.mass_pull.amount.likely == pytest.approx(float(100 * solved[mass_c]))
    assert made.recovery.amount.likely == pytest.approx(float(100 * solved[mass_c] * c / f))


@given(
    concentrate_t=st.floats(0.01, 1.0),
    tailing_t=st.floats(1.0, 100.0),
    c=st.floats(50.0, 1e5),
    t=st.floats(0.0, 40.0),
)
def test_streams_made_up_by_weight_give_back_their_recovery(
    concentrate_t: float, tailing_t: float, c: float, t: float
) -> None:
    gold_in_concentrate, gold_in_tailing = concentrate_t * c, tailing_t * t
    f = (gold_in_concentrate + gold_in_tailing) / (concentrate_t + tailing_t)
    # The three assays are kept apart, or the difference of nearly equal numbers drowns in rounding.
    assume(c > f * 1.001)
    assume(f > t * 1.001)
    whole = gold_in_concentrate + gold_in_tailing
    assert exact_recovery(f, c, t) == pytest.approx(100 * gold_in_concentrate / whole, rel=1e-6)


@given(f=grades, factor=st.floats(0.001, 100.0))
def test_recovery_does_not_depend_on_the_unit_of_the_assays(f: float, factor: float) -> None:
    one = exact_recovery(f, f * 30, f / 5)
    assert exact_recovery(f * factor, f * 30 * factor, f / 5 * factor) == pytest.approx(one)


@given(f=grades, less=st.floats(0.1, 0.9))
def test_a_poorer_tailing_means_a_better_recovery(f: float, less: float) -> None:
    assert exact_recovery(f, f * 30, f / 5 * less) > exact_recovery(f, f * 30, f / 5)


@given(
    f=st.floats(10.0, 50.0),
    spread=st.floats(0.0, 0.9),
    at=st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(-1, 1)),
)
def test_every_reading_of_uncertain_assays_lies_in_the_range(
    f: float, spread: float, at: tuple[float, float, float]
) -> None:
    assays = [f, f * 30, f / 5]
    ranges = [Range(value * (1 - spread), value, value * (1 + spread)) for value in assays]
    read = [value * (1 + spread * place) for value, place in zip(assays, at, strict=True)]
    made = two_product(*ranges)
    for figure in (made.recovery, made.mass_pull):
        assert 0 <= figure.amount.low <= figure.amount.likely <= figure.amount.high <= 100
    if read[1] > read[0] > read[2] > 0:
        recovery = exact_recovery(*read)
        assert made.recovery.amount.low - 1e-9 <= recovery <= made.recovery.amount.high + 1e-9


@pytest.mark.parametrize(
    ("f", "c", "t"),
    [(20, 10, 4), (20, 20, 4), (20, 1500, 20), (20, 1500, 30), (4, 20, 1500), (1, 1, 1)],
)
def test_assays_out_of_order_are_refused(f: float, c: float, t: float) -> None:
    with pytest.raises(InputError, match="richer than the feed"):
        two_product(Range.exact(f), Range.exact(c), Range.exact(t))


def test_an_assay_below_zero_is_refused() -> None:
    with pytest.raises(InputError, match="tailing assay"):
        two_product(Range.exact(20.0), Range.exact(1500.0), Range(-1.0, 1.0, 2.0))
    with pytest.raises(InputError, match="feed assay"):
        two_product(Range(0.0, 20.0, 40.0), Range.exact(1500.0), Range.exact(1.0))


# --- Batch ---------------------------------------------------------------------------------------------


def test_beringers_thirteen_cupellations_are_accounted_for_but_for_a_milligram() -> None:
    # Beringer 1904, p. 146: 3 g of gold cupelled thirteen times lost 35.72 mg; 34.56 mg were found in the
    # cupels, 97 % of the loss. The scale is taken as 0.01 mg out at each weighing (ours, not his).
    feed = Holding("gold", 3.0, 1e-5, 1.0, 0.0)
    bead = Holding("beads", 3.0 - 0.03572, 1e-5, 1.0, 0.0)
    without = batch_balance(feed, [bead], not_measured=["cupels"])
    with_cupels = batch_balance(feed, [bead, Holding("gold from the cupels", 0.03456, 1e-5, 1.0, 0.0)])
    assert without.unaccounted.amount.likely == pytest.approx(0.03572)
    assert "Not measured, so counted in this: cupels." in without.says
    assert with_cupels.unaccounted.amount.likely == pytest.approx(0.00116)
    found = 1 - with_cupels.unaccounted.amount.likely / without.unaccounted.amount.likely
    assert found == pytest.approx(0.97, abs=0.005)
    assert with_cupels.signal


def test_the_uncertainty_of_a_holding_is_scale_and_assay_in_squares() -> None:
    # By hand: 0.02 x 0.3 / sqrt(3) = 0.003464 g from the scale and 100 x 0.00002 = 0.002 g from the assay.
    assert Holding("feed", 100.0, 0.3, 0.02, 0.00002).standard_g == pytest.approx(0.004)


def test_the_example_of_the_docstring_is_a_signal() -> None:
    balance = sample()
    assert balance.unaccounted.amount.likely == pytest.approx(0.595)
    assert balance.unaccounted_percent.amount.likely == pytest.approx(5.95)
    assert balance.unaccounted.amount.likely / balance.standard_g == pytest.approx(2.3, abs=0.05)
    assert balance.signal
    assert "second person" in balance.told(notes())


def test_a_difference_within_the_errors_is_no_signal() -> None:
    balance = sample(bead_g=10.2)
    assert not balance.signal
    assert "No signal" in balance.told(notes())


def test_more_gold_out_than_in_is_a_signal_too() -> None:
    balance = sample(bead_g=11.5)
    assert balance.signal
    assert balance.unaccounted.amount.likely < 0
    assert "more than went in" in balance.told(notes())


def test_chance_alone_passes_the_mark_about_once_in_twenty_two() -> None:
    # Two standard deviations hold 95.45 % of a normal distribution.
    assert 1 / (1 - math.erf(SIGNAL_AT / math.sqrt(2))) == pytest.approx(22, abs=0.1)


def test_honest_batches_give_false_signals_as_rarely_as_stated() -> None:
    rng = random.Random(7)

    def honest() -> bool:
        feed_share, bead_share = rng.gauss(0.02, 0.0003), rng.gauss(0.95, 0.004)
        feed_g, bead_g = 500 + rng.uniform(-0.5, 0.5), 500 * 0.02 / 0.95 + rng.uniform(-0.05, 0.05)
        feed = Holding("feed", feed_g, 0.5, feed_share, 0.0003)
        return batch_balance(feed, [Holding("bead", bead_g, 0.05, bead_share, 0.004)]).signal

    share = sum(honest() for _ in range(20_000)) / 20_000
    assert share == pytest.approx(1 - math.erf(SIGNAL_AT / math.sqrt(2)), abs=0.006)


@given(
    parts=st.lists(st.floats(0.01, 5.0), min_size=1, max_size=6),
    factor=st.floats(0.01, 100.0),
    deviation=st.floats(1e-6, 0.01),
)
def test_gold_in_is_gold_out_and_scaling_changes_nothing(parts: list[float], factor: float, deviation: float) -> None:
    def balance(times: float) -> GoldBalance:
        feed = Holding("feed", sum(parts) * times, 0.0, 0.5, deviation)
        return batch_balance(feed, [Holding("part", part * times, 0.0, 0.5, deviation) for part in parts])

    one, other = balance(1.0), balance(factor)
    assert one.unaccounted.amount.likely == pytest.approx(0, abs=1e-9)
    assert not one.signal
    assert other.standard_g == pytest.approx(one.standard_g * factor)
    assert one.unaccounted.amount.low <= 0 <= one.unaccounted.amount.high


@given(bead=st.floats(8.0, 10.0), less=st.floats(0.01, 1.0))
def test_less_gold_found_leaves_more_unaccounted(bead: float, less: float) -> None:
    assert sample(bead_g=bead - less).unaccounted.amount.likely > sample(bead_g=bead).unaccounted.amount.likely


def test_small_steady_losses_become_a_signal_over_many_batches() -> None:
    batches = [sample(bead_g=10.1) for _ in range(12)]
    assert not any(batch.signal for batch in batches)
    together = running_balance([10.0] * 12, batches)
    assert together.signal
    assert together.unaccounted.amount.likely == pytest.approx(12 * batches[0].unaccounted.amount.likely)
    assert together.standard_g == pytest.approx(math.sqrt(12) * batches[0].standard_g)


# --- Input that cannot be ------------------------------------------------------------------------------

anything = st.one_of(st.floats(), st.floats(-1e4, 1e4), st.sampled_from([0.0, 1.0, 1e308, 5e-324]))


@given(f=anything, c=anything, t=anything)
def test_any_assays_give_a_finite_recovery_or_are_refused(f: float, c: float, t: float) -> None:
    assume(all(math.isfinite(value) for value in (f, c, t)))
    with suppress(InputError):
        made = two_product(Range.exact(f), Range.exact(c), Range.exact(t))
        assert 0 <= made.recovery.amount.likely <= 100 + 1e-9


@given(mass=anything, error=anything, share=anything, deviation=anything)
@example(mass=1.0, error=0.0, share=1.0, deviation=5e-324)
def test_any_batch_gives_a_finite_balance_or_is_refused(
    mass: float, error: float, share: float, deviation: float
) -> None:
    with suppress(InputError):
        feed = Holding("feed", mass, error, share, deviation)
        balance = batch_balance(feed, [Holding("bead", mass, error, share / 2, deviation)])
        assert math.isfinite(balance.unaccounted_percent.amount.high)


FEED = Holding("feed", 500.0, 0.05, 0.02, 0.0005)
BEAD = Holding("bead", 9.9, 0.01, 0.95, 0.005)


@pytest.mark.parametrize(
    "call",
    [
        lambda: Holding("feed", -1.0, 0.0, 0.5, 0.0),
        lambda: Holding("feed", math.nan, 0.0, 0.5, 0.0),
        lambda: Holding("feed", math.inf, 0.0, 0.5, 0.0),
        lambda: Holding("feed", 1.0, -0.1, 0.5, 0.0),
        lambda: Holding("feed", 1.0, 0.0, 1.5, 0.0),
        lambda: Holding("feed", 1.0, 0.0, 0.5, -0.1),
        lambda: batch_balance(Holding("feed", 0.0, 0.1, 0.5, 0.1), [BEAD]),
        lambda: batch_balance(FEED, []),
        lambda: batch_balance(Holding("feed", 1.0, 0.0, 0.5, 0.0), [Holding("bead", 0.5, 0.0, 1.0, 0.0)]),
        lambda: running_balance([], []),
        lambda: running_balance([1.0], []),
    ],
)
def test_impossible_input_is_refused_in_one_sentence(call: object) -> None:
    assert callable(call)
    with pytest.raises(InputError) as refused:
        call()
    assert len(str(refused.value)) > 30
    assert "\n" not in str(refused.value)
