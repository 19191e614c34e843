"""What the parts of a picture are: a closed list, each with its look in the terminal.

A look is a tile of text that is repeated over the part. No tile holds a square bracket, so that a picture can
never be taken for markup. The look on paper stands in ``advisor.present.drawing.svg``.
"""

from __future__ import annotations

from typing import Literal, get_args

from advisor.frozen import frozen

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
    "air": _look("nothing", " "),
    "slag_glassy": _look("glassy slag", ".", "░"),
    "slag_stony": _look("stony slag", "x", "▒"),
    "matte": _look("matte", "="),
    "speiss": _look("speiss", "+"),
    "metal": _look("bright metal", "#", "█"),
    "metal_dull": _look("dull metal", "M", "▓"),
    "metal_coppery": _look("coppery metal", "C"),
    "metal_frosted": _look("white, granular metal", '"'),
    "litharge": _look("litharge", "~"),
    "charge": _look("charge that has not melted", "&"),
    "crust": _look("crust", "^"),
    "iron": _look("iron", "I"),
    "crucible": _look("wall of the pot", "H"),
    "cupel": _look("clean cupel", ":"),
    "cupel_soaked": _look("cupel with litharge in it", "%"),
    "stain_green": _look("green stain", "g"),
    "stain_dark": _look("brown to black stain", "@"),
    "hole": _look("hole or bubble", "o"),
    "glint": _look("glint on a bright face", "*"),
    "outline": _look("edge", "-"),
    "crack": _look("crack", "/\\"),
    "fume": _look("fume", "()"),
}
