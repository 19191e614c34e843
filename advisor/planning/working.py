"""Everything computed for one batch on one route, worked out once: its weights, charge, cupellation and fume."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.errors import InputError
from advisor.inference.conclusions import Conclusions
from advisor.measures import Range
from advisor.metallurgy.cupel_charge import CupelCharge
from advisor.metallurgy.cupellation import CupellationPlan, plan_cupellation
from advisor.metallurgy.exposure import arsenic_in_trioxide_g
from advisor.planning.charging import ChargeOfBatch, charge_of, weights_to_take
from advisor.planning.weighing import Weigher
from advisor.reckoning.book import Book

_ZERO = Range.exact(0.0)
_CUPEL_MASS = "cupel_mass"


@dataclass(frozen=True, slots=True)
class Release:
    """Something poisonous that a step of the plan gives off.

    Attributes:
        agent: Its name in the tables.
        mass_g: Its mass in the plan.
        step: The step in the table of shares that go into the air.
        minutes: Time over which it comes off.
    """

    agent: str
    mass_g: Range
    step: str
    minutes: float


@dataclass(frozen=True, slots=True)
class Worked:
    """What is worked out for one batch on one route.

    Attributes:
        by_thumb: Weights by rule of thumb.
        weigher: Weights of the plan: computed ones where there are any.
        charge: The smelting charge; None for routes without one.
        no_charge: Why the charge could not be computed.
        cupellation: The cupellation; None for routes without one.
        no_cupellation: Why the cupellation could not be computed.
    """

    by_thumb: Weigher
    weigher: Weigher
    charge: ChargeOfBatch | None
    no_charge: str | None
    cupellation: CupellationPlan | None
    no_cupellation: str | None

    @property
    def conclusions(self) -> Conclusions:
        """The conclusions it rests on."""
        return self.weigher.conclusions


def work_out(conclusions: Conclusions, book: Book) -> Worked:
    """Work out a batch; what cannot be computed is left out with its reason, and the rule of thumb stands."""
    by_thumb = Weigher(conclusions)
    charge = cupellation = None
    no_charge = no_cupellation = None
    try:
        charge = charge_of(by_thumb, book)
    except InputError as problem:
        no_charge = str(problem)
    try:
        cupellation = _cupellation_of(by_thumb, book, charge)
    except InputError as problem:
        no_cupellation = str(problem)
    weigher = by_thumb
    if charge is not None:
        weigher = Weigher(conclusions, assumed=by_thumb.assumed, computed=weights_to_take(charge, by_thumb, book))
        if cupellation is not None and _CUPEL_MASS in conclusions.rule_base.quantities:
            # Rule of thumb and computation may name different cupels; the plan speaks of the larger one.
            weigher.known[_CUPEL_MASS] = weigher[_CUPEL_MASS].most(cupellation.cupel_mass.amount)
    return Worked(by_thumb, weigher, charge, no_charge, cupellation, no_cupellation)


def _cupellation_of(weigher: Weigher, book: Book, charge: ChargeOfBatch | None) -> CupellationPlan | None:
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
    there = _ZERO if charge is None else charge.outcome("collector_metal_g")
    metal = CupelCharge(
        gold_g=gold,
        lead_g=there if collector == "lead" else _ZERO,
        bismuth_g=there if collector == "bismuth" else _ZERO,
    )
    return plan_cupellation(metal, collector=collector, material=material, tables=book.cupellation)


def releases(worked: Worked) -> list[Release]:
    """What the whole plan gives off."""
    found: list[Release] = []
    cupellation, charge = worked.cupellation, worked.charge
    if cupellation is not None and worked.conclusions.rulings["collector"].chosen == "lead":
        minutes = min(1440.0, max(1.0, cupellation.time.amount.likely))
        found.append(Release("lead", cupellation.collector_in_all.amount, "lead_on_cupel", minutes))
    if charge is not None:
        minutes = min(1440.0, max(30.0, charge.outcome("gas_time_min").likely))
        sulphur_dioxide, white_arsenic = charge.outcome("so2_g"), charge.outcome("as2o3_g")
        if sulphur_dioxide.high > 0:
            found.append(Release("sulphur_dioxide", sulphur_dioxide, "sulphur_dioxide_formed", minutes))
        if white_arsenic.high > 0:
            arsenic = white_arsenic.scaled(arsenic_in_trioxide_g(1.0))
            found.append(Release("arsenic", arsenic, "arsenic_heated", minutes))
    return found
