"""A bar or button that breaks, and metal dirty with slag or oxide.

Sources: T. K. Rose, The Metallurgy of Gold, pp. 429-430, 503; C. and J. J. Beringer, A Text-book of Assaying
(1904), pp. 19, 138; C. H. Aaron, Leaching Gold and Silver Ores, par. 116. They name the cure, hardly ever an
amount: the grams are practice.
"""

from __future__ import annotations

from dataclasses import replace

from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.correction.bead import piece
from advisor.metallurgy.correction.cupel import UNKNOWN, cupel_kind, cupelling
from advisor.metallurgy.correction.tables import CorrectionTables, figure, part_of, piece_g, plain, some_g
from advisor.metallurgy.cupellation.cupel import collector_named
from advisor.metallurgy.cupellation.tables import CupellationTables
from advisor.units import Range
from advisor.words import tr

_NEVER_FIRED = "antimony_arsenic"


def brittle_metal(
    metal_g: Range,
    suspected: str,
    collector: str,
    tables: CorrectionTables,
    cupellation: CupellationTables,
    kind: str = UNKNOWN,
) -> tuple[Figure, ...]:
    """Two ways to make brittle metal tough: on a cupel again, or melted under borax with a little nitre.

    Args:
        metal_g: The bar or button, in g.
        suspected: bismuth, lead, sulphur, antimony_arsenic, tellurium, tin_zinc or unknown.
        collector: ``lead`` or ``bismuth``, for the way over the cupel.
        tables: The figures of the corrections.
        cupellation: The figures of cupelling.
        kind: The cupel material, or ``unknown``.

    Returns:
        ``set_aside_g``; ``collector_g`` and ``cupel_mass_g`` for the cupel; ``borax_g``, ``nitre_g`` and
        ``bone_ash_g`` for the melt. Unless the piece is set aside also ``cupels_pieces``, ``cupel_time_min``,
        ``temperature_c`` and ``time_min`` of the melt. With arsenic suspected nothing is fired: everything but
        ``set_aside_g`` is 0.

    Raises:
        InputError: If the mass or a word is impossible.

    Example:
        100 g brittle from bismuth: 2 to 10 g of borax, 1 to 3 g of nitre.

    References:
        Rose, pp. 429-430 and 503; Aaron, par. 116.
    """
    metal, name, notes = piece_g(tr("The metal"), metal_g), collector_named(collector), tables.notes
    case = tables.case("brittle", suspected, tr("a cause of brittleness"))
    aside = tables.or_none("brittle", case, "set_aside_share")
    warning = notes["antimony_arsenic"].said() if aside.amount.high > 0 else tr("no arsenic or antimony suspected")
    add = tables.or_none("brittle", case, f"{name}_per_g")
    ratio = notes["bismuth_no_ratio" if name == "bismuth" else "ratio_for_copper_only"].said()
    if metal.high > cupellation.limits["scorify_above_alloy_g"]:
        ratio = f"{ratio}; {notes['flux_or_scorify'].said()}"
    collected = part_of(
        "collector_g",
        tr("{collector}, if it goes on a cupel", collector=metal_word(name)),
        metal,
        add,
        tr("metal"),
        ratio,
    )
    base = tables.or_none("brittle", case, "base_share").amount
    charge = piece(metal, tables.assumed["gold_in_bead"].amount, base)
    more = cupelling(name, collected.amount, charge, cupel_kind(kind, cupellation), cupellation)
    fluxes = tuple(
        part_of(f"{flux}_g", title, metal, tables.or_none("brittle", case, f"{flux}_per_g"), tr("metal"), note)
        for flux, title, note in (
            ("borax", tr("anhydrous borax, if it is melted instead"), notes["borax_with_air"].said()),
            ("nitre", notes["nitre_in_lots"].said(), notes["nitre_late"].said()),
            ("bone_ash", notes["bone_ash_ring"].said(), notes["bone_ash_absorbs"].said()),
        )
    )
    set_aside = part_of("set_aside_g", tr("metal to set aside"), metal, aside, tr("metal"), warning)
    if case == _NEVER_FIRED:
        cupel = figure("cupel_mass_g", tr("cupel in all"), collected.amount, "g", warning, aside.source)
        return (set_aside, collected, cupel, *fluxes)
    return (
        set_aside,
        collected,
        more.cupel_mass,
        more.pieces,
        replace(more.time, name="cupel_time_min"),
        *fluxes,
        plain("temperature_c", tr("heat of the melt"), tables.at("brittle", "any", "melt_temperature_c"), "C"),
        plain("time_min", tr("time of the melt"), tables.at("brittle", "any", "melt_time_min"), "min"),
    )


def borax_clean(metal_g: Range, dirt_g: Range, tables: CorrectionTables) -> tuple[Figure, ...]:
    """Borax and silica to melt a dirty bead or bar clean.

    Args:
        metal_g: The metal with its dirt, in g.
        dirt_g: Slag, scale or iron oxide on it, in g; 0 if it was not weighed.
        tables: The figures of the corrections.

    Returns:
        ``borax_g`` (anhydrous), ``silica_g``, ``temperature_c`` and ``time_min``.

    Raises:
        InputError: If a mass is impossible.

    Example:
        A bar of 100 g: 5 to 25 g of borax, likely 10, and 2 g of silica; with 5 g of scale 5 g of borax more.

    References:
        Beringer, pp. 19 and 138; the share to the metal is practice.
    """
    metal, dirt = piece_g(tr("The metal"), metal_g), some_g(tr("The dirt"), dirt_g)
    made = []
    for flux, title in (("borax", tr("anhydrous borax")), ("silica", tr("clean quartz sand"))):
        to_metal, to_dirt = tables.at("clean", "metal", f"{flux}_per_g"), tables.at("clean", "dirt", f"{flux}_per_g")
        how = f"{in_words(metal, 'g')} x {in_words(to_metal.amount, 'g')}"
        how = tr(
            "{how} + {dirt} of dirt x {flux}", how=how, dirt=in_words(dirt, "g"), flux=in_words(to_dirt.amount, "g")
        )
        amount = metal * to_metal.amount + dirt * to_dirt.amount
        sources = (to_metal.source, *([to_dirt.source] if dirt.high > 0 else []))
        made.append(figure(f"{flux}_g", title, amount, "g", how, *sources))
    heat = plain(
        "temperature_c",
        tr("heat of the melt"),
        tables.at("clean", "any", "temperature_c"),
        "C",
        tables.notes["gold_melts"].said(),
    )
    return (*made, heat, plain("time_min", tr("time under borax"), tables.at("clean", "any", "time_min"), "min"))
