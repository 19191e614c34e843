"""``fineness``: gold of a bead or bar from its weights in air and water, its content and value."""

from __future__ import annotations

from advisor.errors import InputError
from advisor.metallurgy.bead.fineness import (
    ALL_COPPER,
    ALL_SILVER,
    REST_UNKNOWN,
    BeadDensity,
    bar_for_precision_g,
    bead_density,
    bead_fineness,
    metal_table,
    reads_low_by,
    water_table,
)
from advisor.metallurgy.bead.worth import colour_agrees, colour_table, gold_in_bead, gold_value, silver_for_parting
from advisor.metallurgy.common.document import Remark, Result
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.rows import number, range_of, source_of, text
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.units import Range

_REST = {"silver": ALL_SILVER, "copper": ALL_COPPER, "unknown": REST_UNKNOWN}


def fineness_inputs(tables: Tables) -> tuple[Input, ...]:
    """The inputs of the fineness."""
    return (
        Input("in_air", "weight in air", "amount", "in_air=12.34g", unit="g", required=True),
        Input("in_water", "weight while hanging in water", "amount", "in_water=11.60g", unit="g", required=True),
        Input("scale_step", "smallest step of the scale", "amount", "scale_step=0.01g", unit="g", required=True),
        Input(
            "water_temperature",
            "temperature of the water",
            "amount",
            "water_temperature=20C",
            unit="C",
            otherwise=Range(10.0, 20.0, 30.0),
        ),
        Input("rest", "what is not gold", "choice", "rest=silver", options=tuple(_REST), otherwise="unknown"),
        Input("silver_part", "or: silver's share of what is not gold", "amount", "silver_part=70%", unit="%"),
        Input(
            "colour", "colour of the clean bead", "choice", "colour=yellow", options=tuple(tables.once(colour_table))
        ),
        Input("price", "price of fine gold in your money", "amount", "price=60 per g", unit="money/g"),
    )


def calculate_fineness(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """Density, fineness, gold and value of a bead.

    Raises:
        InputError: If the inputs do not fit.
    """
    silver_part = inputs.optional("silver_part") or _REST[inputs.word("rest")]
    air_row = tables.rows("air_density")[0]
    air_g = inputs.amount("in_air").likely
    bead = bead_density(
        air_g,
        inputs.amount("in_water").likely,
        # A reading may lie half a step either way, and the zero another half.
        inputs.amount("scale_step").likely,
        inputs.amount("water_temperature"),
        tables.once(water_table),
        range_of(air_row),
    )
    fine = bead_fineness(bead, tables.once(metal_table), silver_part)
    spread = Figure(
        "fineness_standard_permille",
        "standard uncertainty from the weighing alone",
        Range.exact(fine.standard_permille),
        "permille",
        "errors of both weighings, the water and the air added in squares",
        "calculation",
    )
    said = [Remark(kind="note", text=f"The rest of the bead: {fine.rest}.")]
    if not (inputs.has("rest") or inputs.has("silver_part")):
        said.append(Remark(kind="warning", text=tables.note("density_one_figure")))
    said += _colour_said(tables, inputs, fine.fineness.amount)
    said += _limits_said(tables, bead, inputs, silver_part)
    density = Result(title="Density and fineness", figures=(bead.density, fine.fineness, spread), said=tuple(said))
    weight = Range(
        max(0.0, air_g - inputs.amount("scale_step").likely), air_g, air_g + inputs.amount("scale_step").likely
    )
    content = gold_in_bead(weight, fine.fineness.amount)
    figures = [content.grams, content.troy_ounces]
    if inputs.has("price"):
        figures.append(gold_value(content.grams.amount, inputs.amount("price").likely, "g"))
    gold = Result(title="Gold in it", figures=tuple(figures))
    return (density, gold, _parting_result(tables, weight, fine.fineness.amount, silver_part))


COMPUTATION = Computation("fineness", "Fineness of a bead or bar", fineness_inputs, calculate_fineness)


def _colour_said(tables: Tables, inputs: Inputs, fineness: Range) -> list[Remark]:
    if not inputs.has("colour"):
        return []
    colour = tables.once(colour_table)[inputs.word("colour")]
    span = f"{colour.permille.low:.0f} to {colour.permille.high:.0f}"
    if colour_agrees(fineness, colour):
        return [
            Remark(
                kind="note",
                text=f"The colour ({colour.title}, {span} permille) agrees.",
                source=colour.source,
            )
        ]
    words = f"{tables.note('colour_disagrees')} {colour.title.capitalize()} goes with {span} permille."
    return [Remark(kind="warning", text=words, source=colour.source)]


def _limits_said(tables: Tables, bead: BeadDensity, inputs: Inputs, silver_part: Range) -> list[Remark]:
    stone = tables.rows("inclusion_densities")[0]
    said = []
    for row in tables.rows("reckoning_examples"):
        try:
            hidden = reads_low_by(
                bead,
                tables.once(metal_table),
                silver_part,
                pores_by_volume=number(row, "pores"),
                quartz_by_weight=number(row, "quartz"),
                quartz_density_g_ml=number(stone, "density"),
            )
        except InputError:
            # So heavy a bead has no room for them; then they are not what is wrong with it.
            continue
        said.append(
            Remark(
                kind="limit",
                text=f"{text(row, 'words')} would make it read {hidden.amount.likely:.0f} permille too low.",
                source=source_of(stone),
            )
        )
    precision = number(tables.rows("reckoning_precision")[0], "permille")
    least = bar_for_precision_g(inputs.amount("scale_step").likely, precision, tables.once(metal_table), silver_part)
    words = (
        f"This scale finds the fineness within {precision:.0f} permille only for pieces of about {least:.0f} g or more."
    )
    said.append(Remark(kind="limit", text=words))
    said.append(Remark(kind="note", text=tables.note("not_an_assay")))
    return said


def _parting_result(tables: Tables, weight: Range, fineness: Range, silver_part: Range) -> Result:
    row = tables.rows("parting_silver")[0]
    silver = silver_for_parting(weight, fineness, silver_part, range_of(row), source_of(row))
    return Result(
        title="If it is to be parted",
        figures=(silver,),
        said=(Remark(kind="warning", text=tables.note("parting_is_licensed")),),
    )
