"""Bismuth for cupelling: a place to begin, a step to add, and the shop's own results once there are some.

No ratio was ever published for bismuth. Nothing here is converted from the lead tables.
"""

from __future__ import annotations

from advisor.errors import InputError
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.rows import Note, in_words
from advisor.metallurgy.cupellation.collector_need import CollectorNeed, check_metals, grams, still_to_add
from advisor.metallurgy.cupellation.metals import NONE_G, CupelCharge
from advisor.metallurgy.cupellation.tables import CupellationTables
from advisor.units import Range
from advisor.words import tr


def bismuth_needed(charge: CupelCharge, tables: CupellationTables, shop_ratio: Range | None = None) -> CollectorNeed:
    """A place to begin with bismuth, or the shop's own amount.

    No ratio was ever published for bismuth, and lead tables say nothing about it. Without results of its own the
    shop begins with a practice amount, reads the bead and adds steps: a matt or discoloured bead asks for more.

    Args:
        charge: What lies on the cupel.
        tables: The figures.
        shop_ratio: Grams of bismuth for 1 g of alloy that were enough in this shop; None while there are none.

    Returns:
        Start, step, the amount at which to stop adding, the signs of the bead, and notes on trial and blank.

    Raises:
        InputError: If a base metal is not known here or the shop's ratio is not above 0.

    Example:
        2 g of alloy without results of the shop: begin with 2 to 6 g of bismuth, add 0.5 to 2 g at a time.
    """
    check_metals(charge, tables)
    if shop_ratio is not None and shop_ratio.low <= 0:
        raise InputError(tr("the shop's own ratio of bismuth is not above 0; give grams of bismuth for 1 g of alloy"))
    start = tables.bismuth["start"]
    ratio, source = (start.amount, start.source) if shop_ratio is None else (shop_ratio, tr("this shop's own results"))
    title = tr("bismuth to begin with") if shop_ratio is None else tr("bismuth, by the shop's own results")
    needed = _bismuth("bismuth_g", title, charge, ratio, source)
    step, most = tables.bismuth["step"], tables.bismuth["most"]
    return CollectorNeed(
        needed=needed,
        to_add=still_to_add(needed, charge.bismuth_g, "bismuth"),
        step=_bismuth("bismuth_step_g", tables.notes["bismuth_step"].said(), charge, step.amount, step.source),
        most=_bismuth("bismuth_most_g", tables.notes["bismuth_most"].said(), charge, most.amount, most.source),
        interpolated=False,
        signs=tables.signs,
        notes=_bismuth_notes(charge, tables, shop_ratio is not None),
    )


def _bismuth(name: str, title: str, charge: CupelCharge, ratio: Range, source: str) -> Figure:
    how = tr(
        "{alloy} of alloy x {ratio} of bismuth for 1 g", alloy=in_words(charge.alloy_g, "g"), ratio=in_words(ratio, "g")
    )
    return grams(name, title, charge.alloy_g * ratio, how, source)


def _bismuth_notes(charge: CupelCharge, tables: CupellationTables, from_shop: bool) -> tuple[Note, ...]:
    keys = ["shop_ratio", "blank"] if from_shop else ["bismuth_ratio", "trial", "blank"]
    if charge.lead_g.high > 0:
        keys.append("lead_in_bismuth")
    notes = [tables.notes[key] for key in keys]
    if charge.base_g.get("arsenic", NONE_G).high > 0:
        arsenic = tables.other_metals["arsenic"]
        notes.append(Note("arsenic", arsenic.advice, arsenic.source))
    return tuple(notes)
