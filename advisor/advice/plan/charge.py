"""The smelting charge of one batch: the rule of thumb judged, and one planned from the minerals."""

from __future__ import annotations

from dataclasses import replace

from advisor.advice.plan.minerals import minerals_of
from advisor.advice.plan.weighing import Weigher
from advisor.engine import Conclusions
from advisor.frozen import frozen
from advisor.metallurgy.charge.melt import Charge
from advisor.metallurgy.charge.plan import Assessment, ChargePlan, Place, assess_charge, plan_charge
from advisor.metallurgy.charge.tables import charge_data
from advisor.metallurgy.charge.trial import Weighing, by_trial, gold_part, trial_of, trial_weights
from advisor.metallurgy.charge.weights import Wish
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.rows import text
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.concentrate.composition import Concentrate, roasted
from advisor.metallurgy.concentrate.minerals import mineral_table
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.model import Several
from advisor.units import Range

_ZERO = Range.exact(0.0)
_COLLECTORS = ("litharge", "lead", "bismuth_oxide", "bismuth")


@frozen
class ChargeOfBatch:
    """The charge of one batch.

    Attributes:
        raw: The minerals before any roast.
        concentrate: What goes into the pot.
        weighed: What the charge that is weighed does.
        plan: The computed charge; None where the charge goes, or may go, by a printed one.
    """

    raw: Concentrate
    concentrate: Concentrate
    weighed: Assessment
    plan: ChargePlan | None

    def outcome(self, name: str) -> Range:
        """A figure of the charge that is weighed, by its name; nothing when the charge has none."""
        return next((figure.amount for figure in self.weighed.figures if figure.name == name), _ZERO)


def charge_of(weigher: Weigher, tables: Tables) -> ChargeOfBatch | None:
    """The charge of this batch, computed and judged; None for routes that smelt nothing.

    Raises:
        InputError: If the answers make no possible charge.
    """
    conclusions = weigher.conclusions
    methods = {text(row, "route"): text(row, "method") for row in tables.rows("routes_as_methods")}
    method = methods.get(conclusions.outcomes["route"].chosen)
    if method is None:
        return None
    raw = _by_trial(minerals_of(weigher, tables), conclusions, tables)
    concentrate = roasted(raw, tables.once(mineral_table), tables.rows("roasting")) if method == "roast" else raw
    in_pot = weigher["smelt_mass"].likely or weigher["direct_mass"].likely or raw.dry_mass_g.likely
    if method != "roast":
        concentrate = concentrate.scaled(in_pot / concentrate.dry_mass_g.likely)
    place = Place(crucible_ml=weigher["crucible_volume"].likely)
    reagents = {
        name: weigher[name] for name in tables.once(charge_data).reagents if name in conclusions.rule_base.materials
    }
    given = {name: amount for name, amount in reagents.items() if amount.high > 0}
    if conclusions.truth(conclusions.rule_base.findings["charge_by_rule"].condition) != FAILS:
        rod = weigher["iron"] if method == "iron" and weigher["iron"].high > 0 else None
        printed = assess_charge(Charge(method, concentrate, given, rod), tables.once(charge_data), place)
        return ChargeOfBatch(raw, concentrate, printed, None)
    wish = _wish(conclusions, method, given)
    plan = plan_charge(concentrate, wish, tables.once(charge_data), place)
    changed = _with_learned(plan.outcome.charge, weigher)
    # What the shop learned is weighed too, so the charge is judged with it.
    weighed = plan.outcome if changed is None else assess_charge(changed, tables.once(charge_data), place, wish)
    return ChargeOfBatch(raw, concentrate, weighed, plan)


def _with_learned(charge: Charge, weigher: Weigher) -> Charge | None:
    """The charge with the weights that this shop's batches changed; None where they changed none of it."""
    taught = {name: learned.factor for name, learned in weigher.learned.items() if name in charge.reagents_g}
    if not taught:
        return None
    return replace(charge, reagents_g={n: g * taught[n] if n in taught else g for n, g in charge.reagents_g.items()})


def _by_trial(minerals: Concentrate, conclusions: Conclusions, tables: Tables) -> Concentrate:
    """The minerals fitted to the trial fusion, where one was answered."""
    button, step = (conclusions.answers.get(name) for name in ("trial_button", "scale_step"))
    weights, step_g = tables.once(trial_weights), step.high if isinstance(step, Range) else 0.0
    # What a coarse scale showed tells nothing.
    if not isinstance(button, Range) or step_g >= weights.ore_g:
        return minerals
    trial = trial_of(Weighing(Range.exact(weights.ore_g), button, step_g), gold_part(minerals), weights)
    return by_trial(minerals, trial, tables.once(charge_data), strict=False)


def _wish(conclusions: Conclusions, method: str, given: dict[str, Range]) -> Wish:
    collector = next((name for name in _COLLECTORS if name in given), "none")
    borax = "borax_decahydrate" if "borax_decahydrate" in given else "borax_anhydrous"
    reagents = conclusions.answers.get("reagents")
    at_hand = reagents.present if isinstance(reagents, Several) else frozenset()
    reductant = "charcoal" if "charcoal" in at_hand and "flour" not in at_hand else "flour"
    return Wish(method, collector=collector, borax=borax, reductant=reductant)


def weights_to_take(charge: ChargeOfBatch, weigher: Weigher, tables: Tables) -> dict[str, Figure]:
    """The computed weight of each material that the rules weigh.

    What the rules do not weigh, such as iron that is not at hand, is not weighed. Nitre, flour or charcoal that these
    minerals ask for none of get a figure of zero. Silica keeps its rule, since what no answer names was counted as
    quartz and may be something else. A rule of the shop's own goes before the computation. Where the charge may go by a
    printed one, everything keeps its rule.
    """
    if charge.plan is None:
        return {}
    conclusions = weigher.conclusions
    route = conclusions.outcomes["route"].chosen
    everything = text(tables.row("routes_as_methods", "route", route), "weigh") == "all"
    computed = {figure.name.removesuffix("_g"): figure for figure in charge.plan.weigh}
    rod = next((figure for figure in charge.plan.outcome.figures if figure.name == "iron_rod_g"), None)
    # Where the minerals take none, the short rod of the rules stands in the pot all the same.
    if rod is not None and rod.amount.likely > 0:
        computed["iron"] = rod
    shipped = conclusions.rule_base.layers[0]
    taken: dict[str, Figure] = {}
    for name in conclusions.rule_base.materials:
        reagent = tables.once(charge_data).reagents.get(name)
        flux = name == "iron" or (reagent is not None and reagent.family in ("borax", "soda", "oxidant"))
        if weigher[name].high <= 0 or not (flux or everything) or (reagent is not None and reagent.family == "silica"):
            continue
        if any(rule.origin.layer != shipped for rule, _, _ in weigher.lines(conclusions.rule_base.materials[name])):
            continue
        if name in computed:
            taken[name] = computed[name]
        elif reagent is not None and reagent.family in ("oxidant", "reductant"):
            title = f"{reagent.title}, not needed"
            taken[name] = Figure(
                f"{name}_g", title, _ZERO, "g", "the minerals of this batch ask for none", "calculation"
            )
    return taken
