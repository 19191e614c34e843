"""Small pictures of signs: one description in data gives a picture for the terminal and one for paper."""

from advisor.drawing.model import Drawing, DrawingEntry, ShapeEntry, drawing_of
from advisor.drawing.raster import legend_lines, terminal_lines
from advisor.drawing.sheet import side_by_side
from advisor.drawing.svg import svg_text

__all__ = [
    "Drawing",
    "DrawingEntry",
    "ShapeEntry",
    "drawing_of",
    "legend_lines",
    "side_by_side",
    "svg_text",
    "terminal_lines",
]
