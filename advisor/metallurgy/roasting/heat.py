"""Temperatures of the roast by mineral, put together for a mixture."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.frozen import frozen
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import cited
from advisor.metallurgy.common.rows import SourcedRange, in_words
from advisor.metallurgy.concentrate.minerals import Mineral
from advisor.metallurgy.roasting.tables import ANY, STAGES, RoastingTables, StageWork
from advisor.units import Range
from advisor.words import tr


@frozen
class RoastStage:
    """One stage of the roast.

    Attributes:
        work: What it is for, what to watch, how much air, how long.
        heat: Temperature in °C.
        led_by: Titles of the minerals that set its lower and upper end.
        conflict: Whether the minerals want different heats; the cooler one then leads.
    """

    work: StageWork
    heat: Figure
    led_by: tuple[str, ...]
    conflict: bool


def roast_stages(minerals: Sequence[Mineral], tables: RoastingTables) -> tuple[RoastStage, ...]:
    """The stages for a mixture of minerals, in order.

    Every mineral allows a range at each stage. The mixture gets what all of them allow. Where there is no such
    heat the cooler mineral leads, because a bed that clots keeps its sulphur; the stage then says so.

    Args:
        minerals: The minerals that roast, at least one.
        tables: The figures.

    Example:
        Pyrite alone starts at 400 to 550 °C; with galena at 400 to 500 °C.
    """
    return tuple(_stage(stage, minerals, tables) for stage in STAGES)


def _stage(stage: str, minerals: Sequence[Mineral], tables: RoastingTables) -> RoastStage:
    rows = [(mineral.title, _row(mineral, stage, tables)) for mineral in minerals]
    low_by, hottest = max(rows, key=lambda row: row[1].amount.low)
    high_by, coolest = min(rows, key=lambda row: row[1].amount.high)
    conflict = hottest.amount.low > coolest.amount.high
    low = coolest.amount.low if conflict else hottest.amount.low
    likely = min(max(min(row.amount.likely for _, row in rows), low), coolest.amount.high)
    heat = Range(low, likely, coolest.amount.high)
    each = "; ".join(f"{title} {in_words(row.amount, 'C')}" for title, row in rows)
    how = tr("what all minerals allow: {each}", each=each)
    source = cited(*(row.source for _, row in rows))
    work = tables.stage_work[stage]
    figure = Figure(f"roast_{stage}_c", tr("heat, {stage}", stage=work.title.lower()), heat, "C", how, source)
    return RoastStage(work, figure, tuple(dict.fromkeys((low_by, high_by))), conflict)


def _row(mineral: Mineral, stage: str, tables: RoastingTables) -> SourcedRange:
    return tables.stage_heat.get((mineral.name, stage)) or tables.stage_heat[ANY, stage]
