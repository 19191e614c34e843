"""A weighing that does not agree, and gold that is missing.

Sources: calculation for the scale; C. and J. J. Beringer, A Text-book of Assaying (1904), pp. 114, 138, 145-146,
and T. K. Rose, The Metallurgy of Gold, p. 390, for where gold sits. They show where to look and correct nothing.
"""

from __future__ import annotations

import math
from dataclasses import replace

from advisor.frozen import frozen
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import ZERO, positive, share
from advisor.metallurgy.common.rows import SourcedRange, in_words
from advisor.metallurgy.correction.tables import MOST_G, CorrectionTables, figure, part_of, piece_g, some_g
from advisor.metallurgy.cupellation.cupel import collector_named
from advisor.metallurgy.cupellation.losses import gold_loss_share
from advisor.metallurgy.cupellation.metals import CupelCharge
from advisor.metallurgy.cupellation.tables import CupellationTables
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.words import tr

_LEAST_STEP_G = 1e-9
_ROUNDING = Range(1.0, 2.0 / math.sqrt(3.0), 2.0)
"""Scale steps by which rounding alone may part two weighings.

Each weighing is two readings, empty and loaded, each off by up to half a step: a step for one weighing, two steps
for the difference of two. With an exact zero it is one step. Two standard deviations of four evenly spread
readings are 2 x sqrt(4/12) = 1.15 steps.
"""


def scale_check(weighed_g: Range, scale_step_g: Range, expected_g: Range) -> tuple[Figure, ...]:
    """Whether two weighings differ by more than the scale can show.

    Args:
        weighed_g: What the scale showed, in g.
        scale_step_g: Its smallest step, in g.
        expected_g: What it should have been, in g.

    Returns:
        ``difference_g`` (below 0 where it is too light), ``smallest_meaning_difference_g``,
        ``within_share`` (the part of the difference that rounding alone can explain; 1 is all of it) and
        ``smallest_meaning_share`` of the mass expected.

    Raises:
        InputError: If a mass is negative, or the step is not above 0.

    Example:
        10.03 g against 10.00 g on a scale of 0.01 g: 0.03 g apart; 0.02 g at most is rounding.
    """
    weighed, expected = some_g(tr("The weighing"), weighed_g), some_g(tr("What was expected"), expected_g)
    range_within(tr("The step of the scale"), scale_step_g, "g", _LEAST_STEP_G, MOST_G)
    difference = weighed - expected
    size = _size(difference)
    smallest = scale_step_g * _ROUNDING
    how = tr(
        "{step} x {rounding}: two weighings, each with its zero",
        step=in_words(scale_step_g, "g"),
        rounding=in_words(_ROUNDING, tr("steps")),
    )
    return (
        figure(
            "difference_g",
            tr("difference"),
            difference,
            "g",
            tr("{weighed} less {expected}", weighed=_to_six(weighed), expected=_to_six(expected)),
            "calculation",
        ),
        figure(
            "smallest_meaning_difference_g", tr("a smaller difference means nothing"), smallest, "g", how, "calculation"
        ),
        figure(
            "within_share",
            tr("part of the difference that rounding explains"),
            _explained(smallest, size),
            "",
            tr("{smallest} / {size}, at most 1", smallest=in_words(smallest, "g"), size=in_words(size, "g")),
            "calculation",
        ),
        figure(
            "smallest_meaning_share",
            tr("that as a part of the mass"),
            share(smallest, expected),
            "",
            f"{in_words(smallest, 'g')} / {in_words(expected, 'g')}",
            "calculation",
        ),
    )


def _to_six(mass_g: Range) -> str:
    """A weighing with six figures, so that a small difference is seen."""
    low, high = format_number(mass_g.low, 6), format_number(mass_g.high, 6)
    return f"{low} g" if low == high else tr("{low} to {high} g", low=low, high=high)


def _size(difference: Range) -> Range:
    """The size of a difference without its sign."""
    ends = (abs(difference.low), abs(difference.high))
    least = 0.0 if difference.low <= 0.0 <= difference.high else min(ends)
    return Range(least, abs(difference.likely), max(ends))


def _explained(smallest: Range, size: Range) -> Range:
    def part(of: float, whole: float) -> float:
        return min(1.0, of / whole) if whole > 0.0 else 1.0

    return Range(part(smallest.low, size.high), part(smallest.likely, size.likely), part(smallest.high, size.low))


@frozen
class LostGold:
    """Gold that did not come out.

    Attributes:
        expected_g: Gold expected, in g.
        found_g: Gold found, in g.
        slag_g: Slag there is, in g; 0 for none.
        cupel_g: Used cupels there are, in g; 0 for none.
        collector_used_g: Collector that went into the cupels, in g.
        collector: ``lead`` or ``bismuth``.
        silver_g: Silver that lay with the gold, in g.
    """

    expected_g: Range
    found_g: Range
    slag_g: Range
    cupel_g: Range
    collector_used_g: Range
    collector: str = "lead"
    silver_g: Range = ZERO


def lost_gold(lost: LostGold, tables: CorrectionTables, cupellation: CupellationTables) -> tuple[Figure, ...]:
    """Where missing gold may sit, and what nothing here explains.

    Args:
        lost: The gold and the leavings.
        tables: The figures of the corrections.
        cupellation: The figures of cupelling.

    Returns:
        ``missing_g``, ``gold_in_cupel_g``, ``gold_in_slag_g``, ``gold_in_red_iron_slag_g`` (what a slag with red
        iron oxide once kept), ``unexplained_g``, ``unexplained_share`` of the gold expected, and the charge that
        melts the used cupels: ``cupel_soda_g``, ``cupel_borax_g``, ``cupel_fluorspar_g``, ``cupel_charcoal_g``.

    Raises:
        InputError: If a mass or the collector is impossible.

    Example:
        1 g expected, 0.99 found, 20 g of lead on the cupel: 10 mg missing, 1.0 to 2.0 mg of it in the cupel.

    References:
        Beringer, pp. 114, 138, 145-146; Rose, p. 390.
    """
    expected, found = piece_g(tr("The gold expected"), lost.expected_g), some_g(tr("The gold found"), lost.found_g)
    slag, cupel = some_g(tr("The slag"), lost.slag_g), some_g(tr("The used cupels"), lost.cupel_g)
    missing = positive(expected - found).least(expected)
    in_cupel, in_slag, red = (
        _no_more_than(missing, sits)
        for sits in (
            _in_cupel(lost, expected, cupel, tables, cupellation),
            _in_slag(slag, tables),
            _in_red_slag(expected, slag, tables),
        )
    )
    rest = positive(missing - in_cupel.amount - in_slag.amount)
    how = tr(
        "{missing} less {in_cupel} less {in_slag}",
        missing=in_words(missing, "g"),
        in_cupel=in_words(in_cupel.amount, "g"),
        in_slag=in_words(in_slag.amount, "g"),
    )
    look = tables.notes["look_for_gold"].said()
    return (
        figure(
            "missing_g",
            tr("gold that is missing"),
            missing,
            "g",
            tr("{expected} less {found}", expected=_to_six(expected), found=_to_six(found)),
            "calculation",
        ),
        in_cupel,
        in_slag,
        red,
        figure("unexplained_g", tr("gold that this does not explain"), rest, "g", f"{how}; {look}", "calculation"),
        figure("unexplained_share", tr("that as a part of the gold"), share(rest, expected), "", how, "calculation"),
        *_cupel_charge(some_g(tr("The collector"), lost.collector_used_g), cupel, tables),
    )


def _present(mass: Range) -> Range:
    """0 at an end where there is none of it, 1 where there is."""
    return Range(float(mass.low > 0), float(mass.likely > 0), float(mass.high > 0))


def _in_cupel(
    lost: LostGold, expected: Range, cupel: Range, tables: CorrectionTables, cupellation: CupellationTables
) -> Figure:
    name, found = collector_named(lost.collector), tables.at("lost", "cupel", "found_in_cupel_share")
    charge = CupelCharge(gold_g=expected, silver_g=some_g(tr("The silver"), lost.silver_g))
    collector = some_g(tr("The collector"), lost.collector_used_g)
    loss = gold_loss_share(charge, collector, cupellation)
    amount = expected * loss * found.amount * _present(cupel)
    cost, share_found = in_words(loss.scaled(100), "%"), in_words(found.amount, "")
    how = tr(
        "{expected} x {cost} lost x {share_found} of that in the cupel",
        expected=in_words(expected, "g"),
        cost=cost,
        share_found=share_found,
    )
    if name == "bismuth":
        how = f"{how}; {cupellation.notes['losses_of_lead'].said()}"
    source = cupellation.cited["gold_losses"]
    return figure("gold_in_cupel_g", tr("gold that may sit in the cupels"), amount, "g", how, source, found.source)


def _in_slag(slag: Range, tables: CorrectionTables) -> Figure:
    found = tables.at("lost", "slag", "gold_per_g")
    return part_of("gold_in_slag_g", tr("gold that may sit in the slag"), slag, found, tr("slag"))


def _in_red_slag(expected: Range, slag: Range, tables: CorrectionTables) -> Figure:
    part = tables.at("lost", "red_iron_slag", "gold_share")
    amount = expected * part.amount * _present(slag)
    note = tables.notes["red_iron_slag"].said()
    how = f"{in_words(expected, 'g')} x {in_words(part.amount, '')}; {note}"
    return figure("gold_in_red_iron_slag_g", tr("gold a red iron slag may keep"), amount, "g", how, part.source)


def _no_more_than(missing: Range, sits: Figure) -> Figure:
    """No place holds more of the missing gold than is missing."""
    return replace(sits, amount=sits.amount.least(missing), how=tr("{how}; at most what is missing", how=sits.how))


def _cupel_charge(collector_g: Range, cupel: Range, tables: CorrectionTables) -> tuple[Figure, ...]:
    """Fluxes that melt the soaked part of bone ash cupels, to get the gold back."""
    soaked = collector_g * _present(cupel)
    titles = {
        "soda": tr("soda ash"),
        "borax": tr("anhydrous borax"),
        "fluorspar": tr("fluorspar"),
        "charcoal": tr("charcoal"),
    }
    return tuple(
        part_of(
            f"cupel_{flux}_g",
            tr("{flux} to melt the used bone ash cupels", flux=title),
            soaked,
            _smelt(flux, tables),
            tr("collector"),
        )
        for flux, title in titles.items()
    )


def _smelt(flux: str, tables: CorrectionTables) -> SourcedRange:
    return tables.at("lost", "cupel_smelt", f"{flux}_per_g")
