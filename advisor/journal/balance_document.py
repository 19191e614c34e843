"""The balance of a batch and the chart over time, as documents for the screen and for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field

from advisor.advice.documents.common import Span
from advisor.document import part
from advisor.errors import InputError
from advisor.journal.accounts import Account, together
from advisor.units.statistics import CHART_SOURCE, IndividualsChart, individuals_chart

FEWEST_FOR_LIMITS = 5
"""Batches before limits are drawn: "as few as five or six" in D. J. Wheeler, Understanding Variation, p. 60."""

LIMITS_SOURCE = f"{CHART_SOURCE}; the run of eight on one side of the mean is from memory"


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
    unaccounted_percent: float
    estimated: bool
    beyond: Annotated[bool, Field(description="Whether it lies beyond a limit.")]
    run: Annotated[bool, Field(description="Whether it makes eight or more in a row on one side of the mean.")]


@part
class Chart:
    """Gold not accounted for over time."""

    document: Literal["journal-chart"] = "journal-chart"
    version: Literal[1] = 1
    points: tuple[Point, ...]
    mean: float | None
    low: float | None
    high: float | None
    mean_range: float | None
    left_out: Annotated[tuple[str, ...], Field(description="Batches without a balance, each with the reason.")]
    together: Annotated[str | None, Field(description="The balances of all batches as one.")]
    source: str


def balance_of_one(account: Account) -> OneBalance:
    """The balance of one batch.

    Raises:
        InputError: If it cannot be drawn.
    """
    balance = account.balance
    if balance is None:
        raise InputError(account.why_not or "there is no balance")
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
        says=balance.says,
        notes=account.notes,
        source=balance.unaccounted.source,
    )


def balance_of_all(accounts: Sequence[Account]) -> Chart:
    """The chart over all batches that can be balanced, in the order in which they were opened."""
    balanced = [account for account in accounts if account.balance is not None and account.counts]
    values = [_percent(account) for account in balanced]
    chart = individuals_chart(values) if len(values) >= 2 else None
    limits = chart if chart is not None and len(values) >= FEWEST_FOR_LIMITS else None
    whole = together(balanced)
    return Chart(
        points=tuple(_point(place, account, limits) for place, account in enumerate(balanced)),
        mean=None if chart is None else chart.mean,
        low=None if limits is None else limits.low,
        high=None if limits is None else limits.high,
        mean_range=None if chart is None else chart.mean_range,
        left_out=tuple(_left_out(account) for account in accounts if account not in balanced),
        together=None if whole is None else whole.says,
        source=LIMITS_SOURCE,
    )


def _percent(account: Account) -> float:
    assert account.balance is not None
    return account.balance.unaccounted_percent.amount.likely


def _point(place: int, account: Account, limits: IndividualsChart | None) -> Point:
    return Point(
        batch=account.batch.number,
        name=account.batch.name,
        at=account.batch.at,
        unaccounted_percent=_percent(account),
        estimated=account.estimated,
        beyond=limits is not None and place in limits.beyond,
        run=limits is not None and place in limits.runs,
    )


def _left_out(account: Account) -> str:
    if account.why_not is not None:
        return account.why_not
    return f"batch {account.batch.number} ended as {account.outcome}"
