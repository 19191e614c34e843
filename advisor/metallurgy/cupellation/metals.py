"""What lies on a cupel, by metal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.rows import in_words
from advisor.units import Range
from advisor.words import tr

NONE_G = Range.exact(0.0)
_WHOLE = Range.exact(1.0)
_PRECIOUS = ("gold", "silver")
_COLLECTORS = ("lead", "bismuth")
_ROUNDING = 1e-9


@frozen
class CupelCharge:
    """What lies on the cupel before collector is added, all in g.

    Attributes:
        gold_g: Gold.
        silver_g: Silver of the alloy itself.
        parting_silver_g: Silver added so that the bead can be parted; the lead tables do not count it as alloy.
        base_g: Base metals by name: copper, nickel, iron, zinc, tin, antimony, arsenic, tellurium, platinum.
        lead_g: Lead that is already in the button.
        bismuth_g: Bismuth that is already in the button.
        whole_g: Mass of all of it without silver added for parting, where that was weighed and is better known
            than the sum of its parts; None where only the parts are known.
        shares: Share of each metal in the whole, as a fraction, where the shares were given; empty otherwise.

    Raises:
        InputError: If a mass is negative or everything is zero.
    """

    gold_g: Range
    silver_g: Range = NONE_G
    parting_silver_g: Range = NONE_G
    base_g: Mapping[str, Range] = field(default_factory=dict)
    lead_g: Range = NONE_G
    bismuth_g: Range = NONE_G
    whole_g: Range | None = None
    shares: Mapping[str, Range] = field(default_factory=dict)

    def __post_init__(self) -> None:
        masses = self._masses()
        for name, mass in masses.items():
            if mass.low < 0:
                raise InputError(
                    tr(
                        "the {metal} on the cupel is {grams:g} g; a mass is zero or more",
                        metal=metal_word(name),
                        grams=mass.low,
                    )
                )
        if not any(mass.high > 0 for mass in masses.values()):
            raise InputError(tr("there is nothing on the cupel; give the mass of at least one metal"))

    @classmethod
    def from_shares(cls, mass_g: Range, shares: Mapping[str, Range]) -> CupelCharge:
        """A charge from the mass of the metal and the shares of what is in it.

        What is left over to the whole is taken as copper: it is the metal that needs most lead among those
        with a published table.

        Args:
            mass_g: Mass of the metal, in g.
            shares: Shares as fractions by metal: ``gold``, ``silver``, ``lead``, ``bismuth`` and base metals.

        Raises:
            InputError: If a share is below 0 or above 1, or the shares make more than the whole.

        Example:
            >>> charge = CupelCharge.from_shares(Range.exact(10), {"gold": Range.exact(0.9)})
            >>> round(charge.base_g["copper"].likely, 6)
            1.0
        """
        for name, share in shares.items():
            if share.low < 0 or share.high > 1:
                raise InputError(
                    tr(
                        "the share of {name} is {share}; it lies between 0 and 100 %",
                        name=name,
                        share=in_words(share.scaled(100), "%"),
                    )
                )
        if sum(share.likely for share in shares.values()) > 1 + _ROUNDING:
            raise InputError(tr("the shares of the metals make more than 100 %; they should make 100 % or less"))
        full = {**shares, "copper": shares.get("copper", NONE_G) + _rest(shares)}
        grams = {name: mass_g * share for name, share in full.items()}
        return cls(
            gold_g=grams.get("gold", NONE_G),
            silver_g=grams.get("silver", NONE_G),
            base_g={name: mass for name, mass in grams.items() if name not in (*_PRECIOUS, *_COLLECTORS)},
            lead_g=grams.get("lead", NONE_G),
            bismuth_g=grams.get("bismuth", NONE_G),
            whole_g=mass_g,
            shares=full,
        )

    def _masses(self) -> dict[str, Range]:
        return {
            "gold": self.gold_g,
            "silver": self.silver_g,
            "silver added for parting": self.parting_silver_g,
            "lead": self.lead_g,
            "bismuth": self.bismuth_g,
            **self.base_g,
        }

    @property
    def all_silver_g(self) -> Range:
        """Silver of the alloy and silver added for parting, in g."""
        return self.silver_g + self.parting_silver_g

    @property
    def precious_g(self) -> Range:
        """Gold and all silver together, in g."""
        return self.gold_g + self.all_silver_g

    @property
    def alloy_g(self) -> Range:
        """Gold, silver and base metals without lead, bismuth and silver added for parting, in g."""
        if self.whole_g is None:
            return sum(self.base_g.values(), self.gold_g + self.silver_g)
        return self.whole_g * (_WHOLE - self._given("lead") - self._given("bismuth")).most(NONE_G)

    def share(self, metal: str) -> Range:
        """Share of a base metal in the alloy, as a fraction; 0 if there is no alloy."""
        parts = self.shares or {"gold": self.gold_g, "silver": self.silver_g, **self.base_g}
        others = (part for name, part in parts.items() if name not in (metal, *_COLLECTORS))
        return part_of_whole(parts.get(metal, NONE_G), sum(others, NONE_G))

    @property
    def gold_in_bead(self) -> Range:
        """Share of gold in the bead, as a fraction, if only gold and silver stay.

        Raises:
            InputError: If there is neither gold nor silver.
        """
        if self.precious_g.high <= 0:
            raise InputError(tr("a bead needs gold or silver; give the mass of one of them"))
        if self.shares and self.parting_silver_g.high <= 0:
            return part_of_whole(self._given("gold"), self._given("silver"))
        return part_of_whole(self.gold_g, self.all_silver_g)

    def _given(self, metal: str) -> Range:
        return self.shares.get(metal, NONE_G)


@frozen
class CupelAtHand:
    """One of the cupels at hand.

    Attributes:
        material: Name of the cupel material: ``bone_ash``, ``magnesia`` or ``cement``.
        body_g: Its mass, in g; None if not known.
        hollow_ml: Its hollow, in ml; None if not known, then the largest size counts.
    """

    material: str
    body_g: float | None = None
    hollow_ml: float | None = None


def part_of_whole(part: Range, rest: Range) -> Range:
    """``part / (part + rest)`` with ends that can both be true; 0 where nothing is there."""

    def share(one: float, other: float) -> float:
        return one / (one + other) if one + other > 0 else 0.0

    low, likely = share(part.low, rest.high), share(part.likely, rest.likely)
    return Range(min(low, likely), likely, max(likely, share(part.high, rest.low)))


def _rest(shares: Mapping[str, Range]) -> Range:
    left = Range.exact(1.0)
    for share in shares.values():
        left = left - share
    return left.most(NONE_G)
