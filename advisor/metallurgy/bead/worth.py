"""What a bead or bar is worth: its gold, its value, its colour as a check, and the silver for parting it."""

from __future__ import annotations

from typing import Literal

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.bounds import range_within, within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.rows import Note, Row, from_row, number, text
from advisor.metallurgy.common.tables import Tables
from advisor.units import Range, unit_named
from advisor.words import tr

_PERMILLE = 1000.0
_MOST_G = 1e6


@frozen
class BeadColour:
    """A colour of clean beads of gold and silver.

    Attributes:
        colour: Its name in data.
        title: Its name in words.
        permille: The fineness it goes with.
        source: Where that comes from.
    """

    colour: str
    title: str
    permille: Range
    source: str


def bead_colour(row: Row) -> BeadColour:
    """A row of the table ``bead_colours``."""
    return from_row(BeadColour, row, permille=Range.between(number(row, "least"), number(row, "most")))


def colour_agrees(fineness: Range, colour: BeadColour) -> bool:
    """Whether the fineness by density can be true of a bead of this colour."""
    return fineness.low <= colour.permille.high and colour.permille.low <= fineness.high


@frozen
class GoldContent:
    """Fine gold of a bead.

    Attributes:
        grams: In g.
        troy_ounces: In troy ounces.
    """

    grams: Figure
    troy_ounces: Figure


def gold_in_bead(bead_g: Range, fineness: Range) -> GoldContent:
    """Fine gold of a bead, in g and in troy ounces; 31.1 g of 900 hold 27.99 g or 0.900 oz t.

    Args:
        bead_g: Weight of the bead, in g.
        fineness: Parts of gold per thousand.

    Raises:
        InputError: If the weight is negative or the fineness outside 0 to 1000.

    Source: the troy ounce is 480 grains of 64.79891 mg, 31.1034768 g exactly.
    """
    range_within(tr("the weight of the bead"), bead_g, "g", 0.0, _MOST_G)
    range_within(tr("the fineness"), fineness, "permille", 0.0, _PERMILLE)
    grams = bead_g * fineness.scaled(1 / _PERMILLE)
    ounce_g = unit_named("oz t").factor
    how = f"{bead_g.likely:g} g x {fineness.likely:.0f} / 1000"
    ounces = grams.scaled(1 / ounce_g)
    return GoldContent(
        Figure("fine_gold_g", tr("fine gold"), grams, "g", how, "calculation"),
        Figure("fine_gold_oz_t", tr("fine gold"), ounces, "oz t", f"{how} / {ounce_g:.7f} g", "calculation"),
    )


def gold_value(gold_g: Range, price: float, per: Literal["g", "oz t", "kg"]) -> Figure:
    """Value of fine gold at the price given, before the buyer's charges and deductions.

    Args:
        gold_g: Fine gold, in g.
        price: Price of fine gold, in any money.
        per: What the price is for: a gram, a troy ounce or a kilogram.

    Raises:
        InputError: If the price is negative or the unit is another one.
    """
    range_within(tr("the gold"), gold_g, "g", 0.0, _MOST_G)
    within(tr("the price"), price, tr("per {per}", per=per), 0.0, 1e12)
    if per not in ("g", "oz t", "kg"):
        raise InputError(tr("a gold price per '{per}' is not known here; give it per g, oz t or kg", per=per))
    unit_g = unit_named(per).factor
    how = f"{gold_g.likely:.4g} g / {unit_g:g} g x {price:g}"
    value = gold_g.scaled(price / unit_g)
    return Figure("gold_value", tr("value of the gold"), value, "money", how, "calculation")


def silver_for_parting(
    bead_g: Range, fineness: Range, silver_part: Range, ratio: Range, source: str, note: Note
) -> Figure:
    """Silver to melt into a bead so that acid can part it.

    The boiling acid gives brown poisonous gas and leaves silver in solution; parting is a job for a licensed
    place. This figure is for asking that place, or for adding the silver on the last cupel.

    Args:
        bead_g: Weight of the bead, in g.
        fineness: Parts of gold per thousand.
        silver_part: Silver's part of what is not gold.
        ratio: Silver to gold wanted, by weight, from the table ``parting_silver``.
        source: Source of the ratio.
        note: How it is worked out, with places for ``ratio``, ``bead_g`` and ``fineness``.

    Returns:
        Silver in g, never below zero. For 10 mg of bead with 8 mg of gold and the rest silver it is 18 mg.

    Raises:
        InputError: As for ``gold_in_bead``, or if the ratio is not between 0.1 and 10.

    Source: Beringer, A Text-book of Assaying (1904), pp. 147-148.
    """
    range_within(tr("the ratio of silver to gold"), ratio, "g/g", 0.1, 10.0)
    range_within(tr("the silver part of the rest"), silver_part, "", 0.0, 1.0)
    gold_in_bead(bead_g, fineness)

    def per_gram(gold_permille: float, silver: float, wanted: float) -> float:
        return max(0.0, (wanted * gold_permille - silver * (_PERMILLE - gold_permille)) / _PERMILLE)

    amount = bead_g * Range(
        per_gram(fineness.low, silver_part.high, ratio.low),
        per_gram(fineness.likely, silver_part.likely, ratio.likely),
        per_gram(fineness.high, silver_part.low, ratio.high),
    )
    how = note.said(ratio=f"{ratio.likely:g}", bead_g=f"{bead_g.likely:g}", fineness=f"{fineness.likely:.0f}")
    return Figure("parting_silver_g", tr("silver to add for parting"), amount, "g", how, source)


def colour_table(tables: Tables) -> dict[str, BeadColour]:
    """Colours of beads by name."""
    return {text(row, "colour"): bead_colour(row) for row in tables.rows("bead_colours")}
