"""Folded text on whatever it is given to be printed on."""

from __future__ import annotations

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from advisor.metallurgy.common.document import FigureNote, Group
from advisor.present.text.calculation import print_group
from advisor.present.text.letters import screen_width, tame
from advisor.present.text.page import Page


def told(width: int = 40, *, explain: bool = False) -> tuple[Page, io.StringIO]:
    """A page, and what is written on it."""
    out = io.StringIO()
    return Page(Console(file=out, width=width, no_color=True), explain=explain), out


def test_a_paragraph_hangs_under_its_text_and_keeps_within_the_page() -> None:
    page, out = told()
    page.say("a word and another word and many more words until it folds", indent=2, mark="- ")
    first, *rest = out.getvalue().splitlines()
    assert first.startswith("  - a word")
    assert rest
    assert all(line.startswith("    ") and len(line) < 40 for line in rest)


def test_a_line_as_it_is_stays_in_one_piece_however_long() -> None:
    page, out = told()
    page.verbatim("/a/very/long/way/" * 10)
    assert out.getvalue() == "/a/very/long/way/" * 10 + "\n"


@given(st.text())
def test_nothing_printed_gives_the_terminal_orders(text: str) -> None:
    page, out = told()
    page.say(text)
    page.heading(text)
    assert not {letter for letter in out.getvalue() if letter != "\n" and not letter.isprintable()} & set(
        "\x00\x07\x08\x0d\x1b\x7f\x9b\u202e\u2066"
    )
    assert len(tame(text)) == len(text)


@pytest.mark.parametrize(("columns", "width"), [(1, 40), (40, 40), (77, 77), (100, 100), (10_000, 100)])
def test_a_screen_is_never_taken_for_narrower_or_wider_than_can_be_read(columns: int, width: int) -> None:
    assert screen_width(columns) == width


@pytest.mark.parametrize("explain", [True, False])
def test_how_a_figure_was_reached_stands_there_only_where_everything_is_explained(explain: bool) -> None:
    page, out = told(explain=explain)
    figure = FigureNote(name="x", title="Iron", low=1.0, likely=2.0, high=3.0, unit="g", how="counted", source="none")
    print_group(page, Group(title="Weigh", figures=(figure,)))
    assert "Iron  1 to 3 g" in out.getvalue()
    assert ("How: counted" in out.getvalue()) == explain
