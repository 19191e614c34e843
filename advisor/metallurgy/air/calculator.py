"""``fume``: lead, sulphur dioxide or arsenic from a plan's own masses against named limits; never a clearance."""

from __future__ import annotations

from advisor.errors import InputError
from advisor.metallurgy.air.exposure import agent_table, limit_table, mask_limit, respirator_table, room_air
from advisor.metallurgy.air.fume import FumeScreen, LimitCheck, Release, Room, fume_screen
from advisor.metallurgy.common.document import Remark, Result
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.units import Range

_ML_IN_M3 = 1e6
_MIN_IN_H = 60.0


def fume_inputs(tables: Tables) -> tuple[Input, ...]:
    """The inputs of the screen."""
    return (
        Input(
            "agent",
            "what goes into the air",
            "choice",
            "agent=lead",
            options=tuple(tables.once(agent_table)),
            required=True,
        ),
        Input(
            "mass",
            "its mass in the plan, all melts of the shift together",
            "amount",
            "mass=30g",
            unit="g",
            required=True,
        ),
        Input(
            "step",
            "the work that gives it off",
            "choice",
            "step=lead_on_cupel",
            options=tables.names("fume_shares", "step"),
        ),
        Input("share", "or: the share of it that goes into the air", "amount", "share=1 to 5 %", unit="%"),
        Input(
            "release_time", "time over which it comes off", "amount", "release_time=60min", unit="min", required=True
        ),
        Input("room", "volume of the room", "amount", "room=30m3", unit="m3", required=True),
        Input(
            "air_flow",
            "air that a fan is known to draw out",
            "amount",
            "air_flow=500m3/h",
            unit="m3/h",
            otherwise=Range.exact(0.0),
        ),
        Input(
            "hood",
            "hood at the fire",
            "choice",
            "hood=none",
            options=tables.names("hood_escape", "hood"),
            otherwise="none",
        ),
        Input("shift", "hours worked", "amount", "shift=8h", unit="h", otherwise=Range.exact(8 * _MIN_IN_H)),
    )


def calculate_fume(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """The screen of one agent.

    Raises:
        InputError: If the inputs do not fit.
    """
    if inputs.has("step") == inputs.has("share"):
        raise InputError("give either the step that gives it off, or the share of it that goes into the air")
    share = inputs.optional("share") or tables.ranged("fume_shares", "step", inputs.word("step")).amount
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
        shift_h=inputs.amount("shift").likely / _MIN_IN_H,
    )
    return fume_results(tables, screen)


COMPUTATION = Computation("fume", "Fume screen", fume_inputs, calculate_fume)


def fume_results(tables: Tables, screen: FumeScreen) -> tuple[Result, ...]:
    """A screen as it is shown."""
    answer = Result(
        title=f"Fume screen: {screen.agent.title}",
        figures=(screen.into_air,),
        said=(Remark(kind="verdict", text=screen.says), Remark(kind="warning", text=tables.note("fume_is_a_screen"))),
    )
    limits = tuple(
        Result(
            title=_limit_title(check),
            figures=(check.in_room, check.times, check.flow_needed),
            said=(
                Remark(
                    kind="note",
                    text=f"{check.limit.force}; read as {check.limit.read}",
                    source=check.limit.source,
                ),
            ),
        )
        for check in screen.checks
    )
    masks = [mask_limit(mask, screen.agent, tables.once(limit_table)) for mask in tables.once(respirator_table)]
    mask_result = Result(title="Worst air in which a mask may be worn at all", figures=tuple(masks))
    return (answer, *limits, *([mask_result] if mask_result.figures else []))


def _limit_title(check: LimitCheck) -> str:
    limit = check.limit
    time = (
        "at once"
        if not limit.minutes
        else f"over {limit.minutes / 60:g} h"
        if limit.minutes >= 60
        else f"over {limit.minutes:g} min"
    )
    return f"{limit.body} ({limit.year}), {limit.mg_m3:.3g} mg/m3 {time}"
