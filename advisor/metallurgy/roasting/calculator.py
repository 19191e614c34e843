"""``roast``: stages, air, gases and mass left; or the stop, where something in it must not be roasted."""

from __future__ import annotations

from advisor.errors import InputError
from advisor.metallurgy.common.document import Remark, Result
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.range_sums import share
from advisor.metallurgy.common.rows import Notes
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.metallurgy.concentrate.calculator import concentrate_inputs, concentrate_of
from advisor.metallurgy.concentrate.composition import Concentrate
from advisor.metallurgy.concentrate.minerals import mineral_table
from advisor.metallurgy.roasting.heat import RoastStage
from advisor.metallurgy.roasting.plan import RoastCharge, RoastPlan, RoastRefused, plan_roast
from advisor.metallurgy.roasting.tables import roasting_tables
from advisor.words import tr


def roast_inputs(tables: Tables) -> tuple[Input, ...]:
    """The inputs of a roast."""
    stops = tables.names("roast_stops", "element")
    return (
        *concentrate_inputs(tables),
        Input(
            "mass_shares",
            tr("share of each mineral by weight"),
            "amounts",
            "mass_shares.pyrite=40%",
            unit="%",
            options=tuple(tables.once(mineral_table)),
        ),
        Input("suspected", tr("elements that may be in it unseen"), "words", "suspected=As,Hg", options=stops),
        Input("recovery", tr("elements that a licensed recovery system holds"), "words", "recovery=As", options=stops),
    )


def roast_charge(tables: Tables, inputs: Inputs) -> RoastCharge:
    """What lies in the dish.

    Raises:
        InputError: If it is not described, or in two ways.
    """
    if not inputs.has("mass_shares"):
        return charge_from(concentrate_of(tables, inputs))
    if not inputs.has("dry_mass"):
        raise InputError(tr("'mass_shares' needs the dry mass; add it, for example  dry_mass=250g"))
    return RoastCharge(inputs.amount("dry_mass"), inputs.amounts("mass_shares"))


def charge_from(concentrate: Concentrate) -> RoastCharge:
    """The charge of a dish from the mineral masses of a concentrate."""
    mass = concentrate.dry_mass_g
    shares = {
        part.mineral.name: share(part.mass_g, mass)
        for part in concentrate.minerals
        if part.mineral.kind in ("sulphide", "arsenide", "telluride", "carbonate")
    }
    return RoastCharge(mass, shares)


def calculate_roast(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """A roast, or the stop where something in it must not be roasted here.

    Raises:
        InputError: If the inputs do not fit.
    """
    try:
        plan = plan_roast(
            roast_charge(tables, inputs),
            minerals=tables.once(mineral_table),
            tables=tables.once(roasting_tables),
            recovery=frozenset(inputs.words("recovery")),
            suspected=frozenset(inputs.words("suspected")),
        )
    except RoastRefused as refused:
        return (refused_result(refused),)
    return roast_results(tables, plan)


COMPUTATION = Computation("roast", tr("Roast"), roast_inputs, calculate_roast)


def refused_result(refused: RoastRefused) -> Result:
    """The stop as it is shown."""
    said = [Remark(kind="warning", text=str(refused)[:1].upper() + str(refused)[1:])]
    return Result(title=refused.title, said=tuple(said), stop=True)


def roast_results(tables: Tables, plan: RoastPlan) -> tuple[Result, ...]:
    """A roast as it is shown."""
    notes = tables.once(roasting_tables).notes
    stages = Result(
        title=tr("Stages"),
        figures=tuple(stage.heat for stage in plan.stages),
        said=tuple(Remark(kind="step", text=_stage_words(one, notes), source=one.work.source) for one in plan.stages),
    )
    gases = Result(
        title=tr("Air and gases"),
        figures=(
            plan.oxygen,
            plan.air_least,
            plan.air_to_give,
            plan.sulphur_dioxide,
            plan.sulphur_dioxide_volume,
            *plan.other_gases,
            *plan.vapour_volumes,
        ),
    )
    done = Result(
        title=tr("What is left, and when it is done"),
        figures=(plan.mass_left,),
        said=(
            *(
                Remark(
                    kind="sign",
                    text=tr("{test} Done: {right} Not done: {wrong}", test=t.test, right=t.right, wrong=t.wrong),
                    source=t.source,
                )
                for t in plan.end_tests
            ),
            *(Remark(kind="note", text=note.said(), source=note.source) for note in plan.notes),
        ),
    )
    return (stages, gases, done)


def _stage_words(stage: RoastStage, notes: Notes) -> str:
    said = [f"{stage.work.title}: {stage.work.watch}"]
    if stage.led_by:
        said.append(tr("Heat set by {minerals}.", minerals=", ".join(stage.led_by)))
    if stage.conflict:
        said.append(notes["cooler_leads"].said())
    return " ".join(said)
