"""A leach test of waste (slag, cupels, sweepings) against the levels at which it is hazardous."""

from __future__ import annotations

from advisor.frozen import frozen
from advisor.metallurgy.common.rows import Rows, keyed


@frozen
class LeachLimit:
    """One level.

    Attributes:
        element: Its name in data.
        title: Its name in words.
        value: The level in the extract, in mg/l.
        code: Number of such waste in that law.
        source: Where it was read.
    """

    element: str
    title: str
    value: float
    code: str
    source: str

    @classmethod
    def from_rows(cls, rows: Rows) -> dict[str, LeachLimit]:
        """From the table ``leach_limits``, by element."""
        return keyed(cls, rows, "element")

    def is_hazardous(self, mg_l: float) -> bool:
        """Whether an extract of so many mg/l makes the waste hazardous: equal or above (40 CFR 261.24 (a))."""
        return mg_l >= self.value
