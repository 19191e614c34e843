"""Which limits of a method a charge meets."""

from __future__ import annotations

from advisor.metallurgy.charge.figures import has_collector_oxide, matte_g
from advisor.metallurgy.charge.iron import burns
from advisor.metallurgy.charge.melt import COLLECTOR_METALS, Charge, Melt
from advisor.metallurgy.charge.tables import ChargeData, ChargeLimit
from advisor.metallurgy.charge.weights import Wish, button_target, iron_oxide_left
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import complement, share, total
from advisor.units.substances import molar_mass_g

FLARES = "nitre-flares"
_ROUNDING = 1e-9


def charge_limits(charge: Charge, made: Melt, data: ChargeData, wish: Wish | None) -> tuple[ChargeLimit, ...]:
    """The limits that a charge meets: a flare first, then those of the minerals.

    Args:
        charge: The charge as weighed.
        made: What it melts to.
        data: The tables.
        wish: What was wanted, where the charge was planned.
    """
    keys = [*_slag_keys(charge, made, data), *_oxygen_keys(charge, made, data, wish)]
    met = (*_mineral_limits(charge, data), *(data.limits[key] for key in keys))
    return tuple(sorted(met, key=lambda limit: limit.key != FLARES))


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
    trace = data.notice["trace"]
    window, degree = data.windows[charge.method].amount, made.degree.likely
    if degree > window.high + _ROUNDING:
        keys.append("slag-too-acid")
    if degree < window.low - _ROUNDING:
        keys.append("slag-too-basic")
    matte, sulphide = matte_g(made, data), made.place_g("sulphide")
    if matte.likely > trace * sulphide.likely:
        keys.append("matte-expected")
    elif matte.high > trace * sulphide.high:
        keys.append("matte-possible" if made.free_soda_g.likely > 0.0 else "matte-near")
    if charge.method != "iron" and _oxide_left_over(charge, made, data):
        keys.append("borax-short")
    return keys


def _oxide_left_over(charge: Charge, made: Melt, data: ChargeData) -> bool:
    """Whether there is more iron oxide than the fluxes take up."""
    borax = total(
        grams.scaled(molar_mass_g("Na2B4O7") / molar_mass_g(data.reagents[name].formula))
        for name, grams in charge.reagents_g.items()
        if data.reagents[name].family == "borax"
    )
    left = iron_oxide_left(made, borax, data).likely
    return left > made.grams("slag", "FeO").likely * data.notice["trace"] + _ROUNDING


def _oxygen_keys(charge: Charge, made: Melt, data: ChargeData, wish: Wish | None) -> list[str]:
    keys = []
    account, reagents_g = made.account, charge.reagents_g
    target = button_target(charge.concentrate, wish, data) if wish is not None else None
    if has_collector_oxide(charge, data):
        if account.not_met.likely > data.notice["not_met"]:
            keys.append("button-sulphury")
        if charge.method != "iron" and _little_metal(made, data, target):
            keys.append("collector-not-reduced")
        if target is not None and _collector_g(made) > data.notice["large_button"] * target.amount.likely:
            keys.append("button-too-large")
    if account.nitre_to_spare.likely > data.notice["trace"]:
        keys.append("nitre-to-spare")
    if "nitre" in reagents_g:
        keys += _nitre_keys(charge, data)
    if any(data.reagents[name].formula.startswith("Bi") for name in reagents_g):
        keys.append("bismuth-is-a-start")
    if charge.rod_g is not None and charge.rod_g.low < made.rod_used_g.likely:
        keys.append("rod-too-light")
    return keys


def _nitre_keys(charge: Charge, data: ChargeData) -> list[str]:
    keys = []
    weighed = charge.reagents_g["nitre"].likely
    sulphides = sum(p.mass_g.likely for p in charge.concentrate.minerals if burns(p.mineral.kind))
    if weighed >= data.single["nitre_most"].amount.high * sulphides - _ROUNDING:
        keys.append("nitre-heavy")
    if weighed > 0.0 and any(name in data.reductants and g.high > 0.0 for name, g in charge.reagents_g.items()):
        keys.append(FLARES)
    return keys


def _little_metal(made: Melt, data: ChargeData, target: Figure | None) -> bool:
    """Whether less collector comes down than was aimed at, or, where nothing was, most of its oxide stays."""
    if target is not None:
        return _collector_g(made) < data.notice["small_button"] * target.amount.likely
    return complement(made.account.collector_reduced).likely > data.notice["unreduced"]


def _collector_g(made: Melt) -> float:
    return sum(made.grams("metal", metal).likely for metal in COLLECTOR_METALS)
