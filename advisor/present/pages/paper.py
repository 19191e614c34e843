"""Paper and type: the measures that the template draws with and the fitting computes with, in points."""

from __future__ import annotations

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.words import tr

_MM = 72 / 25.4

LINE = 1.1
"""Height of a line of body type, in units of its size."""

TITLE_LINE = 1.06
GAP = 10.0
"""Between the two columns."""

ROW = 14.2
"""Height of a row with a blank to write in: about 5 mm."""


@frozen
class Paper:
    """One kind of paper.

    Attributes:
        name: As the style sheet calls it.
        width_mm: Its width.
        height_mm: Its height.
    """

    name: str
    width_mm: float
    height_mm: float

    side_mm = 7.0
    top_mm = 6.5
    bottom_mm = 8.5

    @property
    def width_pt(self) -> float:
        """Width between the margins."""
        return (self.width_mm - 2 * self.side_mm) * _MM

    @property
    def height_pt(self) -> float:
        """Height between the margins."""
        return (self.height_mm - self.top_mm - self.bottom_mm) * _MM

    @property
    def column_pt(self) -> float:
        """Width of one of two columns."""
        return (self.width_pt - GAP) / 2


PAPERS = {"a4": Paper("A4", 210, 297), "letter": Paper("letter", 215.9, 279.4)}


def paper_named(name: str) -> Paper:
    """The paper of this name.

    Raises:
        InputError: If there is none.
    """
    if name.lower() not in PAPERS:
        raise InputError(tr("there is no paper '{name}'; write  --paper A4  or  --paper letter", name=name))
    return PAPERS[name.lower()]
