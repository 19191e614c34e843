"""What a charge melts to: every product by formula, so that each element that goes in can be found again.

The middle values balance element by element. The low and high values follow from those of the concentrate and
of the practical figures; they bound each product by itself and need not add up together.
"""

from __future__ import annotations

from collections.abc import Mapping

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.charge.oxygen import (
    OxygenAccount,
    burning_parts,
    close_account,
    oxide_parts,
    oxygen_needs,
    quartz_to_soda,
)
from advisor.metallurgy.charge.reducing import Burning, Oxidant
from advisor.metallurgy.charge.slag import acid_oxygen, base_oxygen, degree, oxygen_of, soda_bound_mol
from advisor.metallurgy.charge.tables import METHODS, ChargeData, CollectorOxide
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.range_sums import ONE, ZERO, complement, positive, total
from advisor.metallurgy.concentrate.composition import Concentrate, MineralMass
from advisor.units import Range
from advisor.units.substances import Reaction, molar_mass_g
from advisor.words import tr

PLACES = ("slag", "salt", "sulphide", "speiss", "metal", "gas", "unused")

COLLECTOR_METALS = frozenset({"Pb", "Bi"})

Grams = Mapping[str, Range]
"""Masses in g by formula."""


@frozen
class Charge:
    """A charge as weighed.

    Attributes:
        method: ``iron``, ``nitre``, ``roast`` or ``flux``.
        concentrate: What is smelted.
        reagents_g: Mass of each reagent, g by name.
        rod_g: Iron rod in the melt, g; leave out if it is heavy enough.
        planned_ratio: Quartz to 1 g of soda ash that a plan reckoned with; left out, by what is weighed.
    """

    method: str
    concentrate: Concentrate
    reagents_g: Grams
    rod_g: Range | None = None
    planned_ratio: float | None = None

    def quartz_to_soda(self, data: ChargeData) -> float:
        """Quartz to 1 g of soda ash, which sets how much lead the sulphides throw down."""
        if self.planned_ratio is not None:
            return self.planned_ratio
        weighed = [(data.reagents[name], grams.likely) for name, grams in self.reagents_g.items()]
        silica, soda = (
            sum(grams * of(r.formula) / molar_mass_g(r.formula) for r, grams in weighed if r.family == family)
            for family, of in (("silica", acid_oxygen), ("soda", base_oxygen))
        )
        quartz = self.concentrate.mass_g("quartz").likely + silica * molar_mass_g("SiO2") / acid_oxygen("SiO2")
        return quartz_to_soda(quartz, soda * molar_mass_g("Na2CO3"))


@frozen
class Melt:
    """What a charge melts to.

    Attributes:
        taken_in: Everything that goes in, g by formula, the iron of the rod included.
        products: Everything that comes out, g by place and formula.
        iron_needed_g: Iron the charge takes up, g.
        rod_used_g: The part of it that the rod gives, g.
        early_gas_g: The part of the gas that the reagents give off before they melt, g by formula.
        soda_g: Soda as soda ash, g, sulphate not counted.
        bound_soda_mol: Soda whose carbon dioxide the acids drive out, mol.
        oxides_g: Slag without any soda, g.
        acid_mol: Acid oxygen of the slag, mol.
        base_mol: Base oxygen with all soda that is not sulphate, mol.
        account: How the oxygen account closed.
    """

    taken_in: Grams
    products: Mapping[str, Grams]
    iron_needed_g: Range
    rod_used_g: Range
    early_gas_g: Grams
    soda_g: Range
    bound_soda_mol: Range
    oxides_g: Range
    acid_mol: Range
    base_mol: Range
    account: OxygenAccount

    def place_g(self, *places: str) -> Range:
        """Mass of all products in some places, g."""
        return total(grams for place in places for grams in self.products[place].values())

    def grams(self, place: str, formula: str) -> Range:
        """Mass of one product, g; zero if there is none."""
        return self.products[place].get(formula, ZERO)

    @property
    def free_soda_g(self) -> Range:
        """Soda that no acid has bound, g as soda ash."""
        return positive(self.soda_g - self.bound_soda_mol.scaled(molar_mass_g("Na2CO3")))

    @property
    def bound_slag_g(self) -> Range:
        """Slag without free soda, g."""
        return self.oxides_g + self.bound_soda_mol.scaled(molar_mass_g("Na2O"))

    @property
    def slag_g(self) -> Range:
        """Slag with its free soda, g."""
        all_bound = self.soda_g.scaled(molar_mass_g("Na2O") / molar_mass_g("Na2CO3"))
        return self.oxides_g + (self.soda_g - self.bound_soda_mol.scaled(molar_mass_g("CO2"))).most(all_bound)

    @property
    def degree(self) -> Range:
        """Degree of the slag, all soda counted as base."""
        return degree(self.acid_mol, self.base_mol)


def melt(charge: Charge, data: ChargeData) -> Melt:
    """Work out what a charge melts to.

    Args:
        charge: The charge as weighed.
        data: The tables.

    Returns:
        The products.

    Raises:
        InputError: If the method or a reagent is unknown, a mass is below zero, or nitre stands beside the rod.
    """
    _check(charge, data)
    ratio = charge.quartz_to_soda(data)
    account = close_account(
        oxygen_needs(charge.concentrate, charge.reagents_g, data, charge.method, ratio), charge.method
    )
    pot = _Pot(data, charge.method, data.burning_beside(ratio, charge.concentrate))
    pot.minerals(charge.concentrate, account)
    pot.reagents(charge.reagents_g, account)
    return pot.settle(account)


def check_method(method: str) -> None:
    """That a charge is melted in a way that is known.

    Raises:
        InputError: If it is not.
    """
    if method not in METHODS:
        raise InputError(
            tr("there is no method '{method}'; choose one of {methods}", method=method[:40], methods=", ".join(METHODS))
        )


def check_reagents(reagents_g: Mapping[str, Range], data: ChargeData) -> None:
    """That reagents are known, and weigh something or nothing.

    Raises:
        InputError: If one is unknown or its mass is below zero.
    """
    for name, grams in reagents_g.items():
        if name not in data.reagents:
            raise InputError(
                tr(
                    "there is no reagent '{name}'; known are {reagents}",
                    name=name[:40],
                    reagents=", ".join(sorted(data.reagents)),
                )
            )
        range_within(tr("The mass of {reagent}", reagent=data.reagents[name].title), grams, "g", 0.0)


def _check(charge: Charge, data: ChargeData) -> None:
    check_method(charge.method)
    check_reagents(charge.reagents_g, data)
    if charge.method == "iron" and charge.reagents_g.get("nitre", ZERO).high > 0.0:
        raise InputError(data.notes["nitre_beside_rod"].said())


class _Pot:
    """Collects the products of one charge."""

    def __init__(self, data: ChargeData, method: str, burning: Mapping[str, Burning]) -> None:
        self.data = data
        self.burning = burning
        self.iron_rod = method == "iron"
        self.method = method
        self.made: dict[str, Range] = {}
        self.iron_needed = ZERO
        self.tramp = ZERO
        self.soda_mol = ZERO
        self.gone_in: dict[str, Range] = {}
        self.early_gas: dict[str, Range] = {}

    def minerals(self, concentrate: Concentrate, account: OxygenAccount) -> None:
        """All minerals, each by the equation that fits the method."""
        burning = {part.mineral.name for part in burning_parts(concentrate, self.data, self.method)}
        oxides = {part.mineral.name for part in oxide_parts(concentrate, self.data, self.method)}
        for part in concentrate.minerals:
            self._goes_in(part.mineral.formula, part.mass_g)
            burnt = account.sulphides_burnt if part.mineral.name in burning else ZERO
            if burnt.high > 0.0:
                self._burn(self.burning[part.mineral.name], part.mass_g * burnt)
            left = part.mass_g * complement(burnt)
            if part.mineral.name in oxides:
                self._give_oxygen(self.data.ore_oxides[part.mineral.name], part, account.ore_oxides_used)
            elif self.iron_rod and part.mineral.formula == "Fe":
                self.tramp = self.tramp + part.mass_g
            elif self.iron_rod:
                self._with_iron(part, left)
            else:
                self._react(self.data.heating[part.mineral.name], part.mineral.formula, left)

    def _with_iron(self, part: MineralMass, left: Range) -> None:
        uptake = self.data.iron[part.mineral.name]
        self._react(uptake.likely, uptake.formula, left)
        self.iron_needed = self.iron_needed + left * uptake.iron

    def _burn(self, burning: Burning, grams: Range) -> None:
        strong = burning.strong_part
        self._react(burning.most, burning.formula, grams * strong)
        self._react(burning.least, burning.formula, grams * complement(strong))

    def _give_oxygen(self, oxide: Oxidant, part: MineralMass, used: Range) -> None:
        reduced = (used * oxide.lead.scaled(1.0 / oxide.theory)).least(ONE)
        self._react(oxide.reaction, oxide.formula, part.mass_g * reduced)
        self._react(self.data.heating[part.mineral.name], oxide.formula, part.mass_g * complement(reduced))

    def reagents(self, reagents_g: Grams, account: OxygenAccount) -> None:
        """All reagents: fluxes fall apart by heat, the others by the oxygen account."""
        for name, grams in reagents_g.items():
            reagent = self.data.reagents[name]
            self._goes_in(reagent.formula, grams)
            if name in self.data.reductants:
                self._burn(self.data.reductants[name], grams * account.agents_used)
                self._add(reagent.formula, grams * complement(account.agents_used))
            elif name in self.data.oxidants:
                self._oxidant(self.data.oxidants[name], grams, account)
            elif reagent.formula in self.data.collectors:
                self._collector(self.data.collectors[reagent.formula], grams, account.collector_reduced)
            else:
                self._react(reagent.gives, reagent.formula, grams)
                self._early_gas(reagent.gives, reagent.formula, grams)

    def _early_gas(self, gives: Reaction, formula: str, grams: Range) -> None:
        for product in gives.right:
            species = self.data.species.get(product)
            if species is not None and species.place == "gas":
                gas = grams.scaled(gives.made_per_gram(product, formula))
                self.early_gas[product] = self.early_gas.get(product, ZERO) + gas

    def _oxidant(self, oxidant: Oxidant, grams: Range, account: OxygenAccount) -> None:
        for product in oxidant.reaction.right:
            made = grams.scaled(oxidant.reaction.made_per_gram(product, oxidant.formula))
            if product in self.data.collectors:
                self._collector(self.data.collectors[product], made, account.collector_reduced)
            elif product != "O2":
                self._add(product, made)
        useful = oxidant.lead.scaled(1.0 / oxidant.theory).least(ONE) * complement(account.nitre_to_spare)
        oxygen = grams.scaled(oxidant.reaction.made_per_gram("O2", oxidant.formula))
        self._add("O2", oxygen * complement(useful))

    def _collector(self, oxide: CollectorOxide, grams: Range, reduced: Range) -> None:
        self._react(oxide.reduced, oxide.formula, grams * reduced)
        left = grams * complement(reduced)
        if self.iron_rod:
            self._react(oxide.by_iron, oxide.formula, left)
            self.iron_needed = self.iron_needed - left.scaled(oxide.by_iron.grams_per_gram("Fe", oxide.formula))
        else:
            self._add(oxide.formula, left)

    def _react(self, reaction: Reaction, formula: str, grams: Range) -> None:
        for product in reaction.right:
            if product != "O2":
                self._add(product, grams.scaled(reaction.made_per_gram(product, formula)))

    def _add(self, formula: str, grams: Range) -> None:
        if formula == "Na2CO3":
            self.soda_mol = self.soda_mol + grams.scaled(1.0 / molar_mass_g("Na2CO3"))
        elif grams.high > 0.0:
            self.made[formula] = self.made.get(formula, ZERO) + grams

    def _goes_in(self, formula: str, grams: Range) -> None:
        if grams.high > 0.0:
            self.gone_in[formula] = self.gone_in.get(formula, ZERO) + grams

    def settle(self, account: OxygenAccount) -> Melt:
        """Sulphate first, then the slag binds its soda, then everything finds its place."""
        rod = positive(self.iron_needed - self.tramp)
        self._add("Fe", positive(self.tramp - self.iron_needed))
        self._goes_in("Fe", rod)
        soda = self._sulphate()
        acid = oxygen_of("acid", self.made, self.data.species)
        other = oxygen_of("base", self.made, self.data.species)
        bound = soda_bound_mol(acid, other, soda, self.data.single["soda_binding"].amount)
        oxides = self._placed()["slag"]
        self._add("Na2O", bound.scaled(molar_mass_g("Na2O")))
        self._add("CO2", bound.scaled(molar_mass_g("CO2")))
        self.made["Na2CO3"] = positive(soda - bound).scaled(molar_mass_g("Na2CO3"))
        return Melt(
            taken_in=self.gone_in,
            products=self._placed(),
            iron_needed_g=self.iron_needed,
            rod_used_g=rod,
            early_gas_g=self.early_gas,
            soda_g=soda.scaled(molar_mass_g("Na2CO3")),
            bound_soda_mol=bound,
            oxides_g=total(oxides.values()),
            acid_mol=acid,
            base_mol=other + soda,
            account=account,
        )

    def _sulphate(self) -> Range:
        """Turns sulphur trioxide into sulphate of potash and soda; returns the soda left, mol."""
        so3 = self.made.pop("SO3", ZERO).scaled(1.0 / molar_mass_g("SO3"))
        potash = self.made.pop("K2O", ZERO).scaled(1.0 / molar_mass_g("K2O"))
        wanting = positive(so3 - potash)
        by_soda = wanting.least(self.soda_mol)
        self._add("K2SO4", so3.least(potash).scaled(molar_mass_g("K2SO4")))
        self._add("K2O", positive(potash - so3).scaled(molar_mass_g("K2O")))
        self._add("Na2SO4", by_soda.scaled(molar_mass_g("Na2SO4")))
        self._add("CO2", by_soda.scaled(molar_mass_g("CO2")))
        self._add("SO3", positive(wanting - self.soda_mol).scaled(molar_mass_g("SO3")))
        return positive(self.soda_mol - wanting)

    def _placed(self) -> dict[str, Grams]:
        placed: dict[str, dict[str, Range]] = {place: {} for place in PLACES}
        for formula, grams in self.made.items():
            placed[self.data.species[formula].place][formula] = grams
        if self.iron_rod:
            kept = self.data.single["collector_kept"].amount
            for formula in placed["metal"].keys() & COLLECTOR_METALS:
                grams = placed["metal"][formula]
                placed["metal"][formula] = grams * kept
                placed["slag"][formula] = grams * complement(kept)
        return dict(placed)
