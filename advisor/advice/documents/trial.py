"""What other rules do to the worked cases: one typed, frozen document that every view draws from.

The JSON form is versioned by ``version``; keys are only ever added within one version.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from advisor.advice.documents.common import RulesNote
from advisor.document import part

Kind = Literal[
    "outcome",
    "preparation",
    "look",
    "decision",
    "cause",
    "weight",
    "figure",
    "hazard",
    "step",
    "expectation",
    "referral",
    "next_batch",
    "next_plan",
]


@part
class TriedPart:
    """One part of an advice or a diagnosis that comes, goes or differs."""

    kind: Kind
    id: str
    title: str
    change: Literal["comes", "goes", "differs"]
    before: Annotated[str | None, Field(description="As it was; none where it comes.")]
    after: Annotated[str | None, Field(description="As it is; none where it goes.")]


@part
class TriedCase:
    """One worked case that comes out differently."""

    case: str
    consultation: Literal["route", "diagnose"]
    title: str | None
    status_before: Annotated[
        int, Field(description="The exit status: 0 advice given, 2 cannot be decided, 3 stop work.")
    ]
    status_after: int
    refused: Annotated[str | None, Field(description="Why the case cannot be decided with these rules.")]
    broken: Annotated[tuple[str, ...], Field(description="What the case expects, kept before and not kept now.")]
    changed: tuple[TriedPart, ...]


@part
class Trial:
    """All worked cases, decided by the rules as they were and by others."""

    document: Literal["trial"] = "trial"
    version: Literal[1] = 1
    program: str
    before: RulesNote
    after: RulesNote
    tried: Annotated[int, Field(description="How many cases were decided both ways.")]
    differing: tuple[TriedCase, ...]
