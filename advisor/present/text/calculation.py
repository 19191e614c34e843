"""A computation as text: groups of figures, and what is said about them."""

from __future__ import annotations

from advisor.metallurgy.common.document import Calculation, FigureNote, Group, Remark, Table
from advisor.present.text.letters import fold
from advisor.present.text.page import Page, between
from advisor.words import tr

_MARKS = {"verdict": "= ", "warning": "! ", "limit": "~ ", "step": "> ", "sign": "? ", "note": "- "}
_GAP, _LEAST_TITLE = 2, 18
_STYLES = {"verdict": "bold", "warning": "reverse bold"}


def print_calculation(page: Page, calculation: Calculation) -> None:
    """A computation as text."""
    page.gap()
    page.say(calculation.title, style="bold")
    for name, value in calculation.inputs.items():
        # As it was typed, so that it is typed anew with another value.
        page.say(f"{name}: {value}", indent=2, mark=tr("given "))
    for group in calculation.groups:
        print_group(page, group)


def print_group(page: Page, group: Group) -> None:
    """One group: the verdict first, then the figures, then what else is said about them."""
    page.heading(group.title)
    for said in group.said:
        if said.kind == "verdict":
            _print_said(page, said)
    width = min(44, max((len(figure.title) for figure in group.figures), default=0))
    for figure in group.figures:
        _print_figure(page, figure, width)
    if group.table is not None:
        _print_table(page, group.table)
    for said in group.said:
        if said.kind != "verdict":
            _print_said(page, said)


def _print_figure(page: Page, figure: FigureNote, width: int) -> None:
    unit = _unit_shown(figure.unit)
    likely = (
        "" if figure.low == figure.high else tr("  (likely {figure})", figure=between(figure.likely, figure.likely))
    )
    text, mark = (
        f"{between(figure.low, figure.high, figure.likely)} {unit}".rstrip() + likely,
        f"{figure.title:<{width}}  ",
    )
    if len(mark) + len(text) <= page.width or len(figure.title) <= width:
        page.say(text, mark=mark)
    else:
        # A figure is never folded into a column of single letters beside a long title.
        page.say(figure.title)
        page.say(text, indent=2)
    if page.explain:
        page.say(tr("How: {how}", how=figure.how), indent=4)
        page.say(tr("Source: {source}", source=figure.source), indent=4)


def _unit_shown(unit: str) -> str:
    return {"C": "°C", "permille": "‰"}.get(unit, unit)


def _print_table(page: Page, table: Table) -> None:
    """One line for each: its title, the likely figure of each column, and its word."""
    cells = [[_cell(figure) for figure in line.figures] for line in table.lines]
    heads = [column.split(", ") for column in table.columns]
    widths = [
        max(*(len(word) for word in head), *(len(row[place]) for row in cells)) for place, head in enumerate(heads)
    ]
    words = max(len(line.word) for line in table.lines)
    taken = sum(widths) + _GAP * (len(widths) + 1) + words
    if page.width - taken < _LEAST_TITLE:
        _print_list(page, table, cells)
        return
    room = min(page.width - taken, max(len(line.title) for line in table.lines))
    for place in range(max(len(head) for head in heads)):
        page.verbatim(_row("", [head[place] if place < len(head) else "" for head in heads], "", room, widths))
    for line, row in zip(table.lines, cells, strict=True):
        first, *rest = fold(line.title, room)
        page.verbatim(_row(first, row, line.word, room, widths))
        for more in rest:
            page.verbatim(f"  {more}")
    _print_whole(page, table)


def _print_list(page: Page, table: Table, cells: list[list[str]]) -> None:
    """The same where the screen is too narrow for columns."""
    for line, row in zip(table.lines, cells, strict=True):
        pairs = "; ".join(
            f"{head.replace(',', '')} {cell}" for head, cell in zip(table.columns, row, strict=True) if cell != "-"
        )
        page.say(f"{line.title}: {pairs}; {line.word}")
    _print_whole(page, table)


def _print_whole(page: Page, table: Table) -> None:
    """The range of every figure and how it was reached, for who asks."""
    for line in table.lines if page.explain else ():
        page.gap()
        page.say(line.title, style="bold")
        for figure in line.figures:
            if figure is not None:
                _print_figure(page, figure, 0)


def _row(title: str, cells: list[str], word: str, room: int, widths: list[int]) -> str:
    gap = " " * _GAP
    figures = gap.join(f"{cell:>{width}}" for cell, width in zip(cells, widths, strict=True))
    return f"{title:<{room}}{gap}{figures}{gap}{word}".rstrip()


def _cell(figure: FigureNote | None) -> str:
    return "-" if figure is None else between(figure.likely, figure.likely)


def _print_said(page: Page, said: Remark) -> None:
    page.say(said.text, mark=_MARKS[said.kind], style=_STYLES.get(said.kind, ""))
    if said.do:
        page.say(tr("Do: {do}", do=said.do), indent=2)
    if page.explain and said.source:
        page.say(tr("Source: {source}", source=said.source), indent=2)
