"""Metal that still holds base metal: a dull bead and a coppery button.

Sources: C. and J. J. Beringer, A Text-book of Assaying (1904), pp. 100, 105, 110-113, 145, 148. No ratio is
published for bismuth; its grams are practice and never converted from lead.
"""

from __future__ import annotations

from advisor.frozen import frozen
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.range_sums import ONE, positive
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.correction.cupel import UNKNOWN, cupel_kind, cupelling, opening_c
from advisor.metallurgy.correction.tables import CorrectionTables, figure, fraction, part_of, piece_g
from advisor.metallurgy.cupellation.cupel import Collector, collector_named
from advisor.metallurgy.cupellation.heat import finish_c
from advisor.metallurgy.cupellation.lead import lead_parts
from advisor.metallurgy.cupellation.losses import gold_loss_share, loss_figure
from advisor.metallurgy.cupellation.metals import NONE_G, CupelCharge
from advisor.metallurgy.cupellation.tables import CupellationTables, LeadRow
from advisor.units import Range
from advisor.words import tr


@frozen
class Bead:
    """A bead as it looks.

    Attributes:
        mass_g: Its mass, in g.
        look: shiny, dull, matt_crust, coppery, blackened or unknown.
        stain: Stain of its cupel: none, yellow, green, brown_black, grey, pink or unknown.
        gold_share: Gold in it, as a fraction.
        cupel_kind: ``bone_ash``, ``magnesia``, ``cement`` or ``unknown``.
        largest_cupel_g: Mass of the largest cupel at hand, in g; 0 if not known.
    """

    mass_g: Range
    look: str
    stain: str
    gold_share: Range
    cupel_kind: str = UNKNOWN
    largest_cupel_g: Range = NONE_G


def lead_by_table_g(alloy_g: Range, base_share: Range, rows: tuple[LeadRow, ...]) -> Figure:
    """Lead for an alloy over a range of base metal, by a published table for copper.

    Args:
        alloy_g: The alloy, in g.
        base_share: Its base metal, as a fraction, counted as copper.
        rows: ``lead_for_gold`` or ``lead_for_silver``.

    Example:
        1 g of silver alloy with 20 % of copper: 10 g (Beringer, p. 105); 1 g of gold bullion: 16 to 20 g (p. 148).
    """
    low, likely, high = (lead_parts(rows, at)[0] for at in (base_share.low, base_share.likely, base_share.high))
    parts = Range(low.low, likely.likely, high.high)
    how = tr(
        "{alloy} x {parts} of lead for 1 g at {base} of base metal, all counted as copper",
        alloy=in_words(alloy_g, "g"),
        parts=in_words(parts, "g"),
        base=in_words(base_share.scaled(100), "%"),
    )
    return figure("lead_g", tr("lead"), alloy_g * parts, "g", how, *(row.source for row in rows))


def piece(mass_g: Range, gold_share: Range, base_share: Range) -> CupelCharge:
    """A piece of gold, silver and base metal as it lies on the cupel; base metal is counted as copper."""
    gold = gold_share.least(positive(ONE - base_share))
    return CupelCharge(
        gold_g=mass_g * gold,
        silver_g=mass_g * positive(ONE - base_share - gold),
        base_g={"copper": mass_g * base_share},
        whole_g=mass_g,
    )


def dull_bead(
    bead: Bead, collector: str, tables: CorrectionTables, cupellation: CupellationTables
) -> tuple[Figure, ...]:
    """What a bead that still holds base metal wants: collector for one more round on a cupel, never none.

    Args:
        bead: The bead.
        collector: ``lead`` or ``bismuth``.
        tables: The figures of the corrections.
        cupellation: The figures of cupelling.

    Returns:
        ``base_metal_share``, ``collector_to_add_g`` of one round, ``cupel_mass_g``, ``cupels_pieces``,
        ``cupel_temperature_c``, ``finish_temperature_c``, ``time_min`` and ``gold_loss_extra_g``.

    Raises:
        InputError: If a mass, a word or a share is impossible.

    Example:
        A coppery bead of 10 g with bismuth: 5 to 10 g a round, practice. With lead 20 to 40 g a round; take a
        second look at the bead after each.

    References:
        Beringer, pp. 100, 110, 112, 113, 145.
    """
    mass, name = piece_g(tr("The bead"), bead.mass_g), collector_named(collector)
    gold = fraction(tr("The gold of the bead"), bead.gold_share)
    look, stain = (
        tables.case("look", bead.look, tr("a look of a bead")),
        tables.case("stain", bead.stain, tr("a stain")),
    )
    base = tables.at("look", look, "base_share").amount.most(tables.at("stain", stain, "base_share").amount)
    hint = tables.notes["look_is_a_hint"].said()
    words = tr("look {look}, cupel {stain}; {hint}", look=look, stain=stain, hint=hint)
    share = figure(
        "base_metal_share",
        tr("base metal left in it"),
        base,
        "",
        words,
        tables.at("look", look, "base_share").source,
        tables.at("stain", stain, "base_share").source,
    )
    note = tables.notes["bismuth_no_ratio" if name == "bismuth" else "several_times"].said()
    parts = tables.at("look", look, f"{name}_per_g")
    add = part_of(
        "collector_to_add_g",
        tr("{collector} to add", collector=metal_word(name)),
        mass,
        parts,
        tr("bead"),
        tr("one round; {note}", note=note),
    )
    charge = piece(mass, gold, base)
    more = cupelling(
        name, add.amount, charge, cupel_kind(bead.cupel_kind, cupellation), cupellation, largest_g=bead.largest_cupel_g
    )
    finish = finish_c(gold, cupellation)
    return (
        share,
        add,
        *more.figures,
        opening_c(name, bead.cupel_kind, cupellation),
        figure("finish_temperature_c", tr("heat at the end"), finish.amount, "C", finish.how, finish.source),
        _loss(charge, add.amount, name, cupellation),
    )


def _loss(charge: CupelCharge, collector_g: Range, collector: Collector, cupellation: CupellationTables) -> Figure:
    loss = loss_figure("gold", charge.gold_g, gold_loss_share(charge, collector_g, cupellation), collector, cupellation)
    title = tr("gold that one more cupelling may cost")
    return figure("gold_loss_extra_g", title, loss.amount, "g", loss.how, loss.source)


def copper_button(
    button_g: Range,
    copper_share: Range,
    collector: str,
    tables: CorrectionTables,
    cupellation: CupellationTables,
    kind: str = UNKNOWN,
) -> tuple[Figure, ...]:
    """What a hard red button wants: several treatments with little collector.

    Args:
        button_g: The button, in g.
        copper_share: Copper in it, as a fraction.
        collector: ``lead`` or ``bismuth``.
        tables: The figures of the corrections.
        cupellation: The figures of cupelling.
        kind: The cupel material, or ``unknown``.

    Returns:
        ``lead_by_silver_table_g``, ``lead_by_gold_table_g``, ``collector_g`` (all rounds together; for lead by the
        gold table), ``number_of_rounds``, ``collector_each_round_g``, ``cupel_mass_g`` in all, ``cupels_pieces``
        and ``time_min`` of one round on one cupel.

    Raises:
        InputError: If a mass, the share or the collector is impossible.

    Example:
        1 g with 20 % of copper: 10 g of lead by the table for silver, 16 to 20 g by that for gold, in 2 or 3
        rounds.

    References:
        Beringer, pp. 105, 112-113, 148.
    """
    button, copper = piece_g(tr("The button"), button_g), fraction(tr("The copper of the button"), copper_share)
    name = collector_named(collector)
    silver, gold = (
        lead_by_table_g(button, copper, rows) for rows in (cupellation.lead_for_silver, cupellation.lead_for_gold)
    )
    rounds = tables.at("copper", name, "rounds")
    whole, stop = lead_or_start(button, gold, name, tables, cupellation), tables.notes["stop_when_clean"].said()
    each = whole.amount / rounds.amount
    charge = CupelCharge(gold_g=button * positive(ONE - copper), base_g={"copper": button * copper}, whole_g=button)
    more = cupelling(name, whole.amount, charge, cupel_kind(kind, cupellation), cupellation)
    one = cupelling(name, each, charge, cupel_kind(kind, cupellation), cupellation)
    return (
        figure(
            "lead_by_silver_table_g", tr("lead, by the table for silver"), silver.amount, "g", silver.how, silver.source
        ),
        figure("lead_by_gold_table_g", tr("lead, by the table for gold"), gold.amount, "g", gold.how, gold.source),
        figure(
            "collector_g",
            tr("{collector} in all", collector=metal_word(name)),
            whole.amount,
            "g",
            whole.how,
            whole.source,
        ),
        figure(
            "number_of_rounds",
            tables.notes["little_and_often"].said(),
            rounds.amount,
            "rounds",
            tr("table"),
            rounds.source,
        ),
        figure(
            "collector_each_round_g",
            tr("{collector} each time", collector=metal_word(name)),
            each,
            "g",
            f"{in_words(whole.amount, 'g')} / {in_words(rounds.amount, tr('rounds'))}; {stop}",
            whole.source,
            rounds.source,
        ),
        more.cupel_mass,
        more.pieces,
        one.time,
    )


def lead_or_start(
    mass: Range, lead: Figure, collector: Collector, tables: CorrectionTables, cupellation: CupellationTables
) -> Figure:
    """All the collector for a piece: the lead of a table, or the practice amount for bismuth from start to stop.

    Args:
        mass: The piece, in g.
        lead: Lead by a table.
        collector: ``lead`` or ``bismuth``.
        tables: The figures of the corrections.
        cupellation: The figures of cupelling.
    """
    if collector == "lead":
        return lead
    start, most = cupellation.bismuth["start"], cupellation.bismuth["most"]
    parts = Range(start.amount.low, start.amount.likely, most.amount.high)
    how = tr(
        "{mass} x {parts} of bismuth for 1 g; {note}",
        mass=in_words(mass, "g"),
        parts=in_words(parts, "g"),
        note=tables.notes["bismuth_no_ratio"].said(),
    )
    return figure("collector_g", tr("bismuth"), mass * parts, "g", how, start.source, most.source)
