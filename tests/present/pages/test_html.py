"""The HTML of a sheet stands by itself, and no text in it can become anything but text."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.present.pages.choosing import make_sheet
from advisor.present.pages.detail import LEVELS
from advisor.present.pages.fitting import Fitted
from advisor.present.pages.html import sheet_html
from advisor.present.pages.paper import PAPERS
from advisor.present.pages.words import LONGEST_TITLE, clean, cut
from tests.present.conftest import Advices

CASE = "clean-gold-melted-with-borax"
ATTACKS = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</style></title><base href=//evil>",
    "{{ 7 * 7 }}{% for x in y %}",
    "${7*7} #{7*7} <%= 7 %>",
    "a\x00b\x1b[2Jc\r\nd",
    "\u202egold\u2066",
    "&lt;b&gt; &amp; '\"`",
)


class Structure(HTMLParser):
    """The elements of a page with their attributes, and its words."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, tuple[tuple[str, str | None], ...]]] = []
        self.words: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, tuple(attrs)))

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def html_of(advices: Advices, title: str, again: str = "advisor route") -> str:
    advice = replace(advices[CASE], title=title)
    return sheet_html(Fitted(make_sheet(advice, LEVELS[5], again), LEVELS[5], PAPERS["a4"], 2, True))


@pytest.fixture(scope="module")
def plain(advices: Advices) -> Structure:
    return Structure(html_of(advices, "An invented batch"))


def test_the_page_forbids_everything_but_its_own_styles(plain: Structure) -> None:
    policies = [dict(attrs)["content"] for tag, attrs in plain.elements if "http-equiv" in dict(attrs)]
    assert policies == ["default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"]


def test_the_page_asks_for_nothing_from_outside(advices: Advices, plain: Structure) -> None:
    html = html_of(advices, "An invented batch")
    assert not {tag for tag, _ in plain.elements} & {"script", "link", "img", "iframe", "object", "form", "base", "a"}
    assert not {name for _, attrs in plain.elements for name, _ in attrs} & {"src", "href", "style", "srcset"}
    assert not re.search(r"url\(|@import|https?:|javascript:", html, re.IGNORECASE)


def test_the_styles_name_black_and_white_only(advices: Advices) -> None:
    styles = html_of(advices, "x").split("<style>")[1].split("</style>")[0]
    assert set(re.findall(r"#[0-9a-fA-F]{3,8}\b", styles)) == {"#000", "#fff"}
    assert "rgb" not in styles


@pytest.mark.parametrize("attack", ATTACKS)
def test_an_attack_in_the_batch_name_stays_text(attack: str, advices: Advices, plain: Structure) -> None:
    page = Structure(html_of(advices, attack))
    assert page.elements == plain.elements
    assert cut(clean(attack), LONGEST_TITLE) in page.words


@pytest.mark.parametrize("attack", ATTACKS)
def test_an_attack_in_the_name_of_the_answer_file_stays_text(attack: str, advices: Advices, plain: Structure) -> None:
    assert Structure(html_of(advices, "An invented batch", attack)).elements == plain.elements


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(title=st.text(max_size=200) | st.text(alphabet="<>{}%\"'&/\\=- \u202e\u0301\x00\x1b", max_size=200))
def test_no_batch_name_changes_anything_but_its_own_words(title: str, advices: Advices, plain: Structure) -> None:
    page = Structure(html_of(advices, title))
    assert page.elements == plain.elements
    shown = cut(clean(title), LONGEST_TITLE) or "Batch without a name"
    assert len(shown) <= LONGEST_TITLE
    assert shown in page.words


def test_the_same_advice_gives_the_same_page(advices: Advices) -> None:
    assert html_of(advices, "x") == html_of(advices, "x")
