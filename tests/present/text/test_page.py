"""Folded text on whatever it is given to be printed on."""

from __future__ import annotations

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from advisor.metallurgy.common.document import FigureNote, Group, Line, Remark, Table
from advisor.present.text.calculation import print_group
from advisor.present.text.letters import fold, screen_width, tame
from advisor.present.text.page import Page, between


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


@given(st.integers(10, 40))
def test_a_figure_and_its_unit_stand_on_one_line(width: int) -> None:
    text = "Weigh 1250 g of soda ash and 14 g of borax, 30 min at 1150 °C: 5 parts in 10, 9 tins, 3 goods."
    lines = fold(text, width, "- ", "  ")
    assert " ".join(line[2:] for line in lines) == text
    assert all(len(line) <= width for line in lines)
    for figure in ("1250 g", "14 g", "30 min", "1150 °C", "5 parts"):
        assert any(figure in line for line in lines)


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


def figure_note(title: str, unit: str = "g") -> FigureNote:
    return FigureNote(name="x", title=title, low=1.0, likely=2.0, high=3.0, unit=unit, how="counted", source="none")


def test_a_figure_with_a_long_title_stands_on_a_line_of_its_own() -> None:
    page, out = told()
    print_group(page, Group(title="Air", figures=(figure_note("air in the room " * 6),)))
    assert "  1 to 3 g  (likely 2)" in out.getvalue().splitlines()


@pytest.mark.parametrize("width", [40, 80])
def test_a_table_keeps_its_figures_together_at_any_width(width: int) -> None:
    page, out = told(width)
    line = Line(
        title="8 h: a body with a long name (1978)",
        figures=(figure_note("limit", "mg/m3"), None, figure_note("fan", "m3/h")),
        word="law",
        source="none",
    )
    table = Table(columns=("limit, mg/m3", "in air, mg/m3", "fan, m3/h"), lines=(line,))
    verdict = Remark(kind="verdict", text="Outdoors only.")
    print_group(page, Group(title="Limits", figures=(figure_note("lead"),), table=table, said=(verdict,)))
    lines = out.getvalue().splitlines()
    assert max(map(len, lines)) <= width
    said = [place for place, one in enumerate(lines) if "Outdoors" in one or one.startswith("lead")]
    assert "Outdoors" in lines[said[0]], "the verdict comes before the figures"
    row = "".join(lines[lines.index(next(one for one in lines if one.startswith("8 h"))) :])
    assert "law" in row
    assert "2" in row


@pytest.mark.parametrize("explain", [True, False])
def test_how_a_figure_was_reached_stands_there_only_where_everything_is_explained(explain: bool) -> None:
    page, out = told(explain=explain)
    figure = FigureNote(name="x", title="Iron", low=1.0, likely=2.0, high=3.0, unit="g", how="counted", source="none")
    print_group(page, Group(title="Weigh", figures=(figure,)))
    assert "Iron  1 to 3 g" in out.getvalue()
    assert ("How: counted" in out.getvalue()) == explain


@given(st.floats(0.001, 1e5), st.floats(0, 1), st.floats(1, 50))
def test_a_likely_value_never_lies_outside_of_its_printed_range(low: float, part: float, times: float) -> None:
    high = low * times
    likely = min(high, low + (high - low) * part)
    ends = [float(end) for end in between(low, high, likely).replace(",", "").split(" to ")]
    assert ends[0] <= likely * 1.006
    assert ends[-1] >= likely * 0.994
    assert between(4.2, 13.4, 13.3) == "4.2 to 13.4", "two figures would print 13"
