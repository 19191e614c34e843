"""The printed sheet: nothing cut off, nothing on top of anything, black on white, and as long as was reckoned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from advisor.present.pages.detail import LEVELS
from advisor.present.pages.fitting import Fitted, fitted_sheet
from advisor.present.pages.html import sheet_html
from advisor.present.pages.paper import PAPERS
from tests.present.conftest import Advices
from tests.present.pages.printing import NEEDS_BROWSER, Printed, in_order, printed, squeezed

A4 = PAPERS["a4"]
POINTS = 72 / 25.4
PRINTED = (
    "galena-batch-under-a-lead-licence",  # the most hazards
    "split-with-lead-and-litharge",  # the most steps
    "rusted-lode-sand-with-litharge",  # nitre and lead
    "bismuth-pouch-on-a-cement-cupel",
    "clean-gold-melted-with-borax",
    "new-hand-knows-little",  # a stop with much that is not known
    "arsenic-not-known",  # sent out
)

pytestmark = NEEDS_BROWSER


@dataclass(frozen=True)
class Page:
    """A case with its sheet and what the printer made of it."""

    fit: Fitted
    paper: Printed


@pytest.fixture(scope="module", params=PRINTED)
def page(request: pytest.FixtureRequest, advices: Advices, tmp_path_factory: pytest.TempPathFactory) -> Page:
    fit = advices.fitted(request.param)
    return Page(fit, printed(sheet_html(fit), tmp_path_factory.mktemp("print")))


def test_it_has_the_pages_of_a4_that_were_reckoned_and_at_most_three(page: Page) -> None:
    assert len(page.paper.pages) <= page.fit.pages <= 3
    # A third page is taken only at the tightest level, since no hazard and no step is dropped.
    assert page.fit.pages <= 2 or page.fit.detail == LEVELS[0]
    for one in page.paper.pages:
        assert one["width"] == pytest.approx(210 * POINTS, abs=1)
        assert one["height"] == pytest.approx(297 * POINTS, abs=1)


def test_nothing_stands_outside_the_margins(page: Page) -> None:
    assert page.paper.outside(A4.side_mm * POINTS, A4.top_mm * POINTS, A4.bottom_mm * POINTS) == []


def test_no_letter_is_printed_on_top_of_another(page: Page) -> None:
    assert page.paper.overlaps() == []


def test_every_word_of_the_sheet_is_on_the_paper(page: Page) -> None:
    sheet, text = page.fit.sheet, page.paper.text
    wanted = [sheet.title, sheet.again, sheet.sources, *sheet.left_out, *sheet.licences]
    wanted += [sheet.kills, sheet.signs]
    wanted += [part for stop in sheet.stops for part in (stop.why, stop.lifted_by)]
    wanted += [part for hazard in sheet.hazards for part in (hazard.title, *hazard.controls, *hazard.signs)]
    wanted += [part for w in sheet.weights for part in (w.title, w.likely, w.range, w.note)]
    wanted += [part for phase in sheet.phases for s in phase.steps for part in (s.do, s.figures, s.look_for)]
    wanted += [part for line in sheet.expected for part in (line.title, line.range, line.looks)]
    assert [words for words in wanted if squeezed(words) not in text] == []


def test_deadly_dangers_come_before_weights_and_weights_and_hazards_before_the_schedule(page: Page) -> None:
    severities = (("deadly", "Can kill ("), ("grave", "Can maim or poison ("))
    headings = ["Can kill"] if page.fit.sheet.kills else []
    if page.fit.sheet.weights:
        headings.append("Weigh out")
    headings += [words for severity, words in severities if page.fit.sheet.hazards_of(severity)]
    if page.fit.sheet.phases:
        headings.append("What to do now" if page.fit.sheet.stop else "Schedule")
    if page.fit.sheet.expected:
        headings.append("What to expect, and what came out")
    assert in_order(page.paper.text, [*headings, "Who to call", "Left out here"])


def test_it_is_black_on_white(page: Page) -> None:
    assert {round(part, 2) for colour in page.paper.colours() for part in colour} <= {0.0, 1.0}
    assert {colour for colour in page.paper.colours() if len(colour) == 3} <= {(0, 0, 0), (1, 1, 1)}


def test_no_type_is_smaller_than_nine_points(page: Page) -> None:
    assert min(letter["size"] for letter in page.paper.letters) >= 8.9


def test_a_stop_is_written_large(page: Page) -> None:
    largest = "".join(letter["text"] for letter in page.paper.letters if letter["size"] > 60)
    assert largest == ("STOP" if page.fit.sheet.stop else "")


HOSTILE = {
    "ten thousand letters": "A" * 10_000,
    "right to left": "\u202eגזהב של הלילה\u202c " + "ז" * 3000,
    "towers of accents": "Z\u0301\u0302\u0303\u0304\u0305\u0306\u0307\u0308" * 500,
    "wide letters": "金" * 2000,
}


@pytest.mark.parametrize("name", ["ten thousand letters", "right to left", "towers of accents", "wide letters"])
def test_a_hostile_batch_name_does_not_break_the_page(name: str, advices: Advices, tmp_path: Path) -> None:
    advice = replace(advices["rusted-lode-sand-with-litharge"], title=HOSTILE[name])
    paper = printed(sheet_html(fitted_sheet(advice, A4, "advisor route")), tmp_path)
    assert len(paper.pages) <= 2
    # An accent reaches above its line; 5 mm from the edge every printer still prints.
    assert paper.outside(A4.side_mm * POINTS, 5 * POINTS, A4.bottom_mm * POINTS) == []
