"""How much of an advice a sheet shows: levels from the tightest to the fullest, each with its explicit rules.

At every level all hazards, all weights, all steps and all expectations are on the sheet. Of each:

- a hazard that can kill has its title, its controls and every sign at which to stop;
- a grave hazard has its title, its controls, and one or all of its signs; so has a moderate one, or its title alone;
- controls are the one brief line of the rule, or all of them;
- a step is its brief line or its full text, always with its heat; the time stands with every step, or only with those
  that have a heat or take 20 minutes and more; what to look for stands with no step, with those that have a heat, or
  with all;
- a step that only weighs one material stands in the row of that material in the table of weights.

A rule without a brief line lends its first sentence. What a level leaves out is counted on the sheet.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any, Literal

from advisor.frozen import frozen

SMALLEST_PT = 9.0
"""Body type is never smaller."""


@frozen
class Detail:
    """How much is shown, and how large.

    Attributes:
        base_pt: Size of the body type in points.
        controls: Severities whose controls are all shown, not only the brief line.
        named: Severities whose title alone is shown; never the deadly and the grave.
        signs: Severities whose signs are all shown; of the others the short one is.
        look_for: Steps that say what to look for.
        times: Whether every step has its time, or only hot and long ones.
        steps: Whether a step is its brief line or its full text.
        first: Whether what is prepared is told in full or by its title.
        own_line: Whether the title of a deadly hazard has a line of its own; all others run on into their text.
        looks: Whether the expectations say how a good result looks.
    """

    base_pt: float = SMALLEST_PT
    controls: frozenset[str] = frozenset()
    named: frozenset[str] = frozenset()
    signs: frozenset[str] = frozenset({"deadly"})
    look_for: Literal["none", "heat", "all"] = "none"
    times: Literal["long", "all"] = "all"
    steps: Literal["brief", "full"] = "brief"
    first: Literal["brief", "full"] = "full"
    looks: bool = False
    own_line: bool = True

    @property
    def title_pt(self) -> float:
        """Size of the title of a hazard: never below 11 points."""
        return max(11.0, self.base_pt + 1)


_DEADLY = frozenset({"deadly"})
_GRAVE = frozenset({"deadly", "grave"})
_ALL = frozenset({"deadly", "grave", "moderate"})


def _levels() -> Iterator[Detail]:
    detail = Detail(named=frozenset({"moderate"}), times="long", own_line=False)
    changes: tuple[dict[str, Any], ...] = (
        {},
        {"look_for": "heat"},
        {"own_line": True},
        {"named": frozenset()},
        {"signs": _GRAVE},
        {"times": "all"},
        {"looks": True},
        {"base_pt": 9.5},
        {"signs": _ALL},
        {"base_pt": 10.0},
        {"look_for": "all"},
        {"controls": _DEADLY},
        {"controls": _GRAVE},
        {"controls": _ALL},
        {"steps": "full"},
        {"base_pt": 10.5},
        {"base_pt": 11.0},
    )
    for change in changes:
        detail = replace(detail, **change)
        yield detail


LEVELS = tuple(_levels())
"""From the tightest to the fullest; the fullest that fits is taken."""

TEXT = Detail(named=frozenset({"moderate"}), times="long", first="brief")
"""What a sheet in plain text shows: four pages for a smelt, all of its hazards and steps on them."""

LONG_MIN = 20.0
"""A step that likely takes this many minutes always has its time."""

READS_WELL = 7
"""Place of the first level that is good enough to stop at one page."""
