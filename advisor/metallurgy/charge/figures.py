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

_CALCULATED = "calculation"
_PARTS_OVER_DENSITY = "mass of each part over its density"
_GASES = {
    "CO2": "carbon dioxide",
    "H2O": "steam",
    "SO2": "sulphur dioxide",
    "CO": "carbon monoxide",
    "As2O3": "white arsenic smoke",
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
    how = f"{told_by_trial(charge.concentrate)}{trial.how}"
    return (Figure("sulphides_g", "sulphide, arsenide and telluride", grams, "g", how, trial.source),)


def _lead_thrown_down(charge: Charge, data: ChargeData) -> Figure:
    concentrate, power = charge.concentrate, data.burning_beside(charge.quartz_to_soda(data), charge.concentrate)
    found, trial = lead_reduced(concentrate, power), concentrate.trial
    if trial is None:
        return found
    lead = lead_by_trial(concentrate, power, data)
    return replace(found, amount=lead, how=f"{told_by_trial(concentrate)}{trial.how}", source=trial.source)


def melting_heat(charge: Charge, data: ChargeData) -> Figure:
    """The heat of the melt, °C: that of the source for the method, lower where galena is smelted with iron."""
    galena = share(charge.concentrate.mass_g("galena"), charge.concentrate.dry_mass_g).likely
    heat = data.heats["galena" if charge.method == "iron" and galena > data.notice["galena"] else charge.method]
    return Figure("melting_heat_c", "heat of the melt", heat.amount, "C", heat.says, cited(heat.source))


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
    degree_how = f"{in_words(made.acid_mol, 'mol')} acid oxygen / {in_words(made.base_mol, 'mol')} base oxygen"
    free_how = f"{in_words(made.soda_g, 'g')} of soda ash less what the acids bind"
    binding = cited(data.single["soda_binding"].source)
    hides = cited(*(row.source for row in data.sulphide_in_slag.values()))
    matte_how = f"{in_words(sulphide, 'g')} of sulphide less {in_words(room, 'g')} hidden"
    slag_how = "oxides, free soda, sulphate and hidden sulphide"
    return (
        Figure("slag_degree", "degree of the slag", made.degree, "", degree_how, _CALCULATED),
        Figure("free_soda_g", "soda that stays free", made.free_soda_g, "g", free_how, binding),
        Figure("slag_g", "slag", mass, "g", slag_how, _CALCULATED),
        Figure("slag_ml", "volume of the slag", volume, "ml", _PARTS_OVER_DENSITY, _densities(made, data, "slag")),
        Figure("matte_g", "matte (sulphide the slag cannot hide)", matte, "g", matte_how, hides),
        Figure("speiss_g", "speiss", made.place_g("speiss"), "g", "by formula", _CALCULATED),
    )


def _metal_figures(charge: Charge, made: Melt, data: ChargeData) -> tuple[Figure, ...]:
    collector = made.grams("metal", "Pb") + made.grams("metal", "Bi")
    others = ", ".join(f for f in made.products["metal"] if f not in (*COLLECTOR_METALS, "Au")) or "no others"
    button_how, unreduced = f"collector, gold and {others}", complement(made.account.collector_reduced)
    volume = volume_ml(made.products["metal"], data.species)
    figures = (
        Figure("collector_metal_g", "collector metal", collector, "g", "from oxide, galena, metal", _CALCULATED),
        Figure("button_g", "button", made.place_g("metal"), "g", button_how, _CALCULATED),
        Figure(
            "button_ml",
            "volume of the button",
            volume,
            "ml",
            _PARTS_OVER_DENSITY,
            _densities(made, data, "metal"),
        ),
    )
    if charge.method == "iron" or not has_collector_oxide(charge, data):
        return figures
    title, how = "share of the collector oxide left in the slag", "one less the share reduced"
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
    hot_how = f"water and the first gas of baking soda at {early:g} °C, the rest at {late:g} °C, by the gas law"
    cold_how = f"{in_words(moles, 'mol')} x 22.414 L"
    masses = (
        Figure(f"{formula.lower()}_g", title, made.grams("gas", formula), "g", "by formula", _CALCULATED)
        for formula, title in _GASES.items()
    )
    return (
        *masses,
        Figure("gas_g", "all gas and fume", made.place_g("gas"), "g", "sum", _CALCULATED),
        Figure("gas_cold_l", "gas at 0 °C and sea level", gas_volume_l(moles), "L", cold_how, _CALCULATED),
        Figure("gas_hot_l", "gas, hot", hot_gas_l(made, data), "L", hot_how, _CALCULATED),
    )


def _iron_figures(charge: Charge, made: Melt, data: ChargeData) -> tuple[Figure, ...]:
    spare = data.single["rod"]
    minerals = iron_taken_up(charge.concentrate, data.iron)
    how = f"{told_by_trial(charge.concentrate)}{minerals.how}; less what the collector oxide burns, and more for what "
    how += "of it is left"
    tramp = charge.concentrate.mass_g("iron")
    loss_how = "iron taken up less the steel in the sand"
    rod = rod_to_weigh(made.iron_needed_g, tramp, spare.amount, spare.source)
    return (
        Figure("iron_taken_up_g", "iron taken up", made.iron_needed_g, "g", how, minerals.source),
        Figure("rod_loss_g", "what the rod loses", made.rod_used_g, "g", loss_how, _CALCULATED),
        replace(rod, how=told_by_trial(charge.concentrate) + rod.how),
    )
