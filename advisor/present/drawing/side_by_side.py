"""Several pictures beside each other, so that the eye can choose between them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from advisor.present.drawing.letters import HEIGHT, WIDTH, columns_of, cut, legend_lines, printable, terminal_lines
from advisor.rulebase.drawings import Drawing

GAP = 3


def side_by_side(
    drawings: Sequence[tuple[str, Drawing]], width: int = 78, ascii_only: bool = False, height: int = HEIGHT
) -> list[str]:
    """Lay pictures out in rows, each under its caption and above its legend.

    Args:
        drawings: Caption and picture, in reading order; a caption may be empty.
        width: Columns of the terminal; 78 holds three pictures in a row, less than 51 holds one.
        ascii_only: Use plain ASCII.
        height: Lines of each picture.

    Returns:
        Lines of at most ``width`` columns without spaces at their ends; an empty line between the rows.
    """
    across = min(WIDTH, max(1, width))
    in_a_row = max(1, (width + GAP) // (across + GAP))
    lines: list[str] = []
    for start in range(0, len(drawings), in_a_row):
        row = drawings[start : start + in_a_row]
        captions = [_wrapped(printable(caption, ascii_only), across) for caption, _ in row]
        pictures = [terminal_lines(drawing, across, height, ascii_only) for _, drawing in row]
        legends = [legend_lines(drawing, across, ascii_only) for _, drawing in row]
        lines += [""] if lines else []
        for block in (captions, pictures, legends):
            lines += _joined(block, across)
    return lines


def _joined(blocks: Sequence[Sequence[str]], across: int) -> Iterator[str]:
    for parts in zip_longest(*blocks, fillvalue=""):
        padded = (part + " " * (across - columns_of(part)) for part in parts)
        yield (" " * GAP).join(padded).rstrip()


def _wrapped(text: str, width: int) -> list[str]:
    lines: list[str] = []
    for word in text.split():
        if lines and columns_of(lines[-1]) + 1 + columns_of(word) <= width:
            lines[-1] += " " + word
            continue
        while columns_of(word) > width:
            head = cut(word, width)
            if not head:
                break
            lines.append(head)
            word = word[len(head) :]
        lines.append(cut(word, width))
    return lines
