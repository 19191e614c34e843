"""The shop's experience, gathered from its finished batches."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.advice.experience import Evidence, Experience, Way, evidence_from
from advisor.journal.accounts import Account, accounts, total_g
from advisor.journal.rows import Contents, Entry, standing
from advisor.journal.store import Journal

_BISMUTH_IN_OXIDE = 0.897
"""Bismuth in its oxide by formula weights, 2 Bi over Bi2O3."""


LOOK_BACK = 200
"""Batches, finished or not, among which experience is gathered: what is older has faded (practice)."""


def experience(journal: Journal) -> Experience:
    """What the finished ones among the last 200 batches of a journal say; without a journal, nothing.

    Raises:
        JournalError: If there is a journal and it cannot be read.
    """
    return experience_in(journal.look_back(LOOK_BACK)) if journal.exists() else Experience()


def experience_in(contents: Contents) -> Experience:
    """What the finished batches say, by way of working.

    A batch counts when its bead is recorded, its plan expected one, and it was neither spoilt, stopped nor sent out.
    """
    by_way: dict[Way, list[Account]] = {}
    for account in accounts(contents):
        plan = account.plan
        if account.counts and plan is not None and plan.bead_g is not None and plan.bead_g.likely > 0:
            by_way.setdefault(Way(plan.route, plan.collector, plan.cupel), []).append(account)
    return Experience({way: _evidence(found, contents) for way, found in by_way.items()})


def _evidence(found: list[Account], contents: Contents) -> Evidence:
    ratios = [ratio for account in found if (ratio := ratio_of(account)) is not None and ratio > 0]
    losses = tuple(
        account.balance.unaccounted_percent.amount.likely / 100
        for account in found
        if account.balance is not None and not account.estimated
    )
    return evidence_from(ratios, losses, tuple(_bismuth_ratios(found, contents)))


def ratio_of(account: Account) -> float | None:
    """Bead found over bead expected."""
    if account.bead_g is None or account.plan is None or account.plan.bead_g is None:
        return None
    return account.bead_g.likely / account.plan.bead_g.likely if account.plan.bead_g.likely > 0 else None


def _bismuth_ratios(found: Iterable[Account], contents: Contents) -> Iterable[float]:
    """Bismuth weighed out for 1 g of bead, where the bead came out clean."""
    for account in found:
        if account.outcome != "clean" or account.bead_g is None or account.bead_g.likely <= 0:
            continue
        used = _bismuth_g(contents.of(account.batch))
        if used > 0:
            yield used / account.bead_g.likely


def _bismuth_g(entries: tuple[Entry, ...]) -> float:
    weighed = {entry.name: entry for entry in standing(entries) if entry.kind == "weighed"}
    metal, oxide = total_g(weighed, "bismuth"), total_g(weighed, "bismuth_oxide")
    return (metal.likely if metal else 0.0) + (oxide.likely * _BISMUTH_IN_OXIDE if oxide else 0.0)
