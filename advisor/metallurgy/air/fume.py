"""Fume screen: could this plan put too much lead, sulphur dioxide or arsenic into the air somebody breathes?

The screen compares the plan's own masses with named limits by the simplest arithmetic there is: so many
milligrams, so much air. It errs on the careful side and it never clears a place. It says how much extraction
is the least that could do, or that the work belongs outdoors or in a licensed plant. Only a measurement tells
what is in the air, and a mask is never the answer to bad air.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.frozen import frozen
from advisor.metallurgy.air.exposure import Agent, ExposureLimit, RoomAir, Verdict, limits_for, one_ppm_mg_m3
from advisor.metallurgy.common.bounds import range_within, within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.rows import Notes
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.words import tr

_SHIFT_MIN = 480.0
_BALANCE = f"calculation, {tr('mass balance of evenly mixed air')}"


@frozen
class Room:
    """The room with the fire.

    Attributes:
        volume_m3: Its volume.
        flow_m3_h: Air that a fan is known to move through it; 0 for a closed room.
    """

    volume_m3: float
    flow_m3_h: float = 0.0

    def __post_init__(self) -> None:
        within(tr("the volume of the room"), self.volume_m3, "m3", 1, 1e6)
        within(tr("the air flow"), self.flow_m3_h, "m3/h", 0, 1e7)


_ALL = Range.exact(1.0)


@frozen
class Release:
    """What a plan lets out of one agent.

    Attributes:
        mass_g: Its mass in the plan, all melts of the shift together, in g: lead as Pb, arsenic as As.
        minutes: Minutes over which it leaves, 1 to 1440.
        into_air_share: Share of it that leaves the fire.
        escaping_share: Share of the fume that escapes the hood; all of it where there is none.
    """

    mass_g: Range
    minutes: float
    into_air_share: Range = _ALL
    escaping_share: Range = _ALL


@frozen
class LimitCheck:
    """The plan against one limit.

    Attributes:
        limit: The limit.
        allowed_mg_m3: What it allows in a shift of this length, in mg/m3.
        in_room: What the air would hold with the room as it is, in mg/m3.
        in_room_ppm: The same for a gas, in parts per million by volume; None for smoke.
        times: How many times the limit that is.
        flow_needed: Air flow below which the limit would be passed, in m3/h.
    """

    limit: ExposureLimit
    allowed_mg_m3: float
    in_room: Figure
    in_room_ppm: Figure | None
    times: Figure
    flow_needed: Figure


@frozen
class FumeScreen:
    """The answer of the screen for one agent.

    Attributes:
        agent: The agent.
        into_air: Mass that goes into the air of the room, in g.
        checks: One for each limit, the one that asks for most air first.
        worst_over_likely: How many times as high as the likely figures the worst ones are.
        verdict: ``extraction``, ``outdoors``, ``licensed``, or ``nothing_counted``.
        says: The verdict in words.
    """

    agent: Agent
    into_air: Figure
    checks: tuple[LimitCheck, ...]
    worst_over_likely: float
    verdict: Verdict
    says: str


def fume_screen(
    agent: Agent,
    release: Release,
    room: Room,
    limits: Sequence[ExposureLimit],
    air: RoomAir,
    notes: Notes,
    *,
    shift_h: float = 8.0,
) -> FumeScreen:
    """Compare what a plan sends into the air with named limits.

    The air is taken as evenly mixed, then made worse by the mixing factor, which stands for a face near the
    plume. Over an averaging time the air holds no more than the fume let out in it over the air drawn through
    in it (the steady state), and no more than all the fume in the closed room. Fume is taken to rise evenly.

    Args:
        agent: What is screened.
        release: How much of it the plan lets out, and over what time.
        room: The room.
        limits: Limits to compare with; those of other agents are passed over.
        air: How air behaves.
        notes: What to say of it.
        shift_h: Hours worked in the shift.

    Returns:
        The screen. It never says that a place is free of danger. 30 g of lead of which 1.5 % goes into a
        closed room of 30 m3 gives 15 mg/m3 in evenly mixed air, 300 times 0.050.

    Raises:
        InputError: If a number is impossible or no limit for the agent is given.

    Source: mass balance of evenly mixed air; the mixing factor from memory of ventilation handbooks.
    """
    mass_g, into_air_share, escaping = release.mass_g, release.into_air_share, release.escaping_share
    within(tr("the time of release"), release.minutes, "min", 1, 1440)
    range_within(tr("the mass of {agent}", agent=agent.title), mass_g, "g", 0, 1e6)
    range_within(tr("the share of {agent} that goes into the air", agent=agent.title), into_air_share, "", 0, 1)
    range_within(tr("the share that escapes the hood"), escaping, "", 0, 1)
    released = mass_g * into_air_share * escaping
    how = tr(
        "{mass_g:.3g} g, {into_air_share:.2%} into the air, {escaping:.0%} not caught",
        mass_g=mass_g.likely,
        into_air_share=into_air_share.likely,
        escaping=escaping.likely,
    )
    title = tr("{agent} into the air of the room", agent=agent.title)
    into_air = Figure(f"{agent.agent}_into_air_g", title, released, "g", how, "calculation")
    mine = limits_for(agent, limits)
    ppm = one_ppm_mg_m3(agent, air) if agent.form == "gas" else None
    checks = [_check(limit, released, release.minutes, room, air, shift_h, ppm) for limit in mine]
    checks.sort(key=lambda check: -check.flow_needed.amount.high)
    governing = next(check for check in checks if check.limit.binds)
    verdict = _verdict(agent, governing, air)
    says = _in_words(agent, verdict, governing, room, air, notes)
    flow = governing.flow_needed.amount
    worst = flow.high / flow.likely if flow.likely > 0 else 1.0
    return FumeScreen(agent, into_air, tuple(checks), worst, verdict, says)


def _check(
    limit: ExposureLimit,
    released_g: Range,
    release_min: float,
    room: Room,
    air: RoomAir,
    shift_h: float,
    one_ppm: float | None,
) -> LimitCheck:
    """One limit: milligrams in the room, times the limit, and the flow that would just meet it."""
    allowed = limit.for_shift(shift_h)
    spread_h = max(release_min, min(limit.minutes, _SHIFT_MIN)) / 60
    worst_mg = released_g.scaled(1000.0) * air.mixing_factor
    flow = worst_mg.scaled(1 / (allowed * spread_h))
    in_room = worst_mg.scaled(1 / max(room.volume_m3, room.flow_m3_h * spread_h))
    factor = tr("{low:g} to {high:g} for uneven mixing", low=air.mixing_factor.low, high=air.mixing_factor.high)
    how_room = tr(
        "{released_g:.3g} g into {volume_m3:g} m3 and {flow_m3_h:g} m3/h, x {factor}",
        released_g=released_g.likely,
        volume_m3=room.volume_m3,
        flow_m3_h=room.flow_m3_h,
        factor=factor,
    )
    how_flow = f"{released_g.likely:.3g} g / ({allowed:.3g} mg/m3 x {spread_h:.3g} h), x {factor}"
    source = f"{_BALANCE}; {limit.source}"
    ppm = None
    if one_ppm is not None:
        how_ppm = tr("{how}; 1 ppm is {one_ppm:.3g} mg/m3", how=how_room, one_ppm=one_ppm)
        ppm = Figure("air_in_room_ppm", tr("air in the room"), in_room.scaled(1 / one_ppm), "ppm", how_ppm, source)
    return LimitCheck(
        limit,
        allowed,
        Figure("air_in_room_mg_m3", tr("air in the room"), in_room, "mg/m3", how_room, source),
        ppm,
        Figure("times_limit", tr("times the limit"), in_room.scaled(1 / allowed), "", how_room, source),
        Figure("extraction_m3_h", tr("extraction needed"), flow, "m3/h", how_flow, source),
    )


def _verdict(agent: Agent, governing: LimitCheck, air: RoomAir) -> Verdict:
    needed = governing.flow_needed.amount.high
    if needed == 0:
        return "nothing_counted"
    return "extraction" if needed <= air.largest_flow_m3_h else agent.beyond


def _in_words(agent: Agent, verdict: Verdict, governing: LimitCheck, room: Room, air: RoomAir, notes: Notes) -> str:
    """The verdict for people; only a measurement could say more."""
    flow = governing.flow_needed.amount
    needed, likely = _two_figures_up(flow.high), format_number(flow.likely, 2)
    return notes[f"fume_{verdict}"].said(
        agent=agent.title,
        limit=governing.limit.named(),
        needed=f"{needed:,}",
        likely=likely if verdict == "extraction" else f"{float(likely):,.0f}",
        largest=f"{air.largest_flow_m3_h:,.0f}",
        fan=_fan_in_words(room.flow_m3_h, needed, notes),
    )


def _two_figures_up(flow_m3_h: float) -> int:
    """A flow in whole m3/h with two figures, never rounded down."""
    grain: int = 10 ** max(0, math.floor(math.log10(max(flow_m3_h, 1.0))) - 1)
    return math.ceil(flow_m3_h / grain) * grain


def _fan_in_words(flow_m3_h: float, needed_m3_h: float, notes: Notes) -> str:
    key = "fan_missing" if flow_m3_h == 0 else "fan_too_weak" if flow_m3_h < needed_m3_h else "fan_not_proved"
    return notes[key].said(flow=f"{flow_m3_h:,.0f}")
