"""What may stand in a picture: everything absurd is refused with one sentence that says what would be right."""

from __future__ import annotations

from typing import Any

import pytest
from jsonschema import Draft202012Validator
from pydantic import ValidationError

from advisor.rulebase.drawings.entries import MOST_POINTS, MOST_SHAPES, DrawingEntry
from advisor.rulebase.drawings.model import box_of, ring_of
from tests.present.drawing.pictures import PICTURES, entry, rect

POLYGON: dict[str, Any] = {"kind": "polygon", "fill": "metal"}
LINE: dict[str, Any] = {"kind": "line", "fill": "crack"}


def polygon(*points: Any) -> dict[str, Any]:
    return {**POLYGON, "points": list(points)}


ABSURD: list[tuple[dict[str, Any], str]] = [
    (entry(), f"a list of 1 to {MOST_SHAPES}"),
    (entry(*[rect("metal")] * (MOST_SHAPES + 1)), f"a list of 1 to {MOST_SHAPES} of them"),
    (entry(shapes="all"), "these are not shapes"),
    (entry("a bead"), "valid dictionary"),  # type: ignore[arg-type]
    (entry(rect("gold")), "Input should be 'air', 'slag_glassy'"),
    (entry({**rect("metal"), "kind": "star"}), "'polygon', 'ellipse', 'line' or 'rect'"),
    (entry(rect("metal", colour="red")), "Extra inputs are not permitted"),
    (entry(POLYGON), "a polygon needs points"),
    (entry({**rect("metal"), "points": [[1, 1], [2, 2]]}), "'rect' needs at and size, and no points"),
    (entry({**POLYGON, "points": [[1, 1], [9, 1], [5, 9]], "at": [5, 5]}), "neither at nor size"),
    (entry({**POLYGON, "points": []}), f"write 2 to {MOST_POINTS} of them"),
    (entry({**POLYGON, "points": "all"}), "these are not points"),
    (entry(polygon(*[[1, 1]] * (MOST_POINTS + 1))), "these are not points"),
    (entry(polygon([1, 1], [9, 9])), "encloses nothing"),
    (entry(polygon([1, 1], [5, 5], [9, 9])), "encloses nothing"),
    (entry(polygon([1, 1], [9, 1], [5])), "two numbers from 0 to 200"),
    (entry(polygon([1, 1], [9, 1], [5, "x"])), "two numbers from 0 to 200"),
    (entry(polygon([1, 1], [9, 1], [5, True])), "two numbers from 0 to 200"),
    (entry(polygon([1, 1], [9, 1], [5, -1])), "two numbers from 0 to 200"),
    (entry(polygon([1, 1], [9, 1], [5, 201])), "two numbers from 0 to 200"),
    (entry(polygon([1, 1], [9, 1], [5, float("nan")])), "two numbers from 0 to 200"),
    (entry(polygon([1, 1], [9, 1], [5, float("inf")])), "two numbers from 0 to 200"),
    (entry(rect("metal", wide=0)), "too small to be seen"),
    (entry(rect("metal", wide=0.9)), "too small to be seen"),
    (entry({**LINE, "points": [[5, 5], [5, 5]]}), "no length"),
    (entry({**LINE, "fill": "metal", "points": [[5, 5], [50, 50]]}), "draw metal as a polygon"),
    (entry(rect("fume")), "fume is drawn as a line"),
    (entry(rect("metal", x=60, wide=40)), "shape 1 (rect, metal) reaches beyond the picture"),
    (entry({**rect("metal"), "kind": "ellipse"}), "keep x within 0 to 96 and y within 0 to 72"),
    (entry(rect("metal"), width=9), "greater than or equal to 10"),
    (entry(rect("metal"), height=201), "less than or equal to 200"),
    (entry(rect("metal"), title=""), "at least 1 character"),
    (entry(rect("metal"), title="x" * 61), "at most 60 characters"),
    (entry(rect("metal"), caption="two\nlines"), "one line of plain text"),
    (entry(rect("metal"), title="red \x1b[31m"), "control character"),
    (entry(rect("metal"), title="turned \u202e round"), "control character"),
    (entry(rect("metal", label="a\x07b")), "control character"),
    (entry(rect("metal", label="x" * 21)), "at most 20 characters"),
]


@pytest.mark.parametrize(("given", "said"), ABSURD, ids=[said for _, said in ABSURD])
def test_an_absurd_picture_is_refused_with_one_sentence(given: dict[str, Any], said: str) -> None:
    with pytest.raises(ValidationError) as caught:
        DrawingEntry.model_validate(given)
    (error,) = caught.value.errors()
    assert said in error["msg"]
    assert "\n" not in error["msg"]


@pytest.mark.parametrize(("edge", "fits"), [(95.9, True), (96, True), (96.1, False)])
def test_a_part_may_touch_the_border_and_not_cross_it(edge: float, fits: bool) -> None:
    given = entry(rect("metal", x=0, wide=edge))
    if fits:
        assert box_of(DrawingEntry.model_validate(given).shapes[0])[2] == pytest.approx(edge)
    else:
        with pytest.raises(ValidationError, match="reaches beyond"):
            DrawingEntry.model_validate(given)


def test_an_entry_cannot_be_changed() -> None:
    model = DrawingEntry.model_validate(entry(rect("metal")))
    with pytest.raises(ValidationError, match="frozen"):
        model.title = "another"  # type: ignore[misc]


def test_a_picture_may_be_written_out_and_read_again() -> None:
    model = DrawingEntry.model_validate(entry(rect("metal", label="bead"), polygon([1, 1], [9, 1], [5, 9])))
    assert DrawingEntry.model_validate_json(model.model_dump_json()) == model


def test_the_schema_for_editors_takes_what_the_program_takes_and_refuses_a_bad_point() -> None:
    validator = Draft202012Validator(DrawingEntry.model_json_schema())
    assert validator.is_valid(entry(rect("metal"), polygon([1, 1], [9, 1], [5, 9])))
    assert not validator.is_valid(entry(polygon([1, 1], [9, 1], [5, 201])))
    assert not validator.is_valid(entry(polygon([1, 1], [9, 1], [5])))
    assert not validator.is_valid(entry(rect("gold")))
    assert not validator.is_valid(entry())
    assert not validator.is_valid(entry(rect("metal"), title="x" * 61))


def test_the_corners_of_an_ellipse_lie_on_it() -> None:
    given = {"kind": "ellipse", "fill": "metal", "at": [40, 30], "size": [20, 10]}
    shape = DrawingEntry.model_validate(entry(given)).shapes[0]
    assert all(((x - 40) / 10) ** 2 + ((y - 30) / 5) ** 2 == pytest.approx(1) for x, y in ring_of(shape))
    assert box_of(shape) == pytest.approx((30, 25, 50, 35))


def test_every_shipped_caption_is_one_short_sentence() -> None:
    for name, drawing in PICTURES.items():
        assert drawing.caption.endswith("."), name
        assert drawing.caption[:-1].count(".") == 0, name
        assert drawing.caption[0].isupper(), name
