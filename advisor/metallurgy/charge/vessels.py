"""Room for a charge: its loose volume, crucible, pots, mould, and what the reagents cost."""

from __future__ import annotations

import math
from collections.abc import Mapping

from advisor.errors import InputError
from advisor.metallurgy.charge.figures import hot_gas_l
from advisor.metallurgy.charge.gases import charge_area_cm2, slow_heat
from advisor.metallurgy.charge.melt import Charge, Melt
from advisor.metallurgy.charge.slag import volume_ml
from advisor.metallurgy.charge.tables import ChargeData
from advisor.metallurgy.common.bounds import within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import cited, total
from advisor.metallurgy.common.rows import SourcedRange, in_words
from advisor.units import Range
from advisor.words import tr

_G_PER_KG = 1000.0
_POURED = ("slag", "salt", "sulphide", "speiss", "metal")


def bulk_volume(charge: Charge, data: ChargeData) -> Figure:
    """Loose volume of a mixed charge: each powder's mass over its loose density, added up.

    Args:
        charge: The charge as weighed.
        data: The tables.

    Returns:
        ml; a mixture of fine and coarse powders takes a little less room.
    """
    bulk = data.single["bulk"]
    volume = charge.concentrate.dry_mass_g / bulk.amount
    volume = volume + total(g / data.reagents[n].bulk_density for n, g in charge.reagents_g.items())
    source = cited(bulk.source, *(data.reagents[name].source for name in charge.reagents_g))
    return Figure(
        "charge_volume_ml", tr("loose volume of the charge"), volume, "ml", tr("mass over loose density"), source
    )


def fill_limit(charge: Charge, data: ChargeData) -> SourcedRange:
    """Share of the crucible that the cold charge may fill; the least that applies to what is in it."""
    present = {"usual", *(name for name, grams in charge.reagents_g.items() if grams.likely > 0.0)}
    fitting = (limit for case, limit in data.fill_limits.items() if case in present)
    return min(fitting, key=lambda limit: limit.amount.likely)


def pot_figures(charge: Charge, made: Melt, data: ChargeData, crucible_ml: float | None) -> tuple[Figure, ...]:
    """Crucible, number of pots, free room, and the time to let the gas out.

    Args:
        charge: The charge as weighed.
        made: What it melts to.
        data: The tables.
        crucible_ml: Crucible at hand, ml to the brim; left out, one pot of the size needed.

    Raises:
        InputError: If the crucible is no crucible.
    """
    if crucible_ml is not None:
        within(tr("The crucible volume"), crucible_ml, "ml", 1.0, 1e6)
    bulk, fill = bulk_volume(charge, data), fill_limit(charge, data)
    limit = fill.amount.likely
    needed = bulk.amount.scaled(1.0 / limit)
    pot_ml = crucible_ml if crucible_ml is not None else needed.likely
    pots = _whole_pots(needed.scaled(1.0 / pot_ml))
    how, pots_how = (
        f"{in_words(bulk.amount, 'ml')} / {limit:g}",
        tr("{needed} / {pot_ml:.0f} ml, rounded up", needed=in_words(needed, "ml"), pot_ml=pot_ml),
    )
    free, free_how = Range.exact(pot_ml * (1.0 - limit)), f"{pot_ml:.0f} ml x {1 - limit:g}"
    source, gas_limit = cited(fill.source), data.single["gas_limit"]
    area = charge_area_cm2(pot_ml, data.single["pot_mouth"].amount)
    gas_l = hot_gas_l(made, data).scaled(1.0 / pots.likely)
    return (
        bulk,
        Figure("crucible_ml", tr("crucible room for all of it"), needed, "ml", how, source),
        Figure("pots", tr("pots or fillings"), pots, "", pots_how, source),
        Figure("freeboard_ml", tr("room left empty in each pot"), free, "ml", free_how, source),
        slow_heat(gas_l, area, gas_limit.amount, gas_limit.source),
    )


def _whole_pots(fillings: Range) -> Range:
    low, likely, high = (max(1.0, math.ceil(value - 1e-9)) for value in (fillings.low, fillings.likely, fillings.high))
    return Range(low, likely, high)


def mould_figure(made: Melt, data: ChargeData) -> Figure:
    """Mould that takes slag and metal of the whole charge in one pour."""
    poured = total(volume_ml(made.products[place], data.species) for place in _POURED)
    spare = data.single["mould_spare"]
    how = tr("{poured} of slag and metal x {spare}", poured=in_words(poured, "ml"), spare=in_words(spare.amount, ""))
    return Figure("mould_ml", tr("mould for slag and metal"), poured * spare.amount, "ml", how, cited(spare.source))


def cost_figures(
    charge: Charge, made: Melt, data: ChargeData, prices_per_kg: Mapping[str, float]
) -> tuple[Figure, ...]:
    """What the reagents cost.

    Args:
        charge: The charge as weighed.
        made: What it melts to; the iron eaten off the rod is paid for.
        data: The tables.
        prices_per_kg: Price of 1 kg by reagent, ``iron`` for the rod; what has no price is left out.

    Returns:
        A figure for each priced reagent and one for their sum; none without prices.

    Raises:
        InputError: If a price is below zero or not a number.
    """
    masses = {**charge.reagents_g, "iron": made.rod_used_g}
    figures = []
    for name, price in prices_per_kg.items():
        within(tr("The price of {reagent}", reagent=name), price, tr("per kg"), 0.0)
        if name not in data.reagents and name != "iron":
            raise InputError(
                tr("there is a price for '{name}', which is not a reagent here; correct its name", name=name[:40])
            )
        if name in masses and masses[name].high > 0.0:
            title = tr("iron rod eaten") if name == "iron" else data.reagents[name].title
            cost = masses[name].scaled(price / _G_PER_KG)
            how = tr("{grams} x {price:g} per kg", grams=in_words(masses[name], "g"), price=price)
            figures.append(
                Figure(f"cost_{name}", tr("cost of {reagent}", reagent=title), cost, "money", how, tr("prices given"))
            )
    if figures:
        whole = total(figure.amount for figure in figures)
        figures.append(
            Figure("cost", tr("cost of the priced reagents"), whole, "money", tr("their sum"), tr("prices given"))
        )
    return tuple(figures)
