"""A button too heavy for its cupel, a button that froze on it, and the cupelling every correction of metal shares.

Sources: C. and J. J. Beringer, A Text-book of Assaying (1904), pp. 98-99, 110-111, 142-143; T. K. Rose, The
Metallurgy of Gold, p. 506. No figure is published for bismuth.
"""

from __future__ import annotations

from dataclasses import replace

from advisor.frozen import frozen
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.range_sums import ONE, cited, positive, share
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.correction.tables import CorrectionTables, figure, heat_c, part_of, piece_g, plain, some_g
from advisor.metallurgy.cupellation.cupel import (
    Collector,
    collector_named,
    cupel_count,
    cupel_mass_g,
    material_named,
    oxide_g,
    oxide_per_metal,
    time_min,
)
from advisor.metallurgy.cupellation.heat import stage_c
from advisor.metallurgy.cupellation.metals import NONE_G, CupelAtHand, CupelCharge
from advisor.metallurgy.cupellation.tables import CupellationTables, CupelMaterial
from advisor.units import Range
from advisor.words import tr

UNKNOWN = "unknown"
_ANY_CUPEL = CupelAtHand("any")
_LEAST_CUPEL_G = 0.5
"""Lighter than this is no cupel; it keeps the count of pieces in bounds."""


@frozen
class Cupelling:
    """One more cupelling.

    Attributes:
        cupel_mass: Cupel in all, in g; choose by the high end.
        pieces: Number of cupels.
        time: Time on one cupel, in minutes.
    """

    cupel_mass: Figure
    pieces: Figure
    time: Figure

    @property
    def figures(self) -> tuple[Figure, ...]:
        """All of them."""
        return self.cupel_mass, self.pieces, self.time


def cupel_kind(name: str, tables: CupellationTables) -> CupelMaterial:
    """The cupel material of that name; for ``unknown`` one that may be any of them.

    Raises:
        InputError: If the name is another one.
    """
    if name != UNKNOWN:
        return material_named(name, tables)
    kinds = sorted(tables.materials.values(), key=lambda kind: kind.uptake.likely)
    return CupelMaterial(
        tr("cupel"), Range.hull(kind.uptake for kind in kinds), cited(*(kind.source for kind in kinds))
    )


def cupelling(
    collector: Collector,
    collector_g: Range,
    charge: CupelCharge,
    material: CupelMaterial,
    tables: CupellationTables,
    *,
    largest_g: Range = NONE_G,
    again: Range = ONE,
) -> Cupelling:
    """Cupel, number of cupels and time for a piece with its collector.

    Args:
        collector: ``lead`` or ``bismuth``.
        collector_g: Collector on the cupel, in g.
        charge: The piece.
        material: The cupel.
        tables: The figures.
        largest_g: Mass of the largest cupel at hand, in g; 0 if not known.
        again: 0 at an end where no cupelling is needed, 1 where it is.
    """
    oxide = oxide_g({collector: collector_g}, charge, tables)
    needed = cupel_mass_g(oxide, material)
    button = charge.alloy_g + collector_g
    pieces = _pieces(needed, button, some_g(tr("The largest cupel"), largest_g), tables)
    hollow = Range.exact(tables.sizes[-1].button_at_most_g)
    time = time_min(collector, (collector_g / pieces.amount).least(hollow), tables)
    note = f"; {tables.notes['nothing_published'].said()}" if collector == "bismuth" else ""
    return Cupelling(
        figure(
            "cupel_mass_g",
            tr("cupel in all"),
            needed.amount * again,
            "g",
            f"{needed.how}; {tables.notes['choose_high_end'].said()}{note}",
            needed.source,
        ),
        figure("cupels_pieces", tr("cupels"), pieces.amount, "pieces", pieces.how, pieces.source),
        figure("time_min", tr("time on one cupel"), time.amount * again, "min", time.how + note, time.source),
    )


def opening_c(collector: Collector, kind: str, tables: CupellationTables) -> Figure:
    """Heat to open, in °C; for a cupel not known the whole span of the materials."""
    names = tuple(tables.materials) if kind == UNKNOWN else (kind,)
    stages = [stage_c("open", collector, name, tables) for name in names]
    amount = Range.hull(stage.amount for stage in stages)
    note = tables.notes["nothing_published"].said()
    how = tr("table") if collector == "lead" else tr("table; {note}", note=note)
    return figure("cupel_temperature_c", tr("heat to open"), amount, "C", how, *(stage.source for stage in stages))


@frozen
class FirstCupel:
    """The cupels at hand.

    Attributes:
        kind: ``bone_ash``, ``magnesia``, ``cement`` or ``unknown``.
        absorbed_g: Mass of the cupel that is full already, in g; 0 if there was none.
        largest_g: Mass of the largest cupel at hand, in g; 0 if not known.
    """

    kind: str
    absorbed_g: Range = NONE_G
    largest_g: Range = NONE_G


def second_cupel(
    button_g: Range,
    collector: str,
    cupels: FirstCupel,
    tables: CupellationTables,
) -> tuple[Figure, ...]:
    """Cupel for a button that is too heavy for the cupel it was given.

    The whole button is counted as collector, which errs towards the larger cupel.

    Args:
        button_g: The button as it was before the first cupel, in g.
        collector: ``lead`` or ``bismuth``.
        cupels: The cupels at hand.
        tables: The figures of cupelling.

    Returns:
        ``cupel_mass_g``, ``share_taken_by_first``, ``collector_left_g``, ``cupel_mass_for_rest_g``, ``pieces``
        and ``pieces_for_rest``.

    Raises:
        InputError: If a mass, the collector or the kind of cupel is impossible.

    Example:
        25 g of lead on bone ash want 26 to 33 g of cupel; Beringer gives 20 to 25 g for 15 to 25 g of lead (p.
        142). A first cupel of 12 g took 0.36 to 0.47 of it.

    References:
        Beringer, p. 142; T. K. Rose, p. 504.
    """
    button = piece_g(tr("The button"), button_g)
    name = collector_named(collector)
    material = cupel_kind(cupels.kind, tables)
    absorbed, largest = (
        some_g(tr("The first cupel"), cupels.absorbed_g),
        some_g(tr("The largest cupel"), cupels.largest_g),
    )
    taken = _absorbed_g(name, absorbed, material, tables)
    left = positive(button - taken)
    charge = CupelCharge(gold_g=NONE_G, silver_g=button)
    whole = cupel_mass_g(oxide_g({name: button}, charge, tables), material)
    rest = cupel_mass_g(oxide_g({name: left}, charge, tables), material)
    in_all, for_rest = _pieces(whole, button, largest, tables), _pieces(rest, left, largest, tables)
    note = f"; {tables.notes['uptake_of_lead'].said()}" if name == "bismuth" else ""
    took = tr(
        "{absorbed} of cupel took {taken} of {collector}",
        absorbed=in_words(absorbed, "g"),
        taken=in_words(taken, "g"),
        collector=metal_word(name),
    )
    return (
        figure("cupel_mass_g", tr("cupel for all of it"), whole.amount, "g", whole.how + note, whole.source),
        figure("share_taken_by_first", tr("share the first cupel took"), share(taken, button), "", took, whole.source),
        figure(
            "collector_left_g",
            tr("{collector} that is left", collector=metal_word(name)),
            left,
            "g",
            tr("{button} less; {took}", button=in_words(button, "g"), took=took),
            whole.source,
        ),
        figure(
            "cupel_mass_for_rest_g",
            tr("cupel for the rest"),
            rest.amount,
            "g",
            rest.how + note,
            rest.source,
        ),
        figure("pieces", tr("pieces to cut the whole button into"), in_all.amount, "pieces", in_all.how, in_all.source),
        figure(
            "pieces_for_rest", tr("pieces to cut the rest into"), for_rest.amount, "pieces", for_rest.how, rest.source
        ),
    )


def _pieces(needed: Figure, button_g: Range, largest_g: Range, tables: CupellationTables) -> Figure:
    """Pieces for the largest cupel at hand over all it may weigh; by the hollow alone where nobody knows."""
    if largest_g.high <= 0:
        return cupel_count(needed, button_g, _ANY_CUPEL, tables)
    bodies = (max(_LEAST_CUPEL_G, body) for body in (largest_g.high, largest_g.likely, largest_g.low))
    most, usual, least = (cupel_count(needed, button_g, CupelAtHand("any", body), tables) for body in bodies)
    return replace(usual, amount=Range(most.amount.low, usual.amount.likely, least.amount.high))


def _absorbed_g(collector: Collector, cupel_g: Range, material: CupelMaterial, tables: CupellationTables) -> Range:
    """Collector that a full cupel has taken up, in g of metal; its smoke is counted as gone with it."""
    oxide = tables.oxides[collector]
    per_metal = (ONE - tables.fume[collector].amount).scaled(oxide_per_metal(oxide.formula, oxide.element))
    return cupel_g * material.uptake / per_metal


def frozen_cupel(
    button_g: Range,
    temperature_c: Range,
    collector: str,
    tables: CorrectionTables,
    cupellation: CupellationTables,
    kind: str = "bone_ash",
) -> tuple[Figure, ...]:
    """Heat and collector to start a button that froze on its cupel.

    Args:
        button_g: The button, in g.
        temperature_c: Heat of the muffle as it froze, in °C.
        collector: ``lead`` or ``bismuth``.
        tables: The figures of the corrections.
        cupellation: The figures of cupelling.
        kind: The cupel material, or ``unknown``.

    Returns:
        ``restart_temperature_c``, ``heat_to_gain_c``, ``drive_temperature_c``, ``collector_to_add_g``,
        ``time_min``; for lead also ``bath_uncovers_c``, ``air_uncovers_c``, ``air_drives_c`` and
        ``silver_finish_least_c`` as published.

    Raises:
        InputError: If a mass, a temperature or the collector is impossible.

    Example:
        Lead that froze at 800 °C starts again at 862 to 1000 °C, likely 925: 62 to 200 °C more.

    References:
        Rose, p. 506; Beringer, pp. 98-99.
    """
    button, heat = piece_g(tr("The button"), button_g), heat_c(tr("The muffle"), temperature_c)
    name = collector_named(collector)
    opening = opening_c(name, kind, cupellation)
    materials = tuple(cupellation.materials) if kind == UNKNOWN else (kind,)
    driving = [stage_c("drive", name, material, cupellation) for material in materials]
    gain = positive(opening.amount - heat)
    note = tables.notes["hot_enough" if gain.low <= 0 else "raise_the_heat"].said()
    preheat, clearing = tables.at("frozen", "any", "preheat_min"), tables.at("frozen", "any", "clearing_min")
    waiting = tr(
        "{preheat} to heat the cupel + {clearing} to clear",
        preheat=in_words(preheat.amount, "min"),
        clearing=in_words(clearing.amount, "min"),
    )
    made = (
        figure("restart_temperature_c", tr("heat to start again"), opening.amount, "C", opening.how, opening.source),
        figure(
            "heat_to_gain_c",
            tr("heat to gain"),
            gain,
            "C",
            tr("that less {heat}; {note}", heat=in_words(heat, "C"), note=note),
            opening.source,
        ),
        figure(
            "drive_temperature_c",
            tr("heat to drive"),
            Range.hull(stage.amount for stage in driving),
            "C",
            opening.how,
            *(stage.source for stage in driving),
        ),
        part_of(
            "collector_to_add_g",
            tr("clean {collector} laid on it", collector=metal_word(name)),
            button,
            tables.at("frozen", name, "collector_per_g"),
            tr("button"),
            tables.notes["only_if_not_clear"].said(),
        ),
        figure(
            "time_min",
            tr("time until it clears"),
            preheat.amount + clearing.amount,
            "min",
            waiting,
            preheat.source,
            clearing.source,
        ),
    )
    return made + (_as_published(tables) if name == "lead" else ())


def _as_published(tables: CorrectionTables) -> tuple[Figure, ...]:
    titles = {
        "bath_uncovers_c": tr("lead uncovers with its bath at"),
        "air_uncovers_c": tr("the air of the muffle may then be at"),
        "air_drives_c": tr("the air of the muffle may fall to"),
        "silver_finish_least_c": tr("silver is finished at, at least"),
    }
    return tuple(plain(name, title, tables.at("frozen", "lead", name), "C") for name, title in titles.items())
