"""What must be read can be read: on white and on black, in the colours that usual terminals have."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from rich.errors import StyleSyntaxError
from rich.style import Style

from tests.conftest import ROOT

LEAST_CONTRAST = 4.5
"""WCAG 2.1, success criterion 1.4.3, for text."""

COLOURS = ("black", "red", "green", "yellow", "blue", "magenta", "cyan", "white")
PALETTES = {
    "xterm": (0x000000, 0xCD0000, 0x00CD00, 0xCDCD00, 0x0000EE, 0xCD00CD, 0x00CDCD, 0xE5E5E5),
    "VGA": (0x000000, 0xAA0000, 0x00AA00, 0xAA5500, 0x0000AA, 0xAA00AA, 0x00AAAA, 0xAAAAAA),
    "Windows console": (0x0C0C0C, 0xC50F1F, 0x13A10E, 0xC19C00, 0x0037DA, 0x881798, 0x3A96DD, 0xCCCCCC),
    "macOS Terminal": (0x000000, 0xC23621, 0x25BC24, 0xADAD27, 0x492EE1, 0xD338D3, 0x33BBC8, 0xCBCCCD),
}
"""The eight colours of each; recalled, not checked."""

GROUNDS = (0xFFFFFF, 0x000000)


def luminance(colour: int) -> float:
    """Relative luminance, from 0 to 1. WCAG 2.1, definition of relative luminance."""
    parts = [(colour >> shift & 255) / 255 for shift in (16, 8, 0)]
    red, green, blue = (part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: int, other: int) -> float:
    """Contrast ratio, from 1 to 21. WCAG 2.1, definition of contrast ratio."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def worst(style: Style) -> float:
    """The least contrast that a style has on any of these terminals; dim letters count as none."""
    if style.dim:
        return 1.0
    if style.color is None and style.bgcolor is None:
        # The terminal's own two colours, or the same two the other way round.
        return contrast(*GROUNDS)
    if style.color is None or style.bgcolor is not None:
        return 1.0
    name = style.color.name.removeprefix("bright_")
    if name not in COLOURS:
        return 1.0
    return min(contrast(palette[COLOURS.index(name)], ground) for palette in PALETTES.values() for ground in GROUNDS)


def styles() -> Iterator[tuple[Path, str]]:
    """Every style that is named in the rooms that show something."""
    for room in ("present", "terminal"):
        for path in sorted((ROOT / "advisor" / room).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Constant) and isinstance(node.value, str) and _is_style(node.value):
                    yield path, node.value


def _is_style(text: str) -> bool:
    words = text.split()
    known = {"bold", "dim", "reverse", "italic", "underline", *COLOURS}
    return bool(words) and all(word.removeprefix("bright_") in known | {"on", "not"} for word in words)


def test_every_style_can_be_read_on_white_and_on_black() -> None:
    found = list(styles())
    assert {"bold", "reverse bold"} <= {text for _, text in found}
    drawn = ROOT / "advisor" / "present" / "drawing"
    for path, text in found:
        if path.is_relative_to(drawn):
            # Names of patterns and colours of the drawings on paper.
            continue
        try:
            style = Style.parse(text)
        except StyleSyntaxError:
            continue
        assert worst(style) >= LEAST_CONTRAST, (path.name, text)


@pytest.mark.parametrize("text", ["dim", "yellow", "bold green", "red", "bold red", "cyan", "white", "blue"])
def test_dim_and_colours_are_seen_to_fail_on_one_ground_or_the_other(text: str) -> None:
    assert worst(Style.parse(text)) < LEAST_CONTRAST


def test_the_contrast_of_black_on_white_is_that_of_the_standard() -> None:
    assert contrast(0x000000, 0xFFFFFF) == pytest.approx(21)
    assert contrast(0x777777, 0xFFFFFF) == pytest.approx(4.48, abs=0.01)
