"""Bead and bar: fineness from a weighing in air and in water, and what the gold in it is worth.

One density gives one equation. It finds the gold if the rest is known to be silver, copper or a known
mixture of both; if it is not known, the answer is the whole range between. Pores and quartz make a bead read
low, so a weighing is a check on the bead and never replaces an assay.
"""

from __future__ import annotations

import math

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.bounds import range_within, within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.rows import Notes, Rows, number, range_of, source_of, text
from advisor.metallurgy.common.tables import Tables
from advisor.units import Range
from advisor.words import tr

ALL_SILVER = Range.exact(1.0)
ALL_COPPER = Range.exact(0.0)

_MIXING_RULE = "beringer-1904, pp. 84-86"
"""Weight over loss in water, and mixing by volumes."""
_PERMILLE = 1000.0
_LEAST_G, _MOST_G = 1e-6, 1e6
_HEAVIEST = 30.0
"""No metal weighs so many times its water; the heaviest is osmium, 22.6."""


@frozen
class WaterDensity:
    """The formula for the density of water, as data.

    Attributes:
        constants: The five constants a1 to a5 of the formula.
        least_c: Lowest temperature it holds for, in °C.
        most_c: Highest temperature it holds for, in °C.
        source: Where it comes from.
    """

    constants: tuple[float, float, float, float, float]
    least_c: float
    most_c: float
    source: str

    @classmethod
    def from_rows(cls, rows: Rows) -> WaterDensity:
        """From the table ``water_density``, which has one row."""
        row = rows[0]
        a1, a2, a3, a4, a5 = (number(row, name) for name in ("a1", "a2", "a3", "a4", "a5"))
        return cls((a1, a2, a3, a4, a5), number(row, "least_c"), number(row, "most_c"), source_of(row))

    def at(self, temperature_c: float) -> float:
        """Density of pure water in g/ml, for example 0.99821 at 20 °C.

        Raises:
            InputError: If the temperature is outside the range of the formula.
        """
        within(tr("the water temperature"), temperature_c, "°C", self.least_c, self.most_c)
        a1, a2, a3, a4, a5 = self.constants
        lighter = (temperature_c + a1) ** 2 * (temperature_c + a2) / (a3 * (temperature_c + a4))
        return a5 * (1 - lighter) / 1000

    def over(self, temperature_c: Range) -> Range:
        """Density over a range of temperatures; water is heaviest near 4 °C, inside such a range too."""
        ends = [self.at(temperature_c.low), self.at(temperature_c.high)]
        heaviest_c = min(max(-self.constants[0], temperature_c.low), temperature_c.high)
        return Range(min(ends), self.at(temperature_c.likely), self.at(heaviest_c))


@frozen
class Metals:
    """Densities of the metals of a bead, in g/ml, and how far real alloys leave the mixing rule.

    Attributes:
        gold: Density of gold.
        silver: Density of silver.
        copper: Density of copper.
        departure: Measured density of an alloy over that of the mixing rule, less one.
        source: Where they come from.
    """

    gold: Range
    silver: Range
    copper: Range
    departure: Range
    source: str

    @classmethod
    def from_rows(cls, metal_rows: Rows, departure_rows: Rows) -> Metals:
        """From the tables ``metal_densities`` and ``alloy_departure``."""
        by_name = {text(row, "metal"): range_of(row) for row in metal_rows}
        departure = range_of(departure_rows[0])
        sources = dict.fromkeys(source_of(row) for row in (*metal_rows, *departure_rows))
        return cls(by_name["gold"], by_name["silver"], by_name["copper"], departure, "; ".join(sources))

    def complement(self, silver_part: Range) -> Range:
        """Density of what is not gold, for a part by weight of silver in it (the remainder is copper)."""
        range_within(tr("the silver part of the rest"), silver_part, "", 0.0, 1.0)
        return Range(
            _mixed(silver_part.low, self.silver.low, self.copper.low),
            _mixed(silver_part.likely, self.silver.likely, self.copper.likely),
            _mixed(silver_part.high, self.silver.high, self.copper.high),
        )


@frozen
class BeadDensity:
    """The density of a bead and how well it is known.

    Attributes:
        density: In g/ml; low and high are the worst that the scale, the water and the air can do together.
        standard_g_ml: Standard uncertainty, the same errors combined by root of the sum of squares.
    """

    density: Figure
    standard_g_ml: float


def bead_density(
    air_g: float,
    water_g: float,
    scale_error_g: float,
    temperature_c: Range,
    water: WaterDensity,
    air: Range,
    notes: Notes,
) -> BeadDensity:
    """Density of a bead weighed in air and hanging in water.

    On a scale that carries the beaker, tare it, then hang the bead free in the water: the scale shows the
    loss, and the weight in water is the weight in air less that reading. Air carries the bead a little too;
    its share is taken out.

    Args:
        air_g: Weight in air, in g.
        water_g: Weight while hanging in water, in g, the thread allowed for.
        scale_error_g: Greatest error of one weighing, in g: at least half a step of the scale.
        temperature_c: Temperature of the water, in °C.
        water: The formula for the density of water.
        air: Density of the air, in g/ml.
        notes: What to do about a weighing that cannot be.

    Returns:
        The density; for a lump of mispickel of 3.2170 g that weighs 2.7050 g in water it is 6.28.

    Raises:
        InputError: If a weight is impossible, or the loss is too small for the scale to see.

    Source: Beringer, A Text-book of Assaying (1904), p. 84; air buoyancy by Archimedes.
    """
    loss_g = _loss_in_water(air_g, water_g, scale_error_g, notes)
    if loss_g <= 4 * scale_error_g:
        raise InputError(notes["weighs_too_little"].said(loss_g=f"{loss_g:.3g}", scale_error_g=f"{scale_error_g:g}"))
    medium = water.over(temperature_c)
    ratio = _spanning(
        (air_g + scale_error_g) / (loss_g + 2 * scale_error_g),
        air_g / loss_g,
        (air_g - scale_error_g) / (loss_g - 2 * scale_error_g),
    )
    amount = _spanning(
        air.high + ratio.low * (medium.low - air.high),
        air.likely + ratio.likely * (medium.likely - air.likely),
        air.low + ratio.high * (medium.high - air.low),
    )
    how = tr(
        "{air_g:g} g / ({air_g:g} - {water_g:g}) g x ({medium:.4f} - {air:.4f})"
        " + {air:.4f}; each weighing may be {scale_error_g:g} g out",
        air_g=air_g,
        water_g=water_g,
        medium=medium.likely,
        air=air.likely,
        scale_error_g=scale_error_g,
    )
    source = f"{_MIXING_RULE}; {water.source}"
    density = Figure("bead_density_g_ml", tr("density of the bead"), amount, "g/ml", how, source)
    return BeadDensity(density, _standard_density(air_g, water_g, scale_error_g, medium, air))


def _loss_in_water(air_g: float, water_g: float, scale_error_g: float, notes: Notes) -> float:
    """Loss in water, in g; raises InputError if no piece of metal can weigh so."""
    within(tr("the weight in air"), air_g, "g", _LEAST_G, _MOST_G)
    within(tr("the weight in water"), water_g, "g", 0.0)
    within(tr("the error of the scale"), scale_error_g, "g", 0.0, _MOST_G)
    loss_g = air_g - water_g
    if loss_g <= 0:
        raise InputError(
            tr(
                "the bead weighs {water_g:g} g in water and {air_g:g} g in air;"
                " it must weigh less in water than in air",
                water_g=water_g,
                air_g=air_g,
            )
        )
    if air_g > _HEAVIEST * loss_g:
        raise InputError(notes["heavier_than_metal"].said(air_g=f"{air_g:g}", loss_g=f"{loss_g:.3g}"))
    return loss_g


def _standard_density(air_g: float, water_g: float, scale_error_g: float, medium: Range, air: Range) -> float:
    """Standard uncertainty: every error spread evenly within its bounds, the parts added in squares."""
    loss_g = air_g - water_g
    buoyant = medium.likely - air.likely
    parts = (
        water_g / loss_g**2 * buoyant * scale_error_g,
        air_g / loss_g**2 * buoyant * scale_error_g,
        air_g / loss_g * (medium.high - medium.low) / 2,
        (1 - air_g / loss_g) * (air.high - air.low) / 2,
    )
    return math.hypot(*parts) / math.sqrt(3)


@frozen
class Fineness:
    """How fine a bead is, judged by its density.

    Attributes:
        fineness: Gold in parts per thousand; low and high are the worst cases of all that is not known.
        standard_permille: Standard uncertainty from the weighing alone; some 95 in 100 lie within twice this.
        rest: What was taken for the metal that is not gold, in words.
    """

    fineness: Figure
    standard_permille: float
    rest: str


def bead_fineness(bead: BeadDensity, metals: Metals, silver_part: Range, notes: Notes) -> Fineness:
    """Gold of a bead from its density, the rest being silver, copper or both.

    Args:
        bead: Its density.
        metals: Densities of the metals.
        silver_part: Silver's part by weight of what is not gold: ``ALL_SILVER``, ``ALL_COPPER``, a known
            part, or anything from none to all, which gives the interval between both.
        notes: What to do about a density that cannot be.

    Returns:
        The fineness in parts per thousand, never below 0 or above 1000. It holds for sound metal of gold,
        silver and copper only; lead, iron, pores and quartz make it read low. At 16.5 g/ml it is about 798
        with silver and 853 with copper.

    Raises:
        InputError: If the density cannot belong to such an alloy.

    Source: Beringer, A Text-book of Assaying (1904), p. 85 (heavier part of a mixture).
    """
    density, rest = bead.density.amount, metals.complement(silver_part)
    _must_be_alloy(density, metals, rest, notes)
    sound = density / Range(1 + metals.departure.low, 1 + metals.departure.likely, 1 + metals.departure.high)
    amount = _spanning(
        _gold_permille(sound.low, metals.gold.high, rest.high),
        _gold_permille(sound.likely, metals.gold.likely, rest.likely),
        _gold_permille(sound.high, metals.gold.low, rest.low),
    )
    words = _rest_in_words(silver_part)
    how = tr(
        "1000 x {gold:g} x ({density:.2f} - {rest:.2f}) /"
        " ({density:.2f} x ({gold:g} - {rest:.2f})); {rest_is}; real alloys may be"
        " {departure_low:+.1%} to {departure_high:+.1%} off the rule",
        gold=metals.gold.likely,
        density=density.likely,
        rest=rest.likely,
        rest_is=words,
        departure_low=metals.departure.low,
        departure_high=metals.departure.high,
    )
    slope = _slope(density.likely, metals.gold.likely, rest.likely)
    source = f"{_MIXING_RULE}; {metals.source}"
    figure = Figure("bead_fineness_permille", tr("fineness by density"), amount, "permille", how, source)
    return Fineness(figure, slope * bead.standard_g_ml, words)


@frozen
class Weighing:
    """One piece weighed in air and hanging in water, and the scale it was weighed on.

    Attributes:
        air_g: Weight in air, in g.
        water_g: Weight while hanging in water, in g, the thread allowed for.
        scale_error_g: Greatest error of one weighing, in g.
        temperature_c: Temperature of the water, in °C.
    """

    air_g: float
    water_g: float
    scale_error_g: float
    temperature_c: Range


def told_within_permille(
    weighing: Weighing, water: WaterDensity, air: Range, metals: Metals, rest: Range, notes: Notes
) -> float:
    """How far either way the weighing alone may put the fineness off, in 95 of 100 cases.

    Args:
        weighing: The weights and the scale.
        water: The formula for the density of water.
        air: Density of the air, in g/ml.
        metals: Densities of the metals.
        rest: Silver's part of what is not gold; the likely value is used.
        notes: What to do about a weighing that cannot be.

    Returns:
        Parts per thousand. 14 g that weigh 13.1 g in water, on a scale 0.1 g out each time, with silver: 263.

    Raises:
        InputError: If no piece of gold, silver and copper can weigh so, even at the far end of the errors.

    Source: errors in squares, as for ``bead_density``; slope of the mixing rule.
    """
    air_g, water_g, error_g = weighing.air_g, weighing.water_g, weighing.scale_error_g
    loss_g = _loss_in_water(air_g, water_g, error_g, notes)
    medium = water.over(weighing.temperature_c)
    density = air_g / loss_g * (medium.likely - air.likely) + air.likely
    lightest = (air_g - error_g) / (loss_g + 2 * error_g) * medium.low
    heaviest = (air_g + error_g) / max(loss_g - 2 * error_g, air_g / _HEAVIEST) * medium.high
    spanned = Range(min(lightest, density), density, max(heaviest, density))
    _must_be_alloy(spanned, metals, metals.complement(rest), notes)
    standard = _standard_density(air_g, water_g, error_g, medium, air)
    return 2 * _slope(density, metals.gold.likely, metals.complement(rest).likely) * standard


def _slope(density: float, gold: float, rest: float) -> float:
    """Parts per thousand of gold for 1 g/ml more, by the rule of volumes."""
    return _PERMILLE / density**2 / (1 / rest - 1 / gold)


def round_step_g(step_g: float) -> float:
    """The next smaller step that scales are made with: 1, 2 or 5 of a decimal place; 0.0238 g gives 0.02 g."""
    decade = 10.0 ** math.floor(math.log10(step_g))
    found = max(one for one in (1, 2, 5) if one * decade <= step_g * (1 + 1e-12))
    return found * decade


def reads_low_by(
    bead: BeadDensity,
    metals: Metals,
    silver_part: Range,
    *,
    pores_by_volume: float,
    quartz_by_weight: float,
    quartz_density_g_ml: float,
) -> Figure:
    """How far the metal of a bead is finer than it reads, if pores or quartz hide in it.

    Args:
        bead: The density as weighed.
        metals: Densities of the metals.
        silver_part: Silver's part of what is not gold; the likely value is used.
        pores_by_volume: Share of closed pores, by volume.
        quartz_by_weight: Share of quartz, by weight.
        quartz_density_g_ml: Density of quartz, in g/ml.

    Returns:
        Parts per thousand by which the metal is finer than the reading. Nobody knows the pores of a bead, so
        this shows the size of the danger and is not a correction. At 16.45 g/ml, the rest silver, 1 % of
        pores by volume hides 14 and 1 % of quartz by weight hides 75.

    Raises:
        InputError: If the shares are impossible or leave metal heavier than gold.

    Source: arithmetic of volumes.
    """
    within(tr("the share of pores"), pores_by_volume, "", 0.0, 0.5)
    within(tr("the share of quartz"), quartz_by_weight, "", 0.0, 0.5)
    within(tr("the density of quartz"), quartz_density_g_ml, "g/ml", 1.0, 10.0)
    read, rest = bead.density.amount.likely, metals.complement(silver_part).likely
    metal_volume = 1 - pores_by_volume - read * quartz_by_weight / quartz_density_g_ml
    metal = read * (1 - quartz_by_weight) / metal_volume if metal_volume > 0 else math.inf
    if metal > metals.gold.high:
        raise InputError(tr("so many pores or so much quartz would make the metal heavier than gold; take less"))
    gold = metals.gold.likely
    hidden = Range.exact(_gold_permille(metal, gold, rest) - _gold_permille(read, gold, rest))
    how = tr(
        "{pores_by_volume:.1%} pores by volume and {quartz_by_weight:.1%} quartz by weight:"
        " metal of {metal:.2f} g/ml reads as {read:.2f}",
        pores_by_volume=pores_by_volume,
        quartz_by_weight=quartz_by_weight,
        metal=metal,
        read=read,
    )
    title = tr("fineness hidden by pores and quartz")
    return Figure("hidden_fineness_permille", title, hidden, "permille", how, "calculation")


def bar_for_precision_g(scale_error_g: float, within_permille: float, metals: Metals, silver_part: Range) -> float:
    """Least weight of a bead, in g, whose fineness a scale finds within so many parts per thousand.

    Each of the two weighings may be ``scale_error_g`` out. A 0.01 g scale (0.005 g out) needs about 12 g of
    gold and silver for 20 parts per thousand either way; below that the density tells little.

    Raises:
        InputError: If the error of the scale is none, or the precision below 0.1.

    Source: derivative of the mixing rule; loss in water taken as the volume.
    """
    within(tr("the error of the scale"), scale_error_g, "g", 1e-7, 1e3)
    within(tr("the wanted precision"), within_permille, "permille", 0.1, _PERMILLE)
    per_gram = 1 / (1 / metals.complement(silver_part).likely - 1 / metals.gold.likely)
    return 2 * scale_error_g * per_gram * _PERMILLE / within_permille


def _mixed(first_share: float, first_density: float, second_density: float) -> float:
    """Density of a mixture by adding volumes."""
    return 1 / (first_share / first_density + (1 - first_share) / second_density)


def _gold_permille(density: float, gold: float, rest: float) -> float:
    """Gold of a binary mixture by the rule of volumes, held within 0 and 1000."""
    share = (1 / rest - 1 / density) / (1 / rest - 1 / gold)
    return _PERMILLE * min(1.0, max(0.0, share))


def _spanning(*values: float) -> Range:
    """The range of a worst, a likely and a best value, whichever end they are."""
    return Range(min(values), values[1], max(values))


def _must_be_alloy(density: Range, metals: Metals, rest: Range, notes: Notes) -> None:
    """Refuse a density that no alloy of these metals can have, even at the far end of its uncertainty."""
    if density.low > metals.gold.high * (1 + metals.departure.high):
        raise InputError(
            notes["heavier_than_gold"].said(density=f"{density.likely:.2f}", gold=f"{metals.gold.likely:g}")
        )
    if density.high < rest.low * (1 + metals.departure.low):
        raise InputError(notes["lighter_than_metal"].said(density=f"{density.likely:.2f}", rest=f"{rest.likely:.2f}"))


def _rest_in_words(silver_part: Range) -> str:
    if silver_part.low == 0.0 and silver_part.high == 1.0:
        return tr("the rest silver or copper, not known which")
    if not silver_part.is_exact:
        return tr(
            "the rest {low:.0%} to {high:.0%} silver, otherwise copper", low=silver_part.low, high=silver_part.high
        )
    if silver_part.likely in (0.0, 1.0):
        return tr("the rest all silver") if silver_part.likely else tr("the rest all copper")
    return tr(
        "the rest {silver:.0%} silver and {copper:.0%} copper", silver=silver_part.likely, copper=1 - silver_part.likely
    )


def metal_table(tables: Tables) -> Metals:
    """Densities of the metals of a bead."""
    return Metals.from_rows(tables.rows("metal_densities"), tables.rows("alloy_departure"))


def water_table(tables: Tables) -> WaterDensity:
    """Density of water."""
    return WaterDensity.from_rows(tables.rows("water_density"))
