"""``fume``: what a plan's own masses may send into the air, against named limits; never a clearance."""

from __future__ import annotations

from advisor.errors import InputError
from advisor.metallurgy.air.exposure import agent_table, limit_table, mask_limit, respirator_table, room_air
from advisor.metallurgy.air.fume import FumeScreen, LimitCheck, Release, Room, fume_screen
from advisor.metallurgy.common.document import Remark, Result, ResultLine
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.rows import range_of
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.units import Range
from advisor.words import tr

_ML_IN_M3 = 1e6
_MIN_IN_H = 60.0


def fume_inputs(tables: Tables) -> tuple[Input, ...]:
    """The inputs of the screen."""
    return (
        Input(
            "agent",
            tr("what goes into the air"),
            "choice",
            "agent=lead",
            options=tuple(tables.once(agent_table)),
            required=True,
        ),
        Input(
            "mass",
            tr("its mass in the plan, all melts of the shift together"),
            "amount",
            "mass=30g",
            unit="g",
            required=True,
        ),
        Input(
            "step",
            tr("the work that gives it off"),
            "choice",
            "step=lead_on_cupel",
            options=tables.names("fume_shares", "step"),
        ),
        Input("share", tr("or: the share of it that goes into the air"), "amount", "share=1 to 5 %", unit="%"),
        Input(
            "release_time",
            tr("time over which it comes off"),
            "amount",
            "release_time=60min",
            unit="min",
            required=True,
        ),
        Input("room", tr("volume of the room"), "amount", "room=30m3", unit="m3", required=True),
        Input(
            "air_flow",
            tr("air that a fan is known to draw out"),
            "amount",
            "air_flow=500m3/h",
            unit="m3/h",
            otherwise=Range.exact(0.0),
        ),
        Input(
            "hood",
            tr("hood at the fire"),
            "choice",
            "hood=none",
            options=tables.names("hood_escape", "hood"),
            otherwise="none",
        ),
        Input("shift", tr("hours worked"), "amount", "shift=8h", unit="h", otherwise=Range.exact(8 * _MIN_IN_H)),
    )


def calculate_fume(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """The screen of one agent.

    Raises:
        InputError: If the inputs do not fit.
    """
    if inputs.has("step") == inputs.has("share"):
        raise InputError(tr("give either the step that gives it off, or the share of it that goes into the air"))
    share = inputs.optional("share") or _share_of_step(tables, inputs.word("step"), inputs.word("agent"))
    screen = fume_screen(
        tables.once(agent_table)[inputs.word("agent")],
        Release(
            inputs.amount("mass"),
            inputs.amount("release_time").likely,
            share,
            tables.ranged("hood_escape", "hood", inputs.word("hood")).amount,
        ),
        Room(
            inputs.amount("room").likely / _ML_IN_M3,
            inputs.amount("air_flow").likely * _MIN_IN_H / _ML_IN_M3,
        ),
        tables.once(limit_table),
        tables.once(room_air),
        tables.notes,
        shift_h=inputs.amount("shift").likely / _MIN_IN_H,
    )
    return fume_results(tables, screen)


def _share_of_step(tables: Tables, step: str, agent: str) -> Range:
    """The share that a step sends into the air; raises InputError if the step gives off something else."""
    row = tables.row("fume_shares", "step", step)
    if row.get("agent", agent) != agent:
        raise InputError(
            tr(
                "the step {step} gives off {given_off} and not {wanted}; name the step that does, or a share",
                step=step,
                given_off=row["agent"],
                wanted=agent,
            )
        )
    return range_of(row)


COMPUTATION = Computation("fume", tr("Fume screen"), fume_inputs, calculate_fume)


def fume_results(tables: Tables, screen: FumeScreen) -> tuple[Result, ...]:
    """A screen as it is shown: the verdict, the limits as a table, and masks."""
    answer = Result(
        title=tr("Fume screen: {agent}", agent=screen.agent.title),
        figures=(screen.into_air,),
        said=(
            Remark(kind="verdict", text=screen.says),
            Remark(kind="warning", text=tables.notes["fume_is_a_screen"].said()),
        ),
        stop=screen.verdict == "licensed",
    )
    factor = tables.once(room_air).mixing_factor
    mixing = tables.notes["fume_mixing"].said(
        times=f"{screen.worst_over_likely:.2g}",
        low=f"{factor.low:g}",
        high=f"{factor.high:g}",
        likely=f"{factor.likely:g}",
    )
    gas = screen.checks[0].in_room_ppm is not None
    limits = Result(
        title=tr("Against named limits"),
        columns=(
            *((tr("limit, ppm"), tr("in air, ppm")) if gas else (tr("limit, mg/m3"),)),
            tr("in air, mg/m3"),
            *_COLUMNS,
        ),
        lines=tuple(_line(check, gas=gas) for check in screen.checks),
        said=(Remark(kind="note", text=mixing, source=tables.once(room_air).source),),
    )
    limits_of_air, worn = tables.once(limit_table), tables.once(respirator_table)
    masks = [mask_limit(mask, screen.agent, limits_of_air, tables.notes) for mask in worn]
    mask_result = Result(title=tr("Worst air in which a mask may be worn at all"), figures=tuple(masks))
    return (answer, limits, *([mask_result] if mask_result.figures else []))


_COLUMNS = (tr("times, limit"), tr("fan, m3/h"))


def _line(check: LimitCheck, *, gas: bool) -> ResultLine:
    """One limit with what the plan would do to it."""
    limit = check.limit
    value = check.allowed_mg_m3
    if gas and limit.ppm is not None:
        value *= limit.ppm / limit.mg_m3
    own = Figure(
        "limit_for_shift", tr("limit"), Range.exact(value), "ppm" if gas else "mg/m3", limit.named(), limit.source
    )
    first = (own, check.in_room_ppm) if gas else (own,)
    fan = None if limit.kind == "danger" else check.flow_needed
    return ResultLine(limit.in_a_line(), (*first, check.in_room, check.times, fan), limit.standing(), limit.source)
