"""The sheet for an old printer: 80 columns, ASCII only, 66 lines a page."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from advisor.present.pages.choosing import make_sheet
from advisor.present.pages.detail import TEXT
from advisor.present.pages.plain import COLUMNS, LINES, sheet_text
from advisor.present.pages.words import ascii_words
from tests.present.conftest import CASES, Advices
from tests.present.pages.printing import squeezed

MOST_PAGES = 4


def text_of(advices: Advices, name: str, **changed: str) -> str:
    advice = replace(advices[name], **changed)
    return sheet_text(make_sheet(advice, TEXT, f"advisor route --answers cases/{name}.yaml"))


@pytest.mark.parametrize("name", CASES)
def test_it_is_ascii_in_80_columns_and_66_lines(name: str, advices: Advices) -> None:
    text = text_of(advices, name)
    assert text.isascii()
    pages = text.split("\f")
    for number, page in enumerate(pages, 1):
        lines = page.splitlines()
        assert len(lines) == LINES - 1, "a full form and a form feed would throw out an empty page"
        assert max(map(len, lines)) <= COLUMNS
        assert lines[-1].endswith(f"page {number} of {len(pages)}")
        assert any(lines[:-1])
    assert set(text) <= {"\n", "\f", *map(chr, range(32, 127))}
    assert len(pages) <= MOST_PAGES
    sheet = make_sheet(advices[name], TEXT, "advisor route")
    first_page = squeezed(pages[0])
    wanted = [*(weight.likely for weight in sheet.weights), sheet.kills, sheet.signs]
    assert [words for words in wanted if squeezed(ascii_words(words)) not in first_page] == []


@pytest.mark.parametrize("name", ["split-with-lead-and-litharge", "new-hand-knows-little", "arsenic-not-known"])
def test_every_hazard_step_and_weight_is_there(name: str, advices: Advices) -> None:
    sheet = make_sheet(advices[name], TEXT, "advisor route")
    text = squeezed(sheet_text(sheet))
    wanted = [part for hazard in sheet.hazards for part in (hazard.title, *hazard.controls)]
    wanted += [step.do for phase in sheet.phases for step in phase.steps]
    wanted += [weight.likely for weight in sheet.weights]
    assert [words for words in wanted if squeezed(ascii_words(words)) not in re.sub("-{3,}", "", text)] == []


def test_a_stop_is_written_large_in_text_too(advices: Advices) -> None:
    assert "TTTTTTT" in text_of(advices, "scarlet-grains-of-cinnabar")
    assert "WHAT LIFTS IT:" in text_of(advices, "scarlet-grains-of-cinnabar")
    assert "TTTTTTT" not in text_of(advices, "arsenic-not-known")


@pytest.mark.parametrize("title", ["A" * 10_000, "\x1b[31m\f\x07 a", "\u202eגזהב", "{{ 7 }}<b>", "\n\n\n", "金" * 500])
def test_a_hostile_batch_name_cannot_reach_the_printer_as_an_order(title: str, advices: Advices) -> None:
    text = text_of(advices, "arsenic-not-known", title=title)
    assert set(text) <= {"\n", "\f", *map(chr, range(32, 127))}
    assert text.count("\f") == text_of(advices, "arsenic-not-known", title="Invented").count("\f")
    assert max(map(len, text.replace("\f", "").splitlines())) <= COLUMNS
