"""The book as a table: one line for each batch, for a spreadsheet, and the page of one month for the owner."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import fields

from advisor.advice.documents.common import Span
from advisor.advice.documents.ledger import BatchLine, ChartPoint, Kept, MonthPage, OnShelf
from advisor.journal.accounts import Account, accounts, together, total_g
from advisor.journal.balance_document import Chart, balance_of_all
from advisor.journal.exchange.exporting import cell
from advisor.journal.rows import Contents, Entry, day_of, standing

_COLLECTORS = ("lead", "litharge", "bismuth", "bismuth_oxide")
_KEPT = {"slag": ("slag_gold", "gold_in_slag"), "cupel": ("cupel_gold", "gold_in_cupels")}
"""What lies there and may hold gold: its assay, and the expectation of the plan that speaks of it."""


def batch_lines(contents: Contents) -> tuple[BatchLine, ...]:
    """One line for each batch, in the order of their numbers."""
    found = accounts(contents)
    return tuple(_lines(found, balance_of_all(found), contents))


def _lines(found: Sequence[Account], chart: Chart, contents: Contents) -> Iterator[BatchLine]:
    signalled = {point.batch for point in chart.points if point.signal or point.beyond}
    for account in found:
        entries = standing(contents.of(account.batch))
        results = {entry.name: entry for entry in entries if entry.kind == "result"}
        balance, plan = account.balance, account.plan
        gone = None if balance is None else balance.unaccounted.amount
        yield BatchLine(
            batch=account.batch.number,
            day=day_of(account.batch),
            name=account.batch.name,
            who=account.batch.who,
            route=None if plan is None else plan.route,
            collector=None if plan is None else plan.collector,
            collector_g=_collector_g(entries),
            feed_g=_likely(results, "feed"),
            bead_g=None if account.bead_g is None else account.bead_g.likely,
            fineness_permille=_permille(results),
            gold_in_g=None if balance is None else account.feed_g,
            gold_out_g=None if gone is None else account.feed_g - gone.likely,
            unaccounted_g=None if gone is None else gone.likely,
            error_g=None if gone is None else (gone.high - gone.low) / 2,
            unaccounted_percent=None if balance is None else balance.unaccounted_percent.amount.likely,
            signal=account.batch.number in signalled,
            outcome=account.outcome,
            note="; ".join(entry.text for entry in entries if entry.name == "note"),
        )


def _likely(results: dict[str, Entry], name: str) -> float | None:
    amount = total_g(results, name)
    return None if amount is None else amount.likely


def _permille(results: dict[str, Entry]) -> float | None:
    amount = results["fineness"].amount if "fineness" in results else None
    return None if amount is None else 1000 * amount.likely


def _collector_g(entries: Sequence[Entry]) -> float | None:
    weighed = {entry.name: entry for entry in entries if entry.kind == "weighed"}
    masses = [amount.likely for name in _COLLECTORS if (amount := total_g(weighed, name)) is not None]
    return sum(masses) if masses else None


def lines_as_csv(lines: Sequence[BatchLine]) -> str:
    """One line for each batch, for a spreadsheet: short cells, decimal points, nothing that it takes for a formula."""
    names = [one.name for one in fields(BatchLine)]
    file = io.StringIO()
    writer = csv.writer(file)
    writer.writerow(names)
    for line in lines:
        writer.writerow([_shown(getattr(line, name)) for name in names])
    return file.getvalue()


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.6g}"
    return cell(value)[:1000]


def month_page(contents: Contents, month: str, shelf: Sequence[OnShelf] = ()) -> MonthPage:
    """The page of one month.

    Args:
        contents: All batches and entries.
        month: For example ``2031-05``.
        shelf: What is left on the shelf now.
    """
    found = [account for account in accounts(contents) if day_of(account.batch)[:7] <= month]
    chart = balance_of_all(found)
    of_month = [account for account in found if day_of(account.batch)[:7] == month]
    lines = tuple(line for line in _lines(found, chart, contents) if line.day[:7] == month)
    whole = together([account for account in of_month if account.balance is not None])
    gone = None if whole is None else whole.unaccounted.amount
    return MonthPage(
        month=month,
        lines=lines,
        gold_in_g=sum(line.gold_in_g or 0.0 for line in lines),
        gold_out_g=sum(line.gold_out_g or 0.0 for line in lines),
        unaccounted_g=None if gone is None else Span(low=gone.low, likely=gone.likely, high=gone.high),
        not_balanced=tuple(account.why_not for account in of_month if account.balance is None and account.why_not),
        points=tuple(
            ChartPoint(
                batch=point.batch,
                day=point.day,
                percent=point.unaccounted_percent,
                signal=point.signal or point.beyond,
                in_month=point.day[:7] == month,
            )
            for point in chart.points
        ),
        mean=chart.mean,
        low=chart.low,
        high=chart.high,
        verdict=chart.verdict,
        kept=tuple(kept for account in of_month for kept in _kept(account, standing(contents.of(account.batch)))),
        shelf=tuple(shelf),
        source=chart.source,
    )


def _kept(account: Account, entries: Sequence[Entry]) -> Iterator[Kept]:
    """Slag and cupels of a batch with the gold they may hold."""
    results = {entry.name: entry for entry in entries if entry.kind == "result"}
    expected = {} if account.plan is None else account.plan.expected_g
    for what, (assay, expectation) in _KEPT.items():
        mass, share = total_g(results, what), total_g(results, assay)
        if not account.done or (mass is None and expectation not in expected) or (mass is not None and mass.high <= 0):
            continue
        gold = expected.get(expectation)
        assayed = mass is not None and share is not None
        if mass is not None and share is not None:
            held = mass * share
            gold = Span(low=held.low, likely=held.likely, high=held.high)
        yield Kept(
            batch=account.batch.number,
            day=day_of(account.batch),
            what="cupels" if what == "cupel" else what,
            mass_g=None if mass is None else mass.likely,
            gold_g=gold,
            assayed=assayed,
        )
