"""A matte, a speiss, a charge that is not melted through.

Sources: C. and J. J. Beringer, A Text-book of Assaying (1904), pp. 91-94, 136-140, 211-212; T. K. Rose, The
Metallurgy of Gold, p. 499; the iron by balanced equations.
"""

from __future__ import annotations

from collections.abc import Sequence

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.charge.iron import rod_to_weigh
from advisor.metallurgy.charge.tables import ChargeData
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.range_sums import ZERO, cited, positive
from advisor.metallurgy.common.rows import in_words, on_curve
from advisor.metallurgy.correction.tables import (
    LONGEST_MIN,
    CorrectionTables,
    MatteKind,
    figure,
    heat_c,
    part_of,
    piece_g,
    plain,
    some_g,
)
from advisor.metallurgy.cupellation.cupel import collector_named
from advisor.units import Range
from advisor.units.substances import molar_mass_g
from advisor.words import tr

MIXED = ("mixed", "unknown")


@frozen
class Matte:
    """A matte and the slag it lies under.

    Attributes:
        mass_g: Its mass, in g.
        kind: iron, copper, lead, mixed or unknown.
        slag_g: Slag that is in the pot with it, in g; 0 for none.
    """

    mass_g: Range
    kind: str
    slag_g: Range = ZERO


@frozen
class MatteSlag:
    """The published slag that hides iron sulphide, to 1 g of it.

    Attributes:
        quartz_g: Quartz, in g.
        soda_g: Soda ash, in g.
        borax_g: Anhydrous borax, in g.
        flux_g: Flux as the book weighs it (bicarbonate and hydrated borax), in g.
        source: Where it comes from.
    """

    quartz_g: float
    soda_g: float
    borax_g: float
    flux_g: float
    source: str

    @classmethod
    def of(cls, tables: CorrectionTables) -> MatteSlag:
        """From the table; the slag weighs what stays when gas and water have left."""
        rows = [tables.at("matte", "slag", name) for name in ("quartz_g", "bicarbonate_g", "borax_hydrated_g")]
        quartz, bicarbonate, hydrated = (row.amount.likely for row in rows)
        two_bicarbonate = 2 * molar_mass_g("NaHCO3")
        borax = hydrated * molar_mass_g("Na2B4O7") / molar_mass_g("Na2B4O7.10H2O")
        slag = quartz + bicarbonate * molar_mass_g("Na2O") / two_bicarbonate + borax
        return cls(
            quartz_g=quartz / slag,
            soda_g=bicarbonate * molar_mass_g("Na2CO3") / two_bicarbonate / slag,
            borax_g=borax / slag,
            flux_g=(bicarbonate + hydrated) / slag,
            source=cited(*(row.source for row in rows)),
        )


def matte_iron(matte: Matte, collector: str, tables: CorrectionTables, charge: ChargeData) -> tuple[Figure, ...]:
    """Iron, flux and collector for a matte, and whether it is roasted first instead.

    Args:
        matte: The matte.
        collector: ``lead`` or ``bismuth``.
        tables: The figures of the corrections.
        charge: The figures of the smelting charge.

    Returns:
        ``iron_to_add_g`` taken up, ``iron_rod_g`` to stand in the melt, ``metal_set_free_g``,
        ``sulphide_to_hide_g``, ``soda_to_add_g`` (soda ash), ``silica_to_add_g``, ``borax_to_add_g`` (anhydrous),
        ``matte_it_can_hold_g`` with that flux, ``roast_first`` (0 no, 1 yes), ``collector_g``, ``temperature_c``
        and ``time_min``.

    Raises:
        InputError: If a mass or a word is impossible.

    Example:
        10 g of lead matte: likely 2.33 g of iron, 8.66 g of lead set free, 3.7 g of iron sulphide for about 30 g
        of slag. 10 g of iron matte: half a gram of iron, and the roast first.

    References:
        Beringer, pp. 93-94, 138-140, 211-212; Rose, p. 499.
    """
    mass, slag = piece_g(tr("The matte"), matte.mass_g), some_g(tr("The slag"), matte.slag_g)
    kinds, name = _kinds(matte.kind, tables), collector_named(collector)
    source = cited(*(kind.source for kind in kinds))
    loose = tables.at("matte", "fire", "excess_sulphur_iron_per_g")
    per_g = _either([kind.iron_per_g + (loose.amount if not kind.metal else ZERO) for kind in kinds])
    how, sources = _iron_how(mass, per_g, kinds, tables), (source, *(loose.source for kind in kinds if not kind.metal))
    iron = figure("iron_to_add_g", tr("iron it takes up"), mass * per_g, "g", how, *sources)
    spare = charge.single["rod"]
    # A rod always stands in it: what the kind does not show the loose sulphur may still want.
    rod = rod_to_weigh(iron.amount.most(mass * loose.amount), ZERO, spare.amount, spare.source)
    free = mass * _either([kind.made_per_g(kind.metal) if kind.metal else ZERO for kind in kinds])
    hide = mass * _either([_sulphide_per_g(kind) for kind in kinds])
    parts = charge.collector_parts[name]
    note = tables.notes["bismuth_no_ratio"].said() if name == "bismuth" else tr("as in a charge, to 1 g of matte")
    fast, slow = tables.at("matte", "fire", "time_min"), tables.at("matte", "fire", "slow_time_min")
    time = Range.hull((fast.amount, slow.amount))
    return (
        iron,
        rod,
        figure(
            "metal_set_free_g",
            tr("metal that iron sets free"),
            free,
            "g",
            tr("{mass}, by equation", mass=in_words(mass, "g")),
            source,
        ),
        figure("sulphide_to_hide_g", tr("sulphide for the slag to hide"), hide, "g", tr("by equation"), source),
        *_slag_for(mass, hide, slag, kinds, tables, charge),
        part_of(
            "collector_g",
            tr("{collector} to gather the gold", collector=metal_word(name)),
            mass,
            parts,
            tr("matte"),
            note,
        ),
        plain(
            "temperature_c",
            tr("heat of the melt"),
            tables.at("matte", "fire", "temperature_c"),
            "C",
            tables.notes["matte_not_hotter"].said(),
        ),
        figure("time_min", tr("time, past quiet"), time, "min", tr("table"), fast.source, slow.source),
    )


def _kinds(name: str, tables: CorrectionTables) -> list[MatteKind]:
    if name in MIXED:
        return list(tables.mattes.values())
    if name not in tables.mattes:
        known = ", ".join((*tables.mattes, *MIXED))
        raise InputError(
            tr("'{kind}' is not a kind of matte known here; known are {kinds}", kind=name[:40], kinds=known)
        )
    return [tables.mattes[name]]


def _either(ranges: Sequence[Range]) -> Range:
    """Any of several ranges: their whole span, with the mean of their likely values."""
    whole = Range.hull(ranges)
    return Range(whole.low, sum(one.likely for one in ranges) / len(ranges), whole.high)


def _sulphide_per_g(kind: MatteKind) -> Range:
    stays, made = kind.made_per_g(kind.formula), kind.made_per_g("FeS")
    if kind.formula == "FeS":
        return made
    ends = (stays.low + made.high, stays.high + made.low)
    return Range(min(ends), stays.likely + made.likely, max(ends))


def _iron_how(mass: Range, per_g: Range, kinds: Sequence[MatteKind], tables: CorrectionTables) -> str:
    notes = {"iron": "iron_sulphide_full", "copper": "copper_matte"}
    said_of = [tables.notes[notes[kind.kind]].said() for kind in kinds if kind.kind in notes]
    return "; ".join(
        [
            tr("{mass} x {per} of iron for 1 g, by equation", mass=in_words(mass, "g"), per=in_words(per_g, "g")),
            *said_of,
        ]
    )


def _slag_for(
    mass: Range,
    hide: Range,
    slag: Range,
    kinds: Sequence[MatteKind],
    tables: CorrectionTables,
    charge: ChargeData,
) -> tuple[Figure, ...]:
    """Flux for the slag that is still wanted, what it can hold, and whether that is too little."""
    holds, recipe = charge.sulphide_in_slag["slag"], MatteSlag.of(tables)
    cap = tables.at("matte", "slag", "flux_most_per_g")
    most = (mass * cap.amount).scaled(1 / recipe.flux_g)
    fresh = positive(hide / holds.amount - slag).least(most)
    can_hold, at_most = ((slag + new) * holds.amount for new in (fresh, most))
    how = tr(
        "{fresh} of new slag to hide {hide} at {holds} to 1 g, at most {cap} of flux to 1 of matte",
        fresh=in_words(fresh, "g"),
        hide=in_words(hide, "g"),
        holds=in_words(holds.amount, "g"),
        cap=in_words(cap.amount, tr("parts")),
    )
    roast = _roast_first(hide, at_most, kinds)
    hidden = in_words(at_most, "g")
    why = tr(
        "1 where {hide} is more than the {hidden} that slag can hide, or iron does not help",
        hide=in_words(hide, "g"),
        hidden=hidden,
    )
    sources = (holds.source, recipe.source, cap.source)
    return (
        figure("soda_to_add_g", tr("soda ash"), fresh.scaled(recipe.soda_g), "g", how, *sources),
        figure("silica_to_add_g", tr("clean quartz sand"), fresh.scaled(recipe.quartz_g), "g", how, *sources),
        figure("borax_to_add_g", tr("anhydrous borax"), fresh.scaled(recipe.borax_g), "g", how, *sources),
        figure("matte_it_can_hold_g", tr("sulphide that the slag can hide"), can_hold, "g", how, *sources),
        figure("roast_first", tr("roast it first (1) or not (0)"), roast, "", why, *sources),
    )


def _roast_first(hide: Range, holds: Range, kinds: Sequence[MatteKind]) -> Range:
    no_use = [float(kind.roast) for kind in kinds]
    too_much = Range(float(hide.low > holds.high), float(hide.likely > holds.likely), float(hide.high > holds.low))
    return too_much.most(Range(min(no_use), float(sum(no_use) * 2 > len(no_use)), max(no_use)))


def speiss(speiss_g: Range, tables: CorrectionTables) -> tuple[Figure, ...]:
    """A speiss is set aside, whole; the operator never fires it.

    Args:
        speiss_g: Its mass, in g.
        tables: The figures of the corrections.

    Returns:
        ``set_aside_mass_g``.

    Raises:
        InputError: If the mass is impossible.
    """
    mass, note = piece_g(tr("The speiss"), speiss_g), tables.notes["speiss"]
    return (
        figure(
            "set_aside_mass_g",
            tr("speiss to set aside"),
            mass,
            "g",
            tr("all of it; {note}", note=note.said()),
            note.source,
        ),
    )


@frozen
class HeldCharge:
    """A charge that is not right yet.

    Attributes:
        mass_g: Its mass, in g.
        temperature_c: Heat it has, in °C.
        time_in_min: Time it has been in the fire, in minutes.
        state: not_melted, not_quiet, crusted or unknown.
    """

    mass_g: Range
    temperature_c: Range
    time_in_min: Range
    state: str = "unknown"


def reheat_charge(held: HeldCharge, tables: CorrectionTables) -> tuple[Figure, ...]:
    """More time and heat for a charge that is not melted through, not quiet, or crusted.

    Args:
        held: The charge.
        tables: The figures of the corrections.

    Returns:
        ``more_time_min``, ``target_temperature_c``, ``heat_to_gain_c`` and ``borax_to_add_g`` (anhydrous, laid on
        a crust).

    Raises:
        InputError: If a mass, a temperature or a time is impossible.

    Example:
        200 g, 30 minutes in the fire at 1000 °C: 5 to 35 minutes more, likely 25, at 1050 to 1200 °C.

    References:
        Beringer, pp. 91, 93, 136; Rose, p. 499.
    """
    mass, heat = piece_g(tr("The charge"), held.mass_g), heat_c(tr("The charge"), held.temperature_c)
    range_within(tr("The time in the fire"), held.time_in_min, "min", 0.0, LONGEST_MIN)
    state = tables.case("reheat", held.state, tr("a state of a charge"))
    whole, oxide, after, wanted, bites = (
        tables.at("reheat", "any", name)
        for name in ("whole_time_min", "oxide_charge_min", "after_quiet_min", "temperature_c", "soda_bites_c")
    )
    usual = Range.hull((whole.amount, oxide.amount))
    longer = Range(*(on_curve(tables.reheat_factor, at).likely for at in (mass.low, mass.likely, mass.high)))
    more = positive(usual * longer - held.time_in_min) + after.amount
    gain = positive(wanted.amount - heat)
    how = tr(
        "{usual} x {longer} for its size less {held}, then {after} after it is quiet",
        usual=in_words(usual, "min"),
        longer=in_words(longer, ""),
        held=in_words(held.time_in_min, "min"),
        after=in_words(after.amount, "min"),
    )
    slow = tables.notes["wait_for_gas"].said(bites=in_words(bites.amount, "C"))
    return (
        figure(
            "more_time_min",
            tr("more time"),
            more,
            "min",
            how,
            whole.source,
            oxide.source,
            after.source,
            tables.reheat_factor_source,
        ),
        plain("target_temperature_c", tr("heat to reach"), wanted, "C", slow),
        figure(
            "heat_to_gain_c",
            tr("heat to gain"),
            gain,
            "C",
            tr("that less {heat}", heat=in_words(heat, "C")),
            wanted.source,
        ),
        part_of(
            "borax_to_add_g",
            tr("anhydrous borax on the crust"),
            mass,
            tables.at("reheat", state, "borax_per_g"),
            tr("charge"),
        ),
    )
