"""Which limits of a method a charge meets."""

from __future__ import annotations

from advisor.metallurgy.charge.figures import has_collector_oxide, matte_g
from advisor.metallurgy.charge.iron import burns
from advisor.metallurgy.charge.melt import Charge, Melt
from advisor.metallurgy.charge.tables import ChargeData, ChargeLimit
from advisor.metallurgy.charge.weights import Wish
from advisor.metallurgy.common.range_sums import complement, share
from advisor.units.substances import molar_mass_g

FLARES = "nitre-flares"
_ROUNDING = 1e-9
_WORTH_SAYING = 0.02
_MUCH_UNREDUCED = 0.6
_LARGE_BUTTON = 1.3


def charge_limits(charge: Charge, made: Melt, data: ChargeData, wish: Wish | None) -> tuple[ChargeLimit, ...]:
    """The limits that a charge meets: a flare first, then those of the minerals.

    Args:
        charge: The charge as weighed.
        made: What it melts to.
        data: The tables.
        wish: What was wanted, where the charge was planned.
    """
    keys = [*_slag_keys(charge, made, data), *_oxygen_keys(charge, made, data, wish)]
    first = [data.limits[FLARES]] if _flares(charge, data) else []
    return (*first, *_mineral_limits(charge, data), *(data.limits[key] for key in keys))


def _flares(charge: Charge, data: ChargeData) -> bool:
    """Whether nitre, a reducing agent and sulphide may lie in the same pot."""
    families = {data.reagents[name].family for name, grams in charge.reagents_g.items() if grams.high > 0}
    sulphide = any(burns(part.mineral.kind) and part.mass_g.high > 0 for part in charge.concentrate.minerals)
    return sulphide and {"oxidant", "reductant"} <= families


def _mineral_limits(charge: Charge, data: ChargeData) -> tuple[ChargeLimit, ...]:
    concentrate = charge.concentrate
    return tuple(
        limit
        for limit in data.limits.values()
        if limit.method in ("any", charge.method)
        and limit.mineral != "none"
        and share(concentrate.mass_g(limit.mineral), concentrate.dry_mass_g).high > limit.above
    )


def _slag_keys(charge: Charge, made: Melt, data: ChargeData) -> list[str]:
    keys = []
    window, degree = data.windows[charge.method].amount, made.degree.likely
    if degree > window.high + _ROUNDING:
        keys.append("slag-too-acid")
    if degree < window.low - _ROUNDING:
        keys.append("slag-too-basic")
    matte, sulphide = matte_g(made, data), made.place_g("sulphide")
    if matte.likely > _WORTH_SAYING * sulphide.likely:
        keys.append("matte-expected")
    elif matte.high > _WORTH_SAYING * sulphide.high:
        keys.append("matte-possible")
    if charge.method != "iron" and _oxide_left_over(charge, made, data):
        keys.append("borax-short")
    return keys


def _oxide_left_over(charge: Charge, made: Melt, data: ChargeData) -> bool:
    """Whether there is more iron oxide than borax and silicate of soda take up."""
    borax = sum(
        grams.likely * molar_mass_g("Na2B4O7") / molar_mass_g(data.reagents[name].formula)
        for name, grams in charge.reagents_g.items()
        if data.reagents[name].family == "borax"
    )
    silicate = made.grams("slag", "SiO2").likely * molar_mass_g("Na2SiO3") / molar_mass_g("SiO2")
    taken = borax * data.flux_power["borax_anhydrous"] + silicate * data.flux_power["sodium_silicate"]
    return made.grams("slag", "FeO").likely > taken * (1.0 + _WORTH_SAYING) + _ROUNDING


def _oxygen_keys(charge: Charge, made: Melt, data: ChargeData, wish: Wish | None) -> list[str]:
    keys = []
    account, reagents_g = made.account, charge.reagents_g
    has_oxide = has_collector_oxide(charge, data)
    if account.too_much_reduction and has_oxide:
        keys.append("button-sulphury")
    if has_oxide and charge.method != "iron" and complement(account.collector_reduced).likely > _MUCH_UNREDUCED:
        keys.append("collector-not-reduced")
    if account.nitre_to_spare.likely > _WORTH_SAYING:
        keys.append("nitre-to-spare")
    if "nitre" in reagents_g and _nitre_heavy(charge, data):
        keys.append("nitre-heavy")
    if any(data.reagents[name].formula.startswith("Bi") for name in reagents_g):
        keys.append("bismuth-is-a-start")
    if charge.rod_g is not None and charge.rod_g.low < made.rod_used_g.likely:
        keys.append("rod-too-light")
    if wish is not None and _large_button(made, wish, charge, data):
        keys.append("button-too-large")
    return keys


def _nitre_heavy(charge: Charge, data: ChargeData) -> bool:
    sulphides = sum(p.mass_g.likely for p in charge.concentrate.minerals if burns(p.mineral.kind))
    return charge.reagents_g["nitre"].likely > data.single["nitre_most"].amount.high * sulphides


def _large_button(made: Melt, wish: Wish, charge: Charge, data: ChargeData) -> bool:
    if wish.collector not in ("litharge", "bismuth_oxide"):
        return False
    metal = "lead" if wish.collector == "litharge" else "bismuth"
    usual = charge.concentrate.dry_mass_g * data.collector_parts[metal].amount
    wanted = wish.collector_metal_g or usual
    got = made.grams("metal", "Pb" if metal == "lead" else "Bi")
    return got.likely > _LARGE_BUTTON * wanted.likely
