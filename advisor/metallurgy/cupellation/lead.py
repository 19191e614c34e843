"""Lead for cupelling, from the published tables by copper content."""

from __future__ import annotations

import math
from dataclasses import replace

from advisor.errors import InputError
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.range_sums import cited
from advisor.metallurgy.common.rows import Note, in_words
from advisor.metallurgy.cupellation.collector_need import CollectorNeed, check_metals, grams, still_to_add
from advisor.metallurgy.cupellation.metals import NONE_G, CupelCharge
from advisor.metallurgy.cupellation.tables import CupellationTables, LeadRow, OtherMetal
from advisor.units import Range
from advisor.words import tr

_ROUNDING = 1e-9


def lead_parts(rows: tuple[LeadRow, ...], copper_share: float) -> tuple[Range, bool]:
    """Grams of lead for 1 g of alloy at one content of copper.

    On a step of the table the answer is that step. Between steps the book is silent: low is the step below,
    high the step above, likely the straight line between their middles. Below the first step the first is used.

    Args:
        rows: The table, in rising order of copper.
        copper_share: Copper in the alloy, as a fraction.

    Returns:
        The parts of lead, and whether they lie between two different steps.

    Raises:
        InputError: If the share is not between 0 and 1.

    References:
        C. and J. J. Beringer, A Text-book of Assaying, 1904, pp. 105 and 148.
    """
    if not 0 <= copper_share <= 1 + _ROUNDING:
        raise InputError(
            tr(
                "the copper is {copper_share:g} % of the alloy; it lies between 0 and 100 %",
                copper_share=copper_share * 100,
            )
        )
    below = rows[0]
    for above in rows:
        if math.isclose(copper_share, above.copper_share, abs_tol=_ROUNDING):
            return above.parts, False
        if copper_share < above.copper_share:
            return _between(below, above, copper_share), below.parts != above.parts
        below = above
    return rows[-1].parts, False


def _between(below: LeadRow, above: LeadRow, at: float) -> Range:
    if above is below:
        return above.parts
    part = (at - below.copper_share) / (above.copper_share - below.copper_share)
    likely = below.parts.likely * (1 - part) + above.parts.likely * part
    return Range(below.parts.low, likely, above.parts.high)


def lead_needed(charge: CupelCharge, tables: CupellationTables) -> CollectorNeed:
    """Lead for a charge, from the published tables.

    For a piece of an assay's size the gold table is used as soon as the alloy may hold gold, because gold asks for
    about twice the lead. A larger piece gets its own weight for gold and silver, and what its copper asks for. The
    tables know copper only; for other metals the notes say what is known, and no ratio is made up.

    Args:
        charge: What lies on the cupel.
        tables: The figures.

    Returns:
        The lead in g, what must be added to the lead already there, and the notes.

    Raises:
        InputError: If a base metal is not known here.

    Example:
        0.5 g of bullion low in copper takes 4 g, 0.5 g with 20 % copper takes 8 g (Beringer, p. 148). 10 g of
        clean gold take 10 g (p. 113).
    """
    check_metals(charge, tables)
    mass, most = charge.alloy_g, tables.limits["assay_piece_at_most_g"]
    likely, other = _for_a_piece, _by_assay_tables
    if mass.likely <= most:
        likely, other = other, likely
    need = likely(charge, tables)
    if mass.low > most or mass.high <= most:
        return need
    # Nobody knows on which side of the limit it lies, so both are counted with.
    beside = other(charge, tables).needed.amount
    amount = Range.hull([need.needed.amount, beside])
    needed = replace(need.needed, amount=Range(amount.low, need.needed.amount.likely, amount.high))
    return replace(need, needed=needed, to_add=still_to_add(needed, charge.lead_g, "lead"))


def _for_a_piece(charge: CupelCharge, tables: CupellationTables) -> CollectorNeed:
    """Lead for a piece larger than an assay's: each metal asks for its own."""
    copper = charge.base_g.get("copper", NONE_G)
    others = sum((mass for metal, mass in charge.base_g.items() if metal != "copper"), NONE_G)
    held = {"gold": charge.gold_g + others, "silver": charge.silver_g, "copper": copper}
    parts = {metal: tables.for_pieces[metal] for metal, mass in held.items() if mass.high > 0}
    amount = sum((held[metal] * row.amount for metal, row in parts.items()), NONE_G)
    how = " + ".join(
        tr(
            "{held} of {metal} x {lead}",
            held=in_words(held[metal], "g"),
            metal=metal_word(metal),
            lead=in_words(row.amount, "g"),
        )
        for metal, row in parts.items()
    )
    notes = [tables.notes["assay_tables"]]
    notes += [tables.notes[key] for key in ("copper_in_doses", "too_little") if copper.high > 0]
    notes += _notes_of_others(charge, tables)
    amount, how = _with_others(charge, tables, amount, how, NONE_G)
    # However much lead is there already, copper goes better with a first small dose after it than with none.
    first = copper.scaled(tables.for_pieces["copper"].amount.low / tables.limits["copper_doses"])
    amount = amount.most(charge.lead_g + first) if copper.high > 0 else amount
    needed = grams("lead_g", tr("lead for cupelling"), amount, how, cited(*(row.source for row in parts.values())))
    to_add = still_to_add(needed, charge.lead_g, "lead")
    if copper.high > 0:
        to_add = replace(
            to_add, amount=to_add.amount.most(first), how=tr("{how}, and at least the first dose", how=to_add.how)
        )
    return CollectorNeed(needed, to_add, None, None, False, (), tuple(notes))


def _by_assay_tables(charge: CupelCharge, tables: CupellationTables) -> CollectorNeed:
    rows = tables.lead_for_gold if charge.gold_g.high > 0 else tables.lead_for_silver
    parts, interpolated = _parts(charge, rows, tables)
    amount = charge.alloy_g * parts
    how = tr(
        "{alloy} of alloy x {parts} of lead for 1 g", alloy=in_words(charge.alloy_g, "g"), parts=in_words(parts, "g")
    )
    notes = _notes(charge, rows, interpolated, tables)
    notes += _notes_of_others(charge, tables)
    least = _least_for_sample(charge, tables)
    amount, how = _with_others(charge, tables, amount, how, least)
    source = cited(*(row.source for row in rows), *(row.source for row in tables.samples if least.high > 0))
    needed = grams("lead_g", tr("lead for cupelling"), amount, how, source)
    to_add = still_to_add(needed, charge.lead_g, "lead")
    return CollectorNeed(needed, to_add, None, None, interpolated, (), tuple(notes))


def _notes_of_others(charge: CupelCharge, tables: CupellationTables) -> list[Note]:
    known = tables.other_metals.items()
    return [Note(metal, one.advice, one.source) for metal, one in known if charge.share(metal).high > 0]


def _with_others(
    charge: CupelCharge, tables: CupellationTables, amount: Range, how: str, least: Range
) -> tuple[Range, str]:
    """The lead with what is published for metals other than copper, and how it was got.

    What multiplies the lead comes first, then the least for a sample; what is added comes on top of that standard
    quantity.
    """
    there = {metal: known for metal, known in tables.other_metals.items() if charge.share(metal).high > 0}
    for metal, known in there.items():
        amount, changed = _changed(amount, amount.scaled(known.multiplier), charge, metal, known)
        how = f"{how}; {metal_word(metal)}: x {known.multiplier:g}" if changed else how
    amount = amount.most(least)
    if least.high > 0:
        how = tr("{how}; as an assay sample at least {least}", how=how, least=in_words(least, "g"))
    for metal, known in there.items():
        amount, changed = _changed(amount, amount + Range.exact(known.extra_lead_g), charge, metal, known)
        if changed:
            more = tr("{metal}: {grams:g} g more", metal=metal_word(metal), grams=known.extra_lead_g)
            how = f"{how}; {more}"
    return amount, how


def _parts(charge: CupelCharge, rows: tuple[LeadRow, ...], tables: CupellationTables) -> tuple[Range, bool]:
    """Lead for 1 g of the alloy over its range of copper, and whether any of it is interpolated."""
    copper = charge.share("copper")
    at = [lead_parts(rows, share) for share in (copper.low, copper.likely, copper.high)]
    low = at[0][0].low
    if charge.gold_g.low <= 0:
        low = min(low, lead_parts(tables.lead_for_silver, copper.low)[0].low)
    interpolated = any(between for _, between in at) and charge.alloy_g.high > 0
    return Range(low, at[1][0].likely, at[2][0].high), interpolated


def _notes(charge: CupelCharge, rows: tuple[LeadRow, ...], interpolated: bool, tables: CupellationTables) -> list[Note]:
    keys = ["interpolated"] if interpolated else []
    if charge.share("copper").low < rows[0].copper_share:
        keys.append("below_table")
    return [tables.notes[key] for key in (*keys, "too_little", "copper_twice")]


def _changed(amount: Range, changed: Range, charge: CupelCharge, metal: str, known: OtherMetal) -> tuple[Range, bool]:
    """The lead with what is published for one other metal, and whether that changes it.

    Both ways where it may or may not apply.
    """
    if not known.ratio_published:
        return amount, False
    alloy_g, share = charge.alloy_g, charge.share(metal)

    def applies(at_share: float, mass_g: float) -> bool:
        return at_share > 0 and known.share_least <= at_share <= known.share_most and mass_g <= known.sample_at_most_g

    likely = changed.likely if applies(share.likely, alloy_g.likely) else amount.likely
    always = applies(share.low, alloy_g.high) and applies(share.high, alloy_g.high)
    ever = share.high >= known.share_least and share.low <= known.share_most and alloy_g.low <= known.sample_at_most_g
    made = Range(changed.low if always else amount.low, likely, changed.high if ever else amount.high)
    return made, made != amount


def _least_for_sample(charge: CupelCharge, tables: CupellationTables) -> Range:
    """Least lead for an assay sample of gold alloy; 0 for anything larger."""

    def least(mass_g: float) -> float:
        if mass_g <= 0:
            return 0.0
        return next((row.lead_least_g for row in tables.samples if mass_g <= row.sample_at_most_g), 0.0)

    if charge.gold_g.high <= 0:
        return NONE_G
    alloy = charge.alloy_g
    steps = [row.sample_at_most_g for row in tables.samples if alloy.low <= row.sample_at_most_g <= alloy.high]
    over = [least(mass) for mass in (alloy.likely, alloy.low, alloy.high, *steps)]
    return Range(min(over) if charge.gold_g.low > 0 else 0.0, over[0], max(over))
