"""A drill is at most one screen: what is told in words and drawn too is not drawn where both do not fit."""

from __future__ import annotations

from dataclasses import replace

from advisor.present.drawing import terminal_lines
from advisor.present.text.letters import fold
from advisor.rulebase.drawings.fills import DRAWN_AS_LINES, LOOKS
from advisor.rulebase.model import RuleBase
from advisor.training.drills.drill import Drill
from advisor.words import tr

WIDTH, HEIGHT = 80, 24
_AROUND = 5
"""The line above, the heading, the line above the question, the keys, and the line that is typed on."""


def fitted(pieces: RuleBase, drill: Drill) -> Drill | None:
    """The drill as it fits a screen of 80 by 24; None where it does not.

    Args:
        pieces: The rules that hold the drawings.
        drill: The drill.
    """
    if height(pieces, drill) <= HEIGHT:
        return drill
    # What a picture of a piece shows is told in words beside it; of a drill about the picture it is the question.
    plain = replace(drill, pictures=()) if drill.kind != "picture" else drill
    return plain if height(pieces, plain) <= HEIGHT else None


def height(pieces: RuleBase, drill: Drill) -> int:
    """Lines that a drill takes on a screen of 80 columns, with what is typed at its end."""
    lines = _AROUND + len(drill.shown) + bool(drill.rest) + (drill.several or not drill.choices)
    lines += sum(_folded(f"{line.label}: {line.value}", 2) for line in drill.told)
    lines += _folded(drill.ask, 0) + sum(_folded(choice.label, 5) for choice in drill.choices)
    return lines + sum(_drawn(pieces, name) for name in drill.pictures)


def _drawn(pieces: RuleBase, name: str) -> int:
    """Lines of a picture with the key to its signs."""
    drawing = pieces.drawings[name]
    rows = "\n".join(terminal_lines(drawing, ascii_only=True)).strip("\n").split("\n")
    fills = dict.fromkeys(
        shape.fill for shape in drawing.shapes if shape.fill != "air" and shape.fill not in DRAWN_AS_LINES
    )
    key = tr("Signs: ") + ", ".join(f"## {LOOKS[fill].means}" for fill in fills)
    return len(rows) + 2 + _folded(key, 4)


def _folded(text: str, indent: int) -> int:
    return max(1, len(fold(text, WIDTH - indent - 1)))
