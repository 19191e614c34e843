"""What other rules do to the worked cases: one typed, frozen document that every view draws from.

The JSON form is versioned by ``version``; keys are only ever added within one version.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.advice.documents.advice import RulesNote
from advisor.parts import Part

Kind = Literal[
    "decision", "cause", "weight", "figure", "hazard", "step", "expectation", "referral", "next_batch", "next_plan"
]


class TriedPart(Part):
    """One part of an advice or a diagnosis that comes, goes or differs."""

    kind: Kind
    id: str
    title: str
    change: Literal["comes", "goes", "differs"]
    before: str | None = Field(description="As it was; none where it comes.")
    after: str | None = Field(description="As it is; none where it goes.")


class TriedCase(Part):
    """One worked case that comes out differently."""

    case: str
    consultation: Literal["route", "diagnose"]
    title: str | None
    status_before: int = Field(description="The exit status: 0 advice given, 2 cannot be decided, 3 stop work.")
    status_after: int
    refused: str | None = Field(description="Why the case cannot be decided with these rules.")
    broken: tuple[str, ...] = Field(description="What the case expects, kept before and not kept now.")
    changed: tuple[TriedPart, ...]


class Trial(Part):
    """All worked cases, decided by the rules as they were and by others."""

    document: Literal["trial"] = "trial"
    version: Literal[1] = 1
    program: str
    before: RulesNote
    after: RulesNote
    tried: int = Field(description="How many cases were decided both ways.")
    differing: tuple[TriedCase, ...]
