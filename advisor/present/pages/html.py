"""The sheet as one HTML file: no script, nothing from outside, every text escaped by the template engine."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.present.pages import paper as measures
from advisor.present.pages.fitting import Fitted
from advisor.present.pages.model import CALLS, SEVERITY_WORDS

if TYPE_CHECKING:
    from jinja2 import Environment

SECTIONS = ("heading", "first", "looks", "weights", "hazards", "steps", "expected", "calls", "foot")


@cache
def environment() -> Environment:
    """What makes pages of templates; every text in them is escaped."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals.update(severity_words=SEVERITY_WORDS, whom=CALLS, measures=measures)
    return environment


def sheet_html(fitted: Fitted) -> str:
    """The whole sheet as an HTML document that stands by itself."""
    template = environment().get_template("sheet.html.j2")
    return template.render(
        sheet=fitted.sheet, detail=fitted.detail, paper=fitted.paper, apart=fitted.apart, sections=SECTIONS
    )
