"""Named limits for what people breathe, the masks they may wear, and how air behaves, as typed data."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Literal

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.bounds import within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.gas_law import GAS_CONSTANT, ZERO_CELSIUS_K
from advisor.metallurgy.common.rows import Notes, Row, Rows, from_row, keyed, number, range_of, source_of, text
from advisor.metallurgy.common.tables import Tables
from advisor.units import Range
from advisor.units.substances import mass_fraction, molar_mass_g
from advisor.words import tr

LimitKind = Literal["shift", "short", "action", "danger"]
_KNOWN_BY = {"law": tr("law"), "advice": tr("advice"), "summary": tr("summary"), "memory": tr("memory")}
"""What a limit is, and how surely its figure is known, in a word."""
Verdict = Literal["nothing_counted", "extraction", "outdoors", "licensed"]

_ROUNDING = 1e-9


def mg_m3_of_ppm(ppm: float, formula: str, temperature_c: float, pressure_pa: float) -> float:
    """A gas given in parts per million by volume, in mg/m3; 1 ppm of SO2 at 25 °C and 101325 Pa is 2.62.

    Raises:
        InputError: If it is more than the air, or the air is none that anybody breathes.

    Source: gas law.
    """
    within(tr("the gas in the air"), ppm, "ppm", 0, 1e6)
    within(tr("the air pressure"), pressure_pa, "Pa", 1e4, 2e5)
    within(tr("the air temperature"), temperature_c, "°C", -60, 60)
    moles_m3 = ppm * 1e-6 * pressure_pa / (GAS_CONSTANT * (temperature_c + ZERO_CELSIUS_K))
    return moles_m3 * molar_mass_g(formula) * 1000


@frozen
class Agent:
    """Something poisonous that a fire sends into the air.

    Attributes:
        agent: Its name in data.
        title: Its name in words.
        formula: What its limits count: Pb, SO2, As.
        form: ``particles``, ``gas`` or ``both``; decides which filter could hold it.
        beyond: Where the work belongs when no fan in a room can cope: ``outdoors`` or ``licensed``.
    """

    agent: str
    title: str
    formula: str
    form: str
    beyond: Verdict


@frozen
class RoomAir:
    """How air behaves, as data.

    Attributes:
        mixing_factor: How many times worse the air at the face is than evenly mixed air.
        largest_flow_m3_h: More than this cannot be asked of a fan in a small room.
        temperature_c: Temperature at which ppm are turned into mg/m3.
        pressure_pa: Pressure at which they are.
        source: Where the mixing factor comes from.
    """

    mixing_factor: Range
    largest_flow_m3_h: float
    temperature_c: float
    pressure_pa: float
    source: str

    @classmethod
    def from_rows(cls, rows: Rows) -> RoomAir:
        """From the table ``room_air``."""
        by_name = {text(row, "name"): row for row in rows}
        return cls(
            range_of(by_name["mixing_factor"]),
            range_of(by_name["largest_room_flow_m3_h"]).likely,
            range_of(by_name["air_temperature_c"]).likely,
            range_of(by_name["air_pressure_pa"]).likely,
            source_of(by_name["mixing_factor"]),
        )


def one_ppm_mg_m3(agent: Agent, air: RoomAir) -> float:
    """One part per million by volume of a gas, in mg/m3, at the temperature and pressure of the table."""
    return mg_m3_of_ppm(1.0, agent.formula, air.temperature_c, air.pressure_pa)


@frozen
class ExposureLimit:
    """One named limit for one agent.

    Attributes:
        agent: The agent's name in data.
        body: Who set it.
        year: When.
        kind: ``shift``, ``short``, ``action`` (duties begin) or ``danger`` (to life, at once).
        minutes: Time over which the air is averaged; 0 for at once.
        mg_m3: The limit in mg/m3.
        ppm: The limit in parts per million by volume, where it was set so.
        force: ``law`` or ``advice``.
        counts: ``above`` where only more than the limit counts as over it, ``at`` where as much does too.
        read: ``text``, ``summary`` or ``memory``: how surely the figure is known.
        source: Where it was read.
    """

    agent: str
    body: str
    year: str
    kind: LimitKind
    minutes: float
    mg_m3: float
    ppm: float | None
    force: str
    counts: str
    read: str
    source: str

    @classmethod
    def from_rows(cls, rows: Rows, agents: Mapping[str, Agent], air: RoomAir) -> tuple[ExposureLimit, ...]:
        """From the table ``air_limits``; limits in ppm are turned into mg/m3."""
        return tuple(cls._from_row(row, agents[text(row, "agent")], air) for row in rows)

    @classmethod
    def _from_row(cls, row: Row, agent: Agent, air: RoomAir) -> ExposureLimit:
        value = number(row, "value")
        if text(row, "unit") != "ppm":
            return from_row(cls, row, mg_m3=value, ppm=None)
        return from_row(cls, row, mg_m3=value * one_ppm_mg_m3(agent, air), ppm=value)

    @property
    def binds(self) -> bool:
        """Whether it says what may be breathed, and not only where duties or mortal danger begin."""
        return self.kind in ("shift", "short")

    def for_shift(self, hours: float) -> float:
        """The limit in mg/m3 for a longer shift: averaged limits shrink as 8 hours over the hours worked.

        0.050 mg/m3 of lead becomes 0.040 for ten hours (29 CFR 1910.1025, paragraph (c) and appendix B); the
        same rule is used for every limit over a shift. A shorter shift raises none.
        """
        within(tr("the length of the shift"), hours, "h", 1, 24)
        return self.mg_m3 * min(1.0, 8 / hours) if self.kind in ("shift", "action") else self.mg_m3

    def named(self) -> str:
        """The limit in words, with how surely it is known."""
        times = {0.0: tr("at once"), 15.0: tr("over 15 min")}
        time = times.get(self.minutes) or tr("over {hours:g} h", hours=self.minutes / 60)
        value = f"{self.mg_m3:.3g} mg/m3" if self.ppm is None else f"{self.ppm:g} ppm ({self.mg_m3:.3g} mg/m3)"
        said = f"{self.who}: {value} {time}"
        if self.read == "summary":
            return tr("{limit}, read in a summary", limit=said)
        return tr("{limit}, from memory, not checked", limit=said) if self.read == "memory" else said

    @property
    def who(self) -> str:
        """Who set it and when."""
        return f"{self.body} ({self.year if self.year.isdigit() else tr('year not shown')})"

    def in_a_line(self) -> str:
        """The limit as the line of a table names it: its time, who set it, and what begins there."""
        time = tr("at once") if not self.minutes else f"{self.minutes:g} min"
        if self.minutes >= 60:
            time = f"{self.minutes / 60:g} h"
        said = f"{time}: {self.who if self.year.isdigit() else self.body}"
        if self.kind == "action":
            return tr("{limit}, duties begin", limit=said)
        return tr("{limit}, deadly", limit=said) if self.kind == "danger" else said

    def standing(self) -> str:
        """Law or advice, and how surely its figure is known, in a word or two."""
        force = _KNOWN_BY[self.force]
        return force if self.read == "text" else f"{force}, {_KNOWN_BY[self.read]}"

    def is_over(self, mg_m3: float) -> bool:
        """Whether air of so many mg/m3, averaged over its time, is over it; at the limit as its words have it."""
        slack = 1 + _ROUNDING if self.counts == "above" else 1 - _ROUNDING
        return mg_m3 > self.mg_m3 * slack


@frozen
class Respirator:
    """A mask and the most that may be asked of it.

    Attributes:
        respirator: Its name in data.
        title: Its name in words.
        factor: Assigned protection factor.
        stops: ``particles``, ``gas`` or ``both``.
        source: Where the factor comes from.
    """

    respirator: str
    title: str
    factor: float
    stops: str
    source: str


def mask_limit(mask: Respirator, agent: Agent, limits: Sequence[ExposureLimit], notes: Notes) -> Figure | None:
    """The worst air in which a mask may be worn; nothing if its filter does not stop the agent.

    It is the factor times the strictest limit, and never as much as is dangerous to life. It limits the use
    of a mask that is worn besides extraction; it never stands in for extraction.

    Returns:
        mg/m3; 0.5 for lead under a half mask of factor 10 and a limit of 0.050.

    Raises:
        InputError: If no limit for the agent is given.

    Source: OSHA, Assigned Protection Factors, 2006 (factor times limit).
    """
    mine = limits_for(agent, limits)
    if mask.stops not in (agent.form, "both"):
        return None
    strictest = min((limit for limit in mine if limit.binds), key=lambda limit: limit.mg_m3)
    danger = min((limit.mg_m3 for limit in mine if limit.kind == "danger"), default=math.inf)
    amount = Range.exact(min(mask.factor * strictest.mg_m3, danger))
    how = notes["mask_limit"].said(factor=f"{mask.factor:g}", limit=strictest.named())
    title, source = tr("worst air for a {mask}", mask=mask.title), f"{mask.source}; {strictest.source}"
    return Figure(f"{mask.respirator}_mg_m3", title, amount, "mg/m3", how, source)


def limits_for(agent: Agent, limits: Sequence[ExposureLimit]) -> list[ExposureLimit]:
    """The limits for one agent.

    Raises:
        InputError: If none of them says what may be breathed.
    """
    mine = [limit for limit in limits if limit.agent == agent.agent]
    if not any(limit.binds for limit in mine):
        raise InputError(
            tr("no limit for {agent} is given; name at least one body's limit for a shift", agent=agent.title)
        )
    return mine


def arsenic_in_trioxide_g(trioxide_g: float) -> float:
    """Arsenic, as limits count it, in a mass of white arsenic oxide As2O3; 1 g holds 0.757 g."""
    within(tr("the mass of arsenic oxide"), trioxide_g, "g", 0, 1e6)
    return trioxide_g * mass_fraction("As2O3", "As")


def agent_table(tables: Tables) -> dict[str, Agent]:
    """What the fume screen knows, by name."""
    return keyed(Agent, tables.rows("fume_agents"), "agent")


def room_air(tables: Tables) -> RoomAir:
    """How air behaves in a room."""
    return RoomAir.from_rows(tables.rows("room_air"))


def limit_table(tables: Tables) -> tuple[ExposureLimit, ...]:
    """Named limits of the air."""
    return ExposureLimit.from_rows(tables.rows("air_limits"), tables.once(agent_table), tables.once(room_air))


def respirator_table(tables: Tables) -> tuple[Respirator, ...]:
    """Masks and their assigned protection factors."""
    return tuple(from_row(Respirator, row) for row in tables.rows("respirators"))
