"""What the advice and the diagnosis are both made of: sources, arguments, hazards, steps, changes, the rules used.

Masses are in grams, volumes in millilitres, temperatures in degrees Celsius, times in minutes. The JSON form of a
document is versioned by its ``version``; keys are only ever added within one version.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from advisor.document import once, part
from advisor.words import tr

Truth = Literal["holds", "fails", "open"]
State = Literal["chosen", "possible", "ruled_out", "set_aside"]
OutcomeKind = Literal["work", "first", "find_out", "stop"]


@once("sources")
@part
class SourceNote:
    """Where a statement comes from."""

    kind: Literal["published", "practice", "memory", "calculation"]
    text: Annotated[str, Field(description="The reference in full, or that there is none.")]


@part
class Span:
    """A range in the unit that the key of this object names."""

    low: float
    likely: float
    high: float


@part
class Answer:
    """One answer the advice rests on."""

    fact: str
    label: str
    value: Annotated[str, Field(description="The answer as it was understood.")]
    origin: Annotated[
        Literal["given", "not known", "follows", "worked out"],
        Field(
            description="Given by the operator, given as not known, following from other answers, or worked out from "
            "weights of the piece."
        ),
    ]


@part
class Test:
    """One test of a condition, with what was seen."""

    words: str
    seen: str
    truth: Truth


@once("arguments")
@part
class ArgumentNote:
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


@part
class OptionNote:
    """One option of a decision and everything said about it."""

    id: str
    title: str
    summary: str
    state: Annotated[
        State,
        Field(
            description="Chosen; possible but less supported; ruled out; or set aside: something not known may rule "
            "it out."
        ),
    ]
    support_low: int
    support_high: int
    arguments: Annotated[tuple[ArgumentNote, ...], Field(description="Those that hold or are open.")]
    silent: Annotated[tuple[ArgumentNote, ...], Field(description="Those that fail with these answers.")] = ()


@part
class DecisionNote:
    """One decision."""

    id: str
    title: str
    question: str
    chosen: str
    chosen_title: str
    settled: Annotated[bool, Field(description="Whether no answer that is still missing can change it.")]
    options: tuple[OptionNote, ...]


@part
class Lift:
    """What would lift a stop, or make a struck option possible."""

    opens: Annotated[str | None, Field(description="The option it would help to open; none for a required stop.")] = (
        None
    )
    because: str
    lifted_by: str
    truth: Truth
    seen: Annotated[tuple[str, ...], Field(description="The answers by which it holds, and no others.")] = ()
    sources: tuple[SourceNote, ...]

    @property
    def doubt(self) -> str:
        """Why it counts although it is not known to hold; empty where it holds."""
        return "" if self.truth == "holds" else tr("not known, so it counts")


@part
class PreparationNote:
    """Something to do before anything is lit."""

    id: str
    title: str
    called: Annotated[str, Field(description="The same in a word or two.")]
    certain: Annotated[bool, Field(description="False when it is not known whether it is lacking.")]
    do: str
    done_when: Annotated[str, Field(description="How one sees that it is done.")]
    time_min: Span
    tonight: Annotated[bool, Field(description="False when it takes longer than tonight.")]
    waits: Annotated[str, Field(description="What waits for it.")]
    changes: Annotated[
        tuple[str, ...], Field(description="Facts that it changes; weights are provisional until they are told anew.")
    ] = ()
    hazards: tuple[str, ...] = ()
    sources: tuple[SourceNote, ...]


@part
class Told:
    """A fact that a look tells."""

    fact: str
    label: str
    ask: str
    find_out: str
    minutes: float
    purpose: Annotated[
        Literal["stop", "decides", "weights"],
        Field(description="Whether it can stop the work, decides between routes, or is needed for weights."),
    ]


@part
class Look:
    """One look or trial, with all that it tells and that is wanted."""

    id: Annotated[str, Field(description="The look of the rules, or the one fact that it tells.")]
    title: str
    do: str
    minutes: float
    tells: Annotated[tuple[Told, ...], Field(description="What it tells, what tells most first.")]
    sources: tuple[SourceNote, ...] = ()


@part
class WayWithout:
    """The best way that needs nothing that takes longer than tonight."""

    id: str
    title: str
    summary: str


@part
class Sitting:
    """The work between two places where it may stop."""

    hours: Span
    preparations: Annotated[bool, Field(description="Whether it begins with what stands under first for tonight.")]
    first_step: Annotated[int | None, Field(description="None where it holds preparations alone.")]
    last_step: int | None
    ends_with: Annotated[str, Field(description="The stage of the work that the last step belongs to.")]
    fits: Annotated[bool, Field(description="Whether the hours at hand hold it. Inside it nothing may be broken off.")]


@part
class Remaining:
    """An option that may still come out, and what it hangs on."""

    id: str
    title: str
    summary: str
    hangs_on: Annotated[tuple[str, ...], Field(description="What has to be known of, by name.")]


@part
class ControlNote:
    """What to do against a hazard."""

    do: str
    only_if: str | None = None
    sources: tuple[SourceNote, ...] = ()


@part
class HazardNote:
    """A hazard that is not excluded."""

    id: str
    title: str
    called: Annotated[str, Field(description="Its name in a word or two.")]
    sign: Annotated[str, Field(description="The sign to stop at that shows first, in a few words.")]
    brief: Annotated[str | None, Field(description="The controls that matter most, in one line.")] = None
    severity: Literal["deadly", "grave", "moderate"]
    certain: Annotated[bool, Field(description="False when it is kept because something is not known.")]
    because: str
    harm: str
    controls: tuple[ControlNote, ...]
    stop_if: tuple[str, ...]
    authority: str | None = None
    sources: tuple[SourceNote, ...]


@part
class StepNote:
    """One numbered step."""

    number: int
    id: str
    stage: str
    stage_title: str
    called: Annotated[str | None, Field(description="What its heat is called in a table of heats.")] = None
    do: str
    brief: Annotated[str | None, Field(description="What to do in one line.")] = None
    look_for: str | None = None
    temperature_c: Span | None = None
    time_min: Span | None = None
    uses: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    only_if: str | None = None
    reason: str | None = None
    sources: tuple[SourceNote, ...]


@part
class PhaseNote:
    """A phase of the work: what is done at a stretch, with the dangers that it meets."""

    id: str
    title: str
    routine: Annotated[bool, Field(description="Whether it is much the same at every batch.")] = False
    preparations: Annotated[tuple[str, ...], Field(description="What stands under FIRST, done in this phase.")] = ()
    steps: Annotated[tuple[int, ...], Field(description="The numbers of its steps, in order.")] = ()
    hazards: Annotated[tuple[str, ...], Field(description="The hazards it meets, the worst first.")] = ()


@part
class Change:
    """One answer that, given otherwise, would have changed the advice."""

    fact: str
    label: str
    was: str
    answer: str
    decision: Annotated[str, Field(description="The decision that changes, or 'hazard'.")]
    decision_title: str
    to: Annotated[str, Field(description="The option it changes to; of a hazard that it appears or disappears.")]
    to_title: str
    hazard: Annotated[str | None, Field(description="The hazard that appears or disappears.")] = None
    effect: Annotated[
        Literal["appears", "disappears"] | None,
        Field(description="Whether the hazard, or in a diagnosis the cause, comes or goes."),
    ] = None
    severity: Literal["deadly", "grave", "moderate"] | None = None


@part
class ReferralNote:
    """Where a licensed professional or a local code decides."""

    id: str
    who: str
    called: Annotated[str, Field(description="Who, in a word or two.")]
    decides: str
    certain: Annotated[bool, Field(description="False when it is kept because something is not known.")] = True
    sources: tuple[SourceNote, ...]


@part
class OverrideNote:
    """A shipped rule that the shop's own rules replaced or switched off."""

    section: str
    id: str
    layer: str
    how: str
    reason: str = ""


@part
class RulesNote:
    """The rules behind the advice."""

    title: str
    fingerprint: str
    layers: tuple[str, ...]
    overrides: tuple[OverrideNote, ...]


@part
class Missing:
    """A fact that was not asked or answered and could still change the advice."""

    fact: str
    label: str
