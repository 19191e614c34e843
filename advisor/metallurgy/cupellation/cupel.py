"""The cupel: oxide it must absorb, its mass, size and number, what goes into the air, and how long it takes."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Literal

from advisor.errors import InputError
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.range_sums import cited
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.cupellation.metals import NONE_G, CupelAtHand, CupelCharge
from advisor.metallurgy.cupellation.tables import CupellationTables, CupelMaterial, CupelSize
from advisor.units import Range
from advisor.units.substances import mass_fraction
from advisor.words import tr

Collector = Literal["lead", "bismuth"]
COLLECTORS: tuple[Collector, ...] = ("lead", "bismuth")
_WHOLE = Range.exact(1.0)


def collector_named(name: str) -> Collector:
    """The collector of that name.

    Raises:
        InputError: If it is neither lead nor bismuth.
    """
    for collector in COLLECTORS:
        if name == collector:
            return collector
    raise InputError(tr("'{name}' is not a collector; write lead or bismuth", name=name))


def material_named(name: str, tables: CupellationTables) -> CupelMaterial:
    """The cupel material of that name.

    Raises:
        InputError: If it is not in the table ``cupel_materials``.
    """
    if name not in tables.materials:
        raise InputError(
            tr(
                "'{name}' is not a cupel material known here; known are {materials}",
                name=name,
                materials=", ".join(tables.materials),
            )
        )
    return tables.materials[name]


@lru_cache(maxsize=64)
def oxide_per_metal(oxide: str, element: str) -> float:
    """Grams of an oxide made from 1 g of its metal, by the molar masses.

    Args:
        oxide: Formula of the oxide, for example ``PbO``.
        element: Symbol of the metal, for example ``Pb``.

    Example:
        1.077 for PbO from Pb; 1.115 for Bi2O3 from Bi.
    """
    return 1.0 / mass_fraction(oxide, element)


def fume_g(collector: Collector, collector_g: Range, tables: CupellationTables) -> Figure:
    """Collector that leaves as smoke instead of going into the cupel, in g of metal.

    The share for lead is recalled, for bismuth it is an assumption; both are wide ranges for planning the
    ventilation, and no amount of smoke is harmless.

    Args:
        collector: ``lead`` or ``bismuth``.
        collector_g: Collector on the cupel, in g.
        tables: The figures.

    Example:
        20 g of lead at 1 to 5 %, likely 1.5 %: 0.2 to 1 g of lead in the air, likely 0.3 g.
    """
    share = tables.fume[collector]
    how = f"{in_words(collector_g, 'g')} x {in_words(share.amount.scaled(100), '%')}"
    amount = collector_g * share.amount
    title = tr("{collector} that goes into the air", collector=metal_word(collector))
    return Figure(f"{collector}_in_air_g", title, amount, "g", how, cited(share.source))


def oxide_g(collector_g: dict[Collector, Range], charge: CupelCharge, tables: CupellationTables) -> Figure:
    """Oxide that the cupel has to take up, in g.

    Collector less its smoke, and the base metals, each as its oxide. What stays in the bead (a few parts in a
    thousand) is not taken off.

    Args:
        collector_g: All lead and all bismuth on the cupel, in g.
        charge: What else lies on it; its own lead and bismuth are not read.
        tables: The figures.

    Example:
        20 g of lead alone: 20 x (1 - 0.015) x 1.077 = 21.2 g.
    """
    in_cupel = [(name, mass * (_WHOLE - tables.fume[name].amount)) for name, mass in collector_g.items()]
    base = [(name, mass) for name, mass in charge.base_g.items() if name in tables.oxides]
    total, words = NONE_G, []
    for name, mass in (*in_cupel, *base):
        if mass.high > 0:
            oxide = tables.oxides[name]
            factor = oxide_per_metal(oxide.formula, oxide.element)
            total = total + mass.scaled(factor)
            words.append(f"{metal_word(name)} {in_words(mass, 'g')} x {factor:.3f} ({oxide.formula})")
    return Figure(
        "oxide_g", tr("oxide for the cupel to drink"), total, "g", " + ".join(words) or tr("nothing"), "calculation"
    )


def cupel_mass_g(oxide: Figure, material: CupelMaterial) -> Figure:
    """Mass of cupel that takes up the oxide, in g.

    Choose by the high end: a cupel that is too small lets oxide and gold run through.

    Args:
        oxide: From ``oxide_g``.
        material: What the cupel is made of.

    Example:
        21.2 g of oxide on bone ash at 0.8 to 1.0 g for 1 g: 21 to 27 g, likely 24 g.
    """
    how = tr(
        "{oxide} of oxide / {uptake} taken up by 1 g of {cupel}",
        oxide=in_words(oxide.amount, "g"),
        uptake=in_words(material.uptake, "g"),
        cupel=material.title,
    )
    return Figure("cupel_mass_g", tr("cupel in all"), oxide.amount / material.uptake, "g", how, cited(material.source))


def cupel_size(button_g: float, tables: CupellationTables) -> CupelSize | None:
    """The smallest cupel for a button of that mass in g; None if it must be shared out.

    Example:
        A 15 g button goes to a small cupel.

    Raises:
        InputError: If the mass is not above 0.
    """
    if not (math.isfinite(button_g) and button_g > 0):
        raise InputError(tr("the button weighs {button_g:g} g; it weighs more than 0 g", button_g=button_g))
    return next((size for size in tables.sizes if button_g <= size.button_at_most_g + 1e-9), None)


def cupel_count(needed: Figure, button_g: Range, cupel: CupelAtHand, tables: CupellationTables) -> Figure:
    """Number of cupels, as pieces.

    The larger of two counts: by what the bodies absorb, and by what the largest hollow holds.

    Args:
        needed: Cupel in all, from ``cupel_mass_g``.
        button_g: Mass of the metal with collector, in g.
        cupel: One of the cupels at hand; where its mass is not known only the hollow counts.
        tables: The figures.

    Raises:
        InputError: If the body is not above 0.

    Example:
        54 g of cupel needed, bodies of 25 g: 3 pieces.
    """
    largest = tables.sizes[-1]
    holds, where, source = largest.button_at_most_g, tr("the largest hollow"), largest.source
    if cupel.hollow_ml:
        holds, where = (
            cupel.hollow_ml * tables.limits["metal_in_hollow_g_per_ml"],
            tr("a hollow of {hollow_ml:g} ml", hollow_ml=cupel.hollow_ml),
        )
        source = f"calculation, {tr('volume times density')}"
    count = _pieces(button_g.scaled(1 / holds))
    how = tr("{button} / {holds:g} g in {where}", button=in_words(button_g, "g"), holds=holds, where=where)
    if cupel.body_g is not None:
        if not (math.isfinite(cupel.body_g) and cupel.body_g > 0):
            raise InputError(tr("one cupel weighs {body_g:g} g; it weighs more than 0 g", body_g=cupel.body_g))
        count = count.most(_pieces(needed.amount.scaled(1 / cupel.body_g)))
        how = tr(
            "{how}; {needed} / {body_g:g} g a piece; the larger, rounded up",
            how=how,
            needed=in_words(needed.amount, "g"),
            body_g=cupel.body_g,
        )
        source = cited(source, needed.source)
    return Figure("cupel_count", tr("cupels"), count, "pieces", how, cited(source))


def _pieces(number: Range) -> Range:
    def up(value: float) -> float:
        return float(max(1, math.ceil(value - 1e-9)))

    return Range(up(number.low), up(number.likely), up(number.high))


def time_min(collector: Collector, collector_on_one_cupel_g: Range, tables: CupellationTables) -> Figure:
    """Time from charging to the bright bead on one cupel, in minutes.

    Args:
        collector: ``lead`` or ``bismuth``.
        collector_on_one_cupel_g: Collector on one cupel, in g; several cupels run side by side.
        tables: The figures.

    Example:
        5 g of lead: 12 to 33 minutes; a standard gives about 25 for 4 to 6 g (ISO 11426:2014, 7.2.3).
    """
    around, speed = tables.time[collector, "open_and_finish"], tables.time[collector, "drive"]
    amount = around.amount + collector_on_one_cupel_g / speed.amount
    how = tr(
        "{around} to open and finish + {collector_on_one_cupel} / {speed} a minute",
        around=in_words(around.amount, "min"),
        collector_on_one_cupel=in_words(collector_on_one_cupel_g, "g"),
        speed=in_words(speed.amount, "g"),
    )
    return Figure("cupel_time_min", tr("time on the cupel"), amount, "min", how, cited(around.source, speed.source))
