"""Prints a sheet with headless Chromium and reads what came out of the printer, letter by letter."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from advisor.present.pages.paper import PAPERS

BROWSER = shutil.which("chromium")
NEEDS_BROWSER = pytest.mark.skipif(
    BROWSER is None, reason="chromium is not installed, so nothing can be printed; apt-get install chromium"
)
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-pdf-header-footer",
)

FOOT_PT = PAPERS["a4"].bottom_mm * 72 / 25.4 - 1
"""Below this stands the number of the page alone."""


def squeezed(text: str) -> str:
    """Text without spaces and case, since a printed page has neither line breaks nor the case of headings."""
    return "".join(text.split()).casefold()


@dataclass(frozen=True)
class Printed:
    """A printed sheet.

    Attributes:
        pages: For each page its width and height, its letters and its drawn lines and areas.
    """

    pages: tuple[dict[str, Any], ...]

    @cached_property
    def text(self) -> str:
        """All letters in the order in which they were written, squeezed; without the number in the foot of a page."""
        return squeezed(
            "".join(
                letter["text"]
                for page in self.pages
                for letter in page["chars"]
                if letter["bottom"] <= page["height"] - FOOT_PT
            )
        )

    @property
    def letters(self) -> list[dict[str, Any]]:
        """Every letter that is not a space."""
        return [letter for page in self.pages for letter in page["chars"] if letter["text"].strip()]

    def colours(self) -> set[tuple[float, ...]]:
        """Every colour that was used, as grey or as red, green and blue."""
        found = {tuple(letter["non_stroking_color"] or (0,)) for letter in self.letters}
        for page in self.pages:
            for mark in page["marks"]:
                found |= {tuple(mark[key]) for key in ("stroking_color", "non_stroking_color") if mark.get(key)}
        return found

    def overlaps(self) -> list[str]:
        """Pairs of letters that were printed on top of each other."""
        found = []
        for page in self.pages:
            letters = sorted((c for c in page["chars"] if c["text"].strip()), key=lambda c: (c["x0"], c["top"]))
            for place, one in enumerate(letters):
                for other in letters[place + 1 :]:
                    # Neighbours such as T and a comma are set a little into each other.
                    if other["x0"] > one["x1"] - 0.22 * one["size"]:
                        break
                    if min(one["bottom"], other["bottom"]) - max(one["top"], other["top"]) > 0.4 * one["size"]:
                        found.append(f"{one['text']}{other['text']} at {one['x0']:.0f}, {one['top']:.0f}")
        return found

    def outside(self, side: float, top: float, bottom: float) -> list[str]:
        """Letters that stand outside these margins in points; the page number may stand in the bottom one."""
        found = []
        for page in self.pages:
            for letter in page["chars"]:
                across = side - 0.5 <= letter["x0"] and letter["x1"] <= page["width"] - side + 0.5
                low = letter["bottom"] > page["height"] - bottom + 1
                number = low and letter["x0"] > page["width"] / 2 and letter["bottom"] < page["height"] - 5
                if letter["text"].strip() and not (across and letter["top"] >= top - 1 and (not low or number)):
                    found.append(f"{letter['text']} at {letter['x0']:.0f}, {letter['top']:.0f}")
        return found


def printed(html: str, folder: Path) -> Printed:
    """Print a page and read the result."""
    assert BROWSER is not None
    source, target = folder / "sheet.html", folder / "sheet.pdf"
    source.write_text(html, encoding="utf-8")
    profile = tempfile.mkdtemp(prefix="profile-", dir=folder)
    subprocess.run(
        [BROWSER, *FLAGS, f"--user-data-dir={profile}", f"--print-to-pdf={target}", source.as_uri()],
        check=True,
        capture_output=True,
        timeout=90,
    )
    shutil.rmtree(profile, ignore_errors=True)
    with pdfplumber.open(target) as document:
        return Printed(
            tuple(
                {
                    "width": float(page.width),
                    "height": float(page.height),
                    "chars": page.chars,
                    "marks": [*page.rects, *page.lines, *page.curves],
                }
                for page in document.pages
            )
        )


def in_order(text: str, parts: list[str]) -> bool:
    """Whether the parts stand in the text one after the other."""
    place = 0
    for part in parts:
        place = text.find(squeezed(part), place)
        if place < 0:
            return False
    return True
