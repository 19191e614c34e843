"""The cupellation plan: collector, cupels, heat, time, and the bead to expect, in one pure computation.

``plan_cupellation`` takes a charge, the collector, the kind of cupel and ``CupellationTables`` made from
``rules/metallurgy/cupellation.yaml``:

    tables = CupellationTables.from_tables({name: table.rows for name, table in rule_base.tables.items()})
"""

from __future__ import annotations

from dataclasses import replace

from advisor.frozen import frozen
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.rows import Note, in_words
from advisor.metallurgy.cupellation.bismuth import bismuth_needed
from advisor.metallurgy.cupellation.collector_need import CollectorNeed, grams, still_to_add
from advisor.metallurgy.cupellation.cupel import (
    Collector,
    collector_named,
    cupel_count,
    cupel_mass_g,
    cupel_size,
    fume_g,
    material_named,
    oxide_g,
    time_min,
)
from advisor.metallurgy.cupellation.heat import bead_melting_c, finish_c, stage_c
from advisor.metallurgy.cupellation.lead import lead_needed
from advisor.metallurgy.cupellation.losses import bead_g, gold_loss_share, loss_figure, silver_loss_share
from advisor.metallurgy.cupellation.metals import NONE_G, CupelAtHand, CupelCharge
from advisor.metallurgy.cupellation.tables import CupellationTables
from advisor.units import Range
from advisor.words import tr


@frozen
class CupellationPlan:
    """Everything for one cupellation.

    Attributes:
        need: Collector needed and to add, with its notes; for bismuth also step, end and signs of the bead.
        collector_in_all: The collector of the plan on the cupel, what was there already included, in g.
        button: All metal on the cupel, in g.
        oxide: Oxide for the cupel to absorb, in g.
        cupel_mass: Cupel in all, in g; choose by the high end.
        cupels: Number of cupels, in pieces.
        size: Name of the cupel size for the button, or for its part where it is shared out.
        in_air: Metal that leaves as smoke, in g; one figure for each collector metal on the cupel.
        open_heat: Temperature to open, in °C.
        drive_heat: Temperature to drive, in °C.
        bead_melting: Melting point of the bead, in °C; None for a blank.
        finish_heat: Temperature at the end, in °C; None for a blank.
        time: Time on one cupel, in minutes.
        gold_loss: Gold that may be lost, in g; never for correcting.
        silver_loss: Silver that may be lost, in g; never for correcting.
        bead: Bead to expect, in g.
        notes: What to say beside the figures.
    """

    need: CollectorNeed
    collector_in_all: Figure
    button: Figure
    oxide: Figure
    cupel_mass: Figure
    cupels: Figure
    size: str
    in_air: tuple[Figure, ...]
    open_heat: Figure
    drive_heat: Figure
    bead_melting: Figure | None
    finish_heat: Figure | None
    time: Figure
    gold_loss: Figure
    silver_loss: Figure
    bead: Figure
    notes: tuple[Note, ...]

    @property
    def figures(self) -> tuple[Figure, ...]:
        """All figures of the plan."""
        found = [self.need.needed, self.need.to_add, self.collector_in_all, self.button, self.oxide, self.cupel_mass]
        found += [self.cupels, self.open_heat, self.drive_heat, self.time, self.gold_loss, self.silver_loss, self.bead]
        return (*found, *self.in_air, *(figure for figure in (self.bead_melting, self.finish_heat) if figure))


def plan_cupellation(
    charge: CupelCharge,
    *,
    collector: str,
    cupel: CupelAtHand,
    tables: CupellationTables,
    shop_ratio: Range | None = None,
    hot: bool = False,
    as_it_is: bool = False,
) -> CupellationPlan:
    """Plan one cupellation.

    Args:
        charge: What lies on the cupel, by metal, in g.
        collector: ``lead`` or ``bismuth``.
        cupel: One of the cupels at hand.
        tables: The figures.
        shop_ratio: For bismuth, grams for 1 g of alloy by the shop's own results; None while there are none.
        hot: Whether the losses of a very high heat are shown.
        as_it_is: Whether the collector that is there is enough where no copper is known, as for a button.

    Returns:
        The plan; every figure carries its formula and its source.

    Raises:
        InputError: If the collector, the material or a metal is not known, or a mass is impossible.

    Example:
        0.5 g of bullion with 20 % copper and 2.5 parts of silver on a bone ash cupel: 8 to 10 g of lead,
        finish at about 1100 °C.
    """
    kind = collector_named(collector)
    material = cupel.material
    named = material_named(material, tables)
    need = lead_needed(charge, tables) if kind == "lead" else bismuth_needed(charge, tables, shop_ratio)
    # Only copper that is known asks for more by a published figure, and of lead alone.
    coppery = kind == "lead" and charge.base_g.get("copper", NONE_G).low > 0
    if as_it_is and shop_ratio is None and not coppery:
        need = _left_as_it_is(need, kind, charge, tables)
    on_cupel = _collectors(kind, need, charge)
    in_all = _in_all(kind, on_cupel[kind])
    button = _button(charge, on_cupel)
    oxide = oxide_g(on_cupel, charge, tables)
    cupel_mass = cupel_mass_g(oxide, named)
    cupels = cupel_count(cupel_mass, button.amount, cupel, tables)
    size = _size(button.amount, cupels.amount, tables)
    gold_loss = gold_loss_share(charge, in_all.amount, tables, hot=hot)
    silver_loss = silver_loss_share(charge, in_all.amount, tables, hot=hot)
    share = charge.gold_in_bead if charge.precious_g.high > 0 else None
    on_one = (on_cupel["lead"] + on_cupel["bismuth"]) / cupels.amount
    return CupellationPlan(
        need=need,
        collector_in_all=in_all,
        button=button,
        oxide=oxide,
        cupel_mass=cupel_mass,
        cupels=cupels,
        size=size,
        in_air=tuple(fume_g(name, mass, tables) for name, mass in on_cupel.items() if mass.high > 0),
        open_heat=stage_c("open", kind, material, tables),
        drive_heat=stage_c("drive", kind, material, tables),
        bead_melting=bead_melting_c(share, tables) if share else None,
        finish_heat=finish_c(share, tables) if share else None,
        time=time_min(kind, on_one, tables),
        gold_loss=loss_figure("gold", charge.gold_g, gold_loss, kind, tables),
        silver_loss=loss_figure("silver", charge.all_silver_g, silver_loss, kind, tables),
        bead=bead_g(charge, gold_loss, silver_loss, kind, tables),
        notes=need.notes + _notes(charge, material, size, cupels.amount, tables),
    )


def _left_as_it_is(
    need: CollectorNeed, kind: Collector, charge: CupelCharge, tables: CupellationTables
) -> CollectorNeed:
    lead, note = kind == "lead", tables.notes["as_it_is"]
    there = charge.lead_g if lead else charge.bismuth_g
    source = note.source if lead else need.needed.source
    needed = grams(
        f"{kind}_g",
        tr("{collector} for cupelling", collector=metal_word(kind)),
        there,
        tr("what is there already"),
        source,
    )
    notes = (note, *need.notes) if lead else need.notes
    return replace(need, needed=needed, to_add=still_to_add(needed, there, kind), notes=notes)


def _collectors(kind: Collector, need: CollectorNeed, charge: CupelCharge) -> dict[Collector, Range]:
    """Lead and bismuth on the cupel: what is there, and for the collector of the plan what the need asks for."""
    on_cupel: dict[Collector, Range] = {"lead": charge.lead_g, "bismuth": charge.bismuth_g}
    on_cupel[kind] = on_cupel[kind].most(need.needed.amount)
    return on_cupel


def _in_all(kind: Collector, amount: Range) -> Figure:
    how = tr("what is needed, or what is there already if that is more")
    return Figure(
        f"{kind}_in_all_g", tr("{collector} on the cupel", collector=metal_word(kind)), amount, "g", how, "calculation"
    )


def _button(charge: CupelCharge, on_cupel: dict[Collector, Range]) -> Figure:
    amount = charge.alloy_g + charge.parting_silver_g + on_cupel["lead"] + on_cupel["bismuth"]
    how = tr(
        "alloy {alloy} + added silver {added} + lead {lead} + bismuth {bismuth}",
        alloy=in_words(charge.alloy_g, "g"),
        added=in_words(charge.parting_silver_g, "g"),
        lead=in_words(on_cupel["lead"], "g"),
        bismuth=in_words(on_cupel["bismuth"], "g"),
    )
    return Figure("button_g", tr("metal on the cupel"), amount, "g", how, "calculation")


def _size(button_g: Range, pieces: Range, tables: CupellationTables) -> str:
    size = cupel_size(button_g.high / pieces.high, tables)
    return size.name if size else ""


def _notes(charge: CupelCharge, material: str, size: str, pieces: Range, tables: CupellationTables) -> tuple[Note, ...]:
    precious = charge.precious_g.high > 0
    said_when = {
        "heat_first": True,
        "small_button": size == "small",
        "several_cupels": pieces.high > 1,
        "scorify_large": charge.alloy_g.high > tables.limits["scorify_above_alloy_g"],
        "magnesia": material == "magnesia",
        "loss": precious,
        "spitting": precious and charge.gold_in_bead.low * 100 < tables.limits["spits_below_gold_percent"],
    }
    return tuple(tables.notes[key] for key, holds in said_when.items() if holds)
