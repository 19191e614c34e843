"""An exported journal as a whole."""

from __future__ import annotations

from pathlib import Path

from advisor.journal.exchange.importing import reading_export
from advisor.journal.rows import Contents


def read_export(path: Path) -> Contents:
    """The whole journal in an exported file or folder."""
    with reading_export(path) as flow:
        return Contents(tuple(flow.batches), tuple(flow.entries))
