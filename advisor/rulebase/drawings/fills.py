"""What the parts of a picture are: a closed list, each with its look in the terminal.

A look is a tile of text that is repeated over the part. No tile holds a square bracket, so that a picture can
never be taken for markup. The look on paper stands in ``advisor.present.drawing.svg``.
"""

from __future__ import annotations

from typing import Literal, get_args

from advisor.frozen import frozen
from advisor.words import tr

Fill = Literal[
    "air",
    "slag_glassy",
    "slag_stony",
    "matte",
    "speiss",
    "metal",
    "metal_dull",
    "metal_coppery",
    "metal_frosted",
    "litharge",
    "charge",
    "crust",
    "iron",
    "crucible",
    "cupel",
    "cupel_soaked",
    "stain_green",
    "stain_dark",
    "hole",
    "glint",
    "outline",
    "crack",
    "fume",
]
FILLS: tuple[Fill, ...] = get_args(Fill)

LINE_ONLY = frozenset({"crack", "fume"})
"""Fills that only a line can have."""
DRAWN_AS_LINES = frozenset({"outline", "crack", "fume"})
"""Fills that are drawn as strokes; all others cover a surface."""


@frozen
class Look:
    """How one fill looks in the terminal.

    Attributes:
        means: What it stands for, in plain words.
        ascii: The tile in plain ASCII, one text for each row of it.
        blocks: The tile for terminals that show Unicode.
    """

    means: str
    ascii: tuple[str, ...]
    blocks: tuple[str, ...]

    def tile(self, ascii_only: bool) -> tuple[str, ...]:
        """The tile for this kind of terminal."""
        return self.ascii if ascii_only else self.blocks


def _look(means: str, plain: str, block: str = "") -> Look:
    return Look(means, tuple(plain.split("\n")), tuple((block or plain).split("\n")))


LOOKS: dict[Fill, Look] = {
    "air": _look(tr("nothing"), " "),
    "slag_glassy": _look(tr("glassy slag"), ".", "░"),
    "slag_stony": _look(tr("stony slag"), "x", "▒"),
    "matte": _look(tr("matte"), "="),
    "speiss": _look(tr("speiss"), "+"),
    "metal": _look(tr("bright metal"), "#", "█"),
    "metal_dull": _look(tr("dull metal"), "M", "▓"),
    "metal_coppery": _look(tr("coppery metal"), "C"),
    "metal_frosted": _look(tr("white, granular metal"), '"'),
    "litharge": _look(tr("litharge"), "~"),
    "charge": _look(tr("charge that has not melted"), "&"),
    "crust": _look(tr("crust"), "^"),
    "iron": _look(tr("iron"), "I"),
    "crucible": _look(tr("wall of the pot"), "H"),
    "cupel": _look(tr("clean cupel"), ":"),
    "cupel_soaked": _look(tr("cupel with litharge in it"), "%"),
    "stain_green": _look(tr("green stain"), "g"),
    "stain_dark": _look(tr("brown to black stain"), "@"),
    "hole": _look(tr("hole or bubble"), "o"),
    "glint": _look(tr("glint on a bright face"), "*"),
    "outline": _look(tr("edge"), "-"),
    "crack": _look(tr("crack"), "/\\"),
    "fume": _look(tr("fume"), "()"),
}
