"""How much collector a charge needs, as both collectors report it."""

from __future__ import annotations

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.range_sums import cited
from advisor.metallurgy.common.rows import Note, in_words
from advisor.metallurgy.cupellation.metals import NONE_G, CupelCharge
from advisor.metallurgy.cupellation.tables import BeadSign, CupellationTables
from advisor.units import Range
from advisor.words import tr


@frozen
class CollectorNeed:
    """How much collector, and what to know about it.

    Attributes:
        needed: Collector in all, in g.
        to_add: What must still be added, in g.
        step: For bismuth, how much to add when the bead asks for more; None for lead.
        most: For bismuth, where to stop adding and look for another cause; None for lead.
        interpolated: Whether the amount lies between published steps.
        signs: For bismuth, how to read the bead.
        notes: What to know.
    """

    needed: Figure
    to_add: Figure
    step: Figure | None
    most: Figure | None
    interpolated: bool
    signs: tuple[BeadSign, ...]
    notes: tuple[Note, ...]


def check_metals(charge: CupelCharge, tables: CupellationTables) -> None:
    """Refuse base metals that the tables do not know.

    Raises:
        InputError: If one is not known.
    """
    known = {*tables.oxides, *tables.other_metals} - {"lead", "bismuth"}
    for metal in charge.base_g:
        if metal not in known:
            raise InputError(
                tr(
                    "'{metal}' is not a base metal known here; known are {metals}",
                    metal=metal,
                    metals=", ".join(sorted(known)),
                )
            )


def still_to_add(needed: Figure, present_g: Range, collector: str) -> Figure:
    """The collector to add to what is already in the button; never below 0."""
    amount = (needed.amount - present_g).most(NONE_G)
    how = tr(
        "{needed} less {present} that is there already, at least 0",
        needed=in_words(needed.amount, "g"),
        present=in_words(present_g, "g"),
    )
    return grams(
        f"{collector}_to_add_g", tr("{collector} to add", collector=metal_word(collector)), amount, how, needed.source
    )


def grams(name: str, title: str, amount: Range, how: str, source: str) -> Figure:
    """A figure in grams."""
    return Figure(name, title, amount, "g", how, cited(source))
