"""The figures of a melt: slag, soda, iron, collector, metal, matte, gas."""

from __future__ import annotations

from dataclasses import replace

from advisor.metallurgy.charge.iron import SULPHIDES, iron_taken_up, rod_to_weigh
from advisor.metallurgy.charge.melt import COLLECTOR_METALS, Charge, Melt
from advisor.metallurgy.charge.oxygen import lead_by_trial
from advisor.metallurgy.charge.reducing import lead_reduced
from advisor.metallurgy.charge.slag import volume_ml
from advisor.metallurgy.charge.tables import ChargeData
from advisor.metallurgy.charge.trial import told_by_trial
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.gas_law import gas_moles, gas_volume_l
from advisor.metallurgy.common.range_sums import cited, complement, positive, share, total
from advisor.metallurgy.common.rows import in_words
from advisor.units import Range
from advisor.words import tr

_CALCULATED = "calculation"
_PARTS_OVER_DENSITY = tr("mass of each part over its density")
_GASES = {
    "CO2": tr("carbon dioxide"),
    "H2O": tr("steam"),
    "SO2": tr("sulphur dioxide"),
    "CO": tr("carbon monoxide"),
    "As2O3": tr("white arsenic smoke"),
}


def melt_figures(charge: Charge, made: Melt, data: ChargeData) -> tuple[Figure, ...]:
    """All figures that follow from the products of a charge.

    Args:
        charge: The charge as weighed.
        made: What it melts to.
        data: The tables.
    """
    figures = (
        *_slag_figures(made, data),
        *_sulphides_by_trial(charge),
        _lead_thrown_down(charge, data),
        *_metal_figures(charge, made, data),
        *_gas_figures(made, data),
    )
    return (*figures, *_iron_figures(charge, made, data)) if charge.method == "iron" else figures


def _sulphides_by_trial(charge: Charge) -> tuple[Figure, ...]:
    """The sulphides as a trial fusion has them; without one they are what was estimated."""
    trial = charge.concentrate.trial
    if trial is None:
        return ()
    grams = charge.concentrate.kind_g(*SULPHIDES)
    how = told_by_trial(charge.concentrate, trial.how)
    return (Figure("sulphides_g", tr("sulphide, arsenide and telluride"), grams, "g", how, trial.source),)


def _lead_thrown_down(charge: Charge, data: ChargeData) -> Figure:
    concentrate, power = charge.concentrate, data.burning_beside(charge.quartz_to_soda(data), charge.concentrate)
    found, trial = lead_reduced(concentrate, power), concentrate.trial
    if trial is None:
        return found
    lead = lead_by_trial(concentrate, power, data)
    return replace(found, amount=lead, how=told_by_trial(concentrate, trial.how), source=trial.source)


def melting_heat(charge: Charge, data: ChargeData) -> Figure:
    """The heat of the melt, °C: that of the source for the method, lower where galena is smelted with iron."""
    galena = share(charge.concentrate.mass_g("galena"), charge.concentrate.dry_mass_g).likely
    heat = data.heats["galena" if charge.method == "iron" and galena > data.notice["galena"] else charge.method]
    return Figure("melting_heat_c", tr("heat of the melt"), heat.amount, "C", heat.says, cited(heat.source))


def sulphide_room_g(made: Melt, data: ChargeData) -> Range:
    """Sulphide that the slag can hide, g."""
    room = made.bound_slag_g * data.sulphide_in_slag["slag"].amount
    return room + made.free_soda_g * data.sulphide_in_slag["free_soda"].amount


def matte_g(made: Melt, data: ChargeData) -> Range:
    """Sulphide beyond what the slag can hide, g."""
    return positive(made.place_g("sulphide") - sulphide_room_g(made, data))


def _slag_figures(made: Melt, data: ChargeData) -> tuple[Figure, ...]:
    sulphide, room, matte = made.place_g("sulphide"), sulphide_room_g(made, data), matte_g(made, data)
    mass = made.slag_g + made.place_g("salt") + sulphide.least(room)
    volume = total(volume_ml(made.products[place], data.species) for place in ("slag", "salt", "sulphide"))
    degree_how = tr(
        "{acid} acid oxygen / {base} base oxygen",
        acid=in_words(made.acid_mol, "mol"),
        base=in_words(made.base_mol, "mol"),
    )
    free_how = tr("{soda} of soda ash less what the acids bind", soda=in_words(made.soda_g, "g"))
    binding = cited(data.single["soda_binding"].source)
    hides = cited(*(row.source for row in data.sulphide_in_slag.values()))
    matte_how = tr(
        "{sulphide} of sulphide less {room} hidden", sulphide=in_words(sulphide, "g"), room=in_words(room, "g")
    )
    slag_how = tr("oxides, free soda, sulphate and hidden sulphide")
    return (
        Figure("slag_degree", tr("degree of the slag"), made.degree, "", degree_how, _CALCULATED),
        Figure("free_soda_g", tr("soda that stays free"), made.free_soda_g, "g", free_how, binding),
        Figure("slag_g", tr("slag"), mass, "g", slag_how, _CALCULATED),
        Figure("slag_ml", tr("volume of the slag"), volume, "ml", _PARTS_OVER_DENSITY, _densities(made, data, "slag")),
        Figure("matte_g", tr("matte (sulphide the slag cannot hide)"), matte, "g", matte_how, hides),
        Figure("speiss_g", tr("speiss"), made.place_g("speiss"), "g", tr("by formula"), _CALCULATED),
    )


def _metal_figures(charge: Charge, made: Melt, data: ChargeData) -> tuple[Figure, ...]:
    collector = made.grams("metal", "Pb") + made.grams("metal", "Bi")
    others = ", ".join(f for f in made.products["metal"] if f not in (*COLLECTOR_METALS, "Au")) or tr("no others")
    button_how, unreduced = (
        tr("collector, gold and {others}", others=others),
        complement(made.account.collector_reduced),
    )
    volume = volume_ml(made.products["metal"], data.species)
    figures = (
        Figure(
            "collector_metal_g", tr("collector metal"), collector, "g", tr("from oxide, galena, metal"), _CALCULATED
        ),
        Figure("button_g", tr("button"), made.place_g("metal"), "g", button_how, _CALCULATED),
        Figure(
            "button_ml",
            tr("volume of the button"),
            volume,
            "ml",
            _PARTS_OVER_DENSITY,
            _densities(made, data, "metal"),
        ),
    )
    if charge.method == "iron" or not has_collector_oxide(charge, data):
        return figures
    title, how = tr("share of the collector oxide left in the slag"), tr("one less the share reduced")
    return (*figures, Figure("collector_unreduced", title, unreduced, "", how, _CALCULATED))


def _densities(made: Melt, data: ChargeData, place: str) -> str:
    """Where the densities of a place come from."""
    return cited(*(data.species[formula].source for formula in made.products[place])) or _CALCULATED


def has_collector_oxide(charge: Charge, data: ChargeData) -> bool:
    """Whether litharge or bismuth oxide is in the charge."""
    weighed = (name for name, grams in charge.reagents_g.items() if grams.likely > 0.0)
    return any(data.collector_content(name) for name in weighed)


def hot_gas_l(made: Melt, data: ChargeData) -> Range:
    """Gas of the charge at the heat where it comes: early gas and late gas each at its own.

    Args:
        made: What the charge melts to.
        data: The tables.

    Returns:
        Litres.
    """
    early = gas_moles(made.early_gas_g)
    late = positive(gas_moles(made.products["gas"]) - early)
    early_l = gas_volume_l(early, data.gas_heat_c["early"])
    return early_l + gas_volume_l(late, data.gas_heat_c["late"])


def _gas_figures(made: Melt, data: ChargeData) -> tuple[Figure, ...]:
    moles = gas_moles(made.products["gas"])
    early, late = data.gas_heat_c["early"], data.gas_heat_c["late"]
    hot_how = tr(
        "water and the first gas of baking soda at {early:g} °C, the rest at {late:g} °C, by the gas law",
        early=early,
        late=late,
    )
    cold_how = f"{in_words(moles, 'mol')} x 22.414 L"
    masses = (
        Figure(f"{formula.lower()}_g", title, made.grams("gas", formula), "g", tr("by formula"), _CALCULATED)
        for formula, title in _GASES.items()
    )
    return (
        *masses,
        Figure("gas_g", tr("all gas and fume"), made.place_g("gas"), "g", tr("sum"), _CALCULATED),
        Figure("gas_cold_l", tr("gas at 0 °C and sea level"), gas_volume_l(moles), "L", cold_how, _CALCULATED),
        Figure("gas_hot_l", tr("gas, hot"), hot_gas_l(made, data), "L", hot_how, _CALCULATED),
    )


def _iron_figures(charge: Charge, made: Melt, data: ChargeData) -> tuple[Figure, ...]:
    spare = data.single["rod"]
    minerals = iron_taken_up(charge.concentrate, data.iron)
    how = tr(
        "{how}; less what the collector oxide burns, and more for what of it is left",
        how=told_by_trial(charge.concentrate, minerals.how),
    )
    tramp = charge.concentrate.mass_g("iron")
    loss_how = tr("iron taken up less the steel in the sand")
    rod = rod_to_weigh(made.iron_needed_g, tramp, spare.amount, spare.source)
    return (
        Figure("iron_taken_up_g", tr("iron taken up"), made.iron_needed_g, "g", how, minerals.source),
        Figure("rod_loss_g", tr("what the rod loses"), made.rod_used_g, "g", loss_how, _CALCULATED),
        replace(rod, how=told_by_trial(charge.concentrate, rod.how)),
    )
