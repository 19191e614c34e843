"""What of an advice goes into the journal: the whole of it, and the key figures as a small document beside it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Annotated, Any, Literal

from pydantic import Field

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import OutcomeKind, Span
from advisor.document import part, plain, read_plain
from advisor.errors import InputError
from advisor.journal.rows import Draft, Entry, standing
from advisor.rulebase.language.results import GOLD_LOST, METAL, CountsAs
from advisor.units import MeasureError, Range, parse_measure, unit_named
from advisor.words import tr

_RESULTS: tuple[CountsAs, ...] = ("button", "slag", "matte", "rod_left", "cupel_gain")
"""Results that a plan may expect; the bead is a sum of its own."""


@part
class PlannedWeight:
    """What the plan asks to weigh out of one material."""

    title: str
    mass_g: Span
    by_rules_g: Annotated[
        Span | None, Field(description="What the rules alone plan, where the shop's batches changed it.")
    ] = None


@part
class PlanNote:
    """The key figures of a plan."""

    document: Literal["plan"] = "plan"
    version: Literal[1, 2] = 2
    program: str
    rules: Annotated[str, Field(description="Fingerprint of the rules.")]
    route: str
    route_title: str
    collector: str
    cupel: str
    stop: bool
    outcome: Annotated[
        OutcomeKind | None, Field(description="What the advice came to; none in plans from before it was kept.")
    ] = None
    answers: Annotated[
        dict[str, Any] | None, Field(description="The answers as a file of answers holds them, if known.")
    ]
    weights: dict[str, PlannedWeight]
    dry_mass_g: Span | None
    gold_g: Annotated[Span | None, Field(description="Native gold expected in the batch.")]
    gold_kept_share: Annotated[Span | None, Field(description="Part of it that should not stay in slag and cupels.")]
    bead_g: Annotated[Span | None, Field(description="Beads and bars expected by the rules alone.")]
    expected_g: Annotated[
        dict[str, Span],
        Field(description="What else is expected, by what it is the mass of; in version 1 by the name of the rule."),
    ]
    scale_step_g: float | None

    def expected_of(self, result: str) -> Span | None:
        """What the plan expects of a result, all of its kind together; None where it makes none."""
        if result == "bead":
            return self.bead_g
        return self.expected_g.get(result)

    def makes(self, result: str) -> bool:
        """Whether this work gives such a result at all; those that no plan expects come of any work."""
        if result == "fineness":
            return self.bead_g is not None
        if self.version == 1 and result != "bead":
            return True
        return result not in (*_RESULTS, "bead") or self.expected_of(result) is not None


def plan_note(advice: Advice, answers: Mapping[str, Any] | None) -> PlanNote:
    """The key figures of an advice."""
    expected: dict[str, Span] = {}
    for note in advice.expectations:
        if note.counts_as is not None and note.mass_g is not None:
            there = [expected[note.counts_as]] if note.counts_as in expected else []
            expected[note.counts_as] = _sum([*there, note.mass_g]) or note.mass_g
    gold = _quantity(advice, "gold_mass")
    cupel = next((decision.chosen for decision in advice.decisions if decision.id == "cupel"), "none")
    return PlanNote(
        program=advice.program,
        rules=advice.rules.fingerprint,
        route=advice.route,
        route_title=advice.route_title,
        collector=advice.collector,
        cupel=cupel,
        stop=advice.stop,
        outcome=advice.outcome,
        answers=None if answers is None else dict(answers),
        weights={
            name: PlannedWeight(
                title=one.title,
                mass_g=Span(low=one.low_g, likely=one.likely_g, high=one.high_g),
                by_rules_g=None if one.learned is None else one.learned.by_rules_g,
            )
            for name, one in advice.amounts.items()
        },
        dry_mass_g=_quantity(advice, "dry_mass"),
        gold_g=gold,
        gold_kept_share=_kept(gold, [expected[what] for what in GOLD_LOST if what in expected]),
        bead_g=_sum([expected[what] for what in METAL if what in expected]),
        expected_g=expected,
        scale_step_g=_scale_step(advice),
    )


def plan_drafts(advice: Advice, answers: Mapping[str, Any] | None) -> tuple[Draft, Draft]:
    """The entries that record an advice: its key figures, and all of it."""
    note = plan_note(advice, answers)
    words = tr(
        "{route_title}; collector: {collector_title}",
        route_title=advice.route_title,
        collector_title=advice.collector_title,
    )
    whole = plain(advice)
    return (
        Draft("plan", "plan", words, document=plain(note)),
        Draft("advice", "advice", advice.title or words, document=whole),
    )


def plan_of(entries: Iterable[Entry]) -> PlanNote | None:
    """The plan that stands among the entries of a batch.

    Raises:
        InputError: If it cannot be understood.
    """
    plans = [entry for entry in standing(tuple(entries)) if entry.kind == "plan" and entry.document is not None]
    if not plans:
        return None
    try:
        return read_plain(PlanNote, plans[-1].document)
    except ValueError:
        raise InputError(
            tr(
                "the plan in entry {number} cannot be understood;"
                " it may come from a newer version, so update the program",
                number=plans[-1].number,
            )
        ) from None


def advice_of(entries: Iterable[Entry]) -> Advice | None:
    """The advice as it was given, kept whole; None where there is none or another version of the program wrote it."""
    kept = [entry for entry in standing(tuple(entries)) if entry.kind == "advice" and entry.document is not None]
    try:
        return read_plain(Advice, kept[-1].document) if kept else None
    except ValueError:
        return None


def range_of(span: Span) -> Range:
    """A span as a range."""
    return Range(span.low, span.likely, span.high)


def _quantity(advice: Advice, name: str) -> Span | None:
    note = advice.quantities.get(name)
    return None if note is None else Span(low=note.low, likely=note.likely, high=note.high)


def _sum(parts: Sequence[Span]) -> Span | None:
    if not parts:
        return None
    return Span(low=sum(p.low for p in parts), likely=sum(p.likely for p in parts), high=sum(p.high for p in parts))


def _kept(gold: Span | None, lost: Sequence[Span]) -> Span | None:
    gone = _sum(lost)
    if gold is None or gone is None or gold.likely <= 0:
        return None
    # The loss is a share of the same gold, so each end goes with its own.
    low, likely, high = (
        max(0.0, 1 - loss / whole)
        for loss, whole in ((gone.high, gold.high), (gone.likely, gold.likely), (gone.low, max(gold.low, 1e-9)))
    )
    return Span(low=min(low, likely), likely=likely, high=max(high, likely))


def _scale_step(advice: Advice) -> float | None:
    for answer in advice.answers:
        if answer.fact == "scale_step" and answer.origin == "given":
            try:
                return parse_measure(answer.value, unit_named("g")).high
            except MeasureError:
                return None
    return None
