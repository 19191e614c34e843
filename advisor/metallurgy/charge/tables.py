"""The figures a smelting charge is made from, as typed rows of ``rules/metallurgy/charge.yaml``."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.frozen import frozen
from advisor.metallurgy.charge.iron import IronUptake
from advisor.metallurgy.charge.reducing import Burning, Oxidant, SlagTrials
from advisor.metallurgy.charge.slag import Species
from advisor.metallurgy.common.rows import (
    Note,
    Notes,
    Row,
    Rows,
    SourcedRange,
    from_row,
    keyed,
    number,
    source_of,
    sourced,
    sourced_by,
    text,
)
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.concentrate.composition import Concentrate
from advisor.metallurgy.concentrate.minerals import Mineral, mineral_table
from advisor.units import Range
from advisor.units.substances import Reaction

METHODS = ("iron", "nitre", "roast", "flux")
"""Ways to smelt: with an iron rod, with nitre, after a roast, with flux alone."""


@frozen
class Reagent:
    """Something that is weighed into the pot.

    Attributes:
        name: Its key, for example ``borax_decahydrate``.
        title: Its name for people.
        family: borax, soda, silica, oxidant, collector, reductant or other.
        formula: Its formula.
        gives: What heat makes of it.
        bulk_density: Loose density, g/ml.
        advice: How to use this form.
        advice_source: Where the advice comes from.
        source: Where the density comes from.
    """

    name: str
    title: str
    family: str
    formula: str
    gives: Reaction
    bulk_density: Range
    advice: str
    advice_source: str
    source: str


@frozen
class CollectorOxide:
    """An oxide that turns to collector metal.

    Attributes:
        formula: Its formula.
        metal: The metal.
        reduced: How it gives its oxygen to what burns.
        by_iron: How iron takes its oxygen.
    """

    formula: str
    metal: str
    reduced: Reaction
    by_iron: Reaction

    @property
    def metal_part(self) -> float:
        """Grams of metal in 1 g of the oxide."""
        return self.reduced.made_per_gram(self.metal, self.formula)

    @property
    def oxygen_part(self) -> float:
        """Grams of oxygen in 1 g of the oxide."""
        return self.reduced.made_per_gram("O2", self.formula)


@frozen
class ChargeLimit:
    """What to know of a charge, and what to do about it.

    Attributes:
        key: Its name.
        method: Method it belongs to, or ``any``.
        mineral: Mineral that brings it, or ``none`` when the computation does.
        above: Share by weight of the mineral above which it speaks.
        says: What is the matter.
        do: What to do.
        source: Where it comes from.
    """

    key: str
    method: str
    mineral: str
    above: float
    says: str
    do: str
    source: str


@frozen
class MeltingHeat:
    """The heat at which a charge is melted.

    Attributes:
        case: The method, or ``galena``.
        amount: °C.
        says: How the source puts it.
        source: Where it comes from.
    """

    case: str
    amount: Range
    says: str
    source: str


@frozen
class ChargeData:
    """Everything the charge needs from the rule base.

    Attributes:
        minerals: Minerals by name.
        burning: Reducing power of minerals.
        reductants: Reducing power of flour, charcoal, tartar.
        oxidants: Oxidising power of nitre and red lead.
        ore_oxides: Oxidising power of oxides in the ore.
        collectors: Collector oxides by formula.
        iron: Iron taken up by each mineral.
        heating: What heat alone makes of each mineral.
        species: Products: place, role in the slag, density.
        reagents: Reagents by name.
        printed: Printed charges, by kind of ore and part, g per g.
        windows: Degree of the slag, by method.
        degrees: Names of degrees.
        collector_parts: Collector metal wanted where no printed charge says it, by metal, g per g.
        sulphide_in_slag: Sulphide the slag hides, by ``slag`` and ``free_soda``, g per g.
        flux_power: Iron oxide taken up, by flux, g per g.
        fill_limits: Share of the crucible, by case.
        gas_heat_c: Heat at which gas comes, °C by stage (``early``, ``late``).
        single: Tables with one row: ``soda_binding``, ``collector_kept``, ``rod``, ``nitre_most``, ``bulk``,
            ``gas_limit``, ``pot_mouth``, ``mould_spare``.
        heats: Heat of the melt, °C, by method, and for galena with iron.
        notice: From where on something is said, by name.
        limits: What to know, by key.
        notes: What else is said of a charge, by key.
    """

    minerals: Mapping[str, Mineral]
    burning: Mapping[str, Burning]
    reductants: Mapping[str, Burning]
    oxidants: Mapping[str, Oxidant]
    ore_oxides: Mapping[str, Oxidant]
    collectors: Mapping[str, CollectorOxide]
    iron: Mapping[str, IronUptake]
    heating: Mapping[str, Reaction]
    species: Mapping[str, Species]
    reagents: Mapping[str, Reagent]
    printed: Mapping[tuple[str, str], SourcedRange]
    windows: Mapping[str, SourcedRange]
    degrees: Rows
    collector_parts: Mapping[str, SourcedRange]
    sulphide_in_slag: Mapping[str, SourcedRange]
    flux_power: Mapping[str, float]
    fill_limits: Mapping[str, SourcedRange]
    gas_heat_c: Mapping[str, float]
    single: Mapping[str, SourcedRange]
    heats: Mapping[str, MeltingHeat]
    notice: Mapping[str, float]
    limits: Mapping[str, ChargeLimit]
    notes: Notes

    @classmethod
    def from_tables(cls, minerals: Mapping[str, Mineral], tables: Mapping[str, Rows]) -> ChargeData:
        """From the minerals and the rows of the tables of ``charge.yaml``, by name of the table.

        Raises:
            InputError: If figures contradict their equations.
        """
        formulas = {name: mineral.formula for name, mineral in minerals.items()}
        return cls(
            minerals=minerals,
            burning=Burning.of_minerals(
                tables["reducing_power"], formulas, SlagTrials.from_rows(tables["reducing_by_slag"])
            ),
            reductants=Burning.of_reductants(tables["reductants"]),
            oxidants=Oxidant.from_rows(tables["oxidants"], "oxidant"),
            ore_oxides=Oxidant.from_rows(tables["ore_oxides"], "mineral", formulas),
            collectors=keyed(CollectorOxide, tables["collector_oxides"], "formula"),
            iron={
                text(r, "mineral"): from_row(IronUptake, r, formula=formulas[text(r, "mineral")])
                for r in tables["iron_uptake"]
            },
            heating={text(r, "mineral"): Reaction.parse(text(r, "reaction")) for r in tables["heating"]},
            species=keyed(Species, tables["species"], "formula"),
            reagents={text(r, "reagent"): _reagent(r) for r in tables["reagents"]},
            printed={(text(r, "ore"), text(r, "part")): sourced(r) for r in tables["printed_charge"]},
            windows=sourced_by(tables["slag_window"], "method"),
            degrees=tables["silicate_degrees"],
            collector_parts=sourced_by(tables["collector_parts"], "collector"),
            sulphide_in_slag=sourced_by(tables["sulphide_in_slag"], "of"),
            flux_power={text(r, "flux"): number(r, "share") for r in tables["flux_power"]},
            fill_limits={
                text(r, "case"): SourcedRange(Range.exact(number(r, "share")), source_of(r))
                for r in tables["fill_limits"]
            },
            gas_heat_c={text(r, "stage"): number(r, "heat") for r in tables["gas_heat"]},
            single={name: sourced(tables[name][0]) for name in _SINGLE},
            heats=keyed(MeltingHeat, tables["melting_heat"], "case"),
            notice={text(r, "what"): number(r, "from") for r in tables["notice"]},
            limits=keyed(ChargeLimit, tables["limits"], "limit", "key"),
            notes=keyed(Note, tables["reckoning_notes"], "key"),
        )

    def burning_beside(self, quartz_to_soda: float, concentrate: Concentrate) -> dict[str, Burning]:
        """Reducing power of the minerals of a concentrate, with so much quartz to 1 g of soda ash in the charge."""
        names = (part.mineral.name for part in concentrate.minerals)
        return {name: self.burning[name].beside(quartz_to_soda) for name in names if name in self.burning}

    def collector_content(self, reagent: str) -> tuple[CollectorOxide, float] | None:
        """The collector oxide that heat leaves of a reagent, with grams of it to 1 g; None where it leaves none."""
        if reagent not in self.reagents:
            return None
        one = self.reagents[reagent]
        for product in one.gives.right:
            if product in self.collectors:
                return self.collectors[product], one.gives.made_per_gram(product, one.formula)
        return None

    def collector_metal(self, reagent: str) -> str:
        """The metal of a collector, ``Pb`` or ``Bi``."""
        content = self.collector_content(reagent)
        return content[0].metal if content else self.reagents[reagent].formula


_SINGLE = (
    "soda_binding",
    "collector_kept",
    "rod",
    "nitre_most",
    "bulk",
    "gas_limit",
    "pot_mouth",
    "mould_spare",
)


def _reagent(row: Row) -> Reagent:
    loose = Range(number(row, "bulk_low"), number(row, "bulk_likely"), number(row, "bulk_high"))
    return from_row(Reagent, row, name=text(row, "reagent"), bulk_density=loose)


def charge_data(tables: Tables) -> ChargeData:
    """Figures of the smelting charge."""
    return ChargeData.from_tables(tables.once(mineral_table), tables.by_name)
