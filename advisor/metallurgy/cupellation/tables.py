"""The figures a cupellation plan is made from, as typed rows of ``rules/metallurgy/cupellation.yaml``."""

from __future__ import annotations

import math
from collections.abc import Mapping

from advisor.frozen import frozen
from advisor.metallurgy.common.range_sums import cited
from advisor.metallurgy.common.rows import (
    Curve,
    Note,
    Row,
    Rows,
    SourcedRange,
    curve,
    ends_of,
    from_row,
    keyed,
    number,
    number_or,
    range_of,
    source_of,
    sourced,
    sourced_by,
    text,
)
from advisor.metallurgy.common.tables import Tables
from advisor.units import Range

_PERCENT = 0.01
_CITED = ("bead_melting", "finish_heat_above_bead", "silver_losses", "gold_losses")


@frozen
class LeadRow:
    """Lead for one content of copper.

    Attributes:
        copper_share: Copper in the alloy, as a fraction.
        parts: Grams of lead for 1 g of alloy.
        source: Where it comes from.
    """

    copper_share: float
    parts: Range
    source: str

    @classmethod
    def from_rows(cls, rows: Rows) -> tuple[LeadRow, ...]:
        """From ``lead_for_silver_copper`` or ``lead_for_gold_copper``, in rising order of copper."""
        made = [cls(number(row, "copper_percent") * _PERCENT, ends_of(row), source_of(row)) for row in rows]
        return tuple(sorted(made, key=lambda row: row.copper_share))


@frozen
class SampleRow:
    """Least lead for an assay sample.

    Attributes:
        sample_at_most_g: The row holds for samples up to this mass, in g.
        lead_least_g: Least lead, in g.
        source: Where it comes from.
    """

    sample_at_most_g: float
    lead_least_g: float
    source: str


@frozen
class OtherMetal:
    """What is known of the lead for a base metal other than copper.

    Attributes:
        ratio_published: Whether any figure was found.
        multiplier: The lead is multiplied by this.
        extra_lead_g: This much lead is added, in g.
        sample_at_most_g: The figure holds for alloy up to this mass, in g.
        share_least: The figure holds from this share of the alloy on, as a fraction.
        share_most: The figure holds up to this share of the alloy, as a fraction.
        advice: What to do, for people.
        source: Where it comes from.
    """

    ratio_published: bool
    multiplier: float
    extra_lead_g: float
    sample_at_most_g: float
    share_least: float
    share_most: float
    advice: str
    source: str

    @classmethod
    def from_rows(cls, rows: Rows) -> dict[str, OtherMetal]:
        """From ``lead_for_other_metals``, by metal."""
        return {text(row, "metal"): cls._from_row(row) for row in rows}

    @classmethod
    def _from_row(cls, row: Row) -> OtherMetal:
        return cls(
            ratio_published=text(row, "ratio_published") == "yes",
            multiplier=number_or(row, "multiplier", 1),
            extra_lead_g=number_or(row, "extra_lead_g", 0),
            sample_at_most_g=number_or(row, "sample_at_most_g", math.inf),
            share_least=number_or(row, "share_at_least_percent", 0) * _PERCENT,
            share_most=number_or(row, "share_at_most_percent", 100) * _PERCENT,
            advice=text(row, "advice"),
            source=source_of(row),
        )


@frozen
class Oxide:
    """The oxide of a metal on the cupel.

    Attributes:
        element: Symbol of the metal.
        formula: Formula of its oxide.
    """

    element: str
    formula: str


@frozen
class CupelMaterial:
    """What a cupel is made of.

    Attributes:
        title: Its name for people.
        uptake: Grams of oxide that 1 g of cupel takes up.
        source: Where it comes from.
    """

    title: str
    uptake: Range
    source: str


@frozen
class CupelSize:
    """A size of cupel.

    Attributes:
        name: ``small``, ``ordinary`` or ``large``.
        title: Its name for people.
        button_at_most_g: Heaviest button for it, in g.
        source: Where it comes from.
    """

    name: str
    title: str
    button_at_most_g: float
    source: str


@frozen
class BeadSign:
    """A look of the bead, what it means and what to do.

    Attributes:
        sign: What is seen.
        means: What it means.
        action: ``stop`` (done), ``add_step`` (one more step of bismuth) or ``scorify``.
        source: Where it comes from.
    """

    sign: str
    means: str
    action: str
    source: str


@frozen
class CupellationTables:
    """All figures of a cupellation plan, each from the table of that name.

    Attributes:
        lead_for_silver: Lead by copper, for silver alloys.
        lead_for_gold: Lead by copper, for alloys that hold gold.
        for_pieces: Lead for 1 g of a metal in a piece larger than an assay's, by metal.
        samples: Least lead for assay samples.
        other_metals: What is known for base metals other than copper, by metal.
        oxides: Oxides by metal; its keys are the metals that may be in the alloy (platinum makes no oxide).
        fume: Share of the collector that leaves as smoke (fraction), by collector.
        materials: Cupel materials by name.
        sizes: Cupel sizes, smallest first.
        bead_liquidus: Melting point of the bead in °C by its share of gold (fraction).
        finish_above: Heat at the end above that point in °C, by share of gold (fraction).
        heat: Temperatures in °C by collector, material or ``any``, and stage.
        time: Minutes to open and finish, and g/min of driving, by collector and part.
        losses: Loss (fraction) by lead for 1 g of gold and silver together, by metal.
        gold_loss_by_silver: Factor on the loss of gold by grams of silver for 1 g of gold.
        loss_factors: Factors on the loss by metal and cause.
        keeps: Share of collector in the bead (fraction), by collector.
        bismuth: Practice figures for bismuth in g for 1 g of alloy, by name.
        signs: How to read a bead made with bismuth.
        limits: From where on the plan says something, by name.
        notes: Sentences for people by key.
        cited: All sources of a table as one text, by table name.
    """

    lead_for_silver: tuple[LeadRow, ...]
    lead_for_gold: tuple[LeadRow, ...]
    for_pieces: Mapping[str, SourcedRange]
    samples: tuple[SampleRow, ...]
    other_metals: Mapping[str, OtherMetal]
    oxides: Mapping[str, Oxide]
    fume: Mapping[str, SourcedRange]
    materials: Mapping[str, CupelMaterial]
    sizes: tuple[CupelSize, ...]
    bead_liquidus: Curve
    finish_above: Curve
    heat: Mapping[tuple[str, str, str], SourcedRange]
    time: Mapping[tuple[str, str], SourcedRange]
    losses: Mapping[str, Curve]
    gold_loss_by_silver: Curve
    loss_factors: Mapping[tuple[str, str], Range]
    keeps: Mapping[str, SourcedRange]
    bismuth: Mapping[str, SourcedRange]
    signs: tuple[BeadSign, ...]
    limits: Mapping[str, float]
    notes: Mapping[str, Note]
    cited: Mapping[str, str]

    @classmethod
    def from_tables(cls, tables: Mapping[str, Rows]) -> CupellationTables:
        """From the rows of the tables in ``rules/metallurgy/cupellation.yaml``, by table name."""
        t = tables
        return cls(
            lead_for_silver=LeadRow.from_rows(t["lead_for_silver_copper"]),
            lead_for_gold=LeadRow.from_rows(t["lead_for_gold_copper"]),
            for_pieces=sourced_by(t["lead_for_pieces"], "metal"),
            samples=tuple(from_row(SampleRow, r) for r in _rising(t["lead_for_assay_samples"], "sample_at_most_g")),
            other_metals=OtherMetal.from_rows(t["lead_for_other_metals"]),
            oxides={text(r, "metal"): from_row(Oxide, r, formula=text(r, "oxide")) for r in t["cupel_oxides"]},
            fume=_percent_by(t["cupel_fume"], "metal"),
            materials=keyed(CupelMaterial, t["cupel_materials"], "material"),
            sizes=tuple(
                from_row(CupelSize, r, name=text(r, "size")) for r in _rising(t["cupel_sizes"], "button_at_most_g")
            ),
            bead_liquidus=curve((_share(r), Range.exact(number(r, "liquidus_c"))) for r in t["bead_melting"]),
            finish_above=curve((_share(r), range_of(r)) for r in t["finish_heat_above_bead"]),
            heat={(text(r, "collector"), text(r, "material"), text(r, "stage")): sourced(r) for r in t["cupel_heat"]},
            time={(text(r, "collector"), text(r, "part")): sourced(r) for r in t["cupel_time"]},
            losses=_loss_curves(t["cupel_loss_curves"]),
            gold_loss_by_silver=curve(
                (number(r, "silver_per_gold"), Range.exact(number(r, "factor"))) for r in t["gold_loss_by_silver"]
            ),
            loss_factors={(text(r, "metal"), text(r, "cause")): range_of(r) for r in t["cupel_loss_factors"]},
            keeps=_percent_by(t["bead_keeps"], "collector"),
            bismuth=sourced_by(t["bismuth_practice"], "name"),
            signs=tuple(from_row(BeadSign, r) for r in t["bismuth_signs"]),
            limits={text(r, "name"): number(r, "value") for r in t["cupel_limits"]},
            notes=keyed(Note, t["cupel_notes"], "key"),
            cited={name: cited(*(source_of(row) for row in t[name])) for name in _CITED},
        )


def _rising(rows: Rows, column: str) -> Rows:
    """Rows in rising order of a number."""
    return sorted(rows, key=lambda row: number(row, column))


def _share(row: Row) -> float:
    return number(row, "gold_percent") * _PERCENT


def _percent_by(rows: Rows, key: str) -> dict[str, SourcedRange]:
    return {text(r, key): SourcedRange(range_of(r, "_percent").scaled(_PERCENT), source_of(r)) for r in rows}


def _loss_curves(rows: Rows) -> dict[str, Curve]:
    metals = {text(row, "metal") for row in rows}
    return {
        metal: curve(
            (math.log(number(r, "lead_per_precious")), Range.exact(number(r, "loss_percent") * _PERCENT))
            for r in rows
            if r["metal"] == metal
        )
        for metal in metals
    }


def cupellation_tables(tables: Tables) -> CupellationTables:
    """Figures of the cupel."""
    return CupellationTables.from_tables(tables.by_name)
