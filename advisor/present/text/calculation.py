"""A computation as text: groups of figures, and what is said about them."""

from __future__ import annotations

from advisor.metallurgy.common.document import Calculation, FigureNote, Group, Remark
from advisor.present.text.page import Page, between

_MARKS = {"verdict": "= ", "warning": "! ", "limit": "~ ", "step": "> ", "sign": "? ", "note": "- "}
_STYLES = {"verdict": "bold", "warning": "bold red"}


def print_calculation(page: Page, calculation: Calculation) -> None:
    """A computation as text."""
    page.gap()
    page.say(calculation.title, style="bold")
    for name, value in calculation.inputs.items():
        page.say(f"{name.replace('_', ' ')}: {value}", indent=2, mark="given ")
    for group in calculation.groups:
        print_group(page, group)


def print_group(page: Page, group: Group) -> None:
    """One group of figures with what is said about them."""
    page.heading(group.title)
    width = min(44, max((len(figure.title) for figure in group.figures), default=0))
    for figure in group.figures:
        _print_figure(page, figure, width)
    for said in group.said:
        _print_said(page, said)


def _print_figure(page: Page, figure: FigureNote, width: int) -> None:
    unit = {"C": "°C", "permille": "‰"}.get(figure.unit, figure.unit)
    likely = "" if figure.low == figure.high else f"  (likely {between(figure.likely, figure.likely)})"
    page.say(f"{between(figure.low, figure.high)} {unit}".rstrip() + likely, mark=f"{figure.title:<{width}}  ")
    if page.explain:
        page.say(f"How: {figure.how}", indent=4)
        page.say(f"Source: {figure.source}", indent=4)


def _print_said(page: Page, said: Remark) -> None:
    page.say(said.text, mark=_MARKS[said.kind], style=_STYLES.get(said.kind, ""))
    if said.do:
        page.say(f"Do: {said.do}", indent=2)
    if page.explain and said.source:
        page.say(f"Source: {said.source}", indent=2)
