"""The compiled rule base: what the YAML says, with names resolved and conditions ready to evaluate."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from typing import TYPE_CHECKING, Any, TypeVar

from advisor.frozen import Remembers, kept
from advisor.rulebase.language.conditions import LATER
from advisor.units import Range, Unit
from advisor.words import tr

_SLACK = 1e-9
"""How far beyond a limit of a check nobody can tell from at it, in inside units."""

if TYPE_CHECKING:
    from advisor.rulebase.drawings import Drawing
    from advisor.rulebase.language.conditions import Condition
    from advisor.rulebase.language.formulas import Formula
    from advisor.rulebase.language.words import Words
    from advisor.rulebase.reading.act_entries import ActEntry, KindEntry
    from advisor.rulebase.reading.cause_entries import (
        CauseEntry,
        CorrectionEntry,
        FigureEntry,
        NextBatchEntry,
        PieceEntry,
    )
    from advisor.rulebase.reading.entries import (
        AmountEntry,
        ArgumentEntry,
        CheckEntry,
        ControlEntry,
        DecisionEntry,
        ExpectationEntry,
        FactEntry,
        FindingEntry,
        HazardEntry,
        LookEntry,
        MaterialEntry,
        MineralEntry,
        OpeningEntry,
        PhaseEntry,
        PreparationEntry,
        QuantityEntry,
        ReferralEntry,
        RuleBaseEntry,
        SourceEntry,
        SourceKind,
        Stance,
        StepEntry,
        TableEntry,
        ThresholdEntry,
    )
    from advisor.rulebase.reading.origins import Origin, Override
    from advisor.rulebase.reading.promise_entries import InvariantEntry, KeptEntry, WorseEntry


T = TypeVar("T")

DAY_MIN = 1440.0
"""Minutes of a day."""


TOLD = ("entry", "sources", "origin")
"""The fields of a rule that explain it, and that no evaluation looks at."""


class _Later:
    """A field that is read from an image when it is first asked for."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __get__(self, rule: Any, _: object = None) -> Any:
        values = rule.__dict__
        told, place = values[LATER]
        values.update(zip(TOLD, told[place], strict=True))
        return values[self.name]


def told_later(kind: type[T]) -> type[T]:
    """Let an image keep what explains the rules of a class apart from what is evaluated."""
    for name in TOLD:
        setattr(kind, name, _Later(name))
    setattr(kind, LATER, None)
    return kind


@kept
class Source:
    """One reference to a source.

    Attributes:
        name: Its name in the rule base.
        kind: ``published``, ``practice``, ``memory`` or ``calculation``.
        place: The place in it, or what it is about.
        cited: Author and title of a published one, as printed.
        year: Year of a published one, as printed.
        not_shown: What the text that was read does not show: author, year.
    """

    name: str
    kind: SourceKind
    place: str = ""
    cited: str = ""
    year: str | None = None
    not_shown: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The reference in full, for reading."""
        if self.kind != "published":
            plain = WITHOUT_TEXT[self.kind]()
            return f"{plain} ({self.place})" if self.place else plain
        return f"{self.cited} ({self.when}), {self.place}"

    @property
    def when(self) -> str:
        """The year of a published source, and what the text that was read does not show."""
        parts = [self.year] if self.year else []
        if self.not_shown:
            parts.append(_NOT_SHOWN[self.not_shown]())
        return ", ".join(parts)


WITHOUT_TEXT: dict[str, Callable[[], str]] = {
    "practice": lambda: tr("common practice, no source"),
    "memory": lambda: tr("from memory, not checked against a text"),
    "calculation": lambda: tr("calculation"),
}
"""What is said of sources that name no text."""
_NOT_SHOWN: dict[tuple[str, ...], Callable[[], str]] = {
    ("author",): lambda: tr("author not shown"),
    ("year",): lambda: tr("year not shown"),
    ("author", "year"): lambda: tr("author and year not shown"),
    ("year", "author"): lambda: tr("year and author not shown"),
}


@kept
class Variable:
    """Something that conditions test.

    Attributes:
        index: Its place in a state.
        name: The fact or decision it belongs to.
        item: The item of a ``several`` fact, otherwise empty.
        domain: Names of the cells it may be in: its options, or numbers where it is a quantity.
    """

    index: int
    name: str
    item: str
    domain: tuple[str, ...]

    @property
    def full(self) -> int:
        """All cells, as bits."""
        return (1 << len(self.domain)) - 1


@kept
class Several:
    """What is known of a list: items surely there, and items that may be there.

    Attributes:
        present: Items seen.
        unsure: Items that cannot be told.
    """

    present: frozenset[str] = frozenset()
    unsure: frozenset[str] = frozenset()


Value = bool | str | Several | Range
"""The value of a fact: yes/no, an option, a list of items, or an amount in inside units."""


@kept
class Implied:
    """A value that follows when a condition holds."""

    condition: Condition
    value: Value


@kept
class QuantityCase:
    """One formula and when it is used; without a condition always."""

    condition: Condition | None
    formula: Formula


@kept
class Fact:
    """One thing that can be asked, or that is worked out from other answers.

    Attributes:
        name: Its name in rules and answer files.
        entry: As written.
        unit: Unit of a quantity.
        least: Least sensible value, inside units.
        most: Greatest sensible value, inside units.
        when_unknown: Range used in weights when not known.
        breakpoints: The limits that rules compare a quantity with, in order.
        variables: Indices of its variables.
        implied: Values that follow from other answers; the first whose condition holds decides.
        origin: Where it stands.
        ask_if: It is asked only when this holds.
        must_be_known: Where this holds no work is planned before it is known.
        computed: The formulas that give it, if it is never asked.
    """

    name: str
    entry: FactEntry
    unit: Unit | None
    least: float
    most: float
    when_unknown: Range | None
    breakpoints: tuple[float, ...]
    variables: tuple[int, ...]
    implied: tuple[Implied, ...]
    origin: Origin
    ask_if: Condition | None = None
    must_be_known: Condition | None = None
    computed: tuple[QuantityCase, ...] = ()

    @property
    def label(self) -> str:
        """Short noun phrase."""
        return self.entry.label

    @property
    def used(self) -> frozenset[str]:
        """The facts and thresholds that its formulas use; none for a fact that is asked."""
        return frozenset(name for case in self.computed for name in case.formula.names)

    @property
    def choosing(self) -> tuple[Condition, ...]:
        """The conditions that choose among its formulas."""
        return tuple(case.condition for case in self.computed if case.condition is not None)


@kept
class Threshold:
    """A named limit."""

    name: str
    entry: ThresholdEntry
    unit: Unit
    amount: Range
    sources: tuple[Source, ...]
    origin: Origin


@kept
class Finding:
    """A named condition."""

    name: str
    entry: FindingEntry
    condition: Condition
    origin: Origin


@told_later
@kept
class Argument:
    """Something that speaks about options of one decision.

    Attributes:
        id: Its id.
        says: ``require``, ``rule_out``, ``for`` or ``against``.
        decision: The decision.
        options: The options it speaks about.
        weight: Support it gives (positive) or takes (negative); 0 for require and rule_out.
        condition: When it speaks.
        entry: As written.
        sources: Where it comes from.
        origin: Where it stands.
    """

    id: str
    says: Stance
    decision: str
    options: tuple[str, ...]
    weight: int
    condition: Condition
    entry: ArgumentEntry
    sources: tuple[Source, ...]
    origin: Origin


@kept
class Decision:
    """Something to be decided.

    Attributes:
        name: Its name.
        entry: As written.
        variables: Index of its variable, whose cells are the options in order; where several options may be
            taken, one variable for each option, with the cells absent and present.
        options: Names of the options in order.
        arguments: The arguments about it.
        origin: Where it stands.
        of_diagnosis: Whether it is taken when what came out is diagnosed, not in the route consultation.
    """

    name: str
    entry: DecisionEntry
    variables: tuple[int, ...]
    options: tuple[str, ...]
    arguments: tuple[Argument, ...]
    origin: Origin
    of_diagnosis: bool = False

    @property
    def variable(self) -> int:
        """Index of the variable of a decision for one option."""
        return self.variables[0]

    @property
    def fallback(self) -> str:
        """The option that remains when every other is ruled out; only of a decision for one option."""
        assert self.entry.fallback is not None
        return self.entry.fallback

    def title_of(self, option: str) -> str:
        """How an option is named in the advice."""
        return self.entry.options[option].title


@kept
class Preparation:
    """What a person can mend before anything is lit.

    Attributes:
        lacking: When it is lacking.
        wanted: When the work needs it.
        condition: When it stands under FIRST: it is lacking, and the work needs it.
        time_min: How long it takes.
        placeholders: Names of the materials, quantities and thresholds whose amounts its text shows.
        brings: The hazards that its acts bring, each with the condition on which that hangs, if it hangs on one.
    """

    name: str
    entry: PreparationEntry
    lacking: Condition
    wanted: Condition
    condition: Condition
    placeholders: tuple[str, ...]
    time_min: Range
    sources: tuple[Source, ...]
    origin: Origin
    brings: tuple[tuple[str, Condition | None], ...] = ()

    @property
    def tonight(self) -> bool:
        """Whether it can be done tonight; what takes a day at its shortest is waited for."""
        return self.entry.tonight and self.time_min.low < DAY_MIN


@kept
class LookRule:
    """One look or trial that tells several facts at once."""

    name: str
    entry: LookEntry
    sources: tuple[Source, ...]
    origin: Origin


@kept
class Control:
    """What to do against a hazard, always or under a condition."""

    entry: ControlEntry
    condition: Condition | None
    sources: tuple[Source, ...]

    @property
    def do(self) -> str:
        """What to do."""
        return self.entry.do


@told_later
@kept
class Hazard:
    """What can hurt people."""

    entry: HazardEntry
    condition: Condition
    controls: tuple[Control, ...]
    sources: tuple[Source, ...]
    origin: Origin


@kept
class Step:
    """One step of a plan; temperatures in °C and times in min.

    Attributes:
        placeholders: Names of the materials, quantities and thresholds whose amounts it shows.
        heat: The quantity that tells its temperature, where the plan computes it.
        brings: The hazards that its acts bring, each with the condition on which that hangs, if it hangs on one.
    """

    entry: StepEntry
    condition: Condition
    placeholders: tuple[str, ...]
    heat: str | None
    temperature_c: Range | None
    time_min: Range | None
    sources: tuple[Source, ...]
    origin: Origin
    brings: tuple[tuple[str, Condition | None], ...] = ()


@kept
class Material:
    """A reagent or collector."""

    name: str
    entry: MaterialEntry
    bulk_density_g_per_ml: Range | None
    sources: tuple[Source, ...]
    origin: Origin


@kept
class Quantity:
    """A quantity derived from the answers."""

    name: str
    entry: QuantityEntry
    unit: Unit
    cases: tuple[QuantityCase, ...]
    sources: tuple[Source, ...]
    origin: Origin


@kept
class WeighedAmount:
    """How much of a material is weighed out, in grams."""

    entry: AmountEntry
    condition: Condition
    of: Formula
    parts: Range
    sources: tuple[Source, ...]
    origin: Origin


@kept
class Expectation:
    """What comes out."""

    entry: ExpectationEntry
    condition: Condition
    formula: Formula | None
    parts: Range
    sources: tuple[Source, ...]
    origin: Origin


@kept
class Referral:
    """Where a licensed professional or local code decides."""

    entry: ReferralEntry
    condition: Condition
    sources: tuple[Source, ...]
    origin: Origin


@kept
class Check:
    """A formula of the answers that cannot be beyond a limit, or a condition that cannot be.

    Attributes:
        entry: As written.
        formula: The formula; None where only the condition speaks.
        at_most: What it cannot be above, where that is the limit.
        at_least: What it cannot be below, where that is the limit.
        condition: It speaks only while this holds.
        origin: Where it stands.
    """

    entry: CheckEntry
    formula: Formula | None
    at_most: float | None
    at_least: float | None
    condition: Condition | None
    origin: Origin

    def is_beyond(self, amount: Range) -> bool:
        """Whether an amount of the formula is surely beyond the limit."""
        if self.at_most is not None:
            return amount.low > self.at_most + _SLACK
        return self.at_least is not None and amount.high < self.at_least - _SLACK


@kept
class MineralRecord:
    """A mineral of concentrates."""

    name: str
    entry: MineralEntry
    density_g_per_ml: Range
    sources: tuple[Source, ...]
    origin: Origin


@kept
class Table(Remembers):
    """A table of figures.

    Attributes:
        sources_of_rows: Sources of each row.
        sources: Sources of the rows that name none themselves.
    """

    name: str
    entry: TableEntry
    sources_of_rows: tuple[tuple[Source, ...], ...]
    sources: tuple[Source, ...]
    origin: Origin

    @property
    def rows(self) -> tuple[Mapping[str, float | str], ...]:
        """Its rows; each names its source in full under ``source``."""
        return self.once(_rows)


def _rows(table: Table) -> tuple[Mapping[str, float | str], ...]:
    return tuple(
        {**row, "source": "; ".join(source.text for source in sources)}
        for row, sources in zip(table.entry.rows, table.sources_of_rows, strict=True)
    )


@kept
class NextBatch:
    """One changed line of the plan of the next batch."""

    entry: NextBatchEntry
    condition: Condition | None
    sources: tuple[Source, ...]


@kept
class Cause:
    """Why something came out as it did.

    Attributes:
        next_batch: What to change in the plan of the next batch.
        now_known: What it teaches about the concentrate, by fact.
    """

    name: str
    entry: CauseEntry
    next_batch: tuple[NextBatch, ...]
    now_known: Mapping[str, Value]
    sources: tuple[Source, ...]
    origin: Origin


@kept
class Piece:
    """A kind of piece in hand, with the answers that stand for it."""

    name: str
    entry: PieceEntry
    facts: Mapping[str, Value]
    origin: Origin


@kept
class Correction:
    """A computation of the metallurgy for one piece.

    Attributes:
        inputs: Where each input stands, for what is found wrong with it later.
    """

    name: str
    entry: CorrectionEntry
    inputs: Mapping[str, Origin]
    origin: Origin


@kept
class CorrectionFigure:
    """A figure of a correction that the texts of steps may show."""

    name: str
    entry: FigureEntry
    correction: Correction
    origin: Origin


NO_CONTROL = -1
"""The place of a promised control that a shop's own rules have taken away."""


@kept
class Invariant:
    """What must be so whenever a condition holds; a proof shows it for every set of answers.

    Attributes:
        entry: As written.
        condition: When the promise is made.
        then: What must hold.
        controls: For each promised control its hazard, and its place among the hazard's controls or ``NO_CONTROL``.
        hazards: For each hazard that must or must not be there when it is: in the diagnosis for the work of the
            correction, on the piece in hand.
        sources: Where it comes from.
        origin: Where it stands.
        of_diagnosis: Whether it is about the diagnosis, not about the route consultation.
    """

    entry: InvariantEntry
    condition: Condition
    then: Condition | None
    controls: tuple[tuple[str, int], ...]
    hazards: Mapping[str, Condition]
    sources: tuple[Source, ...]
    origin: Origin
    of_diagnosis: bool = False

    def is_made(self, *, diagnosis: bool) -> bool:
        """Whether it is made in this consultation; one about acts is made wherever they are done."""
        return self.of_diagnosis == diagnosis or bool(self.entry.acts and not self.of_diagnosis)


@kept
class Worse:
    """A fact whose values have an order of danger.

    Attributes:
        entry: As written.
        orders: For each variable of the fact that is meant, its cells from harmless to worst, as bits.
        never_adds: What a worse value may not make true.
        sources: Where it comes from.
        origin: Where it stands.
    """

    entry: WorseEntry
    orders: tuple[tuple[int, tuple[int, ...]], ...]
    never_adds: tuple[Condition, ...]
    sources: tuple[Source, ...]
    origin: Origin


@kept
class RuleBase(Remembers):
    """Everything the rule files say, compiled; see the classes above for each part.

    What is worked out from it once (``rule_base.once(make)``) is kept with it.

    Attributes:
        entry: What holds for all of it: its title, strengths, groups of questions, stages and phases.
        words: Its texts, by the places where they stand.
        fingerprint: Hash of the content of all rule files, in hexadecimal.
        layers: Titles of the layers, the shipped one first.
        overrides: What a shop's own rules replaced or switched off.
    """

    entry: RuleBaseEntry
    words: Words
    sources: Mapping[str, SourceEntry]
    variables: tuple[Variable, ...]
    facts: Mapping[str, Fact]
    thresholds: Mapping[str, Threshold]
    findings: Mapping[str, Finding]
    decisions: Mapping[str, Decision]
    arguments: Mapping[str, Argument]
    hazards: Mapping[str, Hazard]
    steps: Mapping[str, Step]
    materials: Mapping[str, Material]
    quantities: Mapping[str, Quantity]
    amounts: Mapping[str, WeighedAmount]
    expectations: Mapping[str, Expectation]
    referrals: Mapping[str, Referral]
    checks: Mapping[str, Check]
    preparations: Mapping[str, Preparation] = field(default_factory=dict)
    looks: Mapping[str, LookRule] = field(default_factory=dict)
    acts: Mapping[str, ActEntry] = field(default_factory=dict)
    kinds: Mapping[str, KindEntry] = field(default_factory=dict)
    minerals: Mapping[str, MineralRecord] = field(default_factory=dict)
    tables: Mapping[str, Table] = field(default_factory=dict)
    pieces: Mapping[str, Piece] = field(default_factory=dict)
    causes: Mapping[str, Cause] = field(default_factory=dict)
    corrections: Mapping[str, Correction] = field(default_factory=dict)
    figures: Mapping[str, CorrectionFigure] = field(default_factory=dict)
    drawings: Mapping[str, Drawing] = field(default_factory=dict)
    invariants: Mapping[str, Invariant] = field(default_factory=dict)
    worse: Mapping[str, Worse] = field(default_factory=dict)
    kept: Mapping[str, KeptEntry] = field(default_factory=dict)
    fingerprint: str = ""
    layers: tuple[str, ...] = ()
    overrides: tuple[Override, ...] = field(default=())

    @property
    def title(self) -> str:
        """What it is called in the advice."""
        return self.entry.title

    @property
    def strengths(self) -> Mapping[str, int]:
        """Weight of each named strength of an argument."""
        return self.entry.strengths

    @property
    def groups(self) -> Mapping[str, str]:
        """The groups of questions, in the order they are asked, with their titles."""
        return self.entry.groups

    @property
    def stages(self) -> Mapping[str, str]:
        """The stages of a plan, in order, with their titles."""
        return self.entry.stages

    @property
    def phases(self) -> Mapping[str, PhaseEntry]:
        """The phases that the stages make up, in order."""
        return self.entry.phases

    @property
    def opening(self) -> OpeningEntry | None:
        """What is said before the first question."""
        return self.entry.opening

    @property
    def agenda(self) -> dict[str, Decision]:
        """The decisions of this consultation: those of the diagnosis if there are any, otherwise all."""
        of_diagnosis = {name: decision for name, decision in self.decisions.items() if decision.of_diagnosis}
        return of_diagnosis or dict(self.decisions)

    @property
    def full_state(self) -> list[int]:
        """The state in which nothing is known."""
        return [variable.full for variable in self.variables]
