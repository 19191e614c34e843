"""Temperatures to open, drive and finish, and the melting point of the bead."""

from __future__ import annotations

from collections.abc import Callable

from advisor.errors import InputError
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.range_sums import cited
from advisor.metallurgy.common.rows import Curve, in_words, on_curve
from advisor.metallurgy.cupellation.cupel import Collector, material_named
from advisor.metallurgy.cupellation.tables import CupellationTables
from advisor.units import Range
from advisor.words import tr


def bead_melting_c(gold_share: Range, tables: CupellationTables) -> Figure:
    """Temperature in °C at which a bead of gold and silver is wholly molten.

    Args:
        gold_share: Gold in the bead, as a fraction.
        tables: The figures.

    Returns:
        961.5 °C for silver to 1064 °C for gold, on the present scale of temperature.

    Raises:
        InputError: If the share is not between 0 and 1.

    Example:
        1 part of gold with 2.5 of silver: 989 °C. Old books put that alloy at 952 °C on their scale.
    """
    _check_share(gold_share)
    amount = _over(gold_share, lambda share: on_curve(tables.bead_liquidus, share), tables.bead_liquidus)
    how = tr("table, at {gold_share} of gold", gold_share=in_words(gold_share.scaled(100), "%"))
    return Figure("bead_melting_c", tr("melting point of the bead"), amount, "C", how, tables.cited["bead_melting"])


def finish_c(gold_share: Range, tables: CupellationTables) -> Figure:
    """Temperature at the end of cupelling, in °C.

    Hot enough that the last collector leaves, no hotter: more heat costs gold and silver. The rule of 120 to
    130 °C above the melting point of the bead was measured with 1 part of gold to 2.5 of silver. Towards pure
    silver and pure gold the range is wider and its likely value more careful.

    Args:
        gold_share: Gold in the bead, as a fraction.
        tables: The figures.

    Raises:
        InputError: If the share is not between 0 and 1.

    Example:
        1 part of gold with 2.5 of silver: 1109 to 1119 °C. Pure silver: at least 910 °C. Pure gold: 1064 °C at
        least, likely 1150 °C.
    """
    _check_share(gold_share)

    def at(share: float) -> Range:
        return on_curve(tables.bead_liquidus, share) + on_curve(tables.finish_above, share)

    amount = _over(gold_share, at, tables.bead_liquidus + tables.finish_above)
    above = _over(gold_share, lambda share: on_curve(tables.finish_above, share), tables.finish_above)
    how = tr(
        "melting point of the bead at {gold_share} of gold + {above}",
        gold_share=in_words(gold_share.scaled(100), "%"),
        above=in_words(above, "C"),
    )
    source = f"{tables.cited['finish_heat_above_bead']}; calculation, {tr('interpolated between these')}"
    return Figure("cupel_finish_c", tr("heat at the end"), amount, "C", how, source)


def stage_c(stage: str, collector: Collector, material: str, tables: CupellationTables) -> Figure:
    """Temperature to open (``open``) or to drive (``drive``), in °C.

    Args:
        stage: ``open`` or ``drive``.
        collector: ``lead`` or ``bismuth``.
        material: Name of the cupel material.
        tables: The figures.

    Raises:
        InputError: If the stage or the material is not known.

    Example:
        Lead on bone ash drives from 840 °C on: below it a cupel takes up no litharge (Rose, p. 506).
    """
    title = {"open": tr("heat to open"), "drive": tr("heat to drive")}.get(stage)
    if title is None:
        raise InputError(
            tr("'{stage}' is not a stage of cupelling; write open or drive, the finish follows the bead", stage=stage)
        )
    name = material_named(material, tables).title
    row = tables.heat.get((collector, material, stage)) or tables.heat[collector, "any", stage]
    return Figure(
        f"cupel_{stage}_c",
        title,
        row.amount,
        "C",
        tr("table, {collector} on {cupel}", collector=metal_word(collector), cupel=name),
        cited(row.source),
    )


def _check_share(share: Range) -> None:
    if share.low < 0 or share.high > 1:
        raise InputError(
            tr("the bead holds {share} of gold; it lies between 0 and 100 %", share=in_words(share.scaled(100), "%"))
        )


def _over(share: Range, at: Callable[[float], Range], rows: Curve) -> Range:
    """Everything ``at`` gives between the ends of a share; between rows it runs straight."""
    inner = [point for point, _ in rows if share.low < point < share.high]
    return Range.hull([at(share.likely), at(share.low), at(share.high), *(at(point) for point in inner)])
