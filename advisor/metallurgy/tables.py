"""The tables of the rule base as the metallurgy wants them, each made when it is first needed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from advisor.errors import InputError
from advisor.metallurgy.air.exposure import Agent, ExposureLimit, Respirator, RoomAir
from advisor.metallurgy.bead.fineness import Metals, WaterDensity
from advisor.metallurgy.bead.worth import BeadColour
from advisor.metallurgy.charge.tables import ChargeData
from advisor.metallurgy.common.rows import Row, Rows, SourcedRange, range_of, source_of, text
from advisor.metallurgy.concentrate.minerals import Band, Mineral
from advisor.metallurgy.correction.tables import CorrectionTables
from advisor.metallurgy.cupellation.tables import CupellationTables
from advisor.metallurgy.roasting.tables import RoastingTables
from advisor.rulebase.model import RuleBase


@dataclass
class Tables:
    """Typed tables of one rule base.

    Attributes:
        rule_base: The rules.
    """

    rule_base: RuleBase

    @cached_property
    def by_name(self) -> Mapping[str, Rows]:
        """Rows of every table by its name; each row names its source in full."""
        return {name: table.rows for name, table in self.rule_base.tables.items()}

    def rows(self, name: str) -> Rows:
        """Rows of one table."""
        return self.by_name[name]

    def row(self, table: str, key: str, value: str) -> Row:
        """The row of a table that has a value in a column.

        Raises:
            InputError: If there is none.
        """
        for row in self.rows(table):
            if row.get(key) == value:
                return row
        known = ", ".join(str(row[key]) for row in self.rows(table))
        raise InputError(f"'{value[:40]}' is not in the table '{table}'; known are {known}")

    def ranged(self, table: str, key: str, value: str) -> SourcedRange:
        """Low, likely and high of one row."""
        row = self.row(table, key, value)
        return SourcedRange(range_of(row), source_of(row))

    @cached_property
    def minerals(self) -> dict[str, Mineral]:
        """Minerals by name."""
        return Mineral.from_entries(
            {
                name: {
                    "title": record.entry.title,
                    "formula": record.entry.formula,
                    "kind": record.entry.kind,
                    "density": _written(record.entry.density),
                    "source": "; ".join(source.text for source in record.sources),
                }
                for name, record in self.rule_base.minerals.items()
            }
        )

    @cached_property
    def bands(self) -> dict[str, Band]:
        """Shares said in words."""
        return Band.from_rows(self.rows("pan_bands"))

    @cached_property
    def charge(self) -> ChargeData:
        """Figures of the smelting charge."""
        return ChargeData.from_tables(self.minerals, self.by_name)

    @cached_property
    def cupellation(self) -> CupellationTables:
        """Figures of the cupel."""
        return CupellationTables.from_tables(self.by_name)

    @cached_property
    def roasting(self) -> RoastingTables:
        """Figures of the roast."""
        return RoastingTables.from_tables(self.by_name)

    @cached_property
    def corrections(self) -> CorrectionTables:
        """Figures of the corrections."""
        return CorrectionTables.from_tables(self.by_name)

    @cached_property
    def metals(self) -> Metals:
        """Densities of the metals of a bead."""
        return Metals.from_rows(self.rows("metal_densities"), self.rows("alloy_departure"))

    @cached_property
    def water(self) -> WaterDensity:
        """Density of water."""
        return WaterDensity.from_rows(self.rows("water_density"))

    @cached_property
    def colours(self) -> dict[str, BeadColour]:
        """Colours of beads by name."""
        return {colour.colour: colour for colour in BeadColour.from_rows(self.rows("bead_colours"))}

    @cached_property
    def agents(self) -> dict[str, Agent]:
        """What the fume screen knows, by name."""
        return Agent.from_rows(self.rows("fume_agents"))

    @cached_property
    def room_air(self) -> RoomAir:
        """How air behaves in a room."""
        return RoomAir.from_rows(self.rows("room_air"))

    @cached_property
    def limits(self) -> tuple[ExposureLimit, ...]:
        """Named limits of the air."""
        return ExposureLimit.from_rows(self.rows("air_limits"), self.agents, self.room_air)

    @cached_property
    def respirators(self) -> tuple[Respirator, ...]:
        """Masks and their assigned protection factors."""
        return Respirator.from_rows(self.rows("respirators"))

    def note(self, key: str) -> str:
        """A sentence from the rules that is shown beside figures."""
        return text(self.row("reckoning_notes", "key", key), "text")

    def names(self, table: str, key: str) -> tuple[str, ...]:
        """The values of a text column, in order."""
        return tuple(dict.fromkeys(text(row, key) for row in self.rows(table)))


def _written(density: object) -> object:
    dump = getattr(density, "model_dump", None)
    return density if dump is None else dump()
