"""How long a sheet will be, computed from the widths of letters, and the fullest level of detail that fits.

A browser draws the page, so the length can only be estimated beforehand. The widths are those of DejaVu Sans Condensed,
which is a little wider than the sans-serif type on most machines.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.frozen import frozen
from advisor.present.pages.choosing import make_sheet
from advisor.present.pages.detail import LEVELS, READS_WELL, Detail
from advisor.present.pages.model import HazardLine, Sheet, StepLine
from advisor.present.pages.paper import LINE, ROW, TITLE_LINE, Paper
from advisor.words import tr

_WIDTHS = (
    "286 360 414 754 572 855 702 247 351 351 450 754 286 325 286 303 572 572 572 572 572 572 572 572 572 572 303 303 "
    "754 754 754 478 900 615 617 628 693 568 518 697 677 265 265 590 501 776 673 708 542 708 625 571 549 659 615 890 "
    "616 549 616 351 303 351 754 450 450 551 571 495 571 554 316 571 570 250 250 521 250 876 570 550 571 571 370 469 "
    "353 570 532 736 532 532 472 572 303 572 754"
)
_EM = {chr(32 + place): int(width) / 1000 for place, width in enumerate(_WIDTHS.split())}
_OTHER = 1.0
_BOLD = 1.12
_SPARE_PT = 8.0
"""Left free on every page for what a browser rounds up."""

_ASK = tr("Local law or licence decides here. Ask: ")

_WORTH_LEVELS = 3
"""Steps on a page of their own are worth two levels of detail, and no more."""

_LAST_WORDS = tr("Local law, a licensed professional and what you see in front of you come first.")
_BOX, _NUMBER, _EDGE = 11.0, 14.0, 5.0
_HAZARD_GAP, _STEP_GAP = 2.0, 1.2
_RAGGED = 0.94
"""The part of a line of running text that is counted on."""


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width of a text on one line, in points."""
    return _em_width(text) * size * (_BOLD if bold else 1.0)


@lru_cache(maxsize=20_000)
def _em_width(word: str) -> float:
    """Width of a word in units of the type size; words come back at every level of detail."""
    return sum(_EM.get(letter, _OTHER) for letter in word)


def line_count(text: str, size: float, width: float, bold: bool = False) -> int:
    """Lines that a text takes between two edges."""
    lines, used, space = 1, 0.0, text_width(" ", size, bold)
    for word in text.split():
        long = text_width(word, size, bold)
        if used and used + space + long > width:
            lines, used = lines + 1, 0.0
        lines += int(long // width)
        used = used + (space if used else 0) + long % width
    return lines if text.strip() else 0


@frozen
class Lengths:
    """Lengths of the parts of a sheet in points, each already shared over two columns where it has two."""

    head: float
    hazards: float
    weights: float
    steps: float
    expected: float
    calls: float
    foot: float

    @property
    def danger(self) -> float:
        """What stands before the steps."""
        return self.head + self.hazards + self.weights

    @property
    def work(self) -> float:
        """The steps and what follows them."""
        return self.steps + self.expected + self.calls + self.foot

    def parts(self, paper: Paper) -> tuple[int, bool]:
        """How many pages it takes, and whether the steps begin on a page of their own."""
        room = paper.height_pt - _SPARE_PT
        if self.danger + self.work <= room:
            return 1, False
        if self.danger <= room and self.work <= room:
            return 2, True
        return -int(-(self.danger + self.work + _SPARE_PT) // room), False


def lengths(sheet: Sheet, detail: Detail, paper: Paper) -> Lengths:
    """Reckon how long each part of a sheet will be."""
    base, wide, column = detail.base_pt, paper.width_pt, paper.column_pt
    hazards = [_hazard(hazard, detail, column) for hazard in sheet.hazards if hazard.signs]
    named = "; ".join(hazard.title for hazard in sheet.hazards if not hazard.signs)
    steps = [_step(step, base, column) for phase in sheet.phases for step in phase.steps]
    heading = base * 1.25 + 8
    return Lengths(
        head=_head(sheet, detail, wide) + _before(sheet, base, wide),
        hazards=_columns(hazards, 3) + 3 * heading + _lines(named, base, wide),
        weights=_weights(sheet, base, wide),
        steps=_columns([*steps, *(base * 1.05 * LINE + 1 for _ in sheet.phases)], 1) + heading,
        expected=_expected(sheet, base, column),
        calls=heading + ROW + 4 + _lines(_ASK + "; ".join(sheet.licences), base, wide),
        foot=sum(_lines(text, base, wide) for text in _foot(sheet)) + 7,
    )


def _lines(text: str, size: float, width: float) -> float:
    return line_count(text, size, width) * size * LINE


def _columns(heights: Iterable[float], blocks: int) -> float:
    """The length of a run of blocks set in two columns; each stretch may end uneven by half a block."""
    every = list(heights)
    return sum(every) / 2 + blocks * max(every, default=0) / 7


def _head(sheet: Sheet, detail: Detail, width: float) -> float:
    base = detail.base_pt
    length = 17 * TITLE_LINE * line_count(sheet.title, 16, width, bold=True) + ROW + 4 + 12 * LINE + 2
    if sheet.banner:
        length += (76 * 0.95 + 16 if sheet.stop else 40 * 1.1 + 12) + _lines(sheet.route, 17 * _BOLD, width) + 8
        for stop in sheet.stops:
            length += (
                _lines(tr("Why: {why}", why=stop.why), 11.5, width)
                + _lines(tr("To lift it: {lifted_by}", lifted_by=stop.lifted_by), 11.5, width)
                + 6
            )
    length += _lines(tr("CAN KILL {kills}", kills=sheet.kills), base, width) + _lines(
        tr("STOP IF {signs}", signs=sheet.signs), base, width
    )
    return length + (base * LINE if sheet.cautious else 0)


def _before(sheet: Sheet, size: float, width: float) -> float:
    """What stands under FIRST, the hours, and what to find out."""
    inner, heading = width - _BOX - _NUMBER, size * 1.25 + 8
    marked = [
        tr("{do} {time} Done when: {done_when}", do=line.do, time=line.time, done_when=line.done_when)
        for line in sheet.first
    ]
    length = sum(_lines(text, size, inner) + _STEP_GAP for text in marked)
    length += sum(
        _lines(tr("{title}. {do} Tells: {tells}.", title=look.title, do=look.do, tells=look.tells), size, inner)
        + _STEP_GAP
        + ROW
        + 3
        for look in sheet.looks
    )
    said = [
        *sheet.hours,
        *sheet.remaining,
        tr("Tonight, without it: {without}", without=sheet.without) if sheet.without else "",
    ]
    length += sum(_lines(text, size, width) for text in said)
    parts = {line.tonight for line in sheet.first}
    return length + heading * (len(parts) + bool(sheet.hours) + bool(sheet.looks) + bool(sheet.remaining))


def _hazard(hazard: HazardLine, detail: Detail, width: float) -> float:
    size, inner = detail.base_pt, width - _EDGE
    title = hazard.title if hazard.certain else tr("{hazard} (not ruled out)", hazard=hazard.title)
    signs = tr("STOP IF {signs}", signs=f" {' '.join(hazard.signs)}")
    if hazard.severity == "deadly" and detail.own_line:
        length = line_count(title, detail.title_pt, inner, bold=True) * detail.title_pt * TITLE_LINE
        first = ""
    else:
        # Set in the same lines as what follows, in larger type: as if it were longer.
        length, first = 0.0, title + title[: len(title) // 3]
    if len(hazard.controls) == 1:
        return length + _lines(f"{first} {hazard.controls[0]} {signs}", size, inner * _RAGGED) + _HAZARD_GAP
    return (
        length
        + _lines(first, size, inner)
        + sum(_lines(control, size, inner - 8) for control in hazard.controls)
        + _lines(signs, size * 1.03, inner)
        + _HAZARD_GAP
    )


def _step(step: StepLine, size: float, width: float) -> float:
    inner = width - _BOX - _NUMBER
    text = f"{step.do} {step.figures} " + (tr("Look: {look_for}", look_for=step.look_for) if step.look_for else "")
    return _lines(text, size, inner) + _STEP_GAP


def _weights(sheet: Sheet, size: float, width: float) -> float:
    if not sheet.weights:
        return 0.0
    rows = (max(ROW, _lines(weight.note, size, width * 0.37) + 2) for weight in sheet.weights)
    return size * 1.25 + 8 + size * LINE + 2 + sum(rows) + _lines(sheet.provisional, size * _BOLD, width)


def _expected(sheet: Sheet, size: float, width: float) -> float:
    if not sheet.expected:
        return 0.0
    inner = width - 58
    rows = [
        max(ROW, _lines(f"{line.title}: {line.range}", size * 1.05, inner) + _lines(line.looks, size, inner) + 1)
        for line in sheet.expected
    ]
    pairs = [max(rows[place : place + 2]) for place in range(0, len(rows), 2)]
    return size * 1.25 + 8 + sum(pairs)


def _foot(sheet: Sheet) -> tuple[str, ...]:
    return (
        tr("Left out here: {left_out}. All of it: {again}", left_out="; ".join(sheet.left_out), again=sheet.again),
        tr(
            "{sources} Advice from rules ({made_by}). {last_words}",
            sources=sheet.sources,
            made_by=sheet.made_by,
            last_words=_LAST_WORDS,
        ),
    )


@frozen
class Fitted:
    """A sheet with the level it was made at.

    Attributes:
        sheet: Its words.
        detail: How much it shows, and how large.
        paper: What it is printed on.
        pages: Pages it should take.
        apart: Whether the steps begin on a page of their own.
    """

    sheet: Sheet
    detail: Detail
    paper: Paper
    pages: int
    apart: bool


def fitted_sheet(document: Advice | Diagnosis, paper: Paper, again: str) -> Fitted:
    """The fullest sheet on one page, if that reads well; else on two with the steps on the second; else on any two.

    If nothing fits, it is the tightest, however long: a sheet may grow, but it never drops a hazard or a step.
    """
    tried = []
    for detail in LEVELS:
        sheet = make_sheet(document, detail, again)
        pages, apart = lengths(sheet, detail, paper).parts(paper)
        tried.append(Fitted(sheet, detail, paper, pages, apart))
    one = [fit for fit in tried[READS_WELL:] if fit.pages == 1]
    two = [fit for fit in tried if fit.pages <= 2]
    divided = [fit for fit in two[-_WORTH_LEVELS:] if fit.apart]
    return (one or divided or two or tried[:1])[-1]
