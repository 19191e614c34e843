"""What may stand in a rule file: one frozen model for each kind of entry, in the words of the trade.

The models check the shape of single entries; what needs the whole rule base (names, conditions, sources) is
checked in ``advisor.rulebase.compiling.compiler``. Their JSON Schema lets an editor complete and check rule files.
"""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, WithJsonSchema, model_validator

from advisor.rulebase.drawings.entries import SHOWN
from advisor.rulebase.language.results import CountsAs
from advisor.words import tr

# A number may stand where text is wanted (year: 1904), so the schema for editors allows it too.
Written = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1),
    WithJsonSchema({"type": ["string", "number"], "minLength": 1}),
]
"""What is the same in every language: amounts, units, formulas, names of entries, references."""
Cited = Written
"""What stands on a printed work: author, title, year, publisher; never translated."""
Text = Annotated[Written, SHOWN]
"""A text for people."""
Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=80)]
Name = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$", max_length=60)]
SourceName = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=80)]
Brief = Annotated[Text, StringConstraints(max_length=110)]
Called = Annotated[Text, StringConstraints(max_length=36)]
"""A name so short that several stand on one line of a screen."""
Condition = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=2000)]
Formula = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=1000)]
Act = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]* [a-z][a-z0-9_]*$", max_length=120)]
"""What is done with what: an act and a material, thing or kind, such as ``melt litharge``."""
Bringing = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*( [a-z][a-z0-9_]*)?$", max_length=120)]
"""Acts that bring something: an act with whatever material, or with one material or kind."""
Sources = Written | Annotated[list[Written], Field(min_length=1)]

_PLACEHOLDER = re.compile(r"(not|no|none|nobody|unknown|unnamed|anonymous|anon|undated)\b", re.IGNORECASE)
"""Words that stand for an author or a year that is not known."""

Stance = Literal["require", "rule_out", "for", "against"]
ConstraintKind = Literal["danger", "means", "worth"]
Severity = Literal["deadly", "grave", "moderate"]
SourceKind = Literal["published", "practice", "memory", "calculation"]
Status = Literal["draft", "checked", "retired"]


def _refuse_other_names(schema: dict[str, Any]) -> None:
    """A name that does not follow its pattern is a fault in an editor too."""
    for field in schema.get("properties", {}).values():
        if "patternProperties" in field:
            field["additionalProperties"] = False


class RuleEntry(BaseModel):
    """Base of all entries: frozen, and unknown keys are faults."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", coerce_numbers_to_str=True, defer_build=True, json_schema_extra=_refuse_other_names
    )


class OpeningEntry(RuleEntry):
    """What is said before the first question, and what holds for the asking as a whole.

    Attributes:
        at_hand: What to have within reach while the questions are answered.
        questions: How many questions to expect while the gold room is not known yet, in words.
        questions_with_room: How many once it is known.
        tonight_hours: After so many hours the answers about tonight are asked anew.
        source: Where this comes from.
    """

    at_hand: Annotated[list[Text], Field(min_length=1)]
    questions: Text
    questions_with_room: Text
    tonight_hours: Annotated[float, Field(gt=0, le=24)]
    source: Sources


class PhaseEntry(RuleEntry):
    """A phase of the work: what is done at a stretch, with the dangers of it at its head.

    Attributes:
        title: What it is called.
        stages: The stages of the plan that it holds.
        hazards: Hazards that stand at its head whenever they are there, whatever its steps name.
        routine: Whether it is the same at every batch, so that a first screen leaves it out.
    """

    title: Text
    stages: Annotated[list[Name], Field(min_length=1)]
    hazards: list[Id] = []
    routine: bool = False


class RuleBaseEntry(RuleEntry):
    """The rule base as a whole.

    Attributes:
        title: What it is called in the advice.
        format: Version of the file format; this program reads 1.
        strengths: Weight of each named strength of an argument.
        groups: The groups of questions, in the order they are asked, with their titles.
        stages: The stages of a plan, in order, with their titles.
        phases: The phases that the stages make up, in order; without any, each stage is one.
        opening: What is said before the first question.
    """

    title: Text
    format: Literal[1]
    strengths: dict[Name, Annotated[int, Field(ge=1, le=1000)]]
    groups: dict[Name, Text]
    stages: dict[Name, Text]
    phases: dict[Name, PhaseEntry] = {}
    opening: OpeningEntry | None = None


class SourceEntry(RuleEntry):
    """Where a figure or a rule comes from.

    Attributes:
        kind: ``published`` (read in the source), ``practice`` (common practice, no source), ``memory``
            (recalled and not checked) or ``calculation``.
        author: Author or issuing body; needed for a published source.
        title: Title; needed for a published source.
        year: Year of the edition; needed for a published source, may be text such as "about 1881".
        not_shown: Which of author and year the text that was read does not show; these are then left out.
        note: Edition, series, how it was read.
    """

    kind: SourceKind
    author: Cited | None = None
    title: Cited | None = None
    year: Cited | None = None
    not_shown: Annotated[list[Literal["author", "year"]], Field(min_length=1)] | None = None
    publisher_or_series: Cited | None = None
    note: Text | None = None

    @model_validator(mode="after")
    def _published_is_named(self) -> SourceEntry:
        given = {"author": self.author, "title": self.title, "year": self.year}
        if placeholder := next((text for text in (self.author, self.year) if text and _PLACEHOLDER.match(text)), None):
            raise ValueError(
                tr(
                    "'{placeholder}' is no name and no year; say not_shown: [author] or [year] instead",
                    placeholder=placeholder,
                )
            )
        left_out = set(self.not_shown or ())
        if self.kind == "published" and any((text is None) != (name in left_out) for name, text in given.items()):
            raise ValueError(
                tr("a published source needs author, title and year, or not_shown for those it does not show")
            )
        return self


class OptionEntry(RuleEntry):
    """One answer a choice offers.

    Attributes:
        label: Two or three words.
        means: A short description.
        picture: Name of a drawing that shows it.
        says_no: Whether it is what a mere no to the question means; an option called no, none or never says it anyway.
    """

    label: Text
    means: Text
    picture: Name | None = None
    says_no: bool = False


class RangeEntry(RuleEntry):
    """A range written as three amounts."""

    low: Written
    likely: Written
    high: Written


class ImpliedEntry(RuleEntry):
    """A value that follows from other answers, so that the question is not asked.

    Attributes:
        when: The condition under which it follows.
        value: An option, a list of options, yes or no, or an amount.
    """

    when: Condition
    value: Written | list[Name]


class ComputedEntry(RuleEntry):
    """One of several formulas of a computed fact, with the condition under which it is used."""

    when: Condition | None = None
    formula: Formula


class FactEntry(RuleEntry):
    """One thing that can be asked of the operator, or that is worked out from other answers before deciding.

    Attributes:
        label: Short noun phrase used in sentences.
        group: The group of questions it belongs to.
        belongs_to: Whether it is told of the ``room``, its gear and its law, of how it is there ``tonight``, or of the
            ``lot``. The room is kept in a file, tonight is asked anew each time, the lot with every lot.
        ask: The question, one line.
        find_out: How to find out with what a mine has, one line.
        explain: The longer explanation.
        kind: ``yes_no``, ``choice`` (one option), ``several`` (any number of options) or ``quantity``.
        unit: Unit of a quantity.
        least: Least value of a quantity that makes sense.
        most: Greatest value of a quantity that makes sense.
        when_unknown: The range used in weights and masses when the quantity is not known.
        grams_of: For a share that the question asks for in grams: in how many grams of the whole.
        options: The options of a choice.
        minutes: How long finding out takes.
        implied: Values that follow from other answers; the first whose condition holds decides, once no earlier one
            with another value may still hold.
        ask_if: It is asked only when this holds; otherwise it stays not known.
        from_plan: What answers it when a saved plan is at hand: ``decision.NAME`` or ``quantity.NAME``.
        must_be_known: Where this holds no work is planned before it is known.
        computed: Formulas that give a quantity which is never asked; the first whose condition holds, or the hull of
            those that may.
        source: Where the way of finding out comes from.
    """

    label: Text
    group: Name
    belongs_to: Literal["room", "tonight", "lot"] = "lot"
    ask: Annotated[Text, Field(max_length=90)] = ""
    find_out: Annotated[Text, Field(max_length=170)] = ""
    explain: Text = ""
    kind: Literal["yes_no", "choice", "several", "quantity"]
    unit: Written | None = None
    least: Written | None = None
    most: Written | None = None
    when_unknown: RangeEntry | None = None
    grams_of: Annotated[float, Field(gt=0)] | None = None
    options: dict[Name, OptionEntry] = {}
    minutes: Annotated[float, Field(gt=0, le=1440)] = 1
    implied: list[ImpliedEntry] = []
    ask_if: Condition | None = None
    from_plan: Annotated[str, StringConstraints(pattern=r"^(decision|quantity)\.[a-z0-9_]+$")] | None = None
    must_be_known: Condition | None = None
    computed: list[ComputedEntry] = []
    source: Sources | None = None

    @model_validator(mode="after")
    def _is_asked_or_computed(self) -> FactEntry:
        asked = (self.ask, self.find_out, self.explain)
        if not self.computed and not all(asked):
            raise ValueError(tr("a fact that is asked needs ask, find_out and explain"))
        if self.computed and (any(asked) or self.implied or self.ask_if or self.from_plan or self.must_be_known):
            raise ValueError(
                tr("a computed fact is never asked: leave out ask, find_out, explain and what goes with them")
            )
        return self

    @model_validator(mode="after")
    def _kind_has_its_fields(self) -> FactEntry:
        if self.computed:
            if self.kind != "quantity" or not (self.unit and self.least and self.most) or self.when_unknown:
                raise ValueError(tr("a computed fact is a quantity with unit, least and most, and has no when_unknown"))
            return self
        if self.kind == "quantity":
            if not (self.unit and self.least and self.most and self.when_unknown):
                raise ValueError(tr("a quantity needs unit, least, most and when_unknown"))
            if self.options:
                raise ValueError(tr("a quantity has no options"))
            return self
        if self.unit or self.least or self.most or self.when_unknown or self.grams_of:
            raise ValueError(tr("unit, least, most, when_unknown and grams_of belong to a quantity only"))
        if self.kind == "yes_no" and self.options:
            raise ValueError(tr("a yes_no fact has no options"))
        if self.kind in ("choice", "several") and not self.options:
            raise ValueError(tr("a fact of kind {kind} needs options", kind=self.kind))
        return self


class FindingEntry(RuleEntry):
    """A named condition that several rules share."""

    means: Text
    when: Condition


class ThresholdEntry(RuleEntry):
    """A limit that a shop may want to move; it stands once and rules refer to it by name."""

    value: Written
    means: Text
    reason: Text
    source: Sources


class DecisionOptionEntry(RuleEntry):
    """One option of a decision.

    Attributes:
        title: How it is named in the advice.
        summary: One sentence that says what it means to take it.
        base: Its support before any argument speaks.
        works_like: For other decisions the option that this work is like, or ``fact NAME`` to take it from an
            answer; what rules those out rules this out, and their hazards are its hazards.
        banned_like: In place of ``works_like``, the work whose bans hold for it; for what is molten already only what
            is dangerous about any hot pot.
        piece: The kind of piece it is done to, whose properties stand for those of the concentrate.
        if_wrong: What it costs where the cause was another one.
    """

    title: Annotated[Text, Field(max_length=70)]
    summary: Text
    base: Annotated[int, Field(ge=-1000, le=1000)] = 0
    works_like: dict[Name, Written] = {}
    banned_like: dict[Name, Written] = {}
    piece: Name | None = None
    if_wrong: Text | None = None


class DecisionEntry(RuleEntry):
    """Something to be decided from a closed list of options.

    Attributes:
        title: How the decision is named.
        question: What it decides, as a question.
        options: The options.
        several: Whether several options may be taken at once, each by its own support.
        taken_at: Support from which an option is taken; only with ``several``.
        fallback: The option that remains when every other is ruled out; no argument may rule it out.
        stops: Options that mean that work stops.
        only_when_settled: Options that are advised only when nothing that is not known can change the decision.
        tie_order: Options from the most cautious on; of two equally supported ones the earlier wins.
    """

    title: Text
    question: Text
    options: dict[Name, DecisionOptionEntry] = {}
    several: bool = False
    taken_at: Annotated[int, Field(ge=1, le=1000)] | None = None
    fallback: Name | None = None
    stops: list[Name] = []
    only_when_settled: list[Name] = []
    tie_order: list[Name] = []

    @model_validator(mode="after")
    def _one_or_several(self) -> DecisionEntry:
        if self.several:
            if self.taken_at is None or self.fallback or self.stops or self.only_when_settled or self.tie_order:
                raise ValueError(
                    tr("a decision for several needs taken_at, and no fallback, stops, only_when_settled or tie_order")
                )
        elif self.fallback is None or self.taken_at is not None:
            raise ValueError(tr("a decision for one option needs fallback, and no taken_at"))
        return self


class ArgumentEntry(RuleEntry):
    """Something that speaks about options of a decision.

    Attributes:
        about: ``decision.option``, or a list of them.
        says: ``require`` (all other options are out), ``rule_out``, ``for`` or ``against``.
        strength: Named strength; only with ``for`` and ``against``.
        kind: Why a constraint strikes: ``danger``, missing ``means``, or ``worth`` and suitability. Other work that is
            like this one takes over danger and means alone.
        when: The condition under which it speaks.
        reason: Why, in plain words.
        lifted_by: What the operator can do so that it no longer holds.
        limits: When this rule is known to be wrong.
        status: ``draft``, ``checked`` or ``retired`` (kept for its id, never speaks).
        source: Where it comes from.
    """

    id: Id
    about: Written | Annotated[list[Written], Field(min_length=1)]
    says: Stance
    strength: Name | None = None
    kind: ConstraintKind | None = None
    when: Condition
    reason: Text
    lifted_by: Text | None = None
    limits: Text | None = None
    status: Status = "checked"
    source: Sources

    @model_validator(mode="after")
    def _strength_fits_stance(self) -> ArgumentEntry:
        if self.says in ("for", "against") and self.strength is None:
            raise ValueError(tr("an argument that speaks {says} needs a strength", says=self.says))
        if self.says in ("require", "rule_out") and self.strength is not None:
            raise ValueError(tr("an argument that says {says} has no strength", says=self.says))
        if self.says in ("for", "against") and self.kind is not None:
            raise ValueError(tr("an argument that speaks {says} has no kind", says=self.says))
        return self


class PreparationEntry(RuleEntry):
    """What a person can mend before anything is lit: no reason to stop, and none against a route.

    Route, weights and plan are worked out as if it were done; it stands under FIRST, and nothing that needs it comes
    before. What is not known counts as lacking. Other conditions test it with ``first has NAME``.

    Attributes:
        title: What to do, as a short order.
        called: The same in a word or two, for the first screen.
        order: Its place under FIRST.
        lacking: When it is lacking; tests facts and findings, no decision.
        comes_with: The acts that need it.
        provided: They need it only unless this is excluded; tests decisions, findings and facts.
        wanted: The work that needs it whatever is done; tests decisions, findings and facts.
        waits: What waits for it, in words.
        do: What to do; ``{material}`` and ``{quantity}`` are replaced by weighed amounts.
        done_when: How one sees that it is done.
        time: How long it takes.
        tonight: Whether it can be done tonight. What takes longer speaks against the options that need it with the
            strength ``not_tonight``, so that work which can do without it goes before. What takes a day at its shortest
            is told as not for tonight in any case; without this it speaks against nothing.
        mends: The facts among those that ``lacking`` tests which it puts right; all of them if none is named. The proof
            shows that they alone never stop the work.
        changes: Facts whose answer changes by it; they are asked anew, and weights are provisional until then.
        parts_the_work: Whether it tells where to part work that the hours do not hold. Such a one stands under FIRST
            wherever the steps of the plan take several sittings, also where ``lacking`` reckons with fewer hours.
        acts: What is done in it with what.
        hazards: Hazards to think of in it beside those that its acts bring.
        source: Where it comes from.
    """

    title: Annotated[Text, Field(max_length=70)]
    called: Called | None = None
    order: Annotated[float, Field(ge=0, le=100_000)]
    lacking: Condition
    comes_with: list[Bringing] = []
    provided: Condition | None = None
    wanted: Condition | None = None
    waits: Text
    do: Text
    done_when: Text
    time: Written | RangeEntry
    tonight: bool = True
    mends: list[Name] = []
    changes: list[Name] = []
    parts_the_work: bool = False
    acts: list[Act] = []
    hazards: list[Id] = []
    source: Sources

    @model_validator(mode="after")
    def _is_wanted_for_something(self) -> PreparationEntry:
        _check_bringing(self.comes_with, self.provided, self.wanted)
        return self


class LookEntry(RuleEntry):
    """One look or trial that tells several facts at once.

    Attributes:
        title: What it is, in a few words.
        do: How it is done with what a mine has.
        minutes: How long it takes, for all of its facts together.
        tells: The facts that it tells.
        in_one_go: Whether its facts are asked together, a line for each.
        source: Where it comes from.
    """

    title: Annotated[Text, Field(max_length=60)]
    do: Text
    minutes: Annotated[float, Field(gt=0, le=100_000)]
    tells: Annotated[list[Name], Field(min_length=1)]
    in_one_go: bool = False
    source: Sources


def _check_bringing(comes_with: list[str], provided: str | None, other: str | None) -> None:
    if not comes_with and (provided is not None or other is None):
        raise ValueError(tr("it comes with some acts, under comes_with, or has a condition of its own"))


class ControlEntry(RuleEntry):
    """What to do against a hazard, always or under a condition."""

    do: Text
    when: Condition | None = None
    source: Sources | None = None


class HazardEntry(RuleEntry):
    """What can hurt people, and what to do about it.

    Attributes:
        title: Its name.
        brief: The controls that matter most in one line, for the sheet on the wall; true for every batch.
        severity: ``deadly``, ``grave`` or ``moderate``.
        called: Its name in a word or two, for a screen.
        sign: The sign to stop at that shows first, in a few words.
        comes_with: The acts that bring it: it is attached unless it is excluded that one of them is done. An act named
            by itself brings it to the step that does it; a group of acts only to the plan as a whole.
        provided: They bring it only unless this is excluded.
        when: Whatever is done, it is attached unless this is excluded: what hangs on place, people and things at hand.
        harm: What it does to people.
        controls: What to do about it.
        stop_if: Signs at which to stop.
        authority: Who decides by law or licence.
        source: Where it comes from.
    """

    id: Id
    title: Text
    brief: Brief | None = None
    severity: Severity
    called: Called | None = None
    sign: Called | None = None
    comes_with: list[Bringing] = []
    provided: Condition | None = None
    when: Condition | None = None
    harm: Text
    controls: Annotated[list[ControlEntry], Field(min_length=1)]
    stop_if: Annotated[list[Text], Field(min_length=1)]
    authority: Text | None = None
    source: Sources

    @model_validator(mode="after")
    def _comes_from_something(self) -> HazardEntry:
        _check_bringing(self.comes_with, self.provided, self.when)
        return self


class StepEntry(RuleEntry):
    """One step of a plan.

    Attributes:
        stage: The stage it belongs to.
        called: What its heat is called in a table of heats, such as ``drive``.
        order: Its place within the stage.
        when: The condition under which it is part of the plan.
        do: What to do; ``{material}`` and ``{quantity}`` are replaced by weighed amounts.
        brief: The same in one line, for the sheet on the wall.
        look_for: What shows that it is right, or wrong.
        temperature: Temperature of the work, or the quantity that tells it.
        time: How long it takes.
        not_counted: Whether its time is left out of the hours: it is done only if it comes to that, or while other
            work goes on by itself.
        acts: What is done in it with what, such as ``melt litharge``; hazards and preparations follow from it.
        uses: Materials used in it.
        needs: Quantity facts that the computation behind it needs, so that they are asked.
        hazards: Hazards to think of in it beside those that its acts bring.
        more_time: The quantity that says how much longer it takes where a round, which it belongs to, is done again.
        may_break_after: Whether the work may stop for the day after it: everything is cold, and nothing is half done.
        reason: Why it is done.
        source: Where it comes from.
    """

    id: Id
    stage: Name
    called: Called | None = None
    order: Annotated[float, Field(ge=0, le=100_000)]
    when: Condition
    do: Text
    brief: Brief | None = None
    look_for: Text | None = None
    temperature: Written | RangeEntry | None = None
    time: Written | RangeEntry | None = None
    not_counted: bool = False
    acts: list[Act] = []
    uses: list[Name] = []
    needs: list[Name] = []
    hazards: list[Id] = []
    more_time: Name | None = None
    may_break_after: bool = False
    reason: Text | None = None
    source: Sources


class MaterialEntry(RuleEntry):
    """A reagent or collector that is weighed out; ``price`` and ``stock`` name the facts of what it costs and how much
    of it is on the shelf. With ``at_least`` it is a piece that may be heavier than what is asked for, such as a rod."""

    title: Text
    at_least: bool = False
    formula: Written | None = None
    also_called: Text | None = None
    bulk_density: Written | RangeEntry | None = None
    care: Text | None = None
    price: Name | None = None
    stock: Name | None = None
    source: Sources | None = None


class CaseEntry(RuleEntry):
    """One of several formulas, with the condition under which it is used."""

    when: Condition
    formula: Formula


class QuantityEntry(RuleEntry):
    """A quantity derived from the answers.

    Attributes:
        called: What it is called on the first screen, among what is weighed and set out; without it, it does not
            stand there.
        figure: The computed figure of the plan that it is, such as ``cupellation.cupel_mass_g``. Formula or cases
            are for the routes for which the plan computes none.
    """

    title: Text
    called: Called | None = None
    unit: Written
    figure: Annotated[str, Field(pattern=r"^[a-z]+\.[a-z_0-9]+$")] | None = None
    formula: Formula | None = None
    cases: list[CaseEntry] = []
    reason: Text
    source: Sources

    @model_validator(mode="after")
    def _one_way_to_get_it(self) -> QuantityEntry:
        if self.formula is not None and self.cases:
            raise ValueError(tr("a quantity needs either a formula or cases"))
        if self.formula is None and not self.cases and self.figure is None:
            raise ValueError(tr("a quantity needs a formula, cases or a computed figure"))
        return self


class PartsEntry(RuleEntry):
    """Grams per gram, as a range."""

    low: Annotated[float, Field(ge=0, le=1000)]
    likely: Annotated[float, Field(ge=0, le=1000)]
    high: Annotated[float, Field(ge=0, le=1000)]

    @model_validator(mode="after")
    def _in_order(self) -> PartsEntry:
        if not self.low <= self.likely <= self.high:
            raise ValueError(tr("parts need low <= likely <= high"))
        return self


class AmountEntry(RuleEntry):
    """How much of a material is weighed out: ``parts`` grams per gram of ``of``.

    Attributes:
        beside_the_pot: Whether it goes elsewhere than into the pot with the charge, such as to the clean part of a
            split. It is added to what goes into the pot, and the computed charge knows nothing of it.
    """

    id: Id
    material: Name
    when: Condition
    of: Formula
    beside_the_pot: bool = False
    parts: PartsEntry
    reason: Text
    source: Sources


class ExpectationEntry(RuleEntry):
    """What comes out when all goes well; ``counts_as`` is what journal and first screen take it for."""

    id: Id
    title: Text
    when: Condition
    formula: Formula | None = None
    parts: PartsEntry | None = None
    counts_as: CountsAs | None = None
    looks: Text
    reason: Text | None = None
    source: Sources


class ReferralEntry(RuleEntry):
    """Where a licensed professional or a local code decides; ``called`` is who, in a word or two."""

    id: Id
    when: Condition
    who: Text
    called: Called | None = None
    decides: Text
    source: Sources


class CheckEntry(RuleEntry):
    """Answers that cannot all be true, or that are asked back once.

    Attributes:
        formula: A sum or ratio of the answers.
        at_most: What the formula cannot be above.
        at_least: What the formula cannot be below.
        when: It speaks only while this holds; alone it says what cannot be.
        ask_back: Whether it may be true all the same. Then the person is asked once, and what stands in a file is
            taken with a warning.
        say: What is wrong, and what would be right.
    """

    id: Id
    formula: Formula | None = None
    at_most: Written | None = None
    at_least: Written | None = None
    when: Condition | None = None
    ask_back: bool = False
    say: Text

    @model_validator(mode="after")
    def _says_what_cannot_be(self) -> CheckEntry:
        limits = [limit for limit in (self.at_most, self.at_least) if limit is not None]
        if len(limits) != (self.formula is not None) or (self.formula is None and self.when is None):
            raise ValueError(tr("a check needs a formula with at_most or at_least, or a condition under when"))
        return self


class MineralEntry(RuleEntry):
    """A mineral of concentrates.

    Attributes:
        title: Its name.
        formula: Chemical formula, read by a molar-mass library.
        density: Density, or its range, in g/ml.
        kind: What it counts as in the pan.
    """

    title: Text
    formula: Written
    density: Written | RangeEntry
    kind: Literal["metal", "sulphide", "arsenide", "telluride", "oxide", "silicate", "carbonate", "other"]
    note: Text | None = None
    source: Sources


class TableEntry(RuleEntry):
    """A table of figures, as published or as practised, and what must be so of its rows.

    A table begins where its columns stand. The same name elsewhere, in another file or in a shop's own folder, adds
    rows to it; a row with the key of a row of a lower layer replaces that row.

    Attributes:
        title: What the table holds; needed where the table begins, as are the columns.
        columns: What each column holds: ``text``, ``name``, ``formula``, ``element``, ``reaction``, words that may
            stand there (``lead | bismuth``, ``minerals``), or the unit of a number; in full in ``compiling/tables.py``.
        key: The column, or columns, by which a row is known; an empty list for a table of one row.
        every: Values for which there must be a row, by column; ``all`` for every word that may stand there, ``each``
            for every value that does.
        rising: Columns of reactions in which each must use at least as much of a substance as the one before.
        may_be_left_out: Columns that a row need not have.
        whole: Whether these rows replace the whole table of the lower layers.
        rows: The rows; a row may name its own ``source``.
        note: What to know before using it: gaps, conflicts, how surely it is known.
        source: Source of the rows that name none.
    """

    title: Text | None = None
    columns: dict[Name, Written] = {}
    key: Name | list[Name] | None = None
    every: list[dict[Name, Written]] = []
    rising: dict[Written, list[Name]] = {}
    may_be_left_out: list[Name] = []
    whole: bool = False
    rows: Annotated[list[dict[Name, float | Written]], Field(min_length=1)]
    note: Text | None = None
    source: Sources | None = None

    @model_validator(mode="after")
    def _columns_are_told_where_it_begins(self) -> TableEntry:
        if self.columns and not self.title:
            raise ValueError(tr("a table begins with a title and its columns"))
        if not self.columns and (self.key is not None or self.every or self.rising or self.may_be_left_out):
            raise ValueError(
                tr("key, every, rising and may_be_left_out stand where the table begins, beside its columns")
            )
        if self.columns and self.whole:
            raise ValueError(tr("with whole: true only the rows are given; the columns stay as they are"))
        return self

    @property
    def key_columns(self) -> tuple[str, ...] | None:
        """The columns of the key; none where rows cannot be told apart."""
        return (self.key,) if isinstance(self.key, str) else None if self.key is None else tuple(self.key)


class RetirementEntry(RuleEntry):
    """A rule of a lower layer that a shop's own rules switch off."""

    section: Literal[
        "arguments", "hazards", "steps", "amounts", "expectations", "referrals", "checks", "causes", "preparations"
    ]
    id: Id | Name
    reason: Text
