"""``fineness``: gold of a bead or bar by weight in water, by an assay or as known; its content, value and parting."""

from __future__ import annotations

import math

from advisor.errors import InputError
from advisor.metallurgy.bead.assay import Assay, Check, assayed, like_the_sample
from advisor.metallurgy.bead.fineness import (
    ALL_COPPER,
    ALL_SILVER,
    BeadDensity,
    Weighing,
    bar_for_precision_g,
    bead_density,
    bead_fineness,
    metal_table,
    reads_low_by,
    round_step_g,
    told_within_permille,
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
from advisor.words import tr

_REST = {"silver": ALL_SILVER, "copper": ALL_COPPER}
_NOT_KNOWN = "unknown"
_WAYS = {"in_water": tr("weighed in water"), "fineness": "known", "sample": "assayed"}
_ROUNDS = 9


def fineness_inputs(tables: Tables) -> tuple[Input, ...]:
    """The inputs of the fineness."""
    return (
        Input("in_air", tr("weight of the piece, in air"), "amount", "in_air=12.34g", unit="g"),
        Input("in_water", tr("its weight while hanging in water"), "amount", "in_water=11.60g", unit="g"),
        Input("scale_step", tr("with in_water: smallest step of the scale"), "amount", "scale_step=0.01g", unit="g"),
        Input(
            "water_temperature",
            tr("temperature of the water"),
            "amount",
            "water_temperature=20C",
            unit="C",
            otherwise=tables.assumed("water_temperature"),
        ),
        Input("fineness", tr("or: its fineness, where it is known"), "amount", "fineness=850", unit="permille"),
        Input("sample", tr("or: weight of a sample that was assayed"), "amount", "sample=250mg", unit="g"),
        Input("sample_gold", tr("with sample: gold parted from it"), "amount", "sample_gold=228.4mg", unit="g"),
        Input("check", tr("with sample: fine gold in the check beside it"), "amount", "check=228mg", unit="g"),
        Input("check_gold", tr("with check: gold parted from the check"), "amount", "check_gold=228.1mg", unit="g"),
        Input(
            "rest",
            tr("what is not gold"),
            "choice",
            "rest=silver",
            options=(*_REST, _NOT_KNOWN),
            otherwise=_NOT_KNOWN,
        ),
        Input("silver_part", tr("or: silver's share of what is not gold"), "amount", "silver_part=70%", unit="%"),
        Input(
            "colour",
            tr("colour of the clean bead"),
            "choice",
            "colour=yellow",
            options=tuple(tables.once(colour_table)),
        ),
        Input("price", tr("price of fine gold in your money"), "amount", "price=60 per g", unit="money/g"),
    )


def calculate_fineness(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """Fineness, gold, value and silver for parting; or that this scale cannot tell.

    Raises:
        InputError: If the inputs do not fit.
    """
    ways = [name for name in _WAYS if inputs.has(name)]
    if len(ways) != 1:
        raise InputError(tr("give in_water with scale_step, or fineness, or sample with sample_gold; one of the three"))
    if ways == ["in_water"]:
        return _by_water(tables, inputs)
    if ways == ["sample"]:
        return _by_assay(tables, inputs)
    fineness = inputs.in_unit("fineness")
    how, source = tr("as given"), "calculation"
    figure = Figure("bead_fineness_permille", tr("fineness as given"), fineness, "permille", how, source)
    given = Result(title=tr("Fineness"), figures=(figure,), said=tuple(_colour_said(tables, inputs, fineness)))
    return (given, *_content(tables, inputs, inputs.amount(_given(inputs, "in_air")), fineness))


COMPUTATION = Computation("fineness", tr("Fineness of a bead or bar"), fineness_inputs, calculate_fineness)


def _given(inputs: Inputs, name: str) -> str:
    """The name of an input that is needed here; raises InputError where it is missing."""
    if not inputs.has(name):
        one = inputs.wanted[name]
        raise InputError(
            tr(
                "'{name}' ({what}) is missing; add it, for example  {example}",
                name=name,
                what=one.title,
                example=one.example,
            )
        )
    return name


def _silver_part(tables: Tables, inputs: Inputs) -> Range:
    return inputs.optional("silver_part") or _REST.get(inputs.word("rest")) or tables.assumed("silver_part_of_rest")


def _by_water(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    weighing = Weighing(
        inputs.amount(_given(inputs, "in_air")).likely,
        inputs.amount("in_water").likely,
        # A reading may lie half a step either way, and the zero another half.
        inputs.amount(_given(inputs, "scale_step")).likely,
        inputs.amount("water_temperature"),
    )
    most = number(tables.rows("fineness_told")[0], "permille")
    told = _told(tables, weighing, _silver_part(tables, inputs))
    if told > most:
        return (_cannot_tell(tables, weighing, _silver_part(tables, inputs), told),)
    step_g, air_g = weighing.scale_error_g, weighing.air_g
    density, fineness = _density_result(tables, inputs, weighing)
    weight = Range(max(0.0, air_g - step_g), air_g, air_g + step_g)
    return (density, *_content(tables, inputs, weight, fineness))


def _told(tables: Tables, weighing: Weighing, silver_part: Range) -> float:
    air = range_of(tables.rows("air_density")[0])
    water, metals = tables.once(water_table), tables.once(metal_table)
    return told_within_permille(weighing, water, air, metals, silver_part, tables.notes)


def _cannot_tell(tables: Tables, weighing: Weighing, silver_part: Range, told: float) -> Result:
    """What is said where the weighing is too coarse: what would do, and no fineness, no gold, no price."""
    row = tables.rows("fineness_told")[0]
    most, step_g = number(row, "permille"), weighing.scale_error_g
    enough_g = round_step_g(step_g * most / told)
    for _ in range(_ROUNDS):
        finer = Weighing(weighing.air_g, weighing.water_g, enough_g, weighing.temperature_c)
        if _told(tables, finer, silver_part) <= most:
            break
        enough_g = round_step_g(enough_g * 0.9)
    piece_g = float(math.ceil(weighing.air_g * told / most))
    key = "fineness_any" if told >= number(row, "all_alloys") else "fineness_not_told"
    words = tables.notes[key].said(step_g=f"{step_g:g}", told=f"{told:.0f}")
    do = tables.notes["fineness_finer_scale"].said(enough_g=f"{enough_g:g}", piece_g=f"{piece_g:.0f}")
    how = tr(
        "the weighing alone leaves {told:.0f} permille; {most:g} is the most that still tells", told=told, most=most
    )
    source = source_of(row)
    figures = (
        Figure("scale_step_enough_g", tr("step that is fine enough"), Range.exact(enough_g), "g", how, source),
        Figure("piece_enough_g", tr("or weight that this scale can tell"), Range.exact(piece_g), "g", how, source),
    )
    said = (Remark(kind="verdict", text=words, do=do, source=source),)
    return Result(title=tr("This scale cannot tell"), figures=figures, said=said)


def _density_result(tables: Tables, inputs: Inputs, weighing: Weighing) -> tuple[Result, Range]:
    """Density and fineness as shown, and the fineness."""
    silver_part = _silver_part(tables, inputs)
    bead = bead_density(
        weighing.air_g,
        weighing.water_g,
        weighing.scale_error_g,
        weighing.temperature_c,
        tables.once(water_table),
        range_of(tables.rows("air_density")[0]),
        tables.notes,
    )
    fine = bead_fineness(bead, tables.once(metal_table), silver_part, tables.notes)
    spread = Figure(
        "fineness_standard_permille",
        tr("standard uncertainty from the weighing alone"),
        Range.exact(fine.standard_permille),
        "permille",
        tr("errors of both weighings, the water and the air added in squares"),
        "calculation",
    )
    said = [Remark(kind="note", text=tr("The rest of the bead: {rest}.", rest=fine.rest))]
    if not (inputs.has("rest") or inputs.has("silver_part")):
        said.append(Remark(kind="warning", text=tables.notes["density_one_figure"].said()))
    said += _colour_said(tables, inputs, fine.fineness.amount)
    said += _limits_said(tables, bead, inputs, silver_part)
    figures = (bead.density, fine.fineness, spread)
    return Result(title=tr("Density and fineness"), figures=figures, said=tuple(said)), fine.fineness.amount


def _by_assay(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    if inputs.has("check") != inputs.has("check_gold"):
        raise InputError(tr("a check needs the gold weighed into it (check) and the gold that came out (check_gold)"))
    found = inputs.amount(_given(inputs, "sample_gold"))
    check = Check(inputs.amount("check"), inputs.amount("check_gold")) if inputs.has("check") else None
    made = assayed(inputs.amount("sample"), found, check)
    said = [*_check_said(tables, check, found), *_colour_said(tables, inputs, made.fineness)]
    results = (_assay_result(made, said),)
    if not inputs.has("in_air"):
        return results
    return (*results, *_content(tables, inputs, inputs.amount("in_air"), made.fineness))


def _assay_result(made: Assay, said: list[Remark]) -> Result:
    how = tr("as weighed") if made.surcharge is None else tr("as weighed less the surcharge")
    source = "calculation" if made.surcharge is None else made.surcharge.source
    fineness = Figure("bead_fineness_permille", tr("fineness by assay"), made.fineness, "permille", how, source)
    figures = (fineness, made.as_weighed, made.surcharge)
    return Result(title=tr("Fineness by assay"), figures=figures, said=(_assay_words(made), *said))


def _assay_words(made: Assay) -> Remark:
    """The assay to a tenth of a part per thousand, which is what an assay is told in."""
    fineness = made.fineness.likely
    if made.surcharge is None:
        words = tr("{fineness:.1f} permille by this assay, with nothing taken off.", fineness=fineness)
        return Remark(kind="verdict", text=words)
    words = tr(
        "{fineness:.1f} permille by this assay: {raw:.1f} as weighed, less the surcharge of {surcharge:+.1f}.",
        fineness=fineness,
        raw=made.as_weighed.amount.likely,
        surcharge=made.surcharge.amount.likely,
    )
    return Remark(kind="verdict", text=words)


def _check_said(tables: Tables, check: Check | None, found: Range) -> list[Remark]:
    """What is wrong with the check, if anything is."""
    most = number(tables.rows("check_assay")[0], "most")
    key = "no_check" if check is None else "" if like_the_sample(check, found, most) else "check_unlike"
    if not key:
        return []
    note = tables.notes[key]
    return [Remark(kind="warning", text=note.said(), source=note.source)]


def _content(tables: Tables, inputs: Inputs, weight: Range, fineness: Range) -> tuple[Result, ...]:
    """Gold, value and silver for parting of a piece whose fineness is told."""
    content = gold_in_bead(weight, fineness)
    figures = [content.grams, content.troy_ounces]
    if inputs.has("price"):
        figures.append(gold_value(content.grams.amount, inputs.amount("price").likely, "g"))
    gold = Result(title=tr("Gold in it"), figures=tuple(figures))
    return (gold, _parting_result(tables, weight, fineness, _silver_part(tables, inputs)))


def _colour_said(tables: Tables, inputs: Inputs, fineness: Range) -> list[Remark]:
    if not inputs.has("colour"):
        return []
    colour = tables.once(colour_table)[inputs.word("colour")]
    span = tr("{low:.0f} to {high:.0f}", low=colour.permille.low, high=colour.permille.high)
    if colour_agrees(fineness, colour):
        return [
            Remark(
                kind="note",
                text=tr("The colour ({colour}, {span} permille) agrees.", colour=colour.title, span=span),
                source=colour.source,
            )
        ]
    goes_with = tr("{colour} goes with {span} permille.", colour=colour.title.capitalize(), span=span)
    words = f"{tables.notes['colour_disagrees'].said()} {goes_with}"
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
                text=tr(
                    "{holes} would make it read {hidden:.0f} permille too low.",
                    holes=text(row, "words"),
                    hidden=hidden.amount.likely,
                ),
                source=source_of(stone),
            )
        )
    precision = number(tables.rows("reckoning_precision")[0], "permille")
    least = bar_for_precision_g(inputs.amount("scale_step").likely, precision, tables.once(metal_table), silver_part)
    words = tr(
        "This scale finds the fineness within {precision:.0f} permille only for pieces of about {least:.0f} g or more.",
        precision=precision,
        least=least,
    )
    said.append(Remark(kind="limit", text=words))
    said.append(Remark(kind="note", text=tables.notes["not_an_assay"].said()))
    return said


def _parting_result(tables: Tables, weight: Range, fineness: Range, silver_part: Range) -> Result:
    row = tables.rows("parting_silver")[0]
    note = tables.notes["silver_for_parting"]
    silver = silver_for_parting(weight, fineness, silver_part, range_of(row), source_of(row), note)
    return Result(
        title=tr("If it is to be parted"),
        figures=(silver,),
        said=(Remark(kind="warning", text=tables.notes["parting_is_licensed"].said()),),
    )
