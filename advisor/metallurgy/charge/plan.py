"""The smelting charge: planned from the concentrate, or a given one judged.

``plan_charge`` says what to weigh; ``assess_charge`` says what a given charge does: degree of the slag, iron,
gas, button, slag, matte, room and cost, with the limits of the method in words. A plan is assessed by the same
computation, so the two cannot disagree. What a charge that was used lacks, also one of another recipe, is told beside
the charge that would be planned for the same ore with the same forms of flux.

The degree of the slag counts all soda as base. In the iron method most of the two parts of soda stay free: no
acid binds them, they keep their gas, and they hold the iron sulphide in the slag. That slag is meant to be
strongly alkaline (Beringer 1904, p. 93), so its window lies lower than that of other methods.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.charge.figures import melt_figures, melting_heat
from advisor.metallurgy.charge.iron import equations
from advisor.metallurgy.charge.limits import charge_limits
from advisor.metallurgy.charge.melt import Charge, Melt, melt
from advisor.metallurgy.charge.slag import name_of_silicate_degree
from advisor.metallurgy.charge.tables import ChargeData, ChargeLimit
from advisor.metallurgy.charge.vessels import cost_figures, mould_figure, pot_figures
from advisor.metallurgy.charge.weights import Wish, button_target, weights
from advisor.metallurgy.common.document import Remark, Result
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import ZERO, cited, positive, total
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.concentrate.composition import Concentrate
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.words import tr

_FAMILIES = ("borax", "soda", "silica", "collector", "reductant")
"""Families of which a wish names the form, each in the field of its name."""
_CALCULATED = "calculation"


@frozen
class Place:
    """Where the charge is smelted and what it may cost.

    Attributes:
        crucible_ml: Crucible at hand, ml to the brim.
        prices_per_kg: Prices by reagent, ``iron`` for the rod.
    """

    crucible_ml: float | None = None
    prices_per_kg: Mapping[str, float] | None = None


@frozen
class Assessment:
    """What a charge does.

    Attributes:
        charge: The charge as weighed.
        melt: Its products by formula.
        figures: Everything computed, each with its formula and source.
        limits: What to know and what to do about it.
        verdict: Whether the slag lies in the window of its method, in one or two sentences.
        in_window: Whether it does.
        equations: With an iron rod, the balanced equation for each mineral.
    """

    charge: Charge
    melt: Melt
    figures: tuple[Figure, ...]
    limits: tuple[ChargeLimit, ...]
    verdict: str
    in_window: bool
    equations: tuple[tuple[str, str], ...]

    def figure(self, name: str) -> Figure:
        """One figure by its name.

        Raises:
            InputError: If there is none of that name.
        """
        return _named(self.figures, name)


@frozen
class ChargePlan:
    """What to weigh, and what comes of it.

    Attributes:
        weigh: What to weigh; the middle value is the amount, the ends say how far it may lie off.
        outcome: What this charge does.
        advice: For each reagent how to use the form at hand.
    """

    weigh: tuple[Figure, ...]
    outcome: Assessment
    advice: tuple[tuple[str, str], ...]

    def weighed_g(self, reagent: str) -> float:
        """Grams of a reagent to weigh; zero if there is none."""
        return self.outcome.charge.reagents_g.get(reagent, Range.exact(0.0)).likely

    def figure(self, name: str) -> Figure:
        """One figure by its name, from what to weigh or from the outcome."""
        return _named((*self.weigh, *self.outcome.figures), name)


def plan_charge(concentrate: Concentrate, wish: Wish, data: ChargeData, place: Place | None = None) -> ChargePlan:
    """Plan a charge.

    Args:
        concentrate: What is smelted, dry; after a roast, the roasted material.
        wish: Method, collector and the forms of flux at hand.
        data: The tables of the rule base.
        place: Crucible, prices and air; left out, one pot of the size needed and no prices.

    Returns:
        What to weigh and what comes of it. Every plan's slag lies in the window of its method at the middle
        values; a wrong guess of the minerals shifts it.

    Raises:
        InputError: If something is unknown, below zero, or cannot be.
    """
    charge, weigh = weights(concentrate, wish, data)
    outcome = assess_charge(charge, data, place, wish)
    advice = tuple((data.reagents[name].title, data.reagents[name].advice) for name in charge.reagents_g)
    return ChargePlan(weigh, outcome, advice)


def assess_charge(charge: Charge, data: ChargeData, place: Place | None = None, wish: Wish | None = None) -> Assessment:
    """Judge a charge as weighed.

    Args:
        charge: Method, concentrate and reagents in g.
        data: The tables of the rule base.
        place: Crucible and prices.
        wish: What was wanted, where the charge was planned.

    Returns:
        What the charge does.

    Raises:
        InputError: If something is unknown, below zero, or cannot be.
    """
    where = place or Place()
    made = melt(charge, data)
    target = button_target(charge.concentrate, wish, data) if wish is not None else None
    figures = (
        *((target,) if target is not None else ()),
        *melt_figures(charge, made, data),
        *pot_figures(charge, made, data, where.crucible_ml),
        mould_figure(made, data),
        *cost_figures(charge, made, data, where.prices_per_kg or {}),
        melting_heat(charge, data),
    )
    window = data.windows[charge.method].amount
    in_window = window.low - 1e-9 <= made.degree.likely <= window.high + 1e-9
    limits = charge_limits(charge, made, data, wish)
    with_iron = equations(charge.concentrate, data.iron) if charge.method == "iron" else ()
    return Assessment(charge, made, figures, limits, _verdict(charge, made, data), in_window, with_iron)


def _verdict(charge: Charge, made: Melt, data: ChargeData) -> str:
    degree, window = made.degree.likely, data.windows[charge.method].amount
    name = name_of_silicate_degree(degree, data.degrees)
    shown = tr("The degree of the slag is {degree}, nearest a {slag}.", degree=format_number(degree), slag=name)
    bounds = tr("{low} to {high}", low=format_number(window.low), high=format_number(window.high))
    free = made.free_soda_g
    if degree > window.high + 1e-9:
        key = "slag_too_acid"
    elif degree < window.low - 1e-9:
        key = "slag_too_alkaline"
    else:
        key = "slag_with_free_soda" if charge.method == "iron" and free.likely > 0.0 else "slag_in_window"
    return f"{shown} {data.notes[key].said(bounds=bounds, free=format_number(free.likely))}"


def _named(figures: tuple[Figure, ...], name: str) -> Figure:
    for figure in figures:
        if figure.name == name:
            return figure
    raise InputError(
        tr(
            "there is no figure '{name}' here; there are {figures}",
            name=name[:40],
            figures=", ".join(f.name for f in figures),
        )
    )


def method_used(reagents_g: Mapping[str, Range], rod_g: Range | None) -> str:
    """The way to smelt that a recipe amounts to: with iron, with nitre, or with flux alone."""
    if rod_g is not None and rod_g.high > 0.0:
        return "iron"
    return "nitre" if _is_weighed(reagents_g, "nitre") else "flux"


def power_result(charge: Charge, outcome: Assessment, data: ChargeData) -> Result:
    """What reduces and what oxidises in a charge, all as grams of lead."""
    sulphides = _named(outcome.figures, "lead_thrown_down_g")
    agents = {n: g * data.reductants[n].lead for n, g in charge.reagents_g.items() if n in data.reductants}
    nitre = {n: g * data.oxidants[n].lead for n, g in charge.reagents_g.items() if n in data.oxidants}
    by, against = total(agents.values()), total(nitre.values())
    left = positive(sulphides.amount + by - against)
    how, source = tr("sulphides + flour or charcoal - nitre and red lead"), _sources(data)
    said = (
        (Remark(kind="warning", text=data.notes["nitre_takes_all"].said()),)
        if against.likely > 0.0 and left.likely <= 0.0
        else ()
    )
    return Result(
        tr("What reduces and what oxidises, as lead"),
        (
            sulphides,
            Figure(
                "lead_by_agents_g",
                tr("lead that flour or charcoal reduces"),
                by,
                "g",
                tr("weight x power"),
                _sources(data),
            ),
            Figure("lead_kept_back_g", tr("lead that nitre keeps back"), against, "g", tr("weight x power"), source),
            Figure("lead_left_to_reduce_g", tr("lead that can come down"), left, "g", how, _CALCULATED),
        ),
        said,
    )


def lacking_result(charge: Charge, data: ChargeData) -> Result:
    """What a charge lacks or has too much of, beside the one that would be planned for the same ore."""
    plan = plan_charge(charge.concentrate, _wish_of(charge, data), data)
    planned = {figure.name.removesuffix("_g"): figure.amount for figure in plan.weigh}
    given = {**charge.reagents_g, "rod": charge.rod_g or ZERO}
    said, figures, near = [], [], data.notice["beside_plan"]
    for name in [name for name in (*data.reagents, "rod") if name in planned or name in given]:
        title = data.reagents[name].title if name in data.reagents else tr("iron rod")
        used, wanted = given.get(name, ZERO), planned.get(name, ZERO)
        if used.high * near < wanted.low:
            lacking = positive(wanted - used)
            how = tr("{wanted} planned - {used} given", wanted=in_words(wanted, "g"), used=in_words(used, "g"))
            figures.append(
                Figure(
                    f"lacking_{name}_g", tr("{reagent} that is lacking", reagent=title), lacking, "g", how, _CALCULATED
                )
            )
        elif used.low > wanted.high * near:
            said.append(_too_much(title, used, wanted))
    if not said and not figures:
        said.append(Remark(kind="verdict", text=tr("Every weight lies within what would be planned for this ore.")))
    return Result(tr("Beside a charge planned for this ore"), tuple(figures), tuple(said))


def _too_much(title: str, used: Range, wanted: Range) -> Remark:
    given, planned = format_number(used.likely), format_number(wanted.likely)
    return Remark(
        kind="limit",
        text=tr(
            "{reagent}: {given} g given, about {planned} g planned. It is more than this ore wants.",
            reagent=title,
            given=given,
            planned=planned,
        ),
    )


def _wish_of(charge: Charge, data: ChargeData) -> Wish:
    """The wish for a charge of the same method and the same forms."""
    forms: dict[str, Any] = {}
    for name in charge.reagents_g:
        family = data.reagents[name].family
        if family in _FAMILIES and _is_weighed(charge.reagents_g, name):
            forms.setdefault(family, name)
    return replace(Wish(charge.method), **forms)


def _is_weighed(reagents_g: Mapping[str, Range], name: str) -> bool:
    return name in reagents_g and reagents_g[name].high > 0.0


def _sources(data: ChargeData) -> str:
    agents = (power.source for power in data.reductants.values())
    return cited(*agents, *(power.source for power in data.oxidants.values()))
