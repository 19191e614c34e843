"""What an expectation is the mass of, for the first screen, the comparison of routes and the journal."""

from __future__ import annotations

from typing import Literal

CountsAs = Literal[
    "bead", "clean_bead", "button", "slag", "matte", "rod_left", "cupel_gain", "gold_in_slag", "gold_in_cupels"
]
"""What an expectation is the mass of. A clean bead is of gold that never was in a button."""

METAL: tuple[CountsAs, ...] = ("bead", "clean_bead")
"""What the work is done for; a bar counts as a bead."""

GOLD_LOST: tuple[CountsAs, ...] = ("gold_in_slag", "gold_in_cupels")
"""What stays behind until it is treated again."""
