"""The shop's experience, gathered from its finished batches."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from advisor.advice.experience import Evidence, Experience, Lesson, Use, Way, evidence_from, lessons_from
from advisor.journal.accounts import Account, accounts, total_g
from advisor.journal.plans import PlanNote
from advisor.journal.rows import Contents, Entry, standing
from advisor.journal.store import Journal
from advisor.units import Range
from advisor.units.substances import mass_fraction
from advisor.words import tr

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
        if plan is not None:
            by_way.setdefault(Way(plan.route, plan.collector, plan.cupel), []).append(account)
    found = {way: _evidence(of_way, contents) for way, of_way in by_way.items()}
    return Experience({way: evidence for way, evidence in found.items() if evidence != Evidence()})


def _evidence(of_way: list[Account], contents: Contents) -> Evidence:
    found = [
        account
        for account in of_way
        if account.counts and account.plan and account.plan.bead_g is not None and account.plan.bead_g.likely > 0
    ]
    ratios = [ratio for account in found if (ratio := ratio_of(account)) is not None and ratio > 0]
    losses = tuple(
        account.balance.unaccounted_percent.amount.likely / 100
        for account in found
        if account.balance is not None and not account.estimated
    )
    evidence = evidence_from(ratios, losses, tuple(_bismuth_ratios(found, contents)))
    used: dict[str, list[Use]] = {}
    lessons: dict[str, Lesson] = {}
    for account in of_way:
        entries = standing(contents.of(account.batch))
        if account.counts and account.outcome == "clean":
            for name, use in _uses(account, entries):
                used.setdefault(name, []).append(use)
        for name, lesson in _lessons(account, entries).items():
            lessons[name] = lesson
            # What was enough before it no longer counts.
            used.pop(name, None)
    return replace(evidence, used={name: tuple(uses) for name, uses in used.items()}, lessons=lessons)


def _uses(account: Account, entries: tuple[Entry, ...]) -> Iterable[tuple[str, Use]]:
    """What a clean batch took of each material, over what the rules alone plan."""
    weighed = {entry.name: entry for entry in entries if entry.kind == "weighed"}
    results = {entry.name: entry for entry in entries if entry.kind == "result"}
    left = total_g(results, "rod_left")
    for name, planned in _by_rules_g(account).items():
        taken = total_g(weighed, name)
        if taken is not None and taken.likely > 0:
            eaten = None if name != "iron" or left is None else max(0.0, taken.likely - left.likely) / planned
            yield name, Use(account.batch.number, taken.likely / planned, eaten)


def _lessons(account: Account, entries: tuple[Entry, ...]) -> dict[str, Lesson]:
    """The weights that the last diagnosis of a batch changed; one that hangs on what is not known changes nothing."""
    found = [entry.document for entry in entries if entry.kind == "diagnosis" and entry.document is not None]
    lines = found[-1].get("next_batch", ()) if found else ()
    changes = [
        (line["id"], Range(**line["factor"]), line["because"])
        for line in lines
        if line["kind"] == "amount" and line.get("factor") and not line["only_if"]
    ]
    lay_g = weighed_or_planned_g(account.plan, entries)
    return lessons_from(changes, _by_rules_g(account), lay_g, tr("batch {number}", number=account.batch.number))


def weighed_or_planned_g(plan: PlanNote | None, entries: tuple[Entry, ...]) -> dict[str, float]:
    """Grams of each material of a plan: what was weighed out, or else what the plan asks for.

    Args:
        plan: The plan of the batch.
        entries: What stands of the batch.
    """
    weighed = {entry.name: entry for entry in entries if entry.kind == "weighed"}
    found = {}
    for name, one in ({} if plan is None else plan.weights).items():
        taken = total_g(weighed, name)
        found[name] = taken.likely if taken is not None and taken.likely > 0 else one.mass_g.likely
    return found


def _by_rules_g(account: Account) -> dict[str, float]:
    """Grams that the rules alone plan of each material."""
    weights = {} if account.plan is None else account.plan.weights
    found = {name: (one.by_rules_g or one.mass_g).likely for name, one in weights.items()}
    return {name: grams for name, grams in found.items() if grams > 0}


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
    return (metal.likely if metal else 0.0) + (oxide.likely * mass_fraction("Bi2O3", "Bi") if oxide else 0.0)
