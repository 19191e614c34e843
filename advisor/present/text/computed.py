"""The computed part of the advice, and routes side by side, as text."""

from __future__ import annotations

from advisor.advice.documents.advice import Advice, RouteSide
from advisor.advice.documents.common import Span
from advisor.present.text.calculation import print_group
from advisor.present.text.letters import fold
from advisor.present.text.page import Page, between
from advisor.words import said_as, tr

_LABEL_WIDTH = 22
_LEAST_WIDTH = 18


def print_computed(page: Page, advice: Advice) -> None:
    """What the computation says; figures in full only when everything is to be explained."""
    computed = advice.computed
    if computed is None:
        return
    page.heading(tr("Computed for these minerals"))
    if computed.skipped:
        page.say(
            tr(
                "The charge could not be computed, so the weights above go by the rules alone: {skipped}.",
                skipped=computed.skipped,
            )
        )
    for group in computed.groups:
        if page.explain:
            print_group(page, group)
            continue
        for said in group.said:
            if said.kind in ("verdict", "warning", "limit"):
                page.say(f"{said.text}" + (f" {said.do}" if said.do else ""), mark="- ")
    if not page.explain:
        page.say(tr("All computed figures, with formula and source, stand in the advice with --explain and in --json."))


def print_side_by_side(page: Page, sides: tuple[RouteSide, ...]) -> None:
    """The chosen route beside each of the others, two columns at a time."""
    if len(sides) < 2:
        return
    page.heading(tr("Routes side by side"))
    for other in sides[1:]:
        page.gap()
        _two_columns(page, sides[0], other)


def _two_columns(page: Page, left: RouteSide, right: RouteSide) -> None:
    print_columns(page, _rows(left, right))


def print_columns(page: Page, rows: list[tuple[str, str, str]]) -> None:
    """Rows of a label and two texts, each text folded in its column; a row without texts is left out.

    Where three columns find no room the label stands above its two texts.
    """
    beside = page.console.width >= _LABEL_WIDTH + 2 * (_LEAST_WIDTH + 2)
    room = page.console.width - (_LABEL_WIDTH + 5 if beside else 4)
    width = max(1, room // 2)
    for label, one, two in (row for row in rows if row[1] or row[2]):
        if label and not beside:
            page.say(label)
        lines = (fold(one, width) or [""], fold(two, width) or [""])
        for number in range(max(len(lines[0]), len(lines[1]))):
            first, second = (part[number] if number < len(part) else "" for part in lines)
            head = f"{label if number == 0 else '':<{_LABEL_WIDTH}}" if beside else ""
            page.verbatim(f"{head}  {first:<{width}}  {second}".rstrip())


STATES = {
    "chosen": tr("chosen"),
    "possible": tr("possible"),
    "ruled_out": tr("ruled out"),
    "set_aside": tr("set aside"),
}


def _rows(left: RouteSide, right: RouteSide) -> list[tuple[str, str, str]]:
    materials = dict.fromkeys([*left.reagents_g, *right.reagents_g])
    agents = {**left.fume_titles, **right.fume_titles}
    return [
        ("", left.title.upper(), right.title.upper()),
        (tr("state"), STATES[left.state], STATES[right.state]),
        (tr("why not"), left.why_not or "", right.why_not or ""),
        (tr("collector"), left.collector, right.collector),
        (tr("gold kept"), grams_words(left.gold_kept_g), grams_words(right.gold_kept_g)),
        *(
            (
                said_as(name),
                grams_words(left.reagents_g.get(name)),
                grams_words(right.reagents_g.get(name)),
            )
            for name in materials
        ),
        (tr("pots"), amount_words(left.pots), amount_words(right.pots)),
        (tr("cupel"), grams_words(left.cupel_mass_g), grams_words(right.cupel_mass_g)),
        (tr("hours, steps in turn"), amount_words(left.hours), amount_words(right.hours)),
        *(
            (tr("{name} in air", name=title), grams_words(left.fume_g.get(name)), grams_words(right.fume_g.get(name)))
            for name, title in agents.items()
        ),
        (tr("cost"), amount_words(left.cost), amount_words(right.cost)),
        (tr("hazards"), f"{left.hazards}", f"{right.hazards}"),
        (tr("can kill"), "; ".join(left.deadly), "; ".join(right.deadly)),
    ]


def grams_words(span: Span | None) -> str:
    return "" if span is None else f"{between(span.low, span.high)} g"


def amount_words(span: Span | None) -> str:
    return "" if span is None else between(span.low, span.high)
