"""The roast plan: stages by mineral, air, sulphur dioxide and smoke, the mass left, and how to tell the end.

Arsenic, mercury, antimony, lead or tellurium without a licensed recovery stops the plan. That is an error
(``RoastRefused``) and not a kind of result, so that no caller can go on to a number by overlooking it.
``plan_roast`` takes a charge, the minerals from ``rules/metallurgy/minerals.yaml`` and the tables from
``rules/metallurgy/roasting.yaml``:

    minerals = Mineral.from_entries(entries of the section minerals, by name)
    tables = RoastingTables.from_tables({name: table.rows for name, table in rule_base.tables.items()})
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.rows import Note, Notes, in_words
from advisor.metallurgy.concentrate.minerals import Mineral
from advisor.metallurgy.roasting.chemistry import NONE_G, ROASTING_KINDS, Fate, Leaving, Roasted, roasted
from advisor.metallurgy.roasting.gases import (
    BALANCE,
    ROOM_C,
    air_figures,
    gas_figure,
    oxygen_figure,
    volume_figure,
)
from advisor.metallurgy.roasting.heat import RoastStage, roast_stages
from advisor.metallurgy.roasting.tables import EndTest, RoastingTables, RoastStop
from advisor.units import Range
from advisor.units.substances import atoms
from advisor.words import tr

NOTHING: frozenset[str] = frozenset()
_SULPHUR_DIOXIDE = "SO2"
_Part = tuple[Mineral, Range, Roasted]
_WHOLE = Range.exact(1.0)
_ROUNDING = 1e-9


class RoastRefused(InputError):
    """The roast must not be done: something poisonous would leave that no licensed recovery holds.

    Attributes:
        elements: Symbols of the elements that stop it.
        minerals: Titles of the minerals that hold them.
        lifted_by: For each element, what would lift the stop.
        title: The stop in a word.
    """

    def __init__(self, stops: tuple[RoastStop, ...], minerals: tuple[str, ...], notes: Notes) -> None:
        reasons = " ".join(f"{stop.title.capitalize()}: {stop.reason} {stop.lifted_by}" for stop in stops)
        super().__init__(notes["roast_refused"].said(minerals=", ".join(minerals), reasons=reasons))
        self.title = notes["roast_stop"].said()
        self.elements = tuple(stop.element for stop in stops)
        self.minerals = minerals
        self.lifted_by = tuple(stop.lifted_by for stop in stops)


@frozen
class RoastCharge:
    """What lies in the dish.

    Attributes:
        mass_g: Dry mass in g.
        shares: Share of each mineral by mass, as a fraction, by mineral name. What is left over to the whole
            stays as it is (quartz, iron oxide, gold).

    Raises:
        InputError: If the mass is not above 0, a share is below 0 or above 1, or they make more than the whole.
    """

    mass_g: Range
    shares: Mapping[str, Range]

    def __post_init__(self) -> None:
        if self.mass_g.low <= 0:
            raise InputError(tr("the roast charge weighs {grams:g} g; it weighs more than 0 g", grams=self.mass_g.low))
        for name, share in self.shares.items():
            if share.low < 0 or share.high > 1:
                raise InputError(
                    tr(
                        "the share of {name} is {share}; it lies between 0 and 100 %",
                        name=name,
                        share=in_words(share.scaled(100), "%"),
                    )
                )
        if sum(share.likely for share in self.shares.values()) > 1 + _ROUNDING:
            raise InputError(tr("the shares of the minerals make more than 100 %; they should make 100 % or less"))


@frozen
class RoastPlan:
    """Everything for one roast.

    Attributes:
        stages: The stages in order.
        oxygen: Oxygen taken from the air, in g.
        air_least: Air that holds that oxygen, in m3 at room temperature.
        air_to_give: Air to sweep over the bed, in m3 at room temperature.
        sulphur_dioxide: Sulphur dioxide made, in g.
        sulphur_dioxide_volume: Its volume in L at room temperature.
        other_gases: Other gas and smoke in g, only what may leave: ``as2o3_g`` and so on.
        vapour_volumes: Their volume in L as vapour at the likely heat of the burning stage.
        mass_left: Mass left in the dish, in g.
        elements: Where each element goes, in g. What stays as it is without being listed is not in it.
        end_tests: How to tell that it is done.
        notes: What to say beside the figures.
    """

    stages: tuple[RoastStage, ...]
    oxygen: Figure
    air_least: Figure
    air_to_give: Figure
    sulphur_dioxide: Figure
    sulphur_dioxide_volume: Figure
    other_gases: tuple[Figure, ...]
    vapour_volumes: tuple[Figure, ...]
    mass_left: Figure
    elements: tuple[Fate, ...]
    end_tests: tuple[EndTest, ...]
    notes: tuple[Note, ...]


def check_roast_allowed(
    charge: RoastCharge,
    minerals: Mapping[str, Mineral],
    tables: RoastingTables,
    *,
    recovery: Set[str] = NOTHING,
    suspected: Set[str] = NOTHING,
) -> None:
    """Refuse a roast of what the table ``roast_stops`` keeps from the dish, arsenic and mercury first.

    A mineral counts as soon as its share may be above 0: what is not excluded is taken to be there.

    Args:
        charge: What lies in the dish.
        minerals: Minerals by name.
        tables: The figures.
        recovery: Symbols of elements for which a working, licensed recovery exists.
        suspected: Symbols of elements that signs point to, whatever the minerals say: ``{"Hg"}`` for silvery
            gold.

    Raises:
        RoastRefused: If one of the stopping elements may be there and is not in ``recovery``.
        InputError: If a mineral is not known.
    """
    present = [_mineral(name, minerals) for name, share in charge.shares.items() if share.high > 0]
    held = [(m.title, tables.stops.keys() & atoms(m.formula)) for m in present]
    signs = [(stop.title, element) for element, stop in tables.stops.items() if element in suspected]
    held += [(tr("{element} (by its signs)", element=title), {element}) for title, element in signs]
    stopping = [(title, found - recovery) for title, found in held if found - recovery]
    stops = [stop for element, stop in tables.stops.items() if any(element in found for _, found in stopping)]
    if stops:
        raise RoastRefused(tuple(stops), tuple(title for title, _ in stopping), tables.notes)


def plan_roast(
    charge: RoastCharge,
    *,
    minerals: Mapping[str, Mineral],
    tables: RoastingTables,
    recovery: Set[str] = NOTHING,
    suspected: Set[str] = NOTHING,
) -> RoastPlan:
    """Plan one roast through to oxides.

    Args:
        charge: What lies in the dish.
        minerals: Minerals by name.
        tables: The figures.
        recovery: Symbols of elements for which a working, licensed recovery exists: ``{"As"}``.
        suspected: Symbols of elements that signs point to, whatever the minerals say.

    Returns:
        The plan; every figure carries its formula and its source.

    Raises:
        RoastRefused: If an element that stops a roast may be there without a licensed recovery.
        InputError: If a mineral is not known, or nothing in the charge roasts.

    Example:
        100 g of pyrite: 66.6 g of red oxide left, 106.8 g of sulphur dioxide (40.8 L), 0.27 m3 of air at least.
    """
    check_roast_allowed(charge, minerals, tables, recovery=recovery, suspected=suspected)
    parts = _parts(charge, minerals, tables)
    stages = roast_stages([mineral for mineral, _, _ in parts if mineral.kind in ROASTING_KINDS], tables)
    burning_c = next(stage.heat.amount.likely for stage in stages if stage.work.stage == "burn")
    gases = _leaving(parts)
    others = [(gas, mass) for gas, mass in gases.items() if gas.product != _SULPHUR_DIOXIDE]
    sulphur_dioxide = _gas(_SULPHUR_DIOXIDE, tables)
    sulphur_dioxide_g = _sum(mass for gas, mass in gases.items() if gas.product == _SULPHUR_DIOXIDE)
    oxygen = oxygen_figure(_sum(mass * made.oxygen for _, mass, made in parts))
    air_least, air_to_give = air_figures(oxygen.amount, tables)
    return RoastPlan(
        stages=stages,
        oxygen=oxygen,
        air_least=air_least,
        air_to_give=air_to_give,
        sulphur_dioxide=gas_figure(sulphur_dioxide, sulphur_dioxide_g),
        sulphur_dioxide_volume=volume_figure(sulphur_dioxide, sulphur_dioxide_g, ROOM_C),
        other_gases=tuple(gas_figure(gas, mass) for gas, mass in others),
        vapour_volumes=tuple(volume_figure(gas, mass, burning_c) for gas, mass in others),
        mass_left=_mass_left(charge, parts),
        elements=_elements(parts),
        end_tests=tables.end_tests,
        notes=_notes(parts, stages, recovery, tables),
    )


def _mineral(name: str, minerals: Mapping[str, Mineral]) -> Mineral:
    if name not in minerals:
        raise InputError(
            tr(
                "'{name}' is not a mineral known here; known are {minerals}",
                name=name,
                minerals=", ".join(sorted(minerals)),
            )
        )
    return minerals[name]


def _parts(charge: RoastCharge, minerals: Mapping[str, Mineral], tables: RoastingTables) -> list[_Part]:
    """Each mineral that may be there, its mass in g, and what 1 g of it becomes."""
    named = [(_mineral(name, minerals), share) for name, share in charge.shares.items() if share.high > 0]
    if not any(mineral.kind in ROASTING_KINDS for mineral, _ in named):
        raise InputError(tables.notes["nothing_to_roast"].said())
    return [(mineral, charge.mass_g * share, roasted(mineral, tables.products)) for mineral, share in named]


def _sum(masses: Iterable[Range]) -> Range:
    return sum(masses, NONE_G)


def _gas(product: str, tables: RoastingTables) -> Leaving:
    """A gas that the tables name."""
    named = next(one for one in tables.products if one.product == product)
    return Leaving(product, named.vapour, named.title)


def _leaving(parts: list[_Part]) -> dict[Leaving, Range]:
    """What leaves the dish, in g."""
    total: dict[Leaving, Range] = {}
    for _, mass, made in parts:
        for gas, share in made.leaving:
            total[gas] = total.get(gas, NONE_G) + mass * share
    return total


def _mass_left(charge: RoastCharge, parts: list[_Part]) -> Figure:
    """The charge plus what each mineral gains or loses."""
    change = _sum(mass * (made.residue - _WHOLE) for _, mass, made in parts)
    words = ", ".join(f"{mineral.title} x {in_words(made.residue, '')}" for mineral, _, made in parts)
    how = tr(
        "{mass}; of each g is left: {each}; what is not named stays", mass=in_words(charge.mass_g, "g"), each=words
    )
    return Figure("mass_left_g", tr("mass left in the dish"), (charge.mass_g + change).most(NONE_G), "g", how, BALANCE)


def _elements(parts: list[_Part]) -> tuple[Fate, ...]:
    total: dict[str, Fate] = {}
    for _, mass, made in parts:
        for fate in made.fates:
            before = total.get(fate.element, Fate(fate.element, NONE_G, NONE_G, NONE_G, NONE_G))
            total[fate.element] = Fate(
                fate.element,
                before.held + mass * fate.held,
                before.from_air + mass * fate.from_air,
                before.residue + mass * fate.residue,
                before.leaves + mass * fate.leaves,
            )
    return tuple(total.values())


def _notes(
    parts: list[_Part], stages: tuple[RoastStage, ...], recovery: Set[str], tables: RoastingTables
) -> tuple[Note, ...]:
    elements = {element for mineral, _, _ in parts for element in atoms(mineral.formula)}
    notes = [caution for element, caution in tables.cautions.items() if element in elements]
    keys = ["dust", "sulphates"]
    if any(stage.conflict for stage in stages):
        keys.append("conflict")
    if any(mineral.kind == "carbonate" for mineral, _, _ in parts):
        keys.append("carbonate")
    if any(element in tables.stops for element in elements & recovery):
        keys.append("recovery")
    return tuple(notes + [tables.notes[key] for key in keys])
