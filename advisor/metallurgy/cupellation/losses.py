"""What a cupellation costs in gold and silver, as the range of published results, and the bead to expect.

The ranges come from other people's cupellations of a few grams. They show what is usual. They never correct a
weighing: for that a check of like make-up is cupelled beside it (Beringer, p. 103).
"""

from __future__ import annotations

import math

from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.range_sums import cited
from advisor.metallurgy.common.rows import in_words, on_curve
from advisor.metallurgy.cupellation.cupel import Collector
from advisor.metallurgy.cupellation.metals import NONE_G, CupelCharge
from advisor.metallurgy.cupellation.tables import CupellationTables
from advisor.units import Range
from advisor.words import tr

_WHOLE = Range.exact(1.0)
_ORDERED = f"calculation, {tr('put in order of lead for 1 g')}"


def silver_loss_share(
    charge: CupelCharge, collector_g: Range, tables: CupellationTables, *, hot: bool = False
) -> Range:
    """Share of the silver that is lost, as a fraction.

    Args:
        charge: What lies on the cupel.
        collector_g: Collector used, in g.
        tables: The figures.
        hot: Whether the work ran at a very high heat (clear yellow instead of bright red).

    Returns:
        Low, likely and high of the published results at that much lead for 1 g of gold and silver; 0 without
        silver.

    Example:
        0.4 g of silver with 20 g of lead: 1.4 to 2.2 %, likely 1.75 % (Beringer, p. 102).
    """
    if charge.all_silver_g.high <= 0:
        return NONE_G
    loss = _by_lead("silver", charge, collector_g, tables)
    for cause in ("copper", "antimony"):
        loss = loss * _factor("silver", cause, charge, tables)
    return _with_heat("silver", loss, tables, hot)


def gold_loss_share(charge: CupelCharge, collector_g: Range, tables: CupellationTables, *, hot: bool = False) -> Range:
    """Share of the gold that is lost, as a fraction.

    Args:
        charge: What lies on the cupel.
        collector_g: Collector used, in g.
        tables: The figures.
        hot: Whether the work ran at a very high heat.

    Returns:
        Low, likely and high of the published results at that much lead and silver; 0 without gold.

    Example:
        1 g of gold with 20 g of lead: 0.14 to 0.20 %, likely 0.16 % (Beringer, p. 145).
    """
    if charge.gold_g.high <= 0:
        return NONE_G
    loss = _by_lead("gold", charge, collector_g, tables) * _silver_helps(charge, tables)
    loss = loss * _factor("gold", "copper", charge, tables)
    return _with_heat("gold", loss, tables, hot)


def _by_lead(metal: str, charge: CupelCharge, collector_g: Range, tables: CupellationTables) -> Range:
    precious = charge.precious_g

    def at(lead: float, metal_g: float) -> float:
        if lead <= 0:
            return on_curve(tables.losses[metal], -math.inf).likely
        return on_curve(tables.losses[metal], math.log(lead / metal_g) if metal_g > 0 else math.inf).likely

    return Range(
        at(collector_g.low, precious.high), at(collector_g.likely, precious.likely), at(collector_g.high, precious.low)
    )


def _silver_helps(charge: CupelCharge, tables: CupellationTables) -> Range:
    """The factor by which silver lowers the loss of gold; more silver, smaller factor."""

    def at(silver: float, gold: float) -> float:
        return on_curve(tables.gold_loss_by_silver, silver / gold if gold > 0 else math.inf).likely

    silver, gold = charge.all_silver_g, charge.gold_g
    return Range(at(silver.high, gold.low), at(silver.likely, gold.likely), at(silver.low, gold.high))


def _factor(metal: str, cause: str, charge: CupelCharge, tables: CupellationTables) -> Range:
    """The factor of a base metal on the loss; 1 at each end of its mass that is zero."""
    present, factor = charge.base_g.get(cause, NONE_G), tables.loss_factors[metal, cause]
    return Range(
        factor.low if present.low > 0 else 1.0,
        factor.likely if present.likely > 0 else 1.0,
        factor.high if present.high > 0 else 1.0,
    )


def _with_heat(metal: str, loss: Range, tables: CupellationTables, hot: bool) -> Range:
    loss = loss * tables.loss_factors[metal, "spread"]
    if hot:
        loss = loss * tables.loss_factors[metal, "hot"]
    return loss.least(_WHOLE)


def loss_figure(metal: str, mass_g: Range, share: Range, collector: Collector, tables: CupellationTables) -> Figure:
    """The loss of gold or silver as a figure in g, with the share in its words.

    Args:
        metal: ``gold`` or ``silver``.
        mass_g: Its mass before cupelling, in g.
        share: From ``gold_loss_share`` or ``silver_loss_share``.
        collector: The collector; for bismuth the words say that only lead's figures exist.
        tables: The figures.
    """
    source = f"{tables.cited[f'{metal}_losses']}; {_ORDERED}"
    how = f"{in_words(mass_g, 'g')} x {in_words(share.scaled(100), '%')}; {tables.notes['never_to_correct'].said()}"
    if collector == "bismuth":
        how = f"{how}; {tables.notes['losses_of_lead'].said()}"
    return Figure(
        f"{metal}_loss_g", tr("{metal} that may be lost", metal=metal_word(metal)), mass_g * share, "g", how, source
    )


def bead_g(
    charge: CupelCharge, gold_loss: Range, silver_loss: Range, collector: Collector, tables: CupellationTables
) -> Figure:
    """Mass of the bead to expect, in g.

    Args:
        charge: What lies on the cupel.
        gold_loss: Share of the gold lost, as a fraction.
        silver_loss: Share of the silver lost, as a fraction.
        collector: ``lead`` or ``bismuth``.
        tables: The figures.

    Example:
        0.4 g of silver with 20 g of lead: 0.391 to 0.398 g.
    """
    gold = charge.gold_g * (_WHOLE - gold_loss)
    silver = charge.all_silver_g * (_WHOLE - silver_loss)
    stays = sum((mass for metal, mass in charge.base_g.items() if metal not in tables.oxides), NONE_G)
    metal = (gold + silver + stays).least(charge.alloy_g + charge.parting_silver_g)
    keeps = tables.keeps[collector]
    how = tr(
        "gold {gold} + silver {silver} + platinum {stays}, and {keeps} of {collector} kept back",
        gold=in_words(gold, "g"),
        silver=in_words(silver, "g"),
        stays=in_words(stays, "g"),
        keeps=in_words(keeps.amount.scaled(100), "%"),
        collector=metal_word(collector),
    )
    return Figure("bead_g", tr("bead to expect"), metal * (_WHOLE + keeps.amount), "g", how, cited(keeps.source))
