"""The sheet as one HTML file: no script, nothing from outside, every text escaped by the template engine."""

from __future__ import annotations

import re
from functools import cache
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.present.pages import paper as measures
from advisor.present.pages.fitting import Fitted
from advisor.present.pages.model import CALLS, SEVERITY_WORDS
from advisor.words import language, one_of, said_as, tr, translated, translated_many

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

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
    environment.globals.update(
        tr=_said, tr_many=_said_many, language=language, page_of_pages=_page_of_pages, one_of=one_of, said_as=said_as
    )
    return environment


def _said(text: str, **values: object) -> Markup:
    """A text of a template in the language of this run; what fills its places is escaped unless it is markup."""
    return _filled(translated(text), values)


def _said_many(one: str, many: str, count: int, **values: object) -> Markup:
    return _filled(translated_many(one, many, count), {"count": count, **values})


def _filled(text: str, values: dict[str, object]) -> Markup:
    from markupsafe import Markup

    written = Markup(escape(text, quote=False))
    return written.format(**values) if values else written


def _page_of_pages() -> Markup:
    """What a style sheet says at the foot of each page: a text with two counters of the browser in its places."""
    from markupsafe import Markup

    page, pages = "\x01", "\x02"
    said = tr("Page {page} of {pages}", page=page, pages=pages)
    quoted = re.sub(f"[^\\w {page}{pages}]", lambda sign: f"\\{ord(sign[0]):x} ", said)
    parts = (f'"{part}"' for part in re.split(f"({page}|{pages})", quoted) if part)
    counters = {f'"{page}"': "counter(page)", f'"{pages}"': "counter(pages)"}
    return Markup(" ".join(counters.get(part, part) for part in parts))


def sheet_html(fitted: Fitted) -> str:
    """The whole sheet as an HTML document that stands by itself."""
    template = environment().get_template("sheet.html.j2")
    return template.render(
        sheet=fitted.sheet, detail=fitted.detail, paper=fitted.paper, apart=fitted.apart, sections=SECTIONS
    )
