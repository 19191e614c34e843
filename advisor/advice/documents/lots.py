"""Two lots side by side, as a document."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from advisor.advice.documents.common import OutcomeKind, RulesNote, Span
from advisor.document import part


@part
class LotSide:
    """One lot: its route, and what it takes and gives."""

    title: str
    outcome: Annotated[
        OutcomeKind, Field(description="Work; first, work after preparations; find_out, find out first; or stop.")
    ]
    route: str
    route_title: str
    collector_title: str
    gold_in_lot_g: Annotated[Span, Field(description="Native gold in the batch.")]
    gold_kept_g: Annotated[Span | None, Field(description="Gold expected out of it; none where nothing is worked.")]
    hours: Annotated[Span | None, Field(description="All steps one after another; none where nothing is worked.")]
    first: Annotated[tuple[str, ...], Field(description="What to do before a fire is lit.")]
    find_out: Annotated[tuple[str, ...], Field(description="What has to be found out first.")]
    deadly: Annotated[tuple[str, ...], Field(description="Hazards that can kill.")]


@part
class Lots:
    """Two lots side by side."""

    document: Literal["lots"] = "lots"
    version: Literal[2] = 2
    program: str
    rules: RulesNote
    lots: tuple[LotSide, LotSide]
