"""The chart of faults for the wall: each picture of the diagnosis with its name and what it points to first."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.frozen import frozen
from advisor.present.drawing.svg import svg_text
from advisor.present.pages.html import environment
from advisor.present.pages.paper import Paper
from advisor.rulebase.model import RuleBase

_ACROSS = 7
_PICTURE_SHARE = 0.5
"""Part of a column that a picture is wide; its labels stand beside it."""
_PT_PER_MM = 72 / 25.4


@frozen
class Picture:
    """One fault as it looks.

    Attributes:
        svg: The drawing.
        label: What it is called.
        points_to: The causes for which it is a strong sign by itself; empty where it is none.
    """

    svg: str
    label: str
    points_to: str


@frozen
class Look:
    """What is looked at in one place: its question and its pictures."""

    question: str
    pictures: tuple[Picture, ...]


def looks(rule_base: RuleBase, size_mm: float) -> Iterator[Look]:
    """The questions that are answered by pictures, in the order of the rules, each with all of its pictures."""
    for fact in rule_base.facts.values():
        options = {name: option for name, option in (fact.entry.options or {}).items() if option.picture}
        if options:
            yield Look(
                fact.label,
                tuple(
                    Picture(
                        svg_text(rule_base.drawings[option.picture], size_mm, f"{fact.name}-{name}"),
                        option.label,
                        "; ".join(_points_to(rule_base, f"{fact.name} is {name}")),
                    )
                    for name, option in options.items()
                    if option.picture
                ),
            )


def _points_to(rule_base: RuleBase, condition: str) -> list[str]:
    return [
        cause.entry.title
        for cause in rule_base.causes.values()
        if any(
            sign.when == condition and sign.says == "for" and sign.strength == "strong" for sign in cause.entry.signs
        )
    ]


def chart_html(rule_base: RuleBase, paper: Paper) -> str:
    """The chart as one HTML file that stands by itself."""
    size_mm = paper.width_pt / _PT_PER_MM / _ACROSS * _PICTURE_SHARE
    template = environment().get_template("chart.html.j2")
    return template.render(looks=list(looks(rule_base, size_mm)), paper=paper, across=_ACROSS)
