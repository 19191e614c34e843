"""The tables of the rule base as the metallurgy wants them: rows by name, and what is made of them once."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.errors import InputError
from advisor.frozen import Remembers, frozen
from advisor.metallurgy.common.rows import Note, Notes, Row, Rows, SourcedRange, keyed, sourced, sourced_by, text
from advisor.rulebase.model import RuleBase
from advisor.units import Range
from advisor.words import tr


@frozen
class Tables(Remembers):
    """Tables of one rule base.

    Each subject makes its typed figures from them, as ``tables.once(charge_data)``, when they are first needed.

    Attributes:
        rule_base: The rules.
    """

    rule_base: RuleBase

    @property
    def by_name(self) -> Mapping[str, Rows]:
        """Rows of every table by its name; each row names its source in full."""
        return self.once(_rows_by_name)

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
        raise InputError(
            tr("'{name}' is not in the table '{table}'; known are {names}", name=value[:40], table=table, names=known)
        )

    def ranged(self, table: str, key: str, value: str) -> SourcedRange:
        """Low, likely and high of one row."""
        row = self.row(table, key, value)
        return sourced(row)

    @property
    def notes(self) -> Notes:
        """Sentences of the rules that are shown beside figures."""
        return self.once(_notes)

    def assumed(self, what: str) -> Range:
        """What is reckoned with where nobody measured it."""
        return self.once(_assumed)[what].amount

    def names(self, table: str, key: str) -> tuple[str, ...]:
        """The values of a text column, in order."""
        return tuple(dict.fromkeys(text(row, key) for row in self.rows(table)))


def _rows_by_name(tables: Tables) -> Mapping[str, Rows]:
    return {name: table.rows for name, table in tables.rule_base.tables.items()}


def _notes(tables: Tables) -> Notes:
    return keyed(Note, tables.rows("reckoning_notes"), "key")


def _assumed(tables: Tables) -> Mapping[str, SourcedRange]:
    return sourced_by(tables.rows("not_measured"), "what")
