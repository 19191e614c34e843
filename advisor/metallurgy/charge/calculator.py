"""``charge``: the smelting charge planned from the concentrate, or a given charge judged."""

from __future__ import annotations

from dataclasses import replace

from advisor.errors import InputError
from advisor.metallurgy.charge.limits import FLARES
from advisor.metallurgy.charge.melt import Charge
from advisor.metallurgy.charge.plan import (
    Assessment,
    Place,
    assess_charge,
    lacking_result,
    method_used,
    plan_charge,
    power_result,
)
from advisor.metallurgy.charge.tables import METHODS, ChargeData, charge_data
from advisor.metallurgy.charge.trial import Weighing, by_trial, gold_part, trial_of, trial_weights
from advisor.metallurgy.charge.weights import Wish
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.document import Remark, Result
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.rows import SourcedRange, number
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.metallurgy.concentrate.calculator import concentrate_inputs, concentrate_of, concentrate_result
from advisor.metallurgy.concentrate.composition import Trial, roasted
from advisor.metallurgy.concentrate.minerals import mineral_table
from advisor.units import Range
from advisor.words import tr

_ONE_OF = ("borax", "soda", "silica", "reductant", "collector")
_COLLECTORS = ("litharge", "red_lead", "lead", "bismuth_oxide", "bismuth", "none")


def charge_inputs(tables: Tables) -> tuple[Input, ...]:
    """The inputs of the charge."""
    reagents, usual = tables.once(charge_data).reagents, Wish(METHODS[0])
    family = {
        kind: tuple(r.name for r in reagents.values() if r.family == kind) for kind in ("borax", "soda", "silica")
    }
    return (
        Input("method", tr("way to smelt; of a given charge it follows"), "choice", "method=iron", options=METHODS),
        *concentrate_inputs(tables),
        Input(
            "collector",
            tr("collector at hand"),
            "choice",
            "collector=bismuth",
            options=_COLLECTORS,
            otherwise=usual.collector,
        ),
        Input("collector_metal", tr("collector metal wanted in the button"), "amount", "collector_metal=50g", unit="g"),
        Input(
            "borax",
            tr("borax at hand"),
            "choice",
            "borax=borax_decahydrate",
            options=family["borax"],
            otherwise=usual.borax,
        ),
        Input("soda", tr("soda at hand"), "choice", "soda=baking_soda", options=family["soda"], otherwise=usual.soda),
        Input(
            "silica", tr("silica at hand"), "choice", "silica=silica", options=family["silica"], otherwise=usual.silica
        ),
        Input(
            "reductant",
            tr("reductant at hand"),
            "choice",
            "reductant=flour",
            options=tuple(tables.once(charge_data).reductants),
            otherwise=usual.reductant,
        ),
        *trial_inputs(tables),
        Input("furnace", tr("highest heat of the furnace"), "amount", "furnace=1250C", unit="C"),
        Input("loose_density", tr("loose density of the concentrate"), "amount", "loose_density=2g/ml", unit="g/ml"),
        Input("degree", tr("degree of the slag wanted"), "amount", "degree=1.5", unit="g/g"),
        Input(
            "fixed",
            tr("reagents held at a weight, with the others planned around them"),
            "amounts",
            "fixed.borax_anhydrous=10g",
            unit="g",
            options=tuple(reagents),
        ),
        Input("crucible", tr("crucible, to the brim"), "amount", "crucible=1000ml", unit="ml"),
        Input(
            "prices",
            tr("prices of reagents"),
            "amounts",
            "prices.litharge=5",
            unit="money/kg",
            options=(*reagents, "iron"),
        ),
        Input(
            "given",
            tr("a given charge to be judged instead of planned"),
            "amounts",
            "given.soda_ash=200g",
            unit="g",
            options=tuple(reagents),
        ),
        Input("rod", tr("with given: weight of the iron rod"), "amount", "rod=60g", unit="g"),
    )


def trial_inputs(tables: Tables) -> tuple[Input, ...]:
    """The inputs that tell of a trial fusion."""
    ore = Range.exact(tables.once(trial_weights).ore_g)
    return (
        Input("trial_button", tr("lead button of a trial fusion"), "amount", "trial_button=6.5g", unit="g"),
        Input(
            "trial_ore", tr("with trial_button: concentrate taken"), "amount", "trial_ore=3g", unit="g", otherwise=ore
        ),
        Input("scale_step", tr("with trial_button: smallest step of the scale"), "amount", "scale_step=0.1g", unit="g"),
    )


def trial_from(tables: Tables, inputs: Inputs, gold: Range) -> Trial:
    """What the trial fusion told that the inputs give.

    Args:
        tables: The tables.
        inputs: With those of ``trial_inputs``.
        gold: Gold in 1 g of concentrate, g.

    Raises:
        InputError: If the weighings cannot be.
    """
    step = inputs.optional("scale_step")
    weighing = Weighing(inputs.amount("trial_ore"), inputs.amount("trial_button"), step.high if step else 0.0)
    return trial_of(weighing, gold, tables.once(trial_weights), tables.notes)


def calculate_charge(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """A charge planned or judged.

    Raises:
        InputError: If the inputs do not fit.
    """
    method = _method(inputs)
    _refuse_cold_furnace(tables, inputs)
    raw = concentrate_of(tables, inputs)
    if inputs.has("trial_button"):
        raw = by_trial(raw, trial_from(tables, inputs, gold_part(raw)), tables.once(charge_data))
    concentrate = raw
    shown: tuple[Result, ...] = (concentrate_result(raw),)
    if method == "roast":
        concentrate = roasted(raw, tables.once(mineral_table), tables.rows("roasting"))
        shown = (*shown, Result(title=tr("What the roast leaves of it"), figures=concentrate.figures()))
    place = Place(
        crucible_ml=inputs.amount("crucible").likely if inputs.has("crucible") else None,
        # Prices are inside per gram; the metallurgy counts money per kilogram.
        prices_per_kg={name: price.likely * 1000 for name, price in inputs.amounts("prices").items()},
    )
    if inputs.has("given"):
        if inputs.has("fixed") or inputs.has("degree"):
            raise InputError(
                tr("'fixed' and 'degree' plan a charge and 'given' judges one; leave the one or the other out")
            )
        charge = Charge(method, concentrate, inputs.amounts("given"), inputs.optional("rod"))
        data = _data(tables, inputs)
        outcome = assess_charge(charge, data, place)
        _refuse_small_pot(tables, inputs, outcome)
        beside = (power_result(charge, outcome, data), lacking_result(charge, data))
        return (*_flare(tables, outcome), *shown, *outcome_results(outcome), *beside)
    if inputs.has("rod"):
        raise InputError(tr("'rod' goes with a given charge; leave it out, and the rod is worked out"))
    plan = plan_charge(concentrate, _wish(tables, inputs), _data(tables, inputs), place)
    _refuse_small_pot(tables, inputs, plan.outcome)
    weigh = Result(
        title=tr("Weigh out"),
        figures=tuple(plan.weigh),
        said=tuple(Remark(kind="note", text=f"{title}: {advice}") for title, advice in plan.advice if advice),
    )
    return (*_flare(tables, plan.outcome), *shown, weigh, *outcome_results(plan.outcome))


COMPUTATION = Computation("charge", tr("Smelting charge"), charge_inputs, calculate_charge)


def _method(inputs: Inputs) -> str:
    """The way to smelt, as told or as a given charge shows it.

    Raises:
        InputError: If it is not told of a charge that is to be planned.
    """
    if inputs.has("method"):
        return inputs.word("method")
    if inputs.has("given"):
        return method_used(inputs.amounts("given"), inputs.optional("rod"))
    raise InputError(tr("'method' (way to smelt) is missing; add it, for example  method=iron"))


def _flare(tables: Tables, outcome: Assessment) -> tuple[Result, ...]:
    """The stop for a charge that would flare: given, or with nitre and flour both held."""
    flares = any(limit.key == FLARES for limit in outcome.limits)
    return (Result(title=tables.notes["nitre_flares"].said(), stop=True),) if flares else ()


def _refuse_cold_furnace(tables: Tables, inputs: Inputs) -> None:
    """A furnace that does not melt the slag is no furnace for this charge."""
    least = tables.rule_base.thresholds["smelting_temperature_least"]
    heat = inputs.optional("furnace")
    if heat is not None and heat.high < least.amount.likely:
        raise InputError(
            tables.notes["furnace_too_cold"].said(heat=f"{heat.high:.0f}", least=f"{least.amount.likely:.0f}")
        )


def _refuse_small_pot(tables: Tables, inputs: Inputs, outcome: Assessment) -> None:
    """So many fillings of one pot are a slip of the pen, or no work for one day."""
    if not inputs.has("crucible"):
        return
    most = number(tables.row("reckoning_limits", "what", "fillings"), "most")
    pots, room = outcome.figure("pots").amount.likely, outcome.figure("crucible_ml").amount.likely
    if pots > most:
        raise InputError(
            tables.notes["pot_too_small"].said(
                pots=f"{pots:.0f}", pot=f"{inputs.amount('crucible').likely:.0f}", room=f"{room / most:.0f}"
            )
        )


def _data(tables: Tables, inputs: Inputs) -> ChargeData:
    """The figures of a charge, with the loose density that was measured in place of the usual one."""
    data, loose = tables.once(charge_data), inputs.optional("loose_density")
    if loose is None:
        return data
    range_within(tr("The loose density of the concentrate"), loose, "g/ml", 0.2, 20.0)
    return replace(data, single={**data.single, "bulk": SourcedRange(loose, tr("as measured"))})


def _wish(tables: Tables, inputs: Inputs) -> Wish:
    reagents, fixed = tables.once(charge_data).reagents, inputs.amounts("fixed")
    forms: dict[str, str] = {}
    for name in fixed:
        family = reagents[name].family
        if family in forms and family in _ONE_OF:
            raise InputError(
                tr(
                    "'{first}' and '{second}' are both held; hold one kind of {family}",
                    first=forms[family],
                    second=name,
                    family=family,
                )
            )
        forms[family] = name

    def of(family: str) -> str:
        """The form that is held, or else that at hand; one held at nothing is no form."""
        held = forms.get(family)
        return held if held is not None and fixed[held].high > 0.0 else inputs.word(family)

    return Wish(
        method=inputs.word("method"),
        collector=of("collector"),
        collector_metal_g=inputs.optional("collector_metal"),
        borax=of("borax"),
        soda=of("soda"),
        silica=of("silica"),
        reductant=of("reductant"),
        degree=inputs.optional("degree"),
        fixed_g=fixed,
    )


def outcome_results(outcome: Assessment) -> tuple[Result, ...]:
    """What a charge does, as it is shown."""
    said = [Remark(kind="verdict" if outcome.in_window else "warning", text=outcome.verdict)]
    said += [Remark(kind="limit", text=limit.says, do=limit.do, source=limit.source) for limit in outcome.limits]
    said += [Remark(kind="note", text=f"{mineral}: {equation}") for mineral, equation in outcome.equations]
    return (Result(title=tr("What the charge does"), figures=tuple(outcome.figures), said=tuple(said)),)
