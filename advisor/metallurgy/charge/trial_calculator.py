"""``trial``: the reducing power of a concentrate from a trial fusion, and nitre, flour, litharge or iron by it."""

from __future__ import annotations

from dataclasses import replace

from advisor.metallurgy.charge.calculator import trial_from, trial_inputs
from advisor.metallurgy.charge.iron import burns, rod_to_weigh
from advisor.metallurgy.charge.reducing import nitre_for, reduces, reductant_for
from advisor.metallurgy.charge.tables import ChargeData, charge_data
from advisor.metallurgy.common.document import Remark, Result
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.range_sums import ZERO, cited
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.units import Range
from advisor.words import tr


def trial_calculator_inputs(tables: Tables) -> tuple[Input, ...]:
    """The trial, and what the whole charge is to give."""
    data = tables.once(charge_data)
    sulphides = tuple(name for name, one in data.minerals.items() if burns(one.kind) and reduces(one, data.burning))
    button, *others = trial_inputs(tables)
    return (
        replace(button, required=True),
        *others,
        Input("gold", tr("gold in the concentrate, by weight"), "amount", "gold=10%", unit="%", otherwise=ZERO),
        Input("dry_mass", tr("concentrate in the whole charge"), "amount", "dry_mass=100g", unit="g", required=True),
        Input("lead_wanted", tr("lead wanted in its button"), "amount", "lead_wanted=20g", unit="g", otherwise=ZERO),
        Input("red_lead", tr("red lead in its charge"), "amount", "red_lead=80g", unit="g", otherwise=ZERO),
        Input(
            "reductant",
            tr("reductant at hand"),
            "choice",
            "reductant=flour",
            options=tuple(data.reductants),
            otherwise="flour",
        ),
        Input("mineral", tr("for the iron rod: the sulphide"), "choice", "mineral=pyrite", options=sulphides),
    )


def calculate_trial(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """What the trial tells.

    Raises:
        InputError: If the weighings cannot be.
    """
    data, trial = tables.once(charge_data), trial_from(tables, inputs, inputs.amount("gold"))
    ore = inputs.amount("dry_mass")
    power = Figure("lead_per_g", tr("lead that 1 g throws down"), trial.lead, "g/g", trial.how, trial.source)
    how = f"{in_words(ore, 'g')} x {in_words(trial.lead, 'g')}"
    down = Figure("lead_thrown_down_g", tr("lead that it throws down"), ore * trial.lead, "g", how, trial.source)
    note = tables.notes["trial_rule"]
    said = (Remark(kind="note", text=note.said(), source=note.source),)
    return (
        Result(title=tr("What the trial fusion tells"), figures=(power,)),
        Result(
            title=tr("For the whole charge"), figures=(down, *_for_the_charge(data, inputs, down.amount)), said=said
        ),
        *_with_iron(data, inputs, down.amount),
    )


def _for_the_charge(data: ChargeData, inputs: Inputs, down_g: Range) -> tuple[Figure, ...]:
    wanted, red_lead = inputs.amount("lead_wanted"), data.oxidants["red_lead"]
    kept_up = inputs.amount("red_lead") * red_lead.lead
    too_much = down_g - kept_up - wanted
    nitre = nitre_for(too_much, data.oxidants["nitre"])
    agent = reductant_for(ZERO - too_much, data.reductants[inputs.word("reductant")])
    if inputs.amount("red_lead").high > 0.0:
        nitre, agent = (replace(one, source=cited(one.source, red_lead.source)) for one in (nitre, agent))
    content = data.collector_content("litharge")
    assert content is not None
    part = content[0].metal_part * content[1]
    how = tr("{wanted} of lead / {lead:.3f} lead in it", wanted=in_words(wanted, "g"), lead=part)
    litharge = Figure(
        "litharge_g", tr("litharge for the button alone"), wanted.scaled(1.0 / part), "g", how, "calculation"
    )
    return tuple(one for one in (nitre, agent, litharge) if one.amount.high > 0.0)


def _with_iron(data: ChargeData, inputs: Inputs, down_g: Range) -> tuple[Result, ...]:
    """What iron would have to take up instead, where the sulphide is named."""
    if not inputs.has("mineral"):
        return ()
    name = inputs.word("mineral")
    power, uptake, spare = data.burning[name], data.iron[name], data.single["rod"]
    grams = down_g / power.lead if power.lead.low > 0.0 else down_g.scaled(1.0 / power.lead.likely)
    title = data.minerals[name].title
    how = tr("{down} of lead / {lead}", down=in_words(down_g, "g"), lead=in_words(power.lead, tr("g per g")))
    sulphide = Figure(
        "sulphide_g", tr("sulphide, counted as {mineral}", mineral=title), grams, "g", how, cited(power.source)
    )
    taken = grams * uptake.iron
    how = f"{in_words(grams, 'g')} x {in_words(uptake.iron, '')}"
    iron = Figure("iron_taken_up_g", tr("iron that it takes up"), taken, "g", how, cited(uptake.source))
    rod = rod_to_weigh(taken, ZERO, spare.amount, spare.source)
    return (Result(title=tr("With an iron rod instead"), figures=(sulphide, iron, rod)),)


COMPUTATION = Computation("trial", tr("Trial fusion"), trial_calculator_inputs, calculate_trial)
