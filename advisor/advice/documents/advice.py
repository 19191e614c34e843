"""The advice: one typed, frozen document that every view draws from.

Masses are in grams, volumes in millilitres, temperatures in degrees Celsius, times in minutes. The JSON form is
versioned by ``version``; keys are only ever added within one version.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.metallurgy.common.document import FigureNote, Group
from advisor.parts import Part

Truth = Literal["holds", "fails", "open"]
State = Literal["chosen", "possible", "ruled_out", "set_aside"]


class SourceNote(Part):
    """Where a statement comes from."""

    kind: Literal["published", "practice", "memory", "calculation"]
    text: str = Field(description="The reference in full, or that there is none.")


class Span(Part):
    """A range in the unit that the key of this object names."""

    low: float
    likely: float
    high: float


class Answer(Part):
    """One answer the advice rests on."""

    fact: str
    label: str
    value: str = Field(description="The answer as it was understood.")
    origin: Literal["given", "not known", "follows"] = Field(
        description="Given by the operator, given as not known, or following from other answers."
    )


class Test(Part):
    """One test of a condition, with what was seen."""

    words: str
    seen: str
    truth: Truth


class ArgumentNote(Part):
    """One argument about an option, as it stands with these answers."""

    id: str
    says: Literal["require", "rule_out", "for", "against"]
    strength: str | None = None
    truth: Truth
    reason: str
    condition: str
    tests: tuple[Test, ...] = ()
    lifted_by: str | None = None
    limits: str | None = None
    sources: tuple[SourceNote, ...]
    file: str
    line: int


class OptionNote(Part):
    """One option of a decision and everything said about it."""

    id: str
    title: str
    summary: str
    state: State = Field(
        description="Chosen; possible but less supported; ruled out; or set aside: something not known may rule it out."
    )
    support_low: int
    support_high: int
    arguments: tuple[ArgumentNote, ...] = Field(description="Those that hold or are open.")
    silent: tuple[ArgumentNote, ...] = Field(default=(), description="Those that fail with these answers.")


class DecisionNote(Part):
    """One decision."""

    id: str
    title: str
    question: str
    chosen: str
    chosen_title: str
    settled: bool = Field(description="Whether no answer that is still missing can change it.")
    options: tuple[OptionNote, ...]


class Lift(Part):
    """What would lift a stop or a ruling-out."""

    opens: str | None = Field(default=None, description="The option it would help to open; none for a required stop.")
    because: str
    lifted_by: str
    truth: Truth
    asked: bool = Field(default=True, description="False where it is open only because nobody was asked about it.")
    sources: tuple[SourceNote, ...]

    @property
    def doubt(self) -> str:
        """Why it counts although it is not known to hold; empty where it holds."""
        if self.truth == "holds":
            return ""
        return "not known, so it counts" if self.asked else "not asked, so it counts"


class ControlNote(Part):
    """What to do against a hazard."""

    do: str
    only_if: str | None = None
    sources: tuple[SourceNote, ...] = ()


class HazardNote(Part):
    """A hazard that is not excluded."""

    id: str
    title: str
    brief: str | None = Field(default=None, description="The controls that matter most, in one line.")
    severity: Literal["deadly", "grave", "moderate"]
    certain: bool = Field(description="False when it is kept because something is not known.")
    because: str
    harm: str
    controls: tuple[ControlNote, ...]
    stop_if: tuple[str, ...]
    authority: str | None = None
    sources: tuple[SourceNote, ...]


class Weight(Part):
    """One line of how an amount was reached."""

    rule: str
    low_g: float
    likely_g: float
    high_g: float
    how: str
    only_if: str | None = None
    sources: tuple[SourceNote, ...]


class MaterialAmount(Part):
    """How much of one material to weigh out, over all lines."""

    title: str
    low_g: float = Field(description="Least to weigh out, by the basis named.")
    likely_g: float
    high_g: float
    basis: Literal["rule of thumb", "computed"] = "rule of thumb"
    thumb_g: Span = Field(description="What the rule of thumb asks for.")
    computed: FigureNote | None = Field(default=None, description="What the computation for these minerals asks for.")
    care: str | None = None
    cost_low: float | None = None
    cost_high: float | None = None
    lines: tuple[Weight, ...]


class QuantityNote(Part):
    """A derived quantity of this batch."""

    title: str
    unit: str
    low: float
    likely: float
    high: float
    how: str
    sources: tuple[SourceNote, ...]


class StepNote(Part):
    """One numbered step."""

    number: int
    id: str
    stage: str
    stage_title: str
    do: str
    brief: str | None = Field(default=None, description="What to do in one line.")
    look_for: str | None = None
    temperature_c: Span | None = None
    time_min: Span | None = None
    uses: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    only_if: str | None = None
    reason: str | None = None
    sources: tuple[SourceNote, ...]


class ShopNote(Part):
    """What the shop's own batches say about an expected mass."""

    mass_g: Span
    batches: int = Field(description="How many of the shop's batches on the same way it rests on.")
    words: str
    source: str


class ExpectationNote(Part):
    """What comes out when all goes well."""

    id: str
    title: str
    mass_g: Span | None = Field(default=None, description="By the rules alone.")
    shop: ShopNote | None = Field(default=None, description="By the shop's own results, where there are enough.")
    looks: str
    reason: str | None = None
    only_if: str | None = None
    sources: tuple[SourceNote, ...]


class Assumption(Part):
    """What was assumed for something not known, and what knowing it would change."""

    fact: str
    label: str
    assumed: str
    keeps: tuple[str, ...] = Field(description="Hazards and steps kept because of it.")
    sets_aside: tuple[str, ...] = Field(description="Options set aside because of it.")
    find_out: str


class Change(Part):
    """One answer that, given otherwise, would have changed the advice."""

    fact: str
    label: str
    was: str
    answer: str
    decision: str = Field(description="The decision that changes, or 'hazard'.")
    decision_title: str
    to: str = Field(description="The option it changes to; of a hazard that it appears or disappears.")
    to_title: str
    hazard: str | None = Field(default=None, description="The hazard that appears or disappears.")
    effect: Literal["appears", "disappears"] | None = Field(
        default=None, description="Whether the hazard, or in a diagnosis the cause, comes or goes."
    )
    severity: Literal["deadly", "grave", "moderate"] | None = None


class ReferralNote(Part):
    """Where a licensed professional or a local code decides."""

    id: str
    who: str
    decides: str
    sources: tuple[SourceNote, ...]


class OverrideNote(Part):
    """A shipped rule that the shop's own rules replaced or switched off."""

    section: str
    id: str
    layer: str
    how: str
    reason: str = ""


class RulesNote(Part):
    """The rules behind the advice."""

    title: str
    fingerprint: str
    layers: tuple[str, ...]
    overrides: tuple[OverrideNote, ...]


class Difference(Part):
    """A material of which rule of thumb and computation ask for amounts that lie apart."""

    material: str
    title: str
    thumb_g: Span
    computed_g: Span
    reason: str
    source: str


class Computed(Part):
    """What the computation says for this batch, beside the rule of thumb."""

    groups: tuple[Group, ...]
    differences: tuple[Difference, ...]
    skipped: str | None = Field(default=None, description="Why the charge could not be computed.")


class RouteSide(Part):
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
    cost: Span | None = None
    deadly: tuple[str, ...]
    hazards: int
    steps: int


class Missing(Part):
    """A fact that was not asked or answered and could still change the advice."""

    fact: str
    label: str


class Advice(Part):
    """The whole advice for one batch."""

    document: Literal["advice"] = "advice"
    version: Literal[1] = 1
    program: str
    rules: RulesNote
    title: str | None = None
    route: str
    route_title: str
    collector: str
    collector_title: str
    stop: bool = Field(description="Whether work stops.")
    settled: bool = Field(description="Whether no missing answer can change any decision.")
    unasked: tuple[Missing, ...] = Field(description="Facts whose answers could still change this advice.")
    reason: str
    answers: tuple[Answer, ...]
    decisions: tuple[DecisionNote, ...]
    lifts: tuple[Lift, ...]
    hazards: tuple[HazardNote, ...]
    quantities: dict[str, QuantityNote]
    amounts: dict[str, MaterialAmount]
    steps: tuple[StepNote, ...]
    expectations: tuple[ExpectationNote, ...]
    assumptions: tuple[Assumption, ...]
    changes: tuple[Change, ...] = Field(description="Every single answer that would change the route or the collector.")
    hazard_changes: tuple[Change, ...] = Field(
        default=(),
        description="Every single answer that takes away or brings a hazard, the decisions its rule looks at being the "
        "same. Another route changes others.",
    )
    referrals: tuple[ReferralNote, ...]
    computed: Computed | None = None
    side_by_side: tuple[RouteSide, ...] = Field(default=(), description="The chosen route beside others.")
    warnings: tuple[str, ...]
    cost_low: float | None = None
    cost_high: float | None = None
