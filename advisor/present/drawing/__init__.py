"""Small pictures of signs: one description in data gives a picture for the terminal and one for paper."""

from advisor.present.drawing.letters import legend_lines, terminal_lines
from advisor.present.drawing.side_by_side import side_by_side
from advisor.present.drawing.svg import svg_text

__all__ = ["legend_lines", "side_by_side", "svg_text", "terminal_lines"]
