"""Two lots side by side as text."""

from __future__ import annotations

from collections.abc import Callable

from advisor.advice.documents.lots import Lots, LotSide
from advisor.present.text.computed import amount_words, grams_words, print_columns
from advisor.present.text.page import Page
from advisor.words import tr

_OUTCOMES = {
    "work": tr("can be worked"),
    "first": tr("work, after FIRST"),
    "find_out": tr("find out first"),
    "stop": tr("STOP"),
}
"""How each outcome is called in a table."""


def print_lots(page: Page, lots: Lots) -> None:
    """Print two lots in one table."""
    page.heading(tr("Two lots side by side"))
    print_columns(page, [(label, *map(say, lots.lots)) for label, say in _ROWS])  # type: ignore[misc]


def _listed(items: tuple[str, ...]) -> str:
    return "; ".join(items)


_ROWS: tuple[tuple[str, Callable[[LotSide], str]], ...] = (
    ("", lambda lot: lot.title.upper()),
    (tr("outcome"), lambda lot: _OUTCOMES[lot.outcome]),
    (tr("route"), lambda lot: lot.route_title),
    (tr("collector"), lambda lot: lot.collector_title),
    (tr("gold in it"), lambda lot: grams_words(lot.gold_in_lot_g)),
    (tr("gold expected"), lambda lot: grams_words(lot.gold_kept_g)),
    (tr("hours, steps in turn"), lambda lot: amount_words(lot.hours)),
    (tr("first"), lambda lot: _listed(lot.first)),
    (tr("find out"), lambda lot: _listed(lot.find_out)),
    (tr("can kill"), lambda lot: _listed(lot.deadly)),
)
