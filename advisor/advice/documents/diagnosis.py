"""The diagnosis: one typed, frozen document that every view draws from.

Masses are in grams, temperatures in degrees Celsius, times in minutes. The JSON form is versioned by ``version``;
keys are only ever added within one version.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from advisor.advice.documents.common import (
    Answer,
    ArgumentNote,
    Change,
    HazardNote,
    Lift,
    Look,
    Missing,
    OptionNote,
    OutcomeKind,
    PhaseNote,
    PreparationNote,
    ReferralNote,
    Remaining,
    RulesNote,
    SourceNote,
    Span,
    StepNote,
    WayWithout,
)
from advisor.document import part
from advisor.metallurgy.common.document import FigureNote

Sureness = Literal["clear", "likely", "possible", "unlikely", "ruled_out"]


@part
class CauseNote:
    """One cause and everything seen that speaks about it."""

    id: str
    title: str
    means: str
    taken: Annotated[bool, Field(description="Whether what was seen is enough to act on it.")]
    sure: Annotated[
        Sureness,
        Field(
            description="Clear: no missing answer can take it away. Likely: enough speaks for it now. Possible: more "
            "would be needed. Unlikely: whatever is still missing cannot make it enough."
        ),
    ]
    support_low: int
    support_now: int
    support_high: int
    taken_at: Annotated[int, Field(description="The support from which a cause is acted on.")]
    speaks_for: tuple[ArgumentNote, ...]
    speaks_against: tuple[ArgumentNote, ...]
    not_seen: Annotated[tuple[ArgumentNote, ...], Field(description="Signs that were not looked for or not known.")]
    wrong_route: bool
    harmless: Annotated[bool, Field(description="Whether it says that all is well, or that it does no harm.")] = False
    names_it: Annotated[
        bool, Field(description="Whether it says what the piece is, and not what went wrong with it.")
    ] = False
    seen: Annotated[
        bool, Field(description="Whether something seen of the piece speaks for it, not the plan alone.")
    ] = False
    sources: tuple[SourceNote, ...]


@part
class RemedyNote:
    """What to do with this very piece."""

    chosen: str
    title: str
    summary: str
    settled: bool
    reason: str
    then: Annotated[tuple[str, ...], Field(description="Further corrections that are called for, in order.")]
    options: Annotated[
        tuple[OptionNote, ...], Field(description="The chosen one and every other that something speaks about.")
    ]


@part
class Likely:
    """What is likely right for a piece while something that can hurt is not answered; no heat before it is."""

    remedy: Annotated[str, Field(description="The correction that is likely right; empty where none is.")] = ""
    title: str = ""
    summary: str = ""
    takes: Annotated[tuple[str, ...], Field(description="What it will take, each with its weight or heat.")] = ()
    waits_for: Annotated[tuple[str, ...], Field(description="The questions that hold it back.")] = ()
    now: Annotated[str, Field(description="What is right until then, whatever it turns out to be.")]
    parts: Annotated[str, Field(description="The one look that parts the causes, asked as a question.")] = ""
    part_by: Annotated[str, Field(description="How that look is done.")] = ""


@part
class Rival:
    """One of several causes that are as likely, with the correction that it calls for."""

    cause: str
    title: str
    remedy: str
    remedy_title: str
    if_wrong: Annotated[str, Field(description="What that correction costs where the cause was another one.")]
    told_by: Annotated[tuple[str, ...], Field(description="The answers of the test that tell for this cause.")]


@part
class Tied:
    """Causes that are as likely by what was seen and call for different corrections."""

    rivals: tuple[Rival, ...]
    test: Annotated[str, Field(description="The look that parts them, asked as a question; empty without one.")]
    test_by: Annotated[str, Field(description="How it is done.")]
    until_then: Annotated[str, Field(description="What is right for all of them.")]


@part
class PlanLine:
    """One changed line of the plan of the next batch."""

    kind: Literal["amount", "step", "answer", "note"]
    id: str
    title: str
    do: str
    was: str | None = None
    becomes: str | None = None
    was_g: Span | None = None
    becomes_g: Span | None = None
    factor: Annotated[Span | None, Field(description="What becomes of a weight, over the likely one before.")] = None
    only_if: str | None = None
    because: Annotated[str, Field(description="The cause it follows from.")]
    sources: tuple[SourceNote, ...]


@part
class ChangedPlan:
    """The plan of the next batch, computed again with what is known now."""

    answers: Annotated[dict[str, str], Field(description="The answers that changed, as they would be given now.")]
    labels: Annotated[dict[str, str], Field(description="What each of them is called.")]
    route_before: str
    route_after: str
    route_after_title: str
    collector_after: str
    stop: bool


@part
class Diagnosis:
    """The whole diagnosis of one piece."""

    document: Literal["diagnosis"] = "diagnosis"
    version: Literal[2] = 2
    program: str
    rules: RulesNote
    title: str | None = None
    looked_at: str
    outcome: Annotated[
        OutcomeKind, Field(description="Work; first, work after preparations; find_out, find out first; or stop.")
    ]
    stop: Annotated[bool, Field(description="Whether nothing more is done to the piece here.")]
    first: Annotated[tuple[PreparationNote, ...], Field(description="What to do before a fire is lit, in order.")] = ()
    without: Annotated[
        WayWithout | None, Field(description="Where something under first takes longer than tonight, the way without.")
    ] = None
    looks: Annotated[tuple[Look, ...], Field(description="What to find out, what tells most first.")] = ()
    remaining: Annotated[tuple[Remaining, ...], Field(description="What may come out once it is found out.")] = ()
    settled: Annotated[bool, Field(description="Whether no missing answer can change the causes or what to do.")]
    causes: Annotated[
        tuple[CauseNote, ...], Field(description="The best supported first; those ruled out are left out.")
    ]
    remedy: RemedyNote
    likely: Annotated[
        Likely | None, Field(description="What is likely right, where something has to be found out first.")
    ] = None
    tied: Annotated[Tied | None, Field(description="Where several causes are as likely: what parts them.")] = None
    no_heat_before: Annotated[
        tuple[str, ...],
        Field(description="The questions still open beside a correction that needs no heat; no heat before them."),
    ] = ()
    lifts: Annotated[
        tuple[Lift, ...], Field(description="What keeps a better correction out, and what would let it in.")
    ]
    figures: Annotated[dict[str, FigureNote], Field(description="Computed figures of the correction.")]
    not_computed: Annotated[tuple[str, ...], Field(description="Why figures are missing.")]
    steps: tuple[StepNote, ...]
    phases: Annotated[tuple[PhaseNote, ...], Field(description="The work by phases; each step stands in one.")] = ()
    hazards: tuple[HazardNote, ...]
    referrals: tuple[ReferralNote, ...]
    next_batch: tuple[PlanLine, ...]
    wrong_route: Annotated[bool, Field(description="Whether the route itself was wrong, so that it is chosen again.")]
    changed_plan: ChangedPlan | None = None
    changes: Annotated[
        tuple[Change, ...],
        Field(description="Every single thing seen otherwise that would change what to do, or a cause taken."),
    ] = ()
    unasked: tuple[Missing, ...]
    answers: tuple[Answer, ...]
