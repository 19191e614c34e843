"""Iron that sulphides and oxides take up from a rod, sulphide by sulphide, and what iron leaves behind.

Iron takes the sulphur; the iron sulphide spreads in the alkaline slag. Sources: C. and J. J. Beringer, A
Text-book of Assaying (1904), pp. 93, 140, 211-212, 226; H. F. Collins, The Metallurgy of Lead, p. 144 (speiss
taken as Fe5As2); the demand of each mineral by its balanced equation in the table ``iron_uptake``.
"""

from __future__ import annotations

from collections.abc import Mapping

from advisor.frozen import frozen
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import cited, positive, total
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.concentrate.composition import Concentrate
from advisor.units import Range
from advisor.units.substances import Reaction
from advisor.words import tr

SULPHIDES = ("sulphide", "arsenide", "telluride")
"""Kinds of minerals that litharge can burn."""


@frozen
class IronUptake:
    """What iron does to one mineral.

    Attributes:
        mineral: Name of the mineral.
        formula: Its formula.
        least: Equation with the least iron.
        likely: Equation to compute with.
        most: Equation with the most iron.
        source: Where the equations come from.
    """

    mineral: str
    formula: str
    least: Reaction
    likely: Reaction
    most: Reaction
    source: str

    @property
    def iron(self) -> Range:
        """Iron that 1 g of the mineral takes up, g."""
        return Range(*(_iron_used(reaction, self.formula) for reaction in (self.least, self.likely, self.most)))


def _iron_used(reaction: Reaction, formula: str) -> float:
    return -reaction.grams_per_gram("Fe", formula) if "Fe" in reaction.left else 0.0


def iron_taken_up(concentrate: Concentrate, uptake: Mapping[str, IronUptake]) -> Figure:
    """Iron that the minerals of a concentrate take up.

    Args:
        concentrate: The concentrate.
        uptake: Rows of the table ``iron_uptake``.

    Returns:
        Grams of iron.
    """
    parts = [part for part in concentrate.minerals if uptake[part.mineral.name].iron.high > 0.0]
    grams = total(part.mass_g * uptake[part.mineral.name].iron for part in parts)
    how = " + ".join(
        f"{in_words(part.mass_g, 'g')} {part.mineral.title} x {in_words(uptake[part.mineral.name].iron, '')}"
        for part in parts
        if part.mass_g.high > 0.0
    )
    source = cited(*(uptake[part.mineral.name].source for part in parts))
    return Figure(
        "iron_taken_up_g", tr("iron the minerals take up"), grams, "g", how or tr("nothing"), source or "calculation"
    )


def burns(kind: str) -> bool:
    """Whether minerals of this kind can be burnt by litharge: sulphides, arsenides and tellurides."""
    return kind in SULPHIDES


def rod_to_weigh(taken_up_g: Range, tramp_iron_g: Range, spare: Range, source: str) -> Figure:
    """The rod that must stand in the melt.

    A rod too light melts through, one too heavy does no harm. So even the lightest is enough for what is likely taken
    up, and the heaviest for the most that may be.

    Args:
        taken_up_g: Iron taken up, g.
        tramp_iron_g: Metallic iron already in the concentrate, g.
        spare: Factors of the table ``rod``.
        source: Source of the factors.

    Returns:
        Grams of rod below the melt line.
    """
    eaten = positive(taken_up_g - tramp_iron_g)
    grams = spare.scaled(eaten.likely).most(Range(0.0, 0.0, spare.low * eaten.high))
    taken = tr(
        "{taken_up} taken up less {in_sand} in the sand",
        taken_up=in_words(taken_up_g, "g"),
        in_sand=in_words(tramp_iron_g, "g"),
    )
    how = tr(
        "{spare} times the likely figure of ({taken}), at most no less than the least for all of it",
        spare=in_words(spare, ""),
        taken=taken,
    )
    return Figure("iron_rod_g", tr("iron rod in the melt, at least"), grams, "g", how, cited(source))


def equations(concentrate: Concentrate, uptake: Mapping[str, IronUptake]) -> tuple[tuple[str, str], ...]:
    """The balanced equation for each mineral that is present, with the mineral's title."""
    return tuple(
        (part.mineral.title, uptake[part.mineral.name].likely.text)
        for part in concentrate.minerals
        if uptake[part.mineral.name].iron.high > 0.0 and part.mass_g.likely > 0.0
    )
