"""The book of a shop as a table: one line for each batch, and the page of one month for the owner.

Masses are in grams. The JSON form is versioned by ``version``; keys are only ever added within one version.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from advisor.advice.documents.common import Span
from advisor.document import part


@part
class BatchLine:
    """One batch in one line; None stands for what is not recorded or cannot be reckoned."""

    batch: int
    day: Annotated[str, Field(description="The day of the work.")]
    name: str
    who: str
    route: str | None
    collector: str | None
    collector_g: Annotated[float | None, Field(description="Collector weighed out, or what holds it.")]
    feed_g: float | None
    bead_g: float | None
    fineness_permille: float | None
    gold_in_g: float | None
    gold_out_g: float | None
    unaccounted_g: float | None
    error_g: Annotated[float | None, Field(description="What scale and assays explain of it, either way.")]
    unaccounted_percent: float | None
    signal: Annotated[bool, Field(description="Whether it is more than they explain, or beyond a limit of the chart.")]
    outcome: str | None
    note: str


@part
class Kept:
    """Slag or cupels that lie there and may hold gold."""

    batch: int
    day: str
    what: str
    mass_g: Annotated[float | None, Field(description="None where nobody weighed it.")]
    gold_g: Annotated[Span | None, Field(description="Gold in it by assay or, without one, by the plan.")]
    assayed: bool


@part
class OnShelf:
    """What is left of a material."""

    title: str
    left: str


@part
class ChartPoint:
    """One batch on the chart, in per cent of the gold that went in."""

    batch: int
    day: str
    percent: float
    signal: bool
    in_month: bool


@part
class MonthPage:
    """A month for the owner."""

    document: Literal["journal-month"] = "journal-month"
    version: Literal[1] = 1
    month: Annotated[str, Field(description="For example 2031-05.")]
    lines: tuple[BatchLine, ...]
    gold_in_g: float
    gold_out_g: float
    unaccounted_g: Annotated[Span | None, Field(description="Of the batches that can be balanced, with its error.")]
    not_balanced: Annotated[tuple[str, ...], Field(description="Why a batch of the month has no balance.")]
    points: Annotated[tuple[ChartPoint, ...], Field(description="All batches up to the end of the month.")]
    mean: float | None
    low: float | None
    high: float | None
    verdict: str
    kept: tuple[Kept, ...]
    shelf: tuple[OnShelf, ...]
    source: str
