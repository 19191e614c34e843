"""The balance of a batch and the chart over time, as documents for the screen and for JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, Literal

from pydantic import Field

from advisor.advice.documents.common import Span
from advisor.document import part
from advisor.errors import InputError
from advisor.journal.accounts import Account, together
from advisor.journal.rows import day_of
from advisor.metallurgy.balance.gold import GoldBalance
from advisor.metallurgy.common.rows import Notes
from advisor.units.measures import as_known, format_number
from advisor.units.statistics import CHART_SOURCE, IndividualsChart, settled_chart
from advisor.words import tr

FEWEST_FOR_LIMITS = 5
"""Batches before limits are drawn: "as few as five or six" in D. J. Wheeler, Understanding Variation, p. 60."""

FEWEST_FOR_VERDICT = 8
"""Undisturbed batches before it is said that there is no signal: as many as make a run (practice)."""

OUTCOME_WORDS = {"again": tr("to be worked again"), "sent_out": tr("sent out")}

LIMITS_SOURCE = tr("{source}; the run of eight on one side of the mean is from memory", source=CHART_SOURCE)


@part
class BalanceLine:
    """Gold in one thing."""

    title: str
    gold_g: Span
    how: str


@part
class OneBalance:
    """The balance of one batch."""

    document: Literal["journal-balance"] = "journal-balance"
    version: Literal[1] = 1
    batch: int
    name: str
    estimated: Annotated[bool, Field(description="Whether the gold that went in is an estimate by eye.")]
    lines: tuple[BalanceLine, ...]
    unaccounted_g: Span
    unaccounted_percent: Span
    signal: bool
    says: str
    notes: tuple[str, ...]
    source: str


@part
class Point:
    """One batch on the chart."""

    batch: int
    name: str
    at: str
    day: Annotated[str, Field(description="The day of the work.")]
    unaccounted_percent: float
    estimated: bool
    beyond: Annotated[bool, Field(description="Whether it lies beyond a limit.")]
    run: Annotated[bool, Field(description="Whether it makes eight or more in a row on one side of the mean.")]
    signal: Annotated[
        bool, Field(description="Whether more is missing, or too much, than its own scale and assays explain.")
    ]
    outcome: str | None
    in_limits: Annotated[bool, Field(description="Whether mean and limits come from it too.")]


@part
class Chart:
    """Gold not accounted for over time."""

    document: Literal["journal-chart"] = "journal-chart"
    version: Literal[2] = 2
    points: tuple[Point, ...]
    mean: float | None
    low: float | None
    high: float | None
    mean_range: float | None
    not_in_limits: Annotated[
        tuple[str, ...], Field(description="Batches that limits do not come from, with the reason.")
    ]
    left_out: Annotated[tuple[str, ...], Field(description="Batches without a balance, each with the reason.")]
    together: Annotated[str | None, Field(description="The balances of all batches as one.")]
    together_g: Annotated[Span | None, Field(description="Gold not accounted for in all of them, with its error.")]
    verdict: Annotated[str, Field(description="What the chart says, in a sentence or two.")]
    source: str


def balance_of_one(account: Account, notes: Notes) -> OneBalance:
    """The balance of one batch.

    Args:
        account: Its account.
        notes: What to make of a balance.

    Raises:
        InputError: If it cannot be drawn.
    """
    balance = account.balance
    if balance is None:
        raise InputError(account.why_not or tr("there is no balance"))
    lines = tuple(
        BalanceLine(
            title=line.title,
            gold_g=Span(low=line.amount.low, likely=line.amount.likely, high=line.amount.high),
            how=line.how,
        )
        for line in balance.lines
    )
    grams, percent = balance.unaccounted.amount, balance.unaccounted_percent.amount
    return OneBalance(
        batch=account.batch.number,
        name=account.batch.name,
        estimated=account.estimated,
        lines=lines,
        unaccounted_g=Span(low=grams.low, likely=grams.likely, high=grams.high),
        unaccounted_percent=Span(low=percent.low, likely=percent.likely, high=percent.high),
        signal=balance.signal,
        says=balance.told(notes),
        notes=account.notes,
        source=balance.unaccounted.source,
    )


def balance_of_all(accounts: Sequence[Account]) -> Chart:
    """The chart over all batches that can be balanced, in the order in which they were opened.

    A loss counts whatever the batch was called in the end. Mean and limits come from undisturbed batches alone.
    """
    balanced = [account for account in accounts if account.balance is not None]
    values = [_percent(account) for account in balanced]
    calm = [place for place, account in enumerate(balanced) if _disturbed(account) is None]
    chart = settled_chart(values, calm, FEWEST_FOR_LIMITS) if len(calm) >= FEWEST_FOR_LIMITS else None
    points = tuple(_point(place, account, chart) for place, account in enumerate(balanced))
    whole = together(balanced)
    gone = None if whole is None else whole.unaccounted.amount
    return Chart(
        points=points,
        mean=None if chart is None else chart.mean,
        low=None if chart is None else chart.low,
        high=None if chart is None else chart.high,
        mean_range=None if chart is None else chart.mean_range,
        not_in_limits=() if chart is None else tuple(_kept_out(balanced, chart)),
        left_out=tuple(account.why_not for account in accounts if account.balance is None and account.why_not),
        together=None if whole is None else _together_words(whole, balanced),
        together_g=None if gone is None else Span(low=gone.low, likely=gone.likely, high=gone.high),
        verdict=_verdict(points, len(calm), chart),
        source=LIMITS_SOURCE,
    )


def _percent(account: Account) -> float:
    assert account.balance is not None
    return account.balance.unaccounted_percent.amount.likely


def _disturbed(account: Account) -> str | None:
    """Why limits do not come from a batch; None where they do."""
    if account.outcome is not None and account.outcome != "clean":
        return tr("ended as {outcome_words}", outcome_words=OUTCOME_WORDS.get(account.outcome, account.outcome))
    if account.balance is not None and account.balance.signal:
        return tr("its own balance is a signal")
    return None


def _kept_out(balanced: Sequence[Account], chart: IndividualsChart) -> Iterator[str]:
    """The batches that mean and limits do not come from, and why."""
    for place, account in enumerate(balanced):
        if place not in chart.based_on:
            beyond = place in chart.beyond
            odd = tr("it lies beyond the limits of the others") if beyond else tr("it lies far from its neighbours")
            yield tr("batch {number}: {disturbed}", number=account.batch.number, disturbed=_disturbed(account) or odd)


def _point(place: int, account: Account, limits: IndividualsChart | None) -> Point:
    assert account.balance is not None
    return Point(
        batch=account.batch.number,
        name=account.batch.name,
        at=account.batch.at,
        day=day_of(account.batch),
        unaccounted_percent=_percent(account),
        estimated=account.estimated,
        beyond=limits is not None and place in limits.beyond,
        run=limits is not None and place in limits.runs,
        signal=account.balance.signal,
        outcome=account.outcome,
        in_limits=limits is not None and place in limits.based_on,
    )


def _together_words(whole: GoldBalance, balanced: Sequence[Account]) -> str:
    """The total of all batches in words; it is the sum of what stands on their lines."""
    gone = whole.unaccounted.amount
    error_g, fed_g = (gone.high - gone.low) / 2, sum(account.feed_g for account in balanced)
    what = tr("came out more than went in") if gone.likely < 0 else tr("is not accounted for")
    percent = as_known(abs(100 * gone.likely / fed_g), 100 * error_g / fed_g)
    said = tr(
        "{gone} g of {fed_g} g of gold ({percent} %) {what}.",
        gone=as_known(abs(gone.likely), error_g),
        fed_g=format_number(fed_g),
        percent=percent,
        what=what,
    )
    signal = (
        tr("That is more than scale and assays explain.") if whole.signal else tr("Scale and assays may explain that.")
    )
    return f"{said} {signal}"


def _verdict(points: Sequence[Point], calm: int, chart: IndividualsChart | None) -> str:
    """What the chart says; that there is no signal is said from eight undisturbed batches on."""
    own = [str(point.batch) for point in points if point.signal]
    beyond = [str(point.batch) for point in points if point.beyond]
    runs = [str(point.batch) for point in points if point.run]
    said = []
    if own:
        said.append(tr("{batches}: the difference is more than scale and assays explain (s).", batches=_batches(own)))
    if beyond:
        said.append(tr("{batches}: beyond a limit (!); chance alone seldom does that.", batches=_batches(beyond)))
    if runs:
        said.append(
            tr(
                "{batches}: eight or more in a row on one side of the mean (r). Something shifted.",
                batches=_batches(runs),
            )
        )
    if own or beyond:
        said.append(tr("Look for the cause before the next batch: scale, assay, slag, spills, theft."))
    if chart is None:
        said.append(
            tr(
                "Limits need {fewest_for_limits} undisturbed batches; there are {calm}.",
                fewest_for_limits=FEWEST_FOR_LIMITS,
                calm=calm,
            )
        )
    if calm < FEWEST_FOR_VERDICT:
        said.append(
            tr(
                "Fewer than {fewest_for_verdict} undisturbed batches cannot tell that all is well.",
                fewest_for_verdict=FEWEST_FOR_VERDICT,
            )
        )
    elif not said:
        said.append(
            tr("No signal in {count} batches: they differ as the undisturbed ones always did.", count=len(points))
        )
    return " ".join(said)


def _batches(numbers: Sequence[str]) -> str:
    return (
        tr("Batch {numbers}", numbers=numbers[0])
        if len(numbers) == 1
        else tr("Batches {numbers} and {numbers_2}", numbers=", ".join(numbers[:-1]), numbers_2=numbers[-1])
    )
