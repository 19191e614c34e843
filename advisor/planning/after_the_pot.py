"""What follows the smelt in the computation: the cupel, and the fume of the whole plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.errors import InputError
from advisor.inference.conclusions import Conclusions
from advisor.measures import Range
from advisor.metallurgy.cupel_charge import CupelCharge
from advisor.metallurgy.cupellation import CupellationPlan, plan_cupellation
from advisor.metallurgy.exposure import arsenic_in_trioxide_g
from advisor.metallurgy.fume import Room, fume_screen
from advisor.planning.weighing import Weigher
from advisor.reckoning.book import Book
from advisor.reckoning.cupels import cupel_groups
from advisor.reckoning.document import Citer, Group, Said
from advisor.reckoning.fumes import fume_groups

if TYPE_CHECKING:
    from advisor.planning.computing import Computation

_ZERO = Range.exact(0.0)
_ML_IN_M3 = 1e6


def cupellation_of(weigher: Weigher, book: Book, computation: Computation | None) -> CupellationPlan | None:
    """The cupellation of this batch; None for routes without a cupel.

    Raises:
        InputError: If the metal makes no possible cupellation.
    """
    rulings = weigher.conclusions.rulings
    collector, material = rulings["collector"].chosen, rulings["cupel"].chosen
    if collector == "none" or material == "none":
        return None
    gold = weigher["gold_in_smelt"] + weigher["gold_on_cupel"]
    if gold.likely <= 0:
        return None
    there = _ZERO if computation is None else _collector_metal(computation)
    charge = CupelCharge(
        gold_g=gold,
        lead_g=there if collector == "lead" else _ZERO,
        bismuth_g=there if collector == "bismuth" else _ZERO,
    )
    return plan_cupellation(charge, collector=collector, material=material, tables=book.cupellation)


def _collector_metal(computation: Computation) -> Range:
    return next((f.amount for f in computation.plan.outcome.figures if f.name == "collector_metal_g"), _ZERO)


def cupel_part(weigher: Weigher, book: Book, citer: Citer, computation: Computation | None) -> list[Group]:
    """The cupellation as parts of the document."""
    try:
        plan = cupellation_of(weigher, book, computation)
    except InputError as problem:
        return [Group(title="Cupel", said=(Said(kind="warning", text=str(problem)),))]
    return [] if plan is None else list(cupel_groups(book, plan, citer))


def fume_masses(weigher: Weigher, book: Book, computation: Computation | None) -> list[tuple[str, Range, str, float]]:
    """Agent, mass, step that gives it off, and minutes over which it does, for the whole plan."""
    found: list[tuple[str, Range, str, float]] = []
    try:
        cupellation = cupellation_of(weigher, book, computation)
    except InputError:
        cupellation = None
    if cupellation is not None and weigher.conclusions.rulings["collector"].chosen == "lead":
        minutes = min(1440.0, max(1.0, cupellation.time.amount.likely))
        found.append(("lead", cupellation.collector_in_all.amount, "lead_on_cupel", minutes))
    if computation is not None:
        figures = {figure.name: figure.amount for figure in computation.plan.outcome.figures}
        minutes = min(1440.0, max(30.0, figures.get("gas_time_min", _ZERO).likely))
        if figures.get("so2_g", _ZERO).high > 0:
            found.append(("sulphur_dioxide", figures["so2_g"], "sulphur_dioxide_formed", minutes))
        if figures.get("as2o3_g", _ZERO).high > 0:
            arsenic = figures["as2o3_g"].scaled(arsenic_in_trioxide_g(1.0))
            found.append(("arsenic", arsenic, "arsenic_heated", minutes))
    return found


def fume_parts(weigher: Weigher, book: Book, citer: Citer, computation: Computation | None) -> list[Group]:
    """The fume screen of the plan, where the work may be in a closed room."""
    if not _may_be_closed(weigher.conclusions):
        return []
    room = Room(max(1.0, weigher["room_volume"].likely / _ML_IN_M3), weigher["air_flow"].low * 60 / _ML_IN_M3)
    groups = []
    for agent, mass, step, minutes in fume_masses(weigher, book, computation):
        screen = fume_screen(
            book.agents[agent],
            mass,
            book.ranged("fume_shares", "step", step).amount,
            minutes,
            room,
            book.limits,
            book.room_air,
        )
        groups.append(fume_groups(book, screen, citer)[0])
    return groups


def _may_be_closed(conclusions: Conclusions) -> bool:
    """Whether the place may be a closed room."""
    place = conclusions.rule_base.facts["place"]
    variable = conclusions.rule_base.variables[place.variables[0]]
    closed = 1 << variable.cells.index("closed_room")
    return bool(conclusions.state[variable.index] & closed)
