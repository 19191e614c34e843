"""The sheet as plain text for an old printer: 80 columns, ASCII only, 66 lines a page, form feed between pages."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from advisor.present.pages.model import CALLS, SEVERITY_WORDS, FirstLine, HazardLine, LookLine, Sheet, StepLine
from advisor.present.pages.words import ascii_words
from advisor.present.text.letters import fold
from advisor.words import tr

COLUMNS = 80
LINES = 66
_ROOM = LINES - 4
"""Lines of text on a page. The last line of the form stays empty, or the form feed would throw out an empty page."""

_STOP = (
    " SSSSS   TTTTTTT   OOOOO   PPPPPP ",
    tr("SS          T     OO   OO  PP   PP"),
    " SSSSS      T     OO   OO  PPPPPP ",
    tr("     SS     T     OO   OO  PP     "),
    " SSSSS      T      OOOOO   PP     ",
)

Block = list[str]
"""Lines that stay on one page."""


def sheet_text(sheet: Sheet) -> str:
    """The whole sheet as text, every page ended by a form feed but the last."""
    pages = list(_pages(block for part in _PARTS for block in part(sheet)))
    title = ascii_words(sheet.title)
    drawn = []
    for number, lines in enumerate(pages, 1):
        foot = tr("{title}, page {number} of {count}", title=title[:55], number=number, count=len(pages)).rjust(COLUMNS)
        drawn.append("\n".join([*lines, *[""] * (LINES - 2 - len(lines)), foot]))
    return "\n\f".join(drawn) + "\n"


def _pages(blocks: Iterable[Block]) -> Iterator[list[str]]:
    page: list[str] = []
    for block in blocks:
        if page and len(page) + len(block) > _ROOM:
            yield page
            page = []
        while len(block) > _ROOM:
            yield block[:_ROOM]
            block = block[_ROOM:]
        page += block if page or block != [""] else []
    yield page


def _folded(text: str, mark: str = "", indent: int = 0) -> Block:
    head = " " * indent + ascii_words(mark)
    return fold(ascii_words(text), COLUMNS, head, " " * len(head)) or [head]


def _headed(title: str, blocks: Iterable[Block]) -> Iterator[Block]:
    """Blocks under a heading that stays with the first of them."""
    head = ["", f"{title.upper()} ".ljust(COLUMNS, "-")]
    for block in blocks:
        yield [*head, *block]
        head = []


def _blank(label: str, width: int) -> str:
    return f"{label} ".ljust(width, "_")


def _heading(sheet: Sheet) -> Iterator[Block]:
    if sheet.stop:
        yield ["*" * COLUMNS, *(line.center(COLUMNS).rstrip() for line in _STOP), "*" * COLUMNS]
    elif sheet.banner:
        yield ["*" * COLUMNS, sheet.banner.center(COLUMNS).rstrip(), "*" * COLUMNS]
    way = sheet.route
    if sheet.collector:
        way = tr("{route}. Collector: {collector}", route=way, collector=sheet.collector)
    yield [*_folded(sheet.title.upper()), *_folded(way.rstrip(".") + ".")]
    if sheet.cautious:
        yield _folded(tr("Not everything is known about this batch. This advice holds whatever it is."))
    yield ["", f"{_blank(tr('Date'), 38)}  {_blank(tr('Operator'), 40)}"]
    yield ["", f"{_blank(tr('Batch no.'), 38)}  {_blank(tr('Second person'), 40)}"]
    if sheet.kills:
        yield ["", *_folded(sheet.kills, tr("CAN KILL  ")), *_folded(sheet.signs, tr("STOP IF   "))]
    for stop in sheet.stops:
        yield [
            "",
            *_folded(tr("WHY: {why}", why=stop.why)),
            *_folded(tr("WHAT LIFTS IT: {lifted_by}", lifted_by=stop.lifted_by)),
        ]


def _first(sheet: Sheet) -> Iterator[Block]:
    yield from _headed(tr("First, before anything is lit"), (_first_line(line) for line in sheet.first if line.tonight))


def _later(sheet: Sheet) -> Iterator[Block]:
    yield from _headed(tr("Not tonight"), (_first_line(line) for line in sheet.first if not line.tonight))
    if sheet.without:
        yield _folded(tr("Tonight, without it: {without}", without=sheet.without))
    if sheet.hours:
        yield from _headed(tr("Hours"), [_folded(line) for line in sheet.hours])


def _first_line(line: FirstLine) -> Block:
    return _folded(
        tr(
            "{do} {time} Done when: {done_when}",
            do=line.do,
            time=f"{line.time}." if line.time else "",
            done_when=line.done_when,
        ),
        "[ ] ",
    )


def _looks(sheet: Sheet) -> Iterator[Block]:
    if sheet.looks:
        yield from _headed(tr("What to find out, what tells most first"), map(_look, sheet.looks))
    if sheet.remaining:
        yield from _headed(tr("What may come out then"), [_folded(line, "- ") for line in sheet.remaining])


def _look(look: LookLine) -> Block:
    lines = _folded(f"{look.title}. {look.do}", "[ ] ") + _folded(tr("tells: {tells}", tells=look.tells), "", 4)
    return [*lines, "    " + "_" * (COLUMNS - 4)]


def _hazards(sheet: Sheet) -> Iterator[Block]:
    for severity, words in SEVERITY_WORDS.items():
        these = sheet.hazards_of(severity)
        if any(hazard.signs for hazard in these):
            yield from _headed(f"{words} ({len(these)})", map(_hazard, these))
        elif these:
            names = "; ".join(hazard.title for hazard in these)
            yield from _headed(f"{words} ({len(these)})", [_folded(f"{names}.")])
    if not sheet.hazards and not sheet.banner:
        yield from _headed(
            tr("Hazards"), [_folded(tr("No hazard of the rules applies. That is no promise; look around you."))]
        )


def _hazard(hazard: HazardLine) -> Block:
    """A hazard in one paragraph: what it is, what to do, when to stop."""
    mark = {"deadly": "!!! ", "grave": "!! ", "moderate": "! "}[hazard.severity]
    title = hazard.title.upper() if hazard.severity == "deadly" else hazard.title
    if not hazard.certain:
        title = tr("{hazard} (not ruled out)", hazard=title)
    return _folded(
        tr(
            "{title}. {controls} STOP IF {signs}",
            title=title,
            controls=" ".join(hazard.controls),
            signs=" ".join(hazard.signs),
        ),
        mark,
    )


def _weights(sheet: Sheet) -> Iterator[Block]:
    if not sheet.weights:
        return
    rows = []
    for weight in sheet.weights:
        title = textwrap.shorten(ascii_words(weight.title), 24, placeholder="...")
        row = f"[ ] {title:<24} {ascii_words(weight.likely):>9}  ({ascii_words(weight.range) or tr('exactly'):<16})"
        note = _folded(weight.note, tr("step {step}: ", step=weight.step), 4) if weight.step or weight.note else []
        rows.append([tr("{row} weighed _________ g", row=row)[:COLUMNS], *note])
    yield from _headed(tr("Weigh out"), [*([_folded(sheet.provisional)] if sheet.provisional else []), *rows])


def _steps(sheet: Sheet) -> Iterator[Block]:
    if not sheet.phases:
        return
    blocks = []
    for phase in sheet.phases:
        first, *rest = map(_step, phase.steps)
        blocks += [[phase.title.upper(), *first], *rest]
    yield from _headed(tr("What to do now") if sheet.stop else tr("Schedule"), blocks)


def _step(step: StepLine) -> Block:
    lines = _folded(step.do + (f" {step.figures}" if step.figures else ""), f"[ ] {step.number:>2} ")
    return lines + (_folded(step.look_for, tr("look: "), 7) if step.look_for else [])


def _expected(sheet: Sheet) -> Iterator[Block]:
    rows = []
    for line in sheet.expected:
        text = f"{line.title}: {line.range}" if line.range else line.title
        *before, last = fold(ascii_words(text), COLUMNS - 18)
        looks = _folded(line.looks, "", 2) if line.looks else []
        rows.append([*before, f"{last:<{COLUMNS - 17}} {'_' * 16}", *looks])
    if rows:
        yield from _headed(tr("What to expect, and what came out"), rows)


def _calls(sheet: Sheet) -> Iterator[Block]:
    rows = [[_blank(who, COLUMNS)] for who in CALLS]
    if sheet.licences:
        rows.append(
            _folded(tr("Local law or licence decides here. Ask: {licences}.", licences="; ".join(sheet.licences)))
        )
    yield from _headed(tr("Who to call"), rows)


def _foot(sheet: Sheet) -> Iterator[Block]:
    yield [
        "-" * COLUMNS,
        *_folded(tr("Left out here: {left_out}.", left_out="; ".join(sheet.left_out))),
        *_folded(tr("All of it: {again}", again=sheet.again)),
        *_folded(
            tr(
                "{sources} Advice from rules ({made_by}). Local law, a licensed professional and what you "
                "see in front of you come first.",
                sources=sheet.sources,
                made_by=sheet.made_by,
            )
        ),
    ]


_PARTS = (_heading, _first, _looks, _weights, _later, _hazards, _steps, _expected, _calls, _foot)
