"""A charge that was really used, also one of another recipe: its method, its reducing power, and what it lacks.

What it lacks is told beside the charge that would be planned for the same ore with the same forms of flux, by the same
computation, so the two cannot disagree.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from advisor.metallurgy.charge.figures import melt_figures
from advisor.metallurgy.charge.melt import Charge, melt
from advisor.metallurgy.charge.plan import plan_charge
from advisor.metallurgy.charge.tables import ChargeData
from advisor.metallurgy.charge.weights import Wish
from advisor.metallurgy.common.document import Remark, Result
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import ZERO, cited, positive, total
from advisor.metallurgy.common.rows import in_words
from advisor.units import Range
from advisor.units.measures import format_number

_FAMILIES = ("borax", "soda", "silica", "collector", "reductant")
_CALCULATED = "calculation"


def method_used(reagents_g: Mapping[str, Range], rod_g: Range | None) -> str:
    """The way to smelt that a recipe amounts to: with iron, with nitre, or with flux alone."""
    if rod_g is not None and rod_g.high > 0.0:
        return "iron"
    return "nitre" if _weighed(reagents_g, "nitre") else "flux"


def power_result(charge: Charge, data: ChargeData) -> Result:
    """What reduces and what oxidises in a charge, all as grams of lead."""
    figures = {figure.name: figure for figure in melt_figures(charge, melt(charge, data), data)}
    sulphides = figures["lead_thrown_down_g"]
    agents = {n: g * data.reductants[n].lead for n, g in charge.reagents_g.items() if n in data.reductants}
    nitre = {n: g * data.oxidants[n].lead for n, g in charge.reagents_g.items() if n in data.oxidants}
    by, against = total(agents.values()), total(nitre.values())
    left = positive(sulphides.amount + by - against)
    how, source = "sulphides + flour or charcoal - nitre and red lead", _sources(data)
    said = (
        (Remark(kind="warning", text="The nitre takes more than all that reduces; no lead comes down by itself."),)
        if against.likely > 0.0 and left.likely <= 0.0
        else ()
    )
    return Result(
        "What reduces and what oxidises, as lead",
        (
            sulphides,
            Figure(
                "lead_by_agents_g", "lead that flour or charcoal reduces", by, "g", "weight x power", _sources(data)
            ),
            Figure("lead_kept_back_g", "lead that nitre keeps back", against, "g", "weight x power", source),
            Figure("lead_left_to_reduce_g", "lead that can come down", left, "g", how, _CALCULATED),
        ),
        said,
    )


def lacking_result(charge: Charge, data: ChargeData) -> Result:
    """What a charge lacks or has too much of, beside the one that would be planned for the same ore."""
    plan = plan_charge(charge.concentrate, _wish(charge, data), data)
    planned = {figure.name.removesuffix("_g"): figure.amount for figure in plan.weigh}
    given = {**charge.reagents_g, "rod": charge.rod_g or ZERO}
    said, figures, near = [], [], data.notice["beside_plan"]
    for name in [name for name in (*data.reagents, "rod") if name in planned or name in given]:
        title = data.reagents[name].title if name in data.reagents else "iron rod"
        used, wanted = given.get(name, ZERO), planned.get(name, ZERO)
        if used.high * near < wanted.low:
            lacking = positive(wanted - used)
            how = f"{in_words(wanted, 'g')} planned - {in_words(used, 'g')} given"
            figures.append(Figure(f"lacking_{name}_g", f"{title} that is lacking", lacking, "g", how, _CALCULATED))
        elif used.low > wanted.high * near:
            said.append(_too_much(title, used, wanted))
    if not said and not figures:
        said.append(Remark(kind="verdict", text="Every weight lies within what would be planned for this ore."))
    return Result("Beside a charge planned for this ore", tuple(figures), tuple(said))


def _too_much(title: str, used: Range, wanted: Range) -> Remark:
    given, planned = format_number(used.likely), format_number(wanted.likely)
    return Remark(
        kind="limit", text=f"{title}: {given} g given, about {planned} g planned. It is more than this ore wants."
    )


def _wish(charge: Charge, data: ChargeData) -> Wish:
    """The wish for a charge of the same method and the same forms."""
    forms: dict[str, str] = {}
    for name in charge.reagents_g:
        family = data.reagents[name].family
        if family in _FAMILIES and _weighed(charge.reagents_g, name):
            forms.setdefault(family, name)
    usual = Wish(charge.method)
    return replace(
        usual,
        borax=forms.get("borax", usual.borax),
        soda=forms.get("soda", usual.soda),
        silica=forms.get("silica", usual.silica),
        collector=forms.get("collector", usual.collector),
        reductant=forms.get("reductant", usual.reductant),
    )


def _weighed(reagents_g: Mapping[str, Range], name: str) -> bool:
    return name in reagents_g and reagents_g[name].high > 0.0


def _sources(data: ChargeData) -> str:
    agents = (power.source for power in data.reductants.values())
    return cited(*agents, *(power.source for power in data.oxidants.values()))
