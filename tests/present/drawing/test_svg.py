"""Pictures on paper: sound XML, black and white, self-contained, and nothing of a text is taken for a tag."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from advisor.present.drawing import svg_text
from advisor.rulebase.drawings import Drawing
from advisor.rulebase.drawings.fills import DRAWN_AS_LINES, FILLS
from tests.present.drawing.pictures import PICTURES, picture, rect

EACH = pytest.mark.parametrize("drawing", PICTURES.values(), ids=PICTURES)
SVG = "{http://www.w3.org/2000/svg}"
ELEMENTS = {
    "svg",
    "title",
    "desc",
    "defs",
    "pattern",
    "rect",
    "path",
    "circle",
    "ellipse",
    "polygon",
    "polyline",
    "text",
}
HOSTILE = [
    "<script>alert(1)</script>",
    "\"' onload='x' \"",
    "a & b &amp; c",
    "]]> <!-- -->",
    "control \x00\x1b[31m\x08 end",
    "\ud800 lone, \ufffe \uffff",
    "url(http://example.org/x)",
]


def tree(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)


def hostile(text: str) -> Drawing:
    clean = picture(rect("slag_glassy", label="slag"), rect("metal", 20, 20, 9, 9))
    shape = clean.shapes[0].model_copy(update={"label": text})
    told = {"title": text, "caption": text, "shapes": (shape, clean.shapes[1])}
    return Drawing(text, clean.entry.model_copy(update=told))


@EACH
def test_a_picture_is_sound_and_says_what_it_shows(drawing: Drawing) -> None:
    root = tree(svg_text(drawing))
    assert root.tag == f"{SVG}svg"
    assert root.attrib["role"] == "img"
    assert root.findtext(f"{SVG}title") == drawing.title
    assert root.findtext(f"{SVG}desc") == drawing.caption
    ids = {element.attrib["id"] for element in root.iter() if "id" in element.attrib}
    assert set(root.attrib["aria-labelledby"].split()) <= ids


@EACH
def test_only_black_and_white_are_used(drawing: Drawing) -> None:
    for element in tree(svg_text(drawing)).iter():
        for key in ("fill", "stroke"):
            value = element.attrib.get(key, "none")
            assert value in ("#000", "#fff", "none") or value.startswith("url(#"), value
        assert "style" not in element.attrib


@EACH
def test_a_picture_needs_nothing_from_outside(drawing: Drawing) -> None:
    text = svg_text(drawing)
    assert text.count("http") == 1, "only the name space of SVG itself"
    assert "href" not in text
    assert {element.tag.removeprefix(SVG) for element in tree(text).iter()} <= ELEMENTS


@EACH
def test_every_pattern_that_is_used_is_there_and_every_label_is_written(drawing: Drawing) -> None:
    root = tree(svg_text(drawing))
    used = set(re.findall(r"url\(#([^)]*)\)", svg_text(drawing)))
    assert used == {element.attrib["id"] for element in root.iter(f"{SVG}pattern")}
    assert {element.text for element in root.iter(f"{SVG}text")} == {s.label for s in drawing.shapes if s.label}


def test_all_pictures_can_stand_in_one_page_without_sharing_an_id() -> None:
    page = "".join(map(svg_text, PICTURES.values()))
    ids = re.findall(r' id="([^"]*)"', page)
    assert len(ids) == len(set(ids))
    assert tree(f"<page>{page}</page>").tag == "page"


def test_the_same_picture_can_stand_twice_with_a_prefix_of_its_own() -> None:
    drawing = next(iter(PICTURES.values()))
    ids = re.findall(r' id="([^"]*)"', svg_text(drawing, prefix="one") + svg_text(drawing, prefix="two"))
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_text_stays_text(text: str) -> None:
    drawn = svg_text(hostile(text))
    root = tree(drawn)
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= ELEMENTS
    assert not any(key.startswith("on") for element in root.iter() for key in element.attrib)
    assert "<script" not in drawn
    assert all(re.fullmatch(r"[A-Za-z0-9_-]+", e.attrib["id"]) for e in root.iter() if "id" in e.attrib)
    assert re.search(r"[\x00-\x08\x0b-\x1f]", drawn) is None
    assert drawn.encode("utf-8").decode("utf-8") == drawn


def test_marks_of_markup_are_read_back_as_they_were_written() -> None:
    title = "<b> & \"one\" 'two'"
    assert tree(svg_text(picture(rect("metal"), title=title))).findtext(f"{SVG}title") == title


@pytest.mark.parametrize("size_mm", [20, 40, 75.5])
def test_the_picture_itself_has_the_width_asked_for(size_mm: float) -> None:
    root = tree(svg_text(picture(rect("metal")), size_mm))
    units = float(root.attrib["viewBox"].split()[2])
    assert float(root.attrib["width"].removesuffix("mm")) * 96 / units == pytest.approx(size_mm, abs=0.02)


def test_every_fill_can_be_drawn_and_each_looks_different() -> None:
    seen = set()
    for fill in FILLS:
        shape = {"kind": "line", "fill": fill, "points": [[5, 5], [50, 50]]} if fill in DRAWN_AS_LINES else rect(fill)
        body = svg_text(picture(shape)).split("</desc>")[1]
        tree(svg_text(picture(shape)))
        seen.add(body.replace(fill, "x"))
    assert len(seen) == len(FILLS) - 1, "air and a glint are both plain white"


def test_labels_do_not_cover_each_other() -> None:
    for name, drawing in PICTURES.items():
        heights = [float(element.attrib["y"]) for element in tree(svg_text(drawing)).iter(f"{SVG}text")]
        assert all(later - earlier >= 6 for earlier, later in pairwise(heights)), name
        assert all(0 <= height <= drawing.height for height in heights), name
