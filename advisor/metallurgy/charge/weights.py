"""How much of each reagent to weigh, so that the collector comes out as wanted and the slag in its window.

The order of work: collector, then the reducing agent or nitre that the oxygen account asks for, then borax for
the oxides, soda for quartz and sulphate, quartz for the pot, and last soda or quartz until the degree of the
slag lies in the window of the method.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.charge.melt import Charge, Melt, melt
from advisor.metallurgy.charge.oxygen import oxygen_needs
from advisor.metallurgy.charge.reducing import oxygen_per_lead
from advisor.metallurgy.charge.slag import acid_oxygen, base_oxygen
from advisor.metallurgy.charge.tables import METHODS, ChargeData, Reagent
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import ZERO, cited, positive
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.concentrate.composition import Concentrate
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.units.substances import mass_fraction, molar_mass_g

NO_COLLECTOR = "none"
_LEAST_WEIGHED_G = 1e-9


@frozen
class Wish:
    """What charge is wanted and what is at hand.

    Attributes:
        method: ``iron``, ``nitre``, ``roast`` or ``flux``.
        collector: ``litharge``, ``lead``, ``bismuth_oxide``, ``bismuth`` or ``none``.
        collector_metal_g: Collector metal wanted, g; left out: the usual share of the concentrate.
        borax: The borax at hand.
        soda: The soda at hand.
        silica: The quartz or glass at hand.
        reductant: ``flour``, ``charcoal`` or ``tartar``.
    """

    method: str
    collector: str = "litharge"
    collector_metal_g: Range | None = None
    borax: str = "borax_anhydrous"
    soda: str = "soda_ash"
    silica: str = "silica"
    reductant: str = "flour"


@dataclass(slots=True)
class _Weighing:
    """Amounts so far, with the figure for each."""

    grams: dict[str, float] = field(default_factory=dict)
    figures: dict[str, Figure] = field(default_factory=dict)

    def put(self, reagent: Reagent, amount: Range, how: str, source: str) -> None:
        """Sets the amount of a reagent; what is next to nothing is left out."""
        if amount.high <= _LEAST_WEIGHED_G:
            return
        self.grams[reagent.name] = amount.likely
        self.figures[reagent.name] = Figure(f"{reagent.name}_g", reagent.title, amount, "g", how, source)

    def exact(self) -> dict[str, Range]:
        return {name: Range.exact(grams) for name, grams in self.grams.items() if grams > 0.0}


def weights(concentrate: Concentrate, wish: Wish, data: ChargeData) -> tuple[Mapping[str, Range], tuple[Figure, ...]]:
    """What to weigh.

    Args:
        concentrate: What is smelted; after a roast, the roasted material.
        wish: Method, collector and the forms of flux at hand.
        data: The tables.

    Returns:
        The grams to weigh by reagent, and a figure for each with the range it may have.

    Raises:
        InputError: If the wish names something unknown or impossible.
    """
    _check(concentrate, wish, data)
    weighing = _Weighing()
    metal_g = _collector(concentrate, wish, data, weighing)
    _oxygen(concentrate, wish, data, weighing, metal_g)
    _fluxes(concentrate, wish, data, weighing)
    return weighing.exact(), tuple(weighing.figures.values())


def equivalent_g(grams: Range, given: Reagent, wanted: Reagent) -> Range:
    """The mass of one form of borax or soda that does the work of another.

    Args:
        grams: Mass of the form given, g.
        given: The form given.
        wanted: The form wanted, of the same family.

    Returns:
        Mass of the form wanted, g.

    Raises:
        InputError: If the two are not forms of the same flux.
    """
    if given.family != wanted.family or given.family not in ("borax", "soda"):
        raise InputError(f"{given.title} and {wanted.title} are not two forms of one flux; name two of one kind")
    per_g = base_oxygen(given.formula) / molar_mass_g(given.formula)
    return grams.scaled(per_g * molar_mass_g(wanted.formula) / base_oxygen(wanted.formula))


def _check(concentrate: Concentrate, wish: Wish, data: ChargeData) -> None:
    if wish.method not in METHODS:
        raise InputError(f"there is no method '{wish.method[:40]}'; choose one of {', '.join(METHODS)}")
    families = {"borax": wish.borax, "soda": wish.soda, "silica": wish.silica, "reductant": wish.reductant}
    if wish.collector != NO_COLLECTOR:
        families["collector"] = wish.collector
    for family, name in families.items():
        fitting = [reagent.name for reagent in data.reagents.values() if reagent.family == family]
        if name not in fitting:
            raise InputError(f"'{name[:40]}' is no {family}; choose one of {', '.join(fitting)}")
    if wish.collector_metal_g is not None:
        range_within("The collector metal wanted", wish.collector_metal_g, "g", 0.0)
    range_within("The dry mass of the concentrate", concentrate.dry_mass_g, "g", 0.001)


def _collector(concentrate: Concentrate, wish: Wish, data: ChargeData, weighing: _Weighing) -> Range:
    """Weighs the collector; returns the metal that has to come out of its oxide."""
    if wish.collector == NO_COLLECTOR:
        return ZERO
    reagent = data.reagents[wish.collector]
    oxide = data.collectors.get(reagent.formula)
    metal = oxide.metal if oxide else reagent.formula
    parts = data.collector_parts["lead" if metal == "Pb" else "bismuth"]
    wanted = wish.collector_metal_g or concentrate.dry_mass_g * parts.amount
    galena_g = concentrate.mass_g("galena").scaled(mass_fraction("PbS", "Pb")) if metal == "Pb" else ZERO
    missing = positive(wanted - galena_g)
    how = f"{in_words(wanted, 'g')} of metal wanted less {in_words(galena_g, 'g')} from galena"
    source = cited(parts.source) if wish.collector_metal_g is None else "as wanted"
    if oxide is None:
        weighing.put(reagent, missing, how, source)
        return ZERO
    excess = data.collector_excess[wish.method]
    how += f", / {oxide.metal_part:.3f} metal in the oxide, x {in_words(excess.amount, '')}"
    amount = missing.scaled(1.0 / oxide.metal_part) * excess.amount
    weighing.put(reagent, amount, how, cited(source, excess.source))
    return Range.exact(missing.likely)


def _oxygen(concentrate: Concentrate, wish: Wish, data: ChargeData, weighing: _Weighing, metal_g: Range) -> None:
    """Weighs flour or charcoal if too little metal comes down, nitre if too much."""
    needs = oxygen_needs(concentrate, weighing.exact(), data, wish.method)
    oxide = data.collectors.get(data.reagents[wish.collector].formula) if metal_g.likely else None
    wanted = metal_g.scaled(oxide.oxygen_part / oxide.metal_part) if oxide else ZERO
    too_much = needs.sulphides_g - needs.ore_oxides_g - wanted
    as_lead = 1.0 / oxygen_per_lead()
    agent = data.reductants[wish.reductant]
    short = positive(ZERO - too_much)
    if oxide or needs.ore_oxides_g.high > 0.0:
        how = _account_in_words(needs.sulphides_g, needs.ore_oxides_g, wanted)
        how += " (bismuth by its oxygen)" if oxide and oxide.metal == "Bi" else ""
        source = cited(agent.source, "calculation" if wish.collector == "bismuth_oxide" else "")
        weighing.put(data.reagents[wish.reductant], short / agent.oxygen, how, source)
    if wish.method == "nitre":
        nitre = data.oxidants["nitre"]
        how = (
            f"{in_words(positive(too_much).scaled(as_lead), 'g')} of lead too much / {in_words(nitre.lead, 'g per g')}"
        )
        weighing.put(data.reagents["nitre"], positive(too_much) / nitre.oxygen, how, cited(nitre.source))


def _account_in_words(sulphides: Range, oxides: Range, wanted: Range) -> str:
    lead = [part.scaled(1.0 / oxygen_per_lead()) for part in (wanted, oxides, sulphides)]
    return (
        f"as lead: {in_words(lead[0], 'g')} wanted and {in_words(lead[1], 'g')} kept up by oxides of the ore, less "
        f"{in_words(lead[2], 'g')} reduced by sulphides"
    )


def _fluxes(concentrate: Concentrate, wish: Wish, data: ChargeData, weighing: _Weighing) -> None:
    dry = concentrate.dry_mass_g
    borax = data.flux_parts[wish.method, "borax_anhydrous"]
    soda = data.flux_parts[wish.method, "soda_ash"]
    spare_pot = data.single["silica_least"]
    form = _Forms(wish, data)
    quartz = positive(dry * spare_pot.amount - concentrate.mass_g("quartz"))
    amounts = {"borax": dry * borax.amount, "soda": dry * soda.amount, "silica": form.silica_g(quartz)}
    hows = {
        "borax": f"{in_words(dry, 'g')} x {in_words(borax.amount, 'g per g')}",
        "soda": f"{in_words(dry, 'g')} x {in_words(soda.amount, 'g per g')}",
        "silica": f"{in_words(dry, 'g')} x {in_words(spare_pot.amount, 'g per g')} less the quartz in it",
    }
    sources = {"borax": borax.source, "soda": soda.source, "silica": spare_pot.source}
    form.put(weighing, amounts, hows, sources)
    made = melt(Charge(wish.method, concentrate, weighing.exact()), data)
    amounts["borax"] = amounts["borax"] + _borax_for_oxides(made, amounts["borax"], data)
    if wish.method != "iron":
        amounts["soda"] = amounts["soda"] + _soda_for_sulphate(made)
    form.put(weighing, amounts, hows, sources)
    made = melt(Charge(wish.method, concentrate, weighing.exact()), data)
    _into_window(made, wish, data, amounts, hows)
    form.put(weighing, amounts, hows, sources)


def _borax_for_oxides(made: Melt, borax_g: Range, data: ChargeData) -> Range:
    """Anhydrous borax for the iron oxide that borax and silicate of soda do not take up yet."""
    silicate = made.grams("slag", "SiO2").scaled(molar_mass_g("Na2SiO3") / molar_mass_g("SiO2"))
    taken = borax_g.scaled(data.flux_power["borax_anhydrous"]) + silicate.scaled(data.flux_power["sodium_silicate"])
    return positive(made.grams("slag", "FeO") - taken).scaled(1.0 / data.flux_power["borax_anhydrous"])


def _soda_for_sulphate(made: Melt) -> Range:
    """Soda ash that sulphate uses up beside the potash of the nitre."""
    sulphate = made.grams("salt", "Na2SO4").scaled(1.0 / molar_mass_g("Na2SO4"))
    unbound = made.grams("gas", "SO3").scaled(1.0 / molar_mass_g("SO3"))
    return (sulphate + unbound).scaled(molar_mass_g("Na2CO3"))


def _into_window(made: Melt, wish: Wish, data: ChargeData, amounts: dict[str, Range], hows: dict[str, str]) -> None:
    """Adds soda to a slag that is too acid, quartz to one that is too alkaline."""
    window = data.windows[wish.method].amount
    reagent = data.reagents[wish.silica]
    soda_mol = positive(made.acid_mol.scaled(1.0 / window.high) - made.base_mol)
    acid_per_mol = acid_oxygen(reagent.formula) - window.low * base_oxygen(reagent.formula)
    silica_mol = positive(made.base_mol.scaled(window.low) - made.acid_mol).scaled(1.0 / acid_per_mol)
    note = f", and to bring the degree {format_number(made.degree.likely)} into {in_words(window, '')}"
    if soda_mol.likely > 0.0:
        amounts["soda"] = amounts["soda"] + soda_mol.scaled(molar_mass_g("Na2CO3"))
        hows["soda"] += note
    elif silica_mol.likely > 0.0:
        amounts["silica"] = amounts["silica"] + silica_mol.scaled(molar_mass_g(reagent.formula))
        hows["silica"] += note


class _Forms:
    """The forms of flux at hand."""

    def __init__(self, wish: Wish, data: ChargeData) -> None:
        self.data = data
        self.borax = data.reagents[wish.borax]
        self.soda = data.reagents[wish.soda]
        self.silica = data.reagents[wish.silica]

    def silica_g(self, quartz_g: Range) -> Range:
        """The quartz or glass that holds a mass of quartz."""
        per_g = acid_oxygen("SiO2") / molar_mass_g("SiO2")
        mine = acid_oxygen(self.silica.formula) / molar_mass_g(self.silica.formula)
        return quartz_g.scaled(per_g / mine)

    def put(
        self,
        weighing: _Weighing,
        amounts: Mapping[str, Range],
        hows: Mapping[str, str],
        sources: Mapping[str, str],
    ) -> None:
        """Weighs anhydrous borax and soda ash as the forms at hand."""
        borax = equivalent_g(amounts["borax"], self.data.reagents["borax_anhydrous"], self.borax)
        soda = equivalent_g(amounts["soda"], self.data.reagents["soda_ash"], self.soda)
        borax_how, borax_source = self._said(self.borax, "borax_anhydrous", hows["borax"], sources["borax"])
        soda_how, soda_source = self._said(self.soda, "soda_ash", hows["soda"], sources["soda"])
        weighing.put(self.borax, borax, borax_how, borax_source)
        weighing.put(self.soda, soda, soda_how, soda_source)
        weighing.put(self.silica, amounts["silica"], hows["silica"], cited(sources["silica"]))

    def _said(self, form: Reagent, usual: str, how: str, source: str) -> tuple[str, str]:
        """The formula in words and its source, with the factor of a form that is not the usual one."""
        if form.name == usual:
            return how, cited(source)
        factor = equivalent_g(Range.exact(1.0), self.data.reagents[usual], form).likely
        return f"({how}) x {factor:.3f} for this form", cited(source, "calculation")
