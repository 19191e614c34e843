"""Routes side by side: gold kept, reagents, vessels, hours, fume, cost and hazards of each."""

from __future__ import annotations

from advisor.advice.documents.advice import RouteSide
from advisor.advice.documents.common import Span, State
from advisor.advice.plan.hours import hours_of, planned_steps
from advisor.advice.plan.planned_batch import PlannedBatch, fumes, work_out
from advisor.advice.plan.weighing import Weigher, total, whole_pieces
from advisor.engine import Conclusions, conclude_forced, state_of
from advisor.errors import InputError
from advisor.metallurgy.air.exposure import agent_table
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN
from advisor.rulebase.language.results import GOLD_LOST
from advisor.units import Range
from advisor.words import tr

_STATES: dict[int, State] = {FAILS: "possible", OPEN: "set_aside", HOLDS: "ruled_out"}


def side_by_side(worked: PlannedBatch, tables: Tables, beside: tuple[str, ...]) -> tuple[RouteSide, ...]:
    """The chosen route and others, each with its figures.

    Args:
        worked: The batch worked out on the chosen route.
        tables: Tables for the computation.
        beside: Routes to show even if they are ruled out.

    Raises:
        InputError: If a route is unknown.
    """
    outcome = worked.conclusions.outcomes["route"]
    options = outcome.decision.options
    for route in beside:
        if route not in options:
            raise InputError(
                tr("there is no route '{route}'; routes are {routes}", route=route[:40], routes=", ".join(options))
            )
    if outcome.stops and not beside:
        return ()
    outside = {*outcome.decision.entry.stops}
    wanted = [
        option
        for position, option in enumerate(options)
        if option == outcome.chosen
        or option in beside
        or (outcome.tally.ruled_out(position) == FAILS and option not in outside)
    ]
    wanted.sort(key=lambda option: (option != outcome.chosen, -outcome.support[options.index(option)][0]))
    return tuple(_side(worked, option, tables) for option in wanted) if len(wanted) > 1 else ()


def chosen_side(worked: PlannedBatch, tables: Tables) -> RouteSide:
    """The chosen route of a batch with its figures.

    Args:
        worked: The batch worked out on it.
        tables: Tables for the computation.
    """
    return _side(worked, worked.conclusions.outcomes["route"].chosen, tables)


def _side(chosen: PlannedBatch, route: str, tables: Tables) -> RouteSide:
    conclusions = chosen.conclusions
    rule_base = conclusions.rule_base
    outcome = conclusions.outcomes["route"]
    position = outcome.decision.options.index(route)
    is_chosen = route == outcome.chosen
    worked = chosen if is_chosen else work_out(_forced(conclusions, route), tables)
    forced, weigher = worked.conclusions, worked.weigher
    hazards = [rule_base.hazards[name].entry for name in forced.hazards()]
    steps = planned_steps(weigher)
    collector = forced.outcomes.get("collector")
    return RouteSide(
        route=route,
        title=outcome.decision.title_of(route),
        state="chosen" if is_chosen else _STATES[outcome.tally.ruled_out(position)],
        why_not=None if is_chosen else _why_not(conclusions, route),
        collector=collector.decision.title_of(collector.chosen) if collector else "",
        gold_kept_g=_span(_gold_kept(weigher)),
        gold_in_batch_g=_span(weigher["gold_mass"]),
        reagents_g={name: _span(weigher[name]) for name in rule_base.materials if weigher[name].high > 0},
        pots=None if worked.charge is None else _span(whole_pieces(weigher["pot_count"])),
        cupel_mass_g=None if worked.cupellation is None else _span(worked.cupellation.cupel_mass.amount),
        hours=_span(hours_of(weigher, steps)),
        fume_g={fume.agent: _span(fume.released_g) for fume in fumes(worked, tables)},
        fume_titles={fume.agent: tables.once(agent_table)[fume.agent].title for fume in fumes(worked, tables)},
        cost=_cost(weigher),
        deadly=tuple(hazard.title for hazard in hazards if hazard.severity == "deadly"),
        hazards=len(hazards),
        steps=len(steps),
    )


def _forced(conclusions: Conclusions, route: str) -> Conclusions:
    state = state_of(conclusions.rule_base, conclusions.answers)
    return conclude_forced(conclusions.rule_base, conclusions.answers, state, {"route": route})


def _why_not(conclusions: Conclusions, route: str) -> str | None:
    """The first argument that rules a route out, or that another is required."""
    for argument in conclusions.outcomes["route"].decision.arguments:
        if conclusions.truth(argument.condition) == FAILS:
            continue
        strikes = argument.entry.says == "rule_out" and route in argument.options
        if strikes or (argument.entry.says == "require" and route not in argument.options):
            return argument.entry.reason
    return None


def _gold_kept(weigher: Weigher) -> Range:
    """Gold of the batch less what the rules expect to stay in slag and cupels."""
    lost = []
    for expectation in weigher.conclusions.rule_base.expectations.values():
        counted = expectation.entry.counts_as in GOLD_LOST and expectation.formula is not None
        if counted and weigher.conclusions.truth(expectation.condition) != FAILS:
            assert expectation.formula is not None
            lost.append(weigher.formula(expectation.formula) * expectation.parts)
    gold, gone = weigher["gold_mass"], total(lost)
    # What is lost is a share of the same gold, so the ends go together and do not cross.
    low = max(0.0, gold.low - gone.high * _ratio(gold.low, gold.high))
    return Range(min(low, gold.likely), max(0.0, gold.likely - gone.likely), max(gold.likely, gold.high - gone.low))


def _ratio(part: float, whole: float) -> float:
    return part / whole if whole > 0 else 1.0


def _cost(weigher: Weigher) -> Span | None:
    used = [material for name, material in weigher.conclusions.rule_base.materials.items() if weigher[name].high > 0]
    costs = [cost for material in used if (cost := weigher.cost(material)) is not None]
    return _span(total(costs)) if costs else None


def _span(amount: Range) -> Span:
    return Span(low=round(amount.low, 6), likely=round(amount.likely, 6), high=round(amount.high, 6))
