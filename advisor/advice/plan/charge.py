"""The smelting charge of one batch: planned from the minerals, and judged as it is weighed."""

from __future__ import annotations

from dataclasses import replace

from advisor.advice.plan.minerals import minerals_of
from advisor.advice.plan.weighing import Weigher, total
from advisor.engine import Conclusions
from advisor.frozen import frozen
from advisor.metallurgy.charge.iron import burns
from advisor.metallurgy.charge.melt import Charge
from advisor.metallurgy.charge.plan import Assessment, ChargePlan, Place, assess_charge, plan_charge
from advisor.metallurgy.charge.tables import ChargeData, charge_data
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
from advisor.words import tr

_ZERO = Range.exact(0.0)
_MASS = "calculation"
_COLLECTORS = ("litharge", "lead", "bismuth_oxide", "bismuth")


@frozen
class ChargeOfBatch:
    """The charge of one batch.

    Attributes:
        raw: The minerals before any roast.
        concentrate: What goes into the pot.
        weighed: What the charge that is weighed does.
        by_rule: Whether it is weighed by the rule of thumb alone.
    """

    raw: Concentrate
    concentrate: Concentrate
    weighed: Assessment
    by_rule: bool

    @property
    def masses(self) -> tuple[Figure, ...]:
        """What goes into the pot, and the sulphide before any roast."""
        sulphide = total([part.mass_g for part in self.raw.minerals if burns(part.mineral.kind)])
        return (
            Figure(
                "in_pot_g", tr("concentrate in the pot"), self.concentrate.dry_mass_g, "g", self.concentrate.how, _MASS
            ),
            Figure("sulphide_g", tr("sulphide"), sulphide, "g", self.raw.how, _MASS),
        )

    def outcome(self, name: str) -> Range:
        """A figure of the charge that is weighed, by its name; nothing when the charge has none."""
        return next((figure.amount for figure in self.weighed.figures if figure.name == name), _ZERO)


def charge_of(weigher: Weigher, tables: Tables) -> ChargeOfBatch | None:
    """The charge of this batch, judged as it is weighed; None for routes that smelt nothing.

    The weigher takes the computed weights, unless no charge is printed for such ore.

    Raises:
        InputError: If the answers make no possible charge.
    """
    conclusions, data = weigher.conclusions, tables.once(charge_data)
    method = _method(conclusions, tables)
    if method is None:
        return None
    fitted = _by_trial(minerals_of(weigher, tables), conclusions, tables)
    raw = _with_its_gold(fitted, weigher, "dry_mass" if method == "roast" else "smelt_mass")
    concentrate = roasted(raw, tables.once(mineral_table), tables.rows("roasting")) if method == "roast" else raw
    place = Place(crucible_ml=weigher["crucible_volume"].likely)
    by_rule, wish = _holds(conclusions, "charge_by_rule"), None
    if not by_rule:
        wish = _wish(weigher, method, data)
        plan = plan_charge(concentrate, wish, data, place)
        weigher.take(_computed(plan, weigher, data))
    rod = Range.exact(weigher["iron"].likely) if method == "iron" and weigher["iron"].likely > 0 else None
    charge = Charge(method, concentrate, _in_pot(weigher, data), rod)
    return ChargeOfBatch(raw, concentrate, assess_charge(charge, data, place, wish), by_rule)


def _by_trial(minerals: Concentrate, conclusions: Conclusions, tables: Tables) -> Concentrate:
    """The minerals fitted to the trial fusion, where one was answered."""
    button, step = (conclusions.answers.get(name) for name in ("trial_button", "scale_step"))
    weights, step_g = tables.once(trial_weights), step.high if isinstance(step, Range) else 0.0
    # What a coarse scale showed tells nothing.
    if not isinstance(button, Range) or step_g >= weights.ore_g:
        return minerals
    trial = trial_of(Weighing(Range.exact(weights.ore_g), button, step_g), gold_part(minerals), weights, tables.notes)
    return by_trial(minerals, trial, tables.once(charge_data), strict=False)


def _with_its_gold(minerals: Concentrate, weigher: Weigher, mass: str) -> Concentrate:
    """The minerals in the mass that is worked, with the gold that goes into the pot: of a split the poorer part's."""
    gold, whole = weigher["gold_in_smelt"], weigher[mass].likely
    rest = minerals.dry_mass_g.likely - minerals.mass_g("gold").likely
    factor = (whole - gold.likely) / rest if rest > 0 else 0.0
    parts = tuple(
        replace(part, mass_g=gold if part.mineral.name == "gold" else part.mass_g.scaled(factor))
        for part in minerals.minerals
    )
    dry_mass_g = minerals.dry_mass_g.scaled(whole / minerals.dry_mass_g.likely)
    return replace(minerals, dry_mass_g=dry_mass_g, minerals=parts)


def _holds(conclusions: Conclusions, finding: str) -> bool:
    return conclusions.truth(conclusions.rule_base.findings[finding].condition) != FAILS


def _method(conclusions: Conclusions, tables: Tables) -> str | None:
    rows = {(text(row, "route"), text(row, "of")): text(row, "method") for row in tables.rows("routes_as_methods")}
    return rows.get(
        (conclusions.outcomes["route"].chosen, "rusty_ore" if _holds(conclusions, "rusted_charge") else "sulphide_ore")
    )


def _wish(weigher: Weigher, method: str, data: ChargeData) -> Wish:
    given = [name for name in _named(weigher, data) if weigher.in_pot(name).high > 0]
    collector = next((name for name in _COLLECTORS if name in given), "none")
    borax = "borax_decahydrate" if "borax_decahydrate" in given else "borax_anhydrous"
    reagents = weigher.conclusions.answers.get("reagents")
    at_hand = reagents.present if isinstance(reagents, Several) else frozenset()
    reductant = "charcoal" if "charcoal" in at_hand and "flour" not in at_hand else "flour"
    return Wish(method, collector=collector, borax=borax, reductant=reductant)


def _named(weigher: Weigher, data: ChargeData) -> list[str]:
    """The reagents of the tables that the rules know as materials."""
    return [name for name in data.reagents if name in weigher.conclusions.rule_base.materials]


def _in_pot(weigher: Weigher, data: ChargeData) -> dict[str, Range]:
    """What is weighed into the pot, as the scale shows it: the likely weight, which is the one that is weighed."""
    weighed = {n: weigher[n].likely - weigher.beside_the_pot(n).likely for n in _named(weigher, data)}
    return {name: Range.exact(grams) for name, grams in weighed.items() if grams > 0}


def _computed(plan: ChargePlan, weigher: Weigher, data: ChargeData) -> dict[str, Figure]:
    """The computed weight of each material that the rules weigh into the pot.

    What the rules do not weigh, such as iron that is not at hand, is not weighed. Nitre, flour or charcoal that these
    minerals ask for none of get a figure of zero. Silica keeps its rule, since what no answer names was counted as
    quartz and may be something else. A rule of the shop's own goes before the computation.
    """
    rule_base = weigher.conclusions.rule_base
    computed = {figure.name.removesuffix("_g"): figure for figure in plan.weigh}
    rod = next((figure for figure in plan.outcome.figures if figure.name == "iron_rod_g"), None)
    # Where the minerals take none, the short rod of the rules stands in the pot all the same.
    if rod is not None and rod.amount.likely > 0:
        computed["iron"] = rod
    taken: dict[str, Figure] = {}
    for name in (*_named(weigher, data), "iron"):
        family = data.reagents[name].family if name in data.reagents else "iron"
        own = any(rule.origin.layer != rule_base.layers[0] for rule in weigher.rules_for(name))
        if own or family == "silica" or weigher.in_pot(name).high <= 0:
            continue
        if name in computed:
            taken[name] = computed[name]
        elif family in ("oxidant", "reductant"):
            title = tr("{reagent}, not needed", reagent=data.reagents[name].title)
            how = tr("the minerals of this batch ask for none")
            taken[name] = Figure(f"{name}_g", title, _ZERO, "g", how, "calculation")
    return taken
