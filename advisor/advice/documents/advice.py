"""The advice: one typed, frozen document that every view draws from.

Masses are in grams, volumes in millilitres, temperatures in degrees Celsius, times in minutes. The JSON form is
versioned by ``version``; keys are only ever added within one version.
"""

from __future__ import annotations

from dataclasses import field
from typing import Annotated, Literal

from pydantic import Field

from advisor.advice.documents.common import (
    Answer,
    Change,
    DecisionNote,
    HazardNote,
    Lift,
    Look,
    Missing,
    OutcomeKind,
    PhaseNote,
    PreparationNote,
    ReferralNote,
    Remaining,
    RulesNote,
    Sitting,
    SourceNote,
    Span,
    State,
    StepNote,
    WayWithout,
)
from advisor.document import part
from advisor.metallurgy.common.document import FigureNote, Group
from advisor.rulebase.language.results import CountsAs


@part
class Weight:
    """One line of how an amount was reached."""

    rule: str
    low_g: float
    likely_g: float
    high_g: float
    how: str
    only_if: str | None = None
    sources: tuple[SourceNote, ...]


@part
class LearnedNote:
    """What the shop's own batches changed in a weight."""

    source: Annotated[str, Field(description="From which batches, for example  batch 6.")]
    why: str
    factor: Annotated[Span, Field(description="The weight over what the rules alone plan.")]
    by_rules_g: Annotated[Span, Field(description="What the rules alone plan.")]


@part
class MaterialAmount:
    """How much of one material to weigh out, over all lines."""

    title: str
    low_g: Annotated[float, Field(description="Least to weigh out.")]
    likely_g: float
    high_g: float
    at_least: Annotated[bool, Field(description="Whether it is a piece that may be heavier, such as a rod.")] = False
    to_get_g: Annotated[
        float, Field(description="What of the likely weight is not on the shelf; 0 where the shelf is not known.")
    ] = 0.0
    computed: Annotated[
        FigureNote | None,
        Field(description="How it was computed for these minerals; none where all of it goes by the rule."),
    ] = None
    only_if: str | None = None
    narrower: Annotated[str | None, Field(description="Where it spans too much, what would narrow it.")] = None
    learned: Annotated[
        LearnedNote | None, Field(description="What the shop's own batches changed in it; none where nothing did.")
    ] = None
    care: str | None = None
    cost_low: float | None = None
    cost_high: float | None = None
    lines: Annotated[tuple[Weight, ...], Field(description="What goes by the rule of thumb.")]


@part
class QuantityNote:
    """A derived quantity of this batch."""

    title: str
    called: Annotated[str | None, Field(description="What it is called among what is weighed and set out.")] = None
    unit: str
    low: float
    likely: float
    high: float
    how: str
    sources: tuple[SourceNote, ...]


@part
class ShopNote:
    """What the shop's own batches say about an expected mass."""

    mass_g: Span
    batches: Annotated[int, Field(description="How many of the shop's batches on the same way it rests on.")]
    words: str
    source: str


@part
class ExpectationNote:
    """What comes out when all goes well."""

    id: str
    title: str
    mass_g: Annotated[Span | None, Field(description="By the rules alone.")] = None
    counts_as: Annotated[CountsAs | None, Field(description="What it is the mass of, if of anything.")] = None
    shop: Annotated[ShopNote | None, Field(description="By the shop's own results, where there are enough.")] = None
    looks: str
    reason: str | None = None
    only_if: str | None = None
    sources: tuple[SourceNote, ...]


@part
class Assumption:
    """What was assumed for something not known, and what knowing it would change."""

    fact: str
    label: str
    assumed: str
    keeps: Annotated[tuple[str, ...], Field(description="Hazards and steps kept because of it.")]
    sets_aside: Annotated[tuple[str, ...], Field(description="Options set aside because of it.")]
    find_out: str


@part
class Computed:
    """What is computed for this batch."""

    groups: tuple[Group, ...]
    skipped: Annotated[str | None, Field(description="Why the charge could not be computed.")] = None


@part
class RouteSide:
    """One route in a comparison side by side."""

    route: str
    title: str
    state: State
    why_not: str | None = None
    collector: str
    gold_kept_g: Span
    gold_in_batch_g: Span
    reagents_g: dict[str, Span]
    pots: Span | None = None
    cupel_mass_g: Span | None = None
    hours: Span
    fume_g: dict[str, Span]
    fume_titles: Annotated[dict[str, str], Field(description="What each agent is called.")] = field(
        default_factory=dict
    )
    cost: Span | None = None
    deadly: tuple[str, ...]
    hazards: int
    steps: int


@part
class Advice:
    """The whole advice for one batch."""

    document: Literal["advice"] = "advice"
    version: Literal[2] = 2
    program: str
    rules: RulesNote
    title: str | None = None
    route: str
    route_title: str
    collector: str
    collector_title: str
    outcome: Annotated[
        OutcomeKind, Field(description="Work; first, work after preparations; find_out, find out first; or stop.")
    ]
    stop: Annotated[bool, Field(description="Whether work stops.")]
    first: Annotated[tuple[PreparationNote, ...], Field(description="What to do before a fire is lit, in order.")] = ()
    without: Annotated[
        WayWithout | None, Field(description="Where something under first takes longer than tonight, the way without.")
    ] = None
    looks: Annotated[tuple[Look, ...], Field(description="What to find out, what tells most first.")] = ()
    remaining: Annotated[tuple[Remaining, ...], Field(description="What may come out once it is found out.")] = ()
    hours: Annotated[
        Span | None, Field(description="Preparations for tonight and all steps in turn; none where nothing is begun.")
    ] = None
    hours_at_hand: Annotated[Span | None, Field(description="As answered.")] = None
    sittings: Annotated[
        tuple[Sitting, ...], Field(description="How the steps part over the hours at hand; one where all fits.")
    ] = ()
    provisional: Annotated[
        tuple[str, ...], Field(description="Facts that weights hang on and that change under first; told anew then.")
    ] = ()
    settled: Annotated[bool, Field(description="Whether no missing answer can change any decision.")]
    unasked: Annotated[tuple[Missing, ...], Field(description="Facts whose answers could still change this advice.")]
    reason: str
    answers: tuple[Answer, ...]
    decisions: tuple[DecisionNote, ...]
    lifts: tuple[Lift, ...]
    hazards: tuple[HazardNote, ...]
    quantities: dict[str, QuantityNote]
    amounts: dict[str, MaterialAmount]
    trial: Annotated[str | None, Field(description="The fact that a trial of this plan would answer.")] = None
    steps: tuple[StepNote, ...]
    phases: Annotated[tuple[PhaseNote, ...], Field(description="The work by phases; each step stands in one.")] = ()
    expectations: tuple[ExpectationNote, ...]
    assumptions: tuple[Assumption, ...]
    changes: Annotated[
        tuple[Change, ...], Field(description="Every single answer that would change the route or the collector.")
    ]
    hazard_changes: Annotated[
        tuple[Change, ...],
        Field(
            description="Every single answer that takes away or brings a hazard, the decisions its rule looks at being "
            "the same. Another route changes others."
        ),
    ] = ()
    referrals: tuple[ReferralNote, ...]
    computed: Computed | None = None
    side_by_side: Annotated[tuple[RouteSide, ...], Field(description="The chosen route beside others.")] = ()
    warnings: tuple[str, ...]
    cost_low: float | None = None
    cost_high: float | None = None
