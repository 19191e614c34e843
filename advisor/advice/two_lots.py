"""Two lots side by side: which to take tonight, and what each takes and gives."""

from __future__ import annotations

from advisor import __version__
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.lots import Lots, LotSide
from advisor.advice.notes.common import rules_note
from advisor.advice.plan.planned_batch import work_out
from advisor.advice.plan.side_by_side import chosen_side
from advisor.engine import Conclusions
from advisor.metallurgy.common.tables import Tables

Lot = tuple[str, Conclusions]
"""A lot: what it is called, and what follows from its answers."""


def two_lots(one: Lot, other: Lot) -> Lots:
    """Two lots side by side.

    Args:
        one: The first lot.
        other: The second lot, concluded by the same rules.
    """
    rules = rules_note(one[1])
    return Lots(program=f"advisor {__version__}", rules=rules, lots=(_side(*one), _side(*other)))


def _side(title: str, conclusions: Conclusions) -> LotSide:
    tables = Tables(conclusions.rule_base)
    advice = build_advice(conclusions, title, look_for_changes=False)
    side = chosen_side(work_out(conclusions, tables), tables)
    worked = advice.outcome in ("work", "first")
    return LotSide(
        title=title,
        outcome=advice.outcome,
        route=advice.route,
        route_title=advice.route_title,
        collector_title=advice.collector_title,
        gold_in_lot_g=side.gold_in_batch_g,
        gold_kept_g=side.gold_kept_g if worked else None,
        hours=side.hours if worked else None,
        first=tuple(one.title for one in advice.first),
        find_out=tuple(one.title for one in advice.looks),
        deadly=side.deadly,
    )
