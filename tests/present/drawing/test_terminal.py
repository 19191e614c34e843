"""Pictures in the terminal: small, plain, and not to be taken for one another."""

from __future__ import annotations

from itertools import combinations

import pytest

from advisor.present.drawing import legend_lines, side_by_side, terminal_lines
from advisor.present.drawing.letters import columns_of
from advisor.present.drawing.sampling import STROKES
from advisor.rulebase.drawings import Drawing
from advisor.rulebase.drawings.fills import DRAWN_AS_LINES, FILLS, LOOKS
from tests.present.drawing.pictures import FAMILIES, PICTURES, picture, rect

EACH = pytest.mark.parametrize("drawing", PICTURES.values(), ids=PICTURES)
BOTH = pytest.mark.parametrize("ascii_only", [True, False], ids=["ascii", "blocks"])
LEAST_DIFFERENCE = 8
"""Cells by which two pictures of one family must differ at 24 by 9."""


def differing_cells(one: list[str], other: list[str]) -> int:
    return sum(a != b for x, y in zip(one, other, strict=True) for a, b in zip(x.ljust(24), y.ljust(24), strict=True))


def test_there_are_many_pictures_and_no_name_stands_twice() -> None:
    assert len(PICTURES) >= 40
    assert sum(map(len, FAMILIES.values())) == len(PICTURES)


def test_the_name_of_a_picture_starts_with_its_family() -> None:
    assert [name for family, held in FAMILIES.items() for name in held if not name.startswith(f"{family}_")] == []


@EACH
@BOTH
def test_a_picture_fits_its_place(drawing: Drawing, ascii_only: bool) -> None:
    lines = terminal_lines(drawing, ascii_only=ascii_only)
    assert len(lines) == 9
    assert all(len(line) <= 24 and line == line.rstrip() for line in lines)
    assert sum(len(line.replace(" ", "")) for line in lines) >= 20


@EACH
def test_ascii_means_ascii(drawing: Drawing) -> None:
    lines = terminal_lines(drawing, ascii_only=True) + legend_lines(drawing, ascii_only=True)
    assert all(line.isascii() and line.isprintable() for line in lines)


@EACH
def test_a_picture_cannot_be_taken_for_markup(drawing: Drawing) -> None:
    lines = terminal_lines(drawing) + terminal_lines(drawing, ascii_only=True)
    assert not set("[]{}") & set("".join(lines))


@pytest.mark.parametrize("family", FAMILIES)
@BOTH
def test_no_two_pictures_of_a_family_look_alike(family: str, ascii_only: bool) -> None:
    drawn = {name: terminal_lines(held, ascii_only=ascii_only) for name, held in FAMILIES[family].items()}
    alike = [
        (one, other)
        for one, other in combinations(drawn, 2)
        if differing_cells(drawn[one], drawn[other]) < LEAST_DIFFERENCE
    ]
    assert alike == []


@EACH
def test_everything_in_a_picture_is_seen_in_the_terminal(drawing: Drawing) -> None:
    shown = "".join(terminal_lines(drawing, ascii_only=True))
    for shape in drawing.shapes:
        wanted = STROKES if shape.fill in DRAWN_AS_LINES else LOOKS[shape.fill].ascii[0]
        assert shape.fill == "air" or any(character in shown for character in wanted), shape.fill


@EACH
def test_every_label_of_a_picture_stands_in_its_legend(drawing: Drawing) -> None:
    legend = legend_lines(drawing)
    assert all(columns_of(line) <= 24 for line in legend)
    for shape in drawing.shapes:
        assert shape.label is None or any(shape.label in line for line in legend)


def test_every_fill_has_a_look_of_its_own() -> None:
    assert tuple(LOOKS) == FILLS
    for ascii_only in (True, False):
        assert len({LOOKS[fill].tile(ascii_only) for fill in FILLS}) == len(FILLS)
    assert all("".join(LOOKS[fill].ascii).isascii() for fill in FILLS)
    assert all(len(set(map(len, look.tile(mode)))) == 1 for look in LOOKS.values() for mode in (True, False))


def test_a_later_part_covers_an_earlier_one() -> None:
    lines = terminal_lines(picture(rect("metal", 0, 0, 96, 72), rect("matte", 0, 0, 96, 40)), ascii_only=True)
    assert lines == ["=" * 24] * 5 + ["#" * 24] * 4


def test_of_half_a_cell_the_part_wins_over_nothing() -> None:
    assert terminal_lines(picture(rect("metal", 0, 0, 96, 4)), ascii_only=True)[0] == "#" * 24
    assert terminal_lines(picture(rect("metal", 0, 0, 96, 1.5)), ascii_only=True)[0] == ""


def test_a_part_smaller_than_a_cell_is_not_lost() -> None:
    lines = terminal_lines(
        picture({"kind": "ellipse", "fill": "hole", "at": [40, 38], "size": [1, 1]}), ascii_only=True
    )
    assert "".join(lines).strip() == "o"


@pytest.mark.parametrize(
    ("points", "seen"),
    [
        ([[0, 4], [96, 4]], "------------------------"),
        ([[50, 0], [50, 72]], "|||||||||"),
        ([[32, 0], [68, 72]], "\\\\\\\\\\\\\\\\\\"),
        ([[68, 0], [32, 72]], "/////////"),
        ([[32, 72], [68, 0]], "/////////"),
    ],
)
def test_a_line_shows_its_direction(points: list[list[float]], seen: str) -> None:
    lines = terminal_lines(picture({"kind": "line", "fill": "outline", "points": points}))
    assert "".join("".join(lines).split()) == seen


@pytest.mark.parametrize(("width", "height"), [(1, 1), (0, -5), (7, 3), (120, 40)])
def test_any_size_can_be_asked_for(width: int, height: int) -> None:
    for drawing in PICTURES.values():
        lines = terminal_lines(drawing, width, height)
        assert len(lines) == max(1, height)
        assert all(len(line) <= max(1, width) for line in lines)


def test_a_sheet_keeps_its_width_and_shows_captions_pictures_and_legends() -> None:
    chosen = [(f"{number} {drawing.title}", drawing) for number, drawing in enumerate(FAMILIES["mould"].values(), 1)]
    for width in (1, 10, 24, 50, 51, 78, 200):
        assert all(columns_of(line) <= width for line in side_by_side(chosen, width))
    lines = side_by_side(chosen, 78, ascii_only=True)
    assert "1 Two clean layers" in lines[0]
    assert "".join(line.split("  ")[0] for line in lines).count("1 Two clean layers") == 1
    assert lines.count("") == (len(chosen) - 1) // 3
    assert any(".. slag  ## metal" in line for line in lines)


def test_a_sheet_of_three_holds_the_three_pictures_beside_each_other() -> None:
    three = list(FAMILIES["bead_top"].values())[:3]
    lines = side_by_side([("", drawing) for drawing in three])
    for row in range(9):
        parts = [terminal_lines(drawing)[row].ljust(24) for drawing in three]
        assert lines[row] == "   ".join(parts).rstrip()


def test_an_empty_sheet_has_no_lines() -> None:
    assert side_by_side([]) == []


def test_a_wide_script_keeps_the_columns_in_line() -> None:
    given = picture(rect("metal", label="金金金金金金金金金金金金金金"))
    lines = side_by_side([("金" * 30, given), ("second", given)])
    assert all(columns_of(line) <= 78 for line in lines)
    assert [columns_of(line[: line.index("second")]) for line in lines if "second" in line] == [27]


@pytest.mark.parametrize(
    "text", ["\x1b[31mred", "a\rb", "bell\x07", "turn \u202e round", "\u200bhidden", "line\nbreak"]
)
def test_control_characters_never_reach_the_terminal(text: str) -> None:
    clean = picture(rect("metal", label="bead"))
    shape = clean.shapes[0].model_copy(update={"label": text})
    hostile = Drawing(text, clean.entry.model_copy(update={"title": text, "caption": text, "shapes": (shape,)}))
    lines = side_by_side([(text, hostile)]) + legend_lines(hostile)
    assert all(line.isprintable() for line in lines)
    assert all(line.isascii() for line in side_by_side([(text + "é", hostile)], ascii_only=True))
