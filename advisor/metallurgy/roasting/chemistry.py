"""What 1 g of a mineral becomes in a roast with air, element by element.

Every element of the mineral turns into one of its products; the oxygen that this takes beyond what the mineral
holds comes from the air. Mass is conserved by construction: mineral + oxygen = residue + gas + fume.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from itertools import product as every_way

from advisor.frozen import frozen
from advisor.metallurgy.concentrate.minerals import Mineral
from advisor.metallurgy.roasting.tables import RoastProduct
from advisor.units import Range
from advisor.units.substances import atoms, mass_fraction
from advisor.words import tr

ROASTING_KINDS = ("sulphide", "arsenide", "telluride")
OXYGEN = "O"
NONE_G = Range.exact(0.0)
_SULPHUR = "S"
_ROUNDING = 1e-9


@frozen
class Fate:
    """Where one element of 1 g of mineral goes.

    Attributes:
        element: Symbol of the element.
        held: In the mineral, in g.
        from_air: Taken from the air, in g; only oxygen.
        residue: Left in the dish, in g.
        leaves: Gone as gas or fume, in g.
    """

    element: str
    held: Range
    from_air: Range
    residue: Range
    leaves: Range


@frozen
class Leaving:
    """A gas or smoke that leaves the dish.

    Attributes:
        product: Formula of the substance, for its mass.
        vapour: Formula of the molecule in the hot gas, for its volume.
        title: What it is called.
    """

    product: str
    vapour: str
    title: str


@frozen
class Roasted:
    """What 1 g of a mineral becomes.

    Attributes:
        residue: Left in the dish, in g.
        oxygen: Taken from the air, in g.
        leaving: What leaves, in g.
        fates: Where each element goes.
    """

    residue: Range
    oxygen: Range
    leaving: tuple[tuple[Leaving, Range], ...]
    fates: tuple[Fate, ...]


@frozen
class _Outcome:
    """One of the ways a mineral can go, in g for 1 g; masses by element and by product."""

    residue_by: dict[str, float]
    leaving_by: dict[str, float]
    products: dict[Leaving, float]

    @property
    def residue_g(self) -> float:
        """Left in the dish, in g."""
        return sum(self.residue_by.values())

    @property
    def oxygen_g(self) -> float:
        """Oxygen in all products, in g."""
        return self.residue_by.get(OXYGEN, 0.0) + self.leaving_by.get(OXYGEN, 0.0)


@lru_cache(maxsize=256)
def roasted(mineral: Mineral, products: tuple[RoastProduct, ...]) -> Roasted:
    """What 1 g of a mineral becomes when it is roasted through.

    Args:
        mineral: The mineral.
        products: What each element becomes.

    Returns:
        Residue, oxygen and gases: likely by the likely products, low and high over the possible ones.
        Minerals that do not roast stay as they are; a carbonate may lose its gas.

    Raises:
        InputError: If the formula cannot be read.

    Example:
        1 g of pyrite: 0.666 g left as Fe2O3, 1.07 g of SO2, 0.73 g of oxygen from the air.
    """
    if mineral.kind not in ROASTING_KINDS:
        return _unroasted(mineral)
    ways = [way for way in map(_outcome_of(mineral), _ways(mineral, products)) if way is not None]
    held = {OXYGEN: 0.0} | {element: mass_fraction(mineral.formula, element) for element in atoms(mineral.formula)}
    return Roasted(
        residue=_spread([way.residue_g for way in ways]),
        oxygen=_spread([way.oxygen_g - held[OXYGEN] for way in ways]),
        leaving=tuple(
            (gas, _spread([way.products.get(gas, 0.0) for way in ways]))
            for gas in dict.fromkeys(gas for way in ways for gas in way.products)
        ),
        fates=tuple(_fate(element, mass, ways) for element, mass in held.items()),
    )


def _ways(mineral: Mineral, products: tuple[RoastProduct, ...]) -> Iterable[tuple[RoastProduct, ...]]:
    """Every choice of one product for each element, the likely one first."""
    choices = []
    for element in atoms(mineral.formula):
        if element == OXYGEN:
            continue
        known = sorted((p for p in products if p.element == element), key=lambda p: not p.is_likely)
        choices.append(known)
    return every_way(*choices)


def _outcome_of(mineral: Mineral) -> Callable[[tuple[RoastProduct, ...]], _Outcome | None]:
    """One way for 1 g of a mineral; None where the sulphur does not suffice for its sulphates."""

    def outcome(way: tuple[RoastProduct, ...]) -> _Outcome | None:
        left = {chosen.element: mass_fraction(mineral.formula, chosen.element) for chosen in way}
        made = _Outcome({}, {}, {})
        for chosen in sorted(way, key=lambda chosen: chosen.element == _SULPHUR):
            parts = _parts(chosen, left[chosen.element])
            for element, mass in parts.items():
                if element != OXYGEN:
                    left[element] = left.get(element, 0.0) - mass
                    if left[element] < -_ROUNDING:
                        return None
            _put(made, chosen, parts)
        return made

    return outcome


def _parts(chosen: RoastProduct, element_g: float) -> dict[str, float]:
    """The product made from that much of its element, in g of each of its elements."""
    product_g = element_g / mass_fraction(chosen.product, chosen.element)
    return {element: product_g * mass_fraction(chosen.product, element) for element in atoms(chosen.product)}


def _put(made: _Outcome, chosen: RoastProduct, parts: dict[str, float]) -> None:
    place = made.residue_by if chosen.goes == "residue" else made.leaving_by
    for element, mass in parts.items():
        place[element] = place.get(element, 0.0) + mass
    if chosen.goes != "residue":
        gas = Leaving(chosen.product, chosen.vapour, chosen.title)
        made.products[gas] = made.products.get(gas, 0.0) + sum(parts.values())


def _fate(element: str, held: float, ways: list[_Outcome]) -> Fate:
    return Fate(
        element,
        Range.exact(held),
        _spread([way.oxygen_g - held for way in ways]) if element == OXYGEN else NONE_G,
        _spread([way.residue_by.get(element, 0.0) for way in ways]),
        _spread([way.leaving_by.get(element, 0.0) for way in ways]),
    )


def _spread(values: list[float]) -> Range:
    """The first value as the likely one, and all of them between low and high."""
    return Range(min(values), values[0], max(values))


_CARBON_DIOXIDE = Leaving("CO2", "CO2", tr("carbon dioxide from carbonate"))


def _unroasted(mineral: Mineral) -> Roasted:
    """A mineral that stays; a carbonate may lose its carbon dioxide."""
    held = {element: mass_fraction(mineral.formula, element) for element in atoms(mineral.formula)}
    gone = dict.fromkeys(held, 0.0)
    if mineral.kind == "carbonate" and "C" in held:
        gas_g = held["C"] / mass_fraction("CO2", "C")
        gone["C"], gone[OXYGEN] = held["C"], gas_g - held["C"]
    lost = sum(gone.values())
    return Roasted(
        residue=Range(1.0 - lost, 1.0, 1.0),
        oxygen=NONE_G,
        leaving=((_CARBON_DIOXIDE, Range(0.0, 0.0, lost)),) if lost else (),
        fates=tuple(
            Fate(e, Range.exact(mass), NONE_G, Range(mass - gone[e], mass, mass), Range(0.0, 0.0, gone[e]))
            for e, mass in held.items()
        ),
    )
