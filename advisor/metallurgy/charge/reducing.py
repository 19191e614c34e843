"""What reduces and what oxidises, in grams of lead reduced from litharge or kept in it as oxide.

The unit is that of the assayer. Behind it stands oxygen: 1 g of lead reduced is 0.0772 g of oxygen taken
from the charge, whatever takes it, so the same figures serve for bismuth oxide by calculation.

Sources: C. and J. J. Beringer, A Text-book of Assaying, ninth edition (1904), pp. 91-98, for the working
figures and the rules; the rest by formula weights.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import ONE, ZERO, cited, positive, total
from advisor.metallurgy.common.rows import Rows, from_row, in_words, number, text
from advisor.metallurgy.concentrate.composition import Concentrate
from advisor.metallurgy.concentrate.minerals import Mineral
from advisor.units import Range
from advisor.units.substances import Reaction, mass_fraction, molar_mass_g
from advisor.words import tr

_ROUNDING = 0.01


def oxygen_per_lead() -> float:
    """Grams of oxygen that leave litharge with each gram of lead: 16.00 / 207.2."""
    return molar_mass_g("O") / molar_mass_g("Pb")


def lead_by_theory_g(reaction: Reaction, formula: str) -> float:
    """Lead that 1 g of a substance reduces if it burns by an equation.

    Args:
        reaction: Burning of the substance with ``O2``; lead of its own on the right counts too.
        formula: The substance.

    Returns:
        Grams of lead from litharge and from the substance.

    Example:
        >>> round(lead_by_theory_g(Reaction.parse("2 FeS2 + 5 O2 -> 2 FeO + 4 SO2"), "FeS2"), 2)
        8.64
    """
    oxygen = -reaction.grams_per_gram("O2", formula) if "O2" in (*reaction.left, *reaction.right) else 0.0
    return oxygen / oxygen_per_lead() + reaction.made_per_gram("Pb", formula)


@frozen
class SlagTrials:
    """Lead that 1 g of a mineral threw down in two slags.

    Attributes:
        without: Without quartz, g.
        with_quartz: With quartz, g.
        quartz: Quartz of the second trial to 1 g of soda ash, g.
        source: Where the trials stand.
    """

    without: float
    with_quartz: float
    quartz: float
    source: str

    @classmethod
    def from_rows(cls, rows: Rows) -> dict[str, SlagTrials]:
        """From the table ``reducing_by_slag``, by mineral."""
        return {text(row, "mineral"): from_row(cls, row, with_quartz=number(row, "with")) for row in rows}


@frozen
class Burning:
    """How strongly a mineral or reducing agent reduces, and between which two ends it burns.

    Attributes:
        name: Mineral or reducing agent.
        formula: Its formula.
        lead: Lead reduced by 1 g, g, as found in practice; for galena its own lead is counted.
        least: The equation of the weaker end.
        most: The equation of the stronger end.
        source: Where the practical figure comes from.
        trials: What trials without and with quartz gave, where there were any.
    """

    name: str
    formula: str
    lead: Range
    least: Reaction
    most: Reaction
    source: str
    trials: SlagTrials | None = None

    @classmethod
    def of_minerals(
        cls, rows: Rows, formulas: Mapping[str, str], trials: Mapping[str, SlagTrials] | None = None
    ) -> dict[str, Burning]:
        """From the table ``reducing_power``; ``formulas`` and ``trials`` by name of the mineral."""
        tried = trials or {}
        return {
            text(row, "mineral"): cls._of(text(row, "mineral"), formulas, row, tried.get(text(row, "mineral")))
            for row in rows
        }

    def beside(self, quartz_to_soda: float) -> Burning:
        """The same mineral in a charge with so much quartz to 1 g of soda ash, within what its equations allow."""
        if self.trials is None:
            return self
        part = min(1.0, quartz_to_soda / self.trials.quartz)
        found = self.trials.without + (self.trials.with_quartz - self.trials.without) * part
        likely = min(max(found, self.theory.low), self.theory.high)
        lead = Range(min(self.lead.low, likely), likely, max(self.lead.high, likely))
        source = cited(self.source, self.trials.source)
        return Burning(self.name, self.formula, lead, self.least, self.most, source, self.trials)

    def found_in_trials(self) -> Burning:
        """The same with the ends of the trials alone, as litharge to spare gives them; without trials as it is."""
        if self.trials is None:
            return self
        ends = (self.trials.without, self.trials.with_quartz, self.lead.likely)
        return replace(self, lead=Range(min(ends), self.lead.likely, max(ends)))

    @classmethod
    def of_reductants(cls, rows: Rows) -> dict[str, Burning]:
        """From the table ``reductants``."""
        formulas = {text(row, "reductant"): text(row, "formula") for row in rows}
        return {text(row, "reductant"): cls._of(text(row, "reductant"), formulas, row) for row in rows}

    @classmethod
    def _of(
        cls,
        name: str,
        formulas: Mapping[str, str],
        row: Mapping[str, float | str],
        trials: SlagTrials | None = None,
    ) -> Burning:
        made = from_row(cls, row, name=name, formula=formulas[name], trials=trials)
        ends = made.theory
        if not ends.low - _ROUNDING <= made.lead.likely <= ends.high + _ROUNDING:
            raise InputError(
                tr(
                    "the reducing power of {name} is given as {lead:g}, and its equations allow "
                    "{low:.2f} to {high:.2f}; correct the one or the other",
                    name=name,
                    lead=made.lead.likely,
                    low=ends.low,
                    high=ends.high,
                )
            )
        return made

    @property
    def theory(self) -> Range:
        """Lead by the two equations, g per g."""
        low = lead_by_theory_g(self.least, self.formula)
        high = lead_by_theory_g(self.most, self.formula)
        return Range.between(low, max(low, high))

    @property
    def own_lead(self) -> float:
        """Lead in 1 g of the substance itself, g."""
        return mass_fraction(self.formula, "Pb")

    @property
    def oxygen(self) -> Range:
        """Oxygen that 1 g takes from the charge, g."""
        return positive(self.lead - Range.exact(self.own_lead)).scaled(oxygen_per_lead())

    @property
    def strong_part(self) -> Range:
        """Which part of it burns by the stronger equation, 0 to 1, so that the practical figure comes out."""
        low, high = self.theory.low, self.theory.high
        if high - low < _ROUNDING:
            return ONE
        parts = [min(1.0, max(0.0, (end - low) / (high - low))) for end in self._ends()]
        return Range(*parts)

    def _ends(self) -> tuple[float, float, float]:
        return self.lead.low, self.lead.likely, self.lead.high


@frozen
class Oxidant:
    """Something that keeps lead up.

    Attributes:
        name: Nitre, red lead, or a mineral.
        formula: Its formula.
        lead: Lead kept up by 1 g, g, as found in practice.
        reaction: How it gives its oxygen.
        source: Where the figure comes from.
    """

    name: str
    formula: str
    lead: Range
    reaction: Reaction
    source: str

    @classmethod
    def from_rows(cls, rows: Rows, key: str, formulas: Mapping[str, str] | None = None) -> dict[str, Oxidant]:
        """From the table ``oxidants`` (key ``oxidant``) or ``ore_oxides`` (key ``mineral``, with formulas)."""
        made = {}
        for row in rows:
            name = text(row, key)
            formula = text(row, "formula") if formulas is None else formulas[name]
            made[name] = from_row(cls, row, name=name, formula=formula)
        return made

    @property
    def oxygen(self) -> Range:
        """Oxygen that 1 g gives to the charge in practice, g."""
        return self.lead.scaled(oxygen_per_lead())

    @property
    def theory(self) -> float:
        """Lead that 1 g would keep up by its equation, g."""
        return self.reaction.grams_per_gram("O2", self.formula) / oxygen_per_lead()


def reduces(mineral: Mineral, burning: Mapping[str, Burning]) -> bool:
    """Whether a mineral takes oxygen: it has a row, as every mineral has whose kind may, and the row is not zero."""
    return mineral.name in burning and burning[mineral.name].lead.high > 0.0


def gives_oxygen(mineral: Mineral, oxides: Mapping[str, Oxidant]) -> bool:
    """Whether a mineral gives oxygen: it has a row, as every oxide has, and the row is not zero."""
    return mineral.name in oxides and oxides[mineral.name].lead.high > 0.0


def lead_reduced(concentrate: Concentrate, burning: Mapping[str, Burning]) -> Figure:
    """Lead that the sulphides of a concentrate reduce if there is litharge enough.

    Args:
        concentrate: The concentrate.
        burning: Reducing power of the minerals.

    Returns:
        Grams of lead, galena's own counted.
    """
    parts = [part for part in concentrate.minerals if reduces(part.mineral, burning)]
    grams = total(part.mass_g * burning[part.mineral.name].lead for part in parts)
    how = " + ".join(
        f"{in_words(part.mass_g, 'g')} {part.mineral.title} x {in_words(burning[part.mineral.name].lead, '')}"
        for part in parts
        if part.mass_g.high > 0.0
    )
    source = cited(*(burning[part.mineral.name].source for part in parts))
    return Figure(
        "lead_thrown_down_g",
        tr("lead that the sulphides reduce"),
        grams,
        "g",
        how or tr("none"),
        source or "calculation",
    )


def nitre_for(lead_too_much_g: Range, nitre: Oxidant) -> Figure:
    """Nitre that keeps an excess of lead up: 1 g for about 4 g of lead.

    Args:
        lead_too_much_g: Lead that would come down less the lead wanted, g; below zero counts as zero.
        nitre: Row of the table ``oxidants``.

    Returns:
        Grams of nitre.
    """
    grams = positive(lead_too_much_g) / nitre.lead
    how = tr(
        "{too_much} of lead too much / {power}",
        too_much=in_words(positive(lead_too_much_g), "g"),
        power=in_words(nitre.lead, tr("g per g")),
    )
    return Figure("nitre_g", tr("nitre"), grams, "g", how, cited(nitre.source))


_AGENTS = {"charcoal": tr("charcoal"), "flour": tr("flour")}
"""Reducing agents in words; another one is called as the table calls it."""


def reductant_for(lead_short_g: Range, agent: Burning) -> Figure:
    """Flour or charcoal that brings down what is still wanted of lead.

    Args:
        lead_short_g: Lead wanted less the lead that comes down by itself, g; below zero counts as zero.
        agent: Row of the table ``reductants``.

    Returns:
        Grams of the reducing agent.
    """
    grams = positive(lead_short_g) / agent.lead
    how = tr(
        "{short} of lead short / {power}",
        short=in_words(positive(lead_short_g), "g"),
        power=in_words(agent.lead, tr("g per g")),
    )
    return Figure(f"{agent.name}_g", _AGENTS.get(agent.name, agent.name), grams, "g", how, cited(agent.source))


def bismuth_by_lead_g(lead_g: Range) -> Range:
    """Bismuth that the same reducing agent sets free from bismuth oxide, by formula: 0.672 g for 1 g of lead.

    This converts oxygen taken up, not the need of a cupel; nobody has published it for bismuth.
    """
    return lead_g.scaled(2.0 * molar_mass_g("Bi") / (3.0 * molar_mass_g("Pb"))) if lead_g.high else ZERO
