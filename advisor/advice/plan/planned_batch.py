"""Everything computed for one batch on one route, worked out once: its weights, charge, cupellation and fume."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from advisor.advice.experience import Evidence, Experience, Learned, learned
from advisor.advice.plan.charge import ChargeOfBatch, charge_of
from advisor.advice.plan.weighing import Weigher, total
from advisor.engine import Conclusions
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.air.exposure import arsenic_in_trioxide_g
from advisor.metallurgy.charge.tables import charge_data
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.rows import number
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.concentrate.minerals import mineral_table
from advisor.metallurgy.cupellation.metals import CupelAtHand, CupelCharge
from advisor.metallurgy.cupellation.plan import CupellationPlan, plan_cupellation
from advisor.metallurgy.cupellation.tables import cupellation_tables
from advisor.metallurgy.roasting.calculator import charge_from
from advisor.metallurgy.roasting.plan import RoastPlan, RoastRefused, plan_roast
from advisor.metallurgy.roasting.tables import roasting_tables
from advisor.rulebase.language.conditions import FAILS
from advisor.units import Range

_ZERO = Range.exact(0.0)
_LONGEST_MIN = 1440.0


@frozen
class StepRelease:
    """What one step of the plan gives off.

    Attributes:
        agent: Its name in the tables.
        mass_g: Its mass in that step.
        step: The step in the table of shares that go into the air.
        minutes: Time over which it comes off.
    """

    agent: str
    mass_g: Range
    step: str
    minutes: float


@frozen
class Fume:
    """What the whole plan sends into the air of one agent, all its steps together.

    Attributes:
        agent: Its name in the tables.
        released_g: Mass that goes into the air.
        minutes: Time over which it does, the steps one after another.
        parts: The steps it comes from.
    """

    agent: str
    released_g: Range
    minutes: float
    parts: tuple[StepRelease, ...]


@frozen
class PlannedBatch:
    """What is worked out for one batch on one route.

    Attributes:
        weigher: Weights of the plan.
        charge: The smelting charge; None for routes without one.
        no_charge: Why the charge could not be computed.
        roast: The roast before the smelt; None for routes without one.
        roast_refused: Why the roast must not be done.
        no_roast: Why the roast could not be computed.
        cupellation: The cupellation; None for routes without one.
        no_cupellation: Why the cupellation could not be computed.
    """

    weigher: Weigher
    charge: ChargeOfBatch | None
    no_charge: str | None
    roast: RoastPlan | None
    roast_refused: RoastRefused | None
    no_roast: str | None
    cupellation: CupellationPlan | None
    no_cupellation: str | None

    @property
    def conclusions(self) -> Conclusions:
        """The conclusions it rests on."""
        return self.weigher.conclusions


def evidence_for(conclusions: Conclusions, experience: Experience | None) -> Evidence:
    """What the shop's own batches say about this way of working; nothing without any."""
    if experience is None:
        return Evidence()
    chosen = {name: conclusions.outcomes[name].chosen for name in ("route", "collector", "cupel")}
    return experience.of(**chosen)


def work_out(conclusions: Conclusions, tables: Tables, experience: Experience | None = None) -> PlannedBatch:
    """Work out a batch; what cannot be computed is left out with its reason, and the rule of thumb stands."""
    taught = _without_more_oxidant(learned(evidence_for(conclusions, experience)), tables)
    weigher = Weigher(conclusions, learned=taught)
    charge = roast = roast_refused = cupellation = None
    no_charge = no_roast = no_cupellation = None
    try:
        charge = charge_of(weigher, tables)
    except InputError as problem:
        no_charge = str(problem)
    try:
        roast = _roast_of(conclusions, tables, charge)
    except RoastRefused as refused:
        roast_refused = refused
    except InputError as problem:
        no_roast = str(problem)
    try:
        cupellation = _cupellation_of(weigher, tables, charge)
    except InputError as problem:
        no_cupellation = str(problem)
    weigher.reckon(_figures(charge, roast, cupellation))
    return PlannedBatch(
        weigher,
        charge,
        no_charge,
        roast,
        roast_refused,
        no_roast,
        cupellation,
        no_cupellation,
    )


def _without_more_oxidant(taught: Mapping[str, Learned], tables: Tables) -> dict[str, Learned]:
    """What was learned, but for more of an oxidant: its limit keeps the pot from boiling over; no batch moves it."""
    reagents = tables.once(charge_data).reagents
    oxidants = {name for name, reagent in reagents.items() if reagent.family == "oxidant"}
    return {name: one for name, one in taught.items() if name not in oxidants or one.factor.high <= 1}


def _figures(
    charge: ChargeOfBatch | None, roast: RoastPlan | None, cupellation: CupellationPlan | None
) -> dict[str, Figure]:
    """The figures of the plan by the names that quantities call them."""
    found: dict[str, tuple[Figure, ...]] = {
        "charge": () if charge is None else (*charge.weighed.figures, *charge.masses),
        "roast": () if roast is None else (roast.sulphur_dioxide,),
        "cupellation": () if cupellation is None else cupellation.figures,
    }
    return {f"{of}.{figure.name}": figure for of, figures in found.items() for figure in figures}


def _cupellation_of(weigher: Weigher, tables: Tables, charge: ChargeOfBatch | None) -> CupellationPlan | None:
    """The cupellation of this batch; None for routes without a cupel.

    Raises:
        InputError: If the metal makes no possible cupellation.
    """
    outcomes = weigher.conclusions.outcomes
    collector, material = outcomes["collector"].chosen, outcomes["cupel"].chosen
    if collector == "none" or material == "none":
        return None
    gold, there = weigher["gold_on_cupel"], weigher["pouch_collector"]
    if collector in weigher.learned:
        there = there * weigher.learned[collector].factor
    base: dict[str, Range] = {}
    if charge is not None:
        # With what tellurides held: the gold that the melt brings down.
        gold = gold + charge.weighed.melt.grams("metal", "Au")
        there = there + charge.outcome("collector_metal_g")
        oxides, melt = tables.once(cupellation_tables).oxides, charge.weighed.melt
        in_button = {metal: melt.grams("metal", oxide.element) for metal, oxide in oxides.items()}
        in_button["copper"] = in_button["copper"] + weigher["copper_in_button"]
        base = {m: mass for m, mass in in_button.items() if mass.high > 0 and m not in ("lead", "bismuth")}
    if gold.likely + there.likely <= 0:
        return None
    metal = CupelCharge(
        gold_g=gold,
        base_g=base,
        lead_g=there if collector == "lead" else _ZERO,
        bismuth_g=there if collector == "bismuth" else _ZERO,
    )
    body, hollow = weigher["largest_cupel"].likely, weigher["cupel_hollow"].likely
    return plan_cupellation(
        metal,
        collector=collector,
        cupel=CupelAtHand(material, body or None, hollow or None),
        tables=tables.once(cupellation_tables),
        as_it_is=True,
    )


def _roast_of(conclusions: Conclusions, tables: Tables, charge: ChargeOfBatch | None) -> RoastPlan | None:
    """The roast of this batch; None for routes without one.

    Raises:
        RoastRefused: If arsenic or mercury may be in it.
        InputError: If the minerals make no possible roast.
    """
    if charge is None or conclusions.outcomes["route"].chosen != "roast_smelt":
        return None
    findings = conclusions.rule_base.findings
    suspected = {
        element
        for element, name in (("As", "arsenic_possible"), ("Hg", "mercury_possible"))
        if conclusions.truth(findings[name].condition) != FAILS
    }
    in_dish = charge_from(charge.raw)
    return plan_roast(
        in_dish,
        minerals=tables.once(mineral_table),
        tables=tables.once(roasting_tables),
        suspected=frozenset(suspected),
    )


def fumes(worked: PlannedBatch, tables: Tables) -> list[Fume]:
    """What the whole plan sends into the air, by agent: a shift breathes all its steps together."""
    by_agent: dict[str, list[StepRelease]] = {}
    for release in _releases(worked, number(tables.row("fume_time", "fire", "melt"), "least")):
        by_agent.setdefault(release.agent, []).append(release)
    return [
        Fume(
            agent,
            total([part.mass_g * tables.ranged("fume_shares", "step", part.step).amount for part in parts]),
            min(_LONGEST_MIN, max(1.0, sum(part.minutes for part in parts))),
            tuple(parts),
        )
        for agent, parts in by_agent.items()
    ]


def _releases(worked: PlannedBatch, shortest_min: float) -> Iterator[StepRelease]:
    """What each step of the plan gives off; a melt fumes for so many minutes at least."""
    cupellation, charge, roast = worked.cupellation, worked.charge, worked.roast
    with_lead = worked.conclusions.outcomes["collector"].chosen == "lead"
    if roast is not None and roast.sulphur_dioxide.amount.high > 0:
        minutes = sum(stage.work.minutes.likely for stage in roast.stages)
        yield StepRelease("sulphur_dioxide", roast.sulphur_dioxide.amount, "sulphur_dioxide_formed", minutes)
    if charge is not None:
        minutes = max(shortest_min, charge.outcome("gas_time_min").likely)
        sulphur_dioxide, white_arsenic = charge.outcome("so2_g"), charge.outcome("as2o3_g")
        if with_lead and charge.outcome("collector_metal_g").high > 0:
            yield StepRelease("lead", charge.outcome("collector_metal_g"), "lead_in_smelt", minutes)
        if sulphur_dioxide.high > 0:
            yield StepRelease("sulphur_dioxide", sulphur_dioxide, "sulphur_dioxide_formed", minutes)
        if white_arsenic.high > 0:
            arsenic = white_arsenic.scaled(arsenic_in_trioxide_g(1.0))
            yield StepRelease("arsenic", arsenic, "arsenic_heated", minutes)
    if cupellation is not None and with_lead:
        lead = cupellation.collector_in_all.amount
        yield StepRelease("lead", lead, "lead_on_cupel", cupellation.time.amount.likely)
