"""How much of each reagent to weigh, so that the collector comes out as wanted and the slag in its window.

The base is the printed charge for this kind of ore, table ``printed_charge``; stoichiometry fits it to this batch.
The order of work: the button aimed at, the collector for it with the litharge that stays as flux, then the reducing
agent or the nitre that the oxygen account asks for, then the fluxes: borax for oxides, soda for sulphate, more of
both where iron sulphide is to be hidden, and last soda or quartz until the degree of the slag lies in the window.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.charge.iron import burns
from advisor.metallurgy.charge.melt import Charge, Melt, check_method, check_reagents, melt
from advisor.metallurgy.charge.oxygen import OxygenNeeds, oxygen_needs, quartz_to_soda
from advisor.metallurgy.charge.reducing import nitre_for, oxygen_per_lead
from advisor.metallurgy.charge.slag import acid_oxygen, base_oxygen
from advisor.metallurgy.charge.tables import ChargeData, Reagent
from advisor.metallurgy.charge.trial import told_by_trial
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import ONE, ZERO, cited, positive, total
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.concentrate.composition import Concentrate
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.units.substances import mass_fraction, molar_mass_g
from advisor.words import tr

NO_COLLECTOR = "none"
_LEAST_WEIGHED_G = 1e-9
_PASSES, _CLOSE_MOL = 4, 1e-4
"""Sulphate takes its soda before the slag does, so the degree is come to step by step."""


@frozen
class Wish:
    """What charge is wanted and what is at hand.

    Attributes:
        method: ``iron``, ``nitre``, ``roast`` or ``flux``.
        collector: ``litharge``, ``red_lead``, ``lead``, ``bismuth_oxide``, ``bismuth`` or ``none``.
        collector_metal_g: Collector metal wanted, g; left out: ``button_target``.
        borax: The borax at hand.
        soda: The soda at hand.
        silica: The quartz or glass at hand.
        reductant: ``flour``, ``charcoal`` or ``tartar``.
        degree: Degree of the slag wanted; left out, what the printed charge gives within the window of the method.
        fixed_g: Reagents held at a weight, g by name; the others are planned around them.
    """

    method: str
    collector: str = "litharge"
    collector_metal_g: Range | None = None
    borax: str = "borax_anhydrous"
    soda: str = "soda_ash"
    silica: str = "silica"
    reductant: str = "flour"
    degree: Range | None = None
    fixed_g: Mapping[str, Range] = field(default_factory=dict)


@dataclass(slots=True)
class _Weighing:
    """Amounts so far, with the figure for each; what is held keeps its weight."""

    held: Mapping[str, Range]
    grams: dict[str, float] = field(default_factory=dict)
    figures: dict[str, Figure] = field(default_factory=dict)

    def put(self, reagent: Reagent, amount: Range, how: str, source: str) -> None:
        """Sets the amount of a reagent; what is next to nothing is left out."""
        if reagent.name in self.held:
            amount, how, source = self.held[reagent.name], tr("held at this weight"), tr("as wanted")
        if amount.high <= _LEAST_WEIGHED_G:
            return
        self.grams[reagent.name] = amount.likely
        self.figures[reagent.name] = Figure(f"{reagent.name}_g", reagent.title, amount, "g", how, source)

    def exact(self) -> dict[str, Range]:
        return {name: Range.exact(grams) for name, grams in self.grams.items() if grams > 0.0}


def weights(concentrate: Concentrate, wish: Wish, data: ChargeData) -> tuple[Charge, tuple[Figure, ...]]:
    """What to weigh.

    Args:
        concentrate: What is smelted; after a roast, the roasted material.
        wish: Method, collector and the forms of flux at hand.
        data: The tables.

    Returns:
        The charge to weigh, and a figure for each reagent with the range it may have.

    Raises:
        InputError: If the wish names something unknown or impossible.
    """
    _check(concentrate, wish, data)
    weighing = _Weighing(wish.fixed_g)
    for name, grams in wish.fixed_g.items():
        weighing.put(data.reagents[name], grams, "", "")
    base = _Base(concentrate, wish.method, data)
    metal_g = _collector(concentrate, wish, data, weighing, base)
    _oxygen(concentrate, wish, data, weighing, metal_g, base)
    _fluxes(concentrate, wish, data, weighing, base)
    return base.charge(concentrate, weighing), tuple(weighing.figures.values())


def button_target(concentrate: Concentrate, wish: Wish, data: ChargeData) -> Figure | None:
    """The collector metal that the charge aims at; None without a collector.

    The printed charge for the ore names it, else the trade's usual share of the concentrate; in lead never less
    than the gold weighs, which is what the cupel needs.
    """
    if wish.collector == NO_COLLECTOR:
        return None
    name, title = "button_target_g", tr("collector metal aimed at")
    if wish.collector_metal_g is not None:
        return Figure(name, title, wish.collector_metal_g, "g", tr("as wanted"), tr("as wanted"))
    metal = data.collector_metal(wish.collector)
    part = _Base(concentrate, wish.method, data).part("lead") if metal == "Pb" else None
    if part is None:
        usual = data.collector_parts["lead" if metal == "Pb" else "bismuth"]
        how = f"{in_words(concentrate.dry_mass_g, 'g')} x {in_words(usual.amount, tr('g per g'))}"
        part = _Part(concentrate.dry_mass_g * usual.amount, how, usual.source)
    gold_g = concentrate.mass_g("gold")
    if metal == "Pb" and gold_g.high > 0.0:
        own = data.printed["gold", "lead"]
        how = tr("{how}, and no less than the gold x {times}", how=part.how, times=in_words(own.amount, ""))
        part = _Part(part.grams.most(gold_g * own.amount), how, cited(part.source, own.source))
    return Figure(name, title, part.grams, "g", part.how, cited(part.source))


@frozen
class _Part:
    """Grams of one part of a charge, with formula and source."""

    grams: Range
    how: str
    source: str


class _Base:
    """The printed charge for the kinds of ore in the pot."""

    def __init__(self, concentrate: Concentrate, method: str, data: ChargeData) -> None:
        self.rows, self.method = data.printed, method
        self.quartz_g = concentrate.mass_g("quartz").likely
        self.dry_mass_g = concentrate.dry_mass_g
        # Of two kinds of ore the first is what the second leaves.
        self.ores = {method: concentrate.raw_mass_g or concentrate.dry_mass_g}
        if method == "flux":
            oxides = total(p.mass_g for p in concentrate.minerals if p.mineral.kind == "oxide" or burns(p.mineral.kind))
            self.ores = {"siliceous": positive(concentrate.dry_mass_g - oxides), "oxide": oxides}
        elif method == "iron":
            galena = concentrate.mass_g("galena")
            self.ores = {"iron": positive(concentrate.dry_mass_g - galena), "galena": galena}

    @property
    def ratio(self) -> float:
        """Quartz to 1 g of soda ash of the printed charge with this ore."""
        soda, silica = self.part("soda_ash"), self.part("silica")
        quartz = max(self.quartz_g, silica.grams.likely if silica is not None else 0.0)
        return quartz_to_soda(quartz, soda.grams.likely if soda is not None else 0.0)

    def charge(self, concentrate: Concentrate, weighing: _Weighing) -> Charge:
        """The charge as it is weighed so far."""
        return Charge(self.method, concentrate, weighing.exact(), planned_ratio=self.ratio)

    def part(self, name: str, of: Mapping[str, str] | None = None) -> _Part | None:
        """One part for everything in the pot; None where no printed charge has it.

        Args:
            name: The part.
            of: The kinds of ore whose row another kind gives.
        """
        found = [((of or {}).get(ore, ore), grams) for ore, grams in self.ores.items() if grams.high > 0.0]
        there = [(self.rows[ore, name], grams) for ore, grams in found if (ore, name) in self.rows]
        if not there:
            return None
        how = " + ".join(f"{in_words(grams, 'g')} x {in_words(row.amount, tr('g per g'))}" for row, grams in there)
        amount = total(grams * row.amount for row, grams in there)
        if len(there) > 1:
            (rest, first), (one, second) = ((grams, row.amount) for row, grams in there)
            amount = _over(self.dry_mass_g, one, rest, second, first)
        return _Part(amount, how, cited(*(row.source for row, _ in there)))


def _over(dry: Range, one: Range, rest: Range, of_one: Range, of_rest: Range) -> Range:
    """Grams of a part over two ores that share the pot: what is more of the one is less of the rest."""
    whole = one * of_one + rest * of_rest
    points = [(d, o) for d in (dry.low, dry.high) for o in (one.low, one.high, min(max(one.low, d), one.high))]
    low = min(o * of_one.low + max(0.0, d - o) * of_rest.low for d, o in points)
    high = max(o * of_one.high + max(0.0, d - o) * of_rest.high for d, o in points)
    return Range(min(low, whole.likely), whole.likely, max(high, whole.likely))


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
        raise InputError(
            tr(
                "{given} and {wanted} are not two forms of one flux; name two of one kind",
                given=given.title,
                wanted=wanted.title,
            )
        )
    per_g = base_oxygen(given.formula) / molar_mass_g(given.formula)
    return grams.scaled(per_g * molar_mass_g(wanted.formula) / base_oxygen(wanted.formula))


def _check(concentrate: Concentrate, wish: Wish, data: ChargeData) -> None:
    check_method(wish.method)
    families = {"borax": wish.borax, "soda": wish.soda, "silica": wish.silica, "reductant": wish.reductant}
    if wish.collector != NO_COLLECTOR:
        families["collector"] = wish.collector
    for family, name in families.items():
        fitting = [reagent.name for reagent in data.reagents.values() if reagent.family == family]
        if name not in fitting:
            raise InputError(
                tr(
                    "'{name}' is no {family}; choose one of {fitting}",
                    name=name[:40],
                    family=family,
                    fitting=", ".join(fitting),
                )
            )
    if wish.collector_metal_g is not None:
        range_within(tr("The collector metal wanted"), wish.collector_metal_g, "g", 0.0)
    if wish.degree is not None:
        range_within(tr("The degree of the slag wanted"), wish.degree, "", 0.1, 10.0)
    check_reagents(wish.fixed_g, data)
    range_within(tr("The dry mass of the concentrate"), concentrate.dry_mass_g, "g", 0.001)


def _collector(concentrate: Concentrate, wish: Wish, data: ChargeData, weighing: _Weighing, base: _Base) -> Range:
    """Weighs the collector; returns the metal that has to come out of its oxide."""
    target = button_target(concentrate, wish, data)
    if target is None:
        return ZERO
    reagent = data.reagents[wish.collector]
    metal = data.collector_metal(wish.collector)
    galena_g = concentrate.mass_g("galena").scaled(mass_fraction("PbS", "Pb")) if metal == "Pb" else ZERO
    kept = data.single["collector_kept"].amount if wish.method == "iron" else ONE
    missing = positive(target.amount / kept - galena_g)
    how = tr("{target} of metal aimed at", target=in_words(target.amount, "g"))
    if kept != ONE:
        how = tr("{how} / {kept}, since the rest stays in the slag", how=how, kept=in_words(kept, ""))
    if galena_g.high > 0.0:
        how = tr("{how}, less {lead} from galena", how=how, lead=in_words(galena_g, "g"))
    source = cited(target.source, data.single["collector_kept"].source if kept != ONE else "")
    content = data.collector_content(wish.collector)
    if content is None:
        weighing.put(reagent, missing, how, source)
        return ZERO
    oxide, oxide_part = content
    per_g = oxide_part * oxide.metal_part
    if wish.collector in wish.fixed_g:
        missing = missing.least(wish.fixed_g[wish.collector].scaled(per_g))
    amount = missing.scaled(1.0 / per_g)
    how = tr("({how}) / {metal:.3f} metal in it", how=how, metal=per_g)
    stays = base.part("litharge") if metal == "Pb" else None
    if stays is not None:
        amount = amount + stays.grams.scaled(1.0 / oxide_part)
        how = tr("{how}, and as flux {flux}", how=how, flux=stays.how)
        source = cited(source, stays.source)
    weighing.put(reagent, amount, how, source)
    return Range.exact(missing.likely)


def _oxygen(
    concentrate: Concentrate, wish: Wish, data: ChargeData, weighing: _Weighing, metal_g: Range, base: _Base
) -> None:
    """Weighs flour or charcoal if too little metal comes down, nitre if too much; never both."""
    needs = oxygen_needs(concentrate, weighing.exact(), data, wish.method, base.ratio)
    content = data.collector_content(wish.collector) if metal_g.likely else None
    wanted = metal_g.scaled(content[0].oxygen_part / content[0].metal_part) if content else ZERO
    too_much = needs.ore_g - needs.nitre_g - wanted
    if wish.method == "nitre" and too_much.likely > 0.0:
        _nitre(concentrate, positive(too_much), data, weighing)
        return
    agent = data.reductants[wish.reductant]
    how = told_by_trial(concentrate, _account_in_words(needs, wanted))
    if content and content[0].metal == "Bi":
        how = tr("{how} (bismuth by its oxygen)", how=how)
    source = cited(agent.source, "calculation" if wish.collector == "bismuth_oxide" else "")
    short = positive(ZERO - too_much) if too_much.likely < 0.0 else ZERO
    air = base.part("reduction")
    if air is not None and air.grams.scaled(oxygen_per_lead()).likely > short.likely:
        short, how, source = (
            air.grams.scaled(oxygen_per_lead()),
            tr("as lead: {how}", how=air.how),
            cited(agent.source, air.source),
        )
    weighing.put(data.reagents[wish.reductant], short / agent.oxygen, how, source)


def _nitre(concentrate: Concentrate, too_much: Range, data: ChargeData, weighing: _Weighing) -> None:
    """Weighs nitre for the oxygen that is taken beyond what the button asks, within the printed limit."""
    nitre, most = data.oxidants["nitre"], data.single["nitre_most"]
    limit = most.amount.high * sum(p.mass_g.likely for p in concentrate.minerals if burns(p.mineral.kind))
    wanted = nitre_for(too_much.scaled(1.0 / oxygen_per_lead()), nitre)
    how = tr(
        "{how}, and no more than {limit} g", how=told_by_trial(concentrate, wanted.how), limit=format_number(limit)
    )
    amount = wanted.amount.least(Range.exact(limit))
    weighing.put(data.reagents["nitre"], amount, how, cited(wanted.source, most.source))


def _account_in_words(needs: OxygenNeeds, wanted: Range) -> str:
    parts = (wanted, needs.ore_oxides_g + needs.nitre_g, needs.sulphides_g)
    lead = [in_words(part.scaled(1.0 / oxygen_per_lead()), "g") for part in parts]
    return tr(
        "as lead: {wanted} wanted and {kept_up} kept up by oxides of the ore, less {reduced} reduced by sulphides",
        wanted=lead[0],
        kept_up=lead[1],
        reduced=lead[2],
    )


def _fluxes(concentrate: Concentrate, wish: Wish, data: ChargeData, weighing: _Weighing, base: _Base) -> None:
    form = _Forms(wish, data)
    parts = {name: base.part(row) for name, row in _FLUXES.items()}
    known = {name: part for name, part in parts.items() if part is not None}
    amounts = {name: part.grams for name, part in known.items()}
    hows, sources = {n: part.how for n, part in known.items()}, {n: part.source for n, part in known.items()}
    amounts["silica"] = form.silica_g(positive(amounts["silica"] - concentrate.mass_g("quartz")))
    hows["silica"] = tr("{how} less the quartz in it", how=hows["silica"])
    form.hold(amounts)
    form.put(weighing, amounts, hows, sources)
    made = melt(base.charge(concentrate, weighing), data)
    if wish.method == "iron":
        _hide_sulphide(concentrate, made, data, base, amounts, hows, sources)
    else:
        amounts["borax"] = amounts["borax"] + iron_oxide_left(made, amounts["borax"], data)
        amounts["soda"] = amounts["soda"] + _soda_for_sulphate(made)
    form.hold(amounts)
    form.put(weighing, amounts, hows, sources)
    made = melt(base.charge(concentrate, weighing), data)
    if wish.degree is None:
        _into_window(made, wish, data, amounts, hows)
        form.put(weighing, amounts, hows, sources)
        return
    for _ in range(_PASSES):
        _to_degree(made, wish.degree.likely, form, weighing, amounts, hows)
        form.put(weighing, amounts, hows, sources)
        made = melt(base.charge(concentrate, weighing), data)


_FLUXES = {"borax": "borax_anhydrous", "soda": "soda_ash", "silica": "silica"}


def _hide_sulphide(
    concentrate: Concentrate,
    made: Melt,
    data: ChargeData,
    base: _Base,
    amounts: dict[str, Range],
    hows: dict[str, str],
    sources: dict[str, str],
) -> None:
    """Borax and soda between the book's and the trade's, as far as the slag must hide iron sulphide.

    What galena gives is left out: the book's charge for it has little soda and hides it all the same.
    """
    galena_g = concentrate.mass_g("galena").scaled(molar_mass_g("FeS") / molar_mass_g("PbS"))
    sulphide, holds = positive(made.place_g("sulphide") - galena_g), data.sulphide_in_slag["slag"]
    trade = {name: base.part(_FLUXES[name], {"iron": "trade"}) for name in ("borax", "soda")}
    more = {name: part.grams.likely - amounts[name].likely for name, part in trade.items() if part is not None}
    gains = more["borax"] + _WITHOUT_GAS * more["soda"]
    if sulphide.likely <= 0.0 or gains <= 0.0:
        return
    missing = sulphide / holds.amount - made.oxides_g - made.soda_g.scaled(_WITHOUT_GAS)
    way = positive(missing).scaled(1.0 / gains).least(ONE)
    for name, part in trade.items():
        if part is not None and way.high > 0.0:
            amounts[name] = _between(amounts[name], part.grams, way)
            hows[name] = tr(
                "{how}, towards {usual} so that the slag hides {sulphide} of sulphide",
                how=hows[name],
                usual=part.how,
                sulphide=in_words(sulphide, "g"),
            )
            sources[name] = cited(sources[name], part.source, holds.source)


_WITHOUT_GAS = molar_mass_g("Na2O") / molar_mass_g("Na2CO3")


def _between(one: Range, other: Range, way: Range) -> Range:
    """A range part of the way from one to another that lies no lower, value by value."""
    return Range(
        one.low + (other.low - one.low) * way.low,
        one.likely + (other.likely - one.likely) * way.likely,
        one.high + (other.high - one.high) * way.high,
    )


def iron_oxide_left(made: Melt, borax_g: Range, data: ChargeData) -> Range:
    """Lower iron oxide that borax, silicate of soda and litharge do not take up, g.

    Args:
        made: The melt.
        borax_g: Its borax, g without water.
        data: The tables.
    """
    silicate = made.grams("slag", "SiO2").scaled(molar_mass_g("Na2SiO3") / molar_mass_g("SiO2"))
    taken = borax_g.scaled(data.flux_power["borax_anhydrous"]) + silicate.scaled(data.flux_power["sodium_silicate"])
    taken = taken + made.grams("slag", "PbO").scaled(data.flux_power["litharge"])
    return positive(made.grams("slag", "FeO") - taken)


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
    found = format_number(made.degree.likely)

    def brought(how: str) -> str:
        return tr(
            "{how}, and to bring the degree {degree} into {window}", how=how, degree=found, window=in_words(window, "")
        )

    if soda_mol.likely > 0.0:
        amounts["soda"] = amounts["soda"] + soda_mol.scaled(molar_mass_g("Na2CO3"))
        hows["soda"] = brought(hows["soda"])
    elif silica_mol.likely > 0.0:
        amounts["silica"] = amounts["silica"] + silica_mol.scaled(molar_mass_g(reagent.formula))
        hows["silica"] = brought(hows["silica"])


def _to_degree(
    made: Melt, degree: float, form: _Forms, weighing: _Weighing, amounts: dict[str, Range], hows: dict[str, str]
) -> None:
    """Soda more or less, then litharge as flux, then quartz or borax, until the slag has a degree.

    Raises:
        InputError: If what is held leaves nothing that could bring it there.
    """
    missing = made.acid_mol.likely / degree - made.base_mol.likely
    found = format_number(made.degree.likely)

    def brought(how: str) -> str:
        return tr(
            "{how}, and to bring the degree {degree} to {wanted}", how=how, degree=found, wanted=format_number(degree)
        )

    for name, per_mol in form.bases(weighing):
        if name != "litharge":
            change = max(missing, -made.soda_g.likely / per_mol)
            amounts[name] = _shifted(amounts[name], change * per_mol)
            hows[name] = brought(hows[name]) if abs(change) > _CLOSE_MOL else hows[name]
        else:
            figure = weighing.figures[name]
            change = max(missing, -(figure.amount.likely - form.collector_g(made)) / per_mol)
            weighing.put(
                form.data.reagents[name],
                _shifted(figure.amount, change * per_mol),
                brought(figure.how) if abs(change) > _CLOSE_MOL else figure.how,
                figure.source,
            )
        missing -= change
    if missing < -_CLOSE_MOL:
        for name, formula in form.acids():
            per_mol = molar_mass_g(formula) / (acid_oxygen(formula) / degree - base_oxygen(formula))
            if per_mol > 0.0:
                amounts[name] = _shifted(amounts[name], -missing * per_mol)
                hows[name] = brought(hows[name])
                return
    if abs(missing) > _CLOSE_MOL:
        raise InputError(
            tr(
                "with these reagents held nothing is left to bring the slag to a degree of {degree}; "
                "hold fewer of them, or ask for another degree",
                degree=format_number(degree),
            )
        )


def _shifted(amount: Range, grams: float) -> Range:
    return positive(amount + Range.exact(grams))


class _Forms:
    """The forms of flux at hand."""

    def __init__(self, wish: Wish, data: ChargeData) -> None:
        self.data, self.held, self.collector = data, wish.fixed_g, wish.collector
        self.borax = data.reagents[wish.borax]
        self.soda = data.reagents[wish.soda]
        self.silica = data.reagents[wish.silica]

    def silica_g(self, quartz_g: Range) -> Range:
        """The quartz or glass that holds a mass of quartz."""
        per_g = acid_oxygen("SiO2") / molar_mass_g("SiO2")
        mine = acid_oxygen(self.silica.formula) / molar_mass_g(self.silica.formula)
        return quartz_g.scaled(per_g / mine)

    def hold(self, amounts: dict[str, Range]) -> None:
        """Sets borax, soda and silica to what is held of them, as the usual forms."""
        for name, form in (("borax", self.borax), ("soda", self.soda)):
            if form.name in self.held:
                amounts[name] = equivalent_g(self.held[form.name], form, self.data.reagents[_FLUXES[name]])
        if self.silica.name in self.held:
            amounts["silica"] = self.held[self.silica.name]

    def bases(self, weighing: _Weighing) -> list[tuple[str, float]]:
        """The bases that may be more or less, each with the grams of the usual form that bring 1 mol of base oxygen."""
        found = [("soda", molar_mass_g("Na2CO3"))] if self.soda.name not in self.held else []
        if self.collector == "litharge" not in self.held and "litharge" in weighing.figures:
            found.append(("litharge", molar_mass_g("PbO")))
        return found

    def acids(self) -> list[tuple[str, str]]:
        """The acids that may be more, with their formulas, the usual one of borax."""
        silica = [("silica", self.silica.formula)] if self.silica.name not in self.held else []
        return silica + ([("borax", "Na2B4O7")] if self.borax.name not in self.held else [])

    def collector_g(self, made: Melt) -> float:
        """Litharge that the button takes, g; the rest is flux."""
        return made.grams("metal", "Pb").likely * molar_mass_g("PbO") / molar_mass_g("Pb")

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
        return tr("({how}) x {factor:.3f} for this form", how=how, factor=factor), cited(source, "calculation")
