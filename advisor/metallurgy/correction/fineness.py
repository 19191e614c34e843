"""A bead or bar below the fineness wanted: what a cupel can take out of it and what stays.

Sources: C. and J. J. Beringer, A Text-book of Assaying (1904), pp. 105, 148; the rest is calculation.
"""

from __future__ import annotations

from advisor.frozen import frozen
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.range_sums import ONE, positive
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.correction.bead import lead_by_table_g, lead_or_start
from advisor.metallurgy.correction.cupel import UNKNOWN, cupel_kind, cupelling
from advisor.metallurgy.correction.tables import CorrectionTables, figure, fraction, piece_g
from advisor.metallurgy.cupellation.cupel import collector_named
from advisor.metallurgy.cupellation.metals import CupelCharge
from advisor.metallurgy.cupellation.tables import CupellationTables
from advisor.units import Range
from advisor.words import tr

_PERMILLE = 1000.0


@frozen
class FinenessCorrection:
    """How fine a bead is and should be, all in parts per thousand or fractions.

    Attributes:
        found_permille: Gold in it.
        wanted_permille: Gold wanted.
        silver_share: Silver in it, as a fraction; what is neither is base metal.
    """

    found_permille: Range
    wanted_permille: Range
    silver_share: Range

    def __post_init__(self) -> None:
        range_within(tr("The fineness"), self.found_permille, "permille", 0.0, _PERMILLE)
        range_within(tr("The fineness wanted"), self.wanted_permille, "permille", 1.0, _PERMILLE)
        fraction(tr("The silver"), self.silver_share)

    @property
    def gold_share(self) -> Range:
        """Gold in it, as a fraction."""
        return self.found_permille.scaled(1 / _PERMILLE)

    @property
    def not_gold(self) -> Range:
        """All that is not gold, as a fraction."""
        return positive(ONE - self.gold_share)

    @property
    def base_share(self) -> Range:
        """Base metal, as a fraction."""
        return positive(self.not_gold - self.silver_share)

    @property
    def too_much_share(self) -> Range:
        """What must go so that the wanted fineness is reached, as a fraction of the bead; 0 where it is."""
        wanted = self.wanted_permille.scaled(1 / _PERMILLE)
        return positive(ONE - self.gold_share / wanted)

    @property
    def again(self) -> Range:
        """0 at an end where the bead is fine enough already, 1 where it is not."""
        found, wanted = self.found_permille, self.wanted_permille
        return Range(
            float(found.high < wanted.low), float(found.likely < wanted.likely), float(found.low < wanted.high)
        )


def low_fineness(
    bead_g: Range,
    fineness: FinenessCorrection,
    collector: str,
    tables: CorrectionTables,
    cupellation: CupellationTables,
    kind: str = UNKNOWN,
) -> tuple[Figure, ...]:
    """What a bead below the fineness wanted needs, and what cupelling can reach.

    Args:
        bead_g: The bead, in g.
        fineness: What it is and should be.
        collector: ``lead`` or ``bismuth``.
        tables: The figures of the corrections.
        cupellation: The figures of cupelling.
        kind: The cupel material, or ``unknown``.

    Returns:
        ``too_much_g`` (all that stands in the way, silver too), ``base_to_remove_g`` (the part of it that a cupel
        takes), ``collector_to_add_g``, ``cupel_mass_g``, ``cupels_pieces``, ``time_min``,
        ``reachable_fineness_permille`` by cupelling alone, and ``silver_left_g``, which stays.

    Raises:
        InputError: If a mass or a fineness is impossible.

    Example:
        10 g at 800 with 50 per thousand of silver, 950 wanted: 1.58 g too much, 1.5 g of it base metal; lead by
        the table for 15 % of copper; cupelling alone reaches 941.

    References:
        Beringer, pp. 105 and 148; calculation.
    """
    mass, name = piece_g(tr("The bead"), bead_g), collector_named(collector)
    again, base = fineness.again, fineness.base_share
    too_much = mass * fineness.too_much_share
    lead = lead_by_table_g(mass, base, cupellation.lead_for_gold)
    whole = lead_or_start(mass, lead, name, tables, cupellation)
    add = whole.amount * again
    silver = fineness.silver_share.least(fineness.not_gold)
    charge = CupelCharge(
        gold_g=mass * fineness.gold_share, silver_g=mass * silver, base_g={"copper": mass * base}, whole_g=mass
    )
    more = cupelling(name, add, charge, cupel_kind(kind, cupellation), cupellation, again=again)
    stays = tables.notes["silver_stays"].said()
    found, wanted = in_words(fineness.found_permille, ""), in_words(fineness.wanted_permille, "")
    how = f"{in_words(mass, 'g')} x (1 - {found} / {wanted})"
    return (
        figure("too_much_g", tr("what is too much in it"), too_much, "g", how, "calculation"),
        figure(
            "base_to_remove_g",
            tr("base metal that a cupel can take of it"),
            too_much.least(mass * base),
            "g",
            tr(
                "the smaller of {too_much} and {base} of base metal; {stays}",
                too_much=in_words(too_much, "g"),
                base=in_words(mass * base, "g"),
                stays=stays,
            ),
            "calculation",
        ),
        figure(
            "collector_to_add_g",
            tr("{collector} to add", collector=metal_word(name)),
            add,
            "g",
            whole.how,
            whole.source,
        ),
        *more.figures,
        _reachable(fineness, base, stays),
        figure("silver_left_g", tr("silver that stays"), mass * silver, "g", stays, "calculation"),
    )


def _reachable(fineness: FinenessCorrection, base: Range, note: str) -> Figure:
    def at(gold: float, base_metal: float) -> float:
        return min(_PERMILLE, gold / (1 - base_metal) * _PERMILLE) if base_metal < 1 else 0.0

    gold, most_silver = fineness.gold_share, fineness.silver_share.high
    low = gold.low / (gold.low + min(most_silver, 1 - gold.low)) * _PERMILLE if gold.low > 0 else 0.0
    likely, high = at(gold.likely, base.likely), at(gold.high, max(0.0, 1 - gold.high - fineness.silver_share.low))
    amount = Range(min(low, likely), likely, max(likely, high))
    how = tr("gold over all that is not base metal; {note}", note=note)
    return figure(
        "reachable_fineness_permille", tr("what cupelling alone can reach"), amount, "permille", how, "calculation"
    )
