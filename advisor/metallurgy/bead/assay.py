"""A fire assay of a bead or bar, put right by a check of known gold that ran beside it.

On the way gold is lost to cupel, air and acid, and silver stays in the gold. A check of like make-up loses and keeps
the same, so its gain or loss, the surcharge, is taken off the sample. Nobody else's losses can stand in for it.
"""

from __future__ import annotations

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.figure import Figure
from advisor.units import Range
from advisor.words import tr

_PERMILLE = 1000.0
_LEAST_G, _MOST_G = 1e-6, 1e6
_SURCHARGE = "beringer-1904, pp. 154-155"


@frozen
class Check:
    """A check run beside the sample.

    Attributes:
        gold_g: Fine gold weighed into it, in g.
        found_g: Gold that came out of it, in g.
    """

    gold_g: Range
    found_g: Range


@frozen
class Assay:
    """What an assay and its check say.

    Attributes:
        as_weighed: Fineness as it comes off the balance, in parts per thousand.
        surcharge: What the check gained, in parts per thousand of the sample; below 0 where it lost.
        fineness: Fineness with the surcharge taken off.
    """

    as_weighed: Figure
    surcharge: Figure | None
    fineness: Range


def assayed(sample_g: Range, found_g: Range, check: Check | None) -> Assay:
    """Fineness of a sample from the gold parted from it, less the surcharge of its check.

    Args:
        sample_g: Weight of the sample that was assayed, in g.
        found_g: Gold parted from it, in g.
        check: The check beside it; None where there was none.

    Returns:
        The fineness as weighed, the surcharge and what is left. A check of 300 mg of gold that gives 299.53 mg
        has a surcharge of -1.57 for a sample of 300 mg.

    Raises:
        InputError: If a weight is impossible, more gold is found than was weighed in, or the check is no check.

    Source: Beringer, A Text-book of Assaying (1904), pp. 154-155.
    """
    range_within(tr("the sample"), sample_g, "g", _LEAST_G, _MOST_G)
    range_within(tr("the gold found"), found_g, "g", 0.0, _MOST_G)
    if found_g.likely > sample_g.likely:
        raise InputError(
            tr(
                "{found_g:g} g of gold cannot come out of a sample of {sample_g:g} g;"
                " give the weight of the sample and of the gold parted from it",
                found_g=found_g.likely,
                sample_g=sample_g.likely,
            )
        )
    raw = (found_g / sample_g).scaled(_PERMILLE)
    how = f"1000 x {found_g.likely:g} g / {sample_g.likely:g} g"
    as_weighed = Figure("assay_as_weighed_permille", tr("fineness as weighed"), raw, "permille", how, "calculation")
    if check is None:
        return Assay(as_weighed, None, _held(raw))
    range_within(tr("the gold of the check"), check.gold_g, "g", _LEAST_G, _MOST_G)
    range_within(tr("the gold found in the check"), check.found_g, "g", _LEAST_G, _MOST_G)
    gained = ((check.found_g - check.gold_g) / sample_g).scaled(_PERMILLE)
    how = tr(
        "1000 x ({found_g:g} - {gold_g:g}) g of the check / {sample_g:g} g",
        found_g=check.found_g.likely,
        gold_g=check.gold_g.likely,
        sample_g=sample_g.likely,
    )
    surcharge = Figure("surcharge_permille", tr("surcharge by the check"), gained, "permille", how, _SURCHARGE)
    return Assay(as_weighed, surcharge, _held(raw - gained))


def like_the_sample(check: Check, found_g: Range, most: float) -> bool:
    """Whether a check holds about as much gold as the sample gave: within ``most``, as a part of it."""
    return abs(check.gold_g.likely - found_g.likely) <= most * found_g.likely


def _held(permille: Range) -> Range:
    return permille.most(Range.exact(0.0)).least(Range.exact(_PERMILLE))
