"""The gold of one batch, in and out, from what was recorded; and of many batches together."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.journal.plans import PlanNote, plan_of, range_of
from advisor.journal.rows import Batch, Contents, Entry, standing
from advisor.metallurgy.balance.gold import GoldBalance, Holding, batch_balance, running_balance
from advisor.units import Range
from advisor.words import tr

_PRODUCTS = {
    "bead": "fineness",
    "slag": "slag_gold",
    "matte": "matte_gold",
    "speiss": "speiss_gold",
    "cupel": "cupel_gold",
    "sweepings": "sweepings_gold",
}
"""What may hold gold in the end, each with the name of its assay."""

_SCALE_STEP_G = 0.01
"""Taken for the error of the scale where the plan does not tell its step (practice)."""

_EYE = 0.1
"""The least standard deviation of a gold share by eye, as a part of it: no eye judges better (practice)."""

LEFT_OUT = ("spoilt", "stopped", "sent_out")
"""Outcomes whose figures say nothing about good work."""


@frozen
class Account:
    """The account of one batch.

    Attributes:
        batch: The batch.
        plan: Its plan, if one is recorded.
        bead_g: The bead or beads in g, if recorded.
        outcome: How it ended, if recorded.
        feed_g: Gold that went in, in g.
        balance: Gold in and out; None if it cannot be drawn.
        why_not: Why it cannot.
        estimated: Whether the gold that went in is an estimate by eye and not an assay.
        notes: How to read it.
    """

    batch: Batch
    plan: PlanNote | None
    bead_g: Range | None
    outcome: str | None
    feed_g: float = 0.0
    balance: GoldBalance | None = None
    why_not: str | None = None
    estimated: bool = False
    notes: tuple[str, ...] = ()

    @property
    def done(self) -> bool:
        """Whether the batch has ended: a bead or an outcome is recorded."""
        return self.bead_g is not None or self.outcome is not None

    @property
    def counts(self) -> bool:
        """Whether its figures say something about good work."""
        return self.bead_g is not None and self.outcome not in LEFT_OUT


def account_of(batch: Batch, entries: Sequence[Entry]) -> Account:
    """The account of one batch; what hinders a balance is said and not raised.

    Raises:
        InputError: If the recorded plan cannot be understood.
    """
    values = {entry.name: entry for entry in standing(tuple(entries)) if entry.kind == "result"}
    plan = plan_of(entries)
    outcome = values["outcome"].text if "outcome" in values and values["outcome"].state == "given" else None
    bead = total_g(values, "bead")
    try:
        return _balanced(batch, plan, bead, outcome, values)
    except InputError as problem:
        return Account(batch, plan, bead, outcome, why_not=str(problem))


def total_g(values: dict[str, Entry], name: str) -> Range | None:
    """The sum over a name and its parts; None if there is none or one is not known."""
    parts = [entry for key, entry in values.items() if key.partition(".")[0] == name]
    amounts = [entry.amount for entry in parts]
    if not parts or any(amount is None for amount in amounts):
        return None
    return sum((amount for amount in amounts if amount is not None), Range.exact(0.0))


def accounts(contents: Contents) -> tuple[Account, ...]:
    """The accounts of all batches, in the order of their numbers."""
    return tuple(account_of(batch, contents.of(batch)) for batch in contents.batches)


def together(balanced: Sequence[Account]) -> GoldBalance | None:
    """The balances of several batches as one; None if there is none."""
    pairs = [(account.feed_g, account.balance) for account in balanced if account.balance is not None]
    if not pairs:
        return None
    return running_balance([feed for feed, _ in pairs], [balance for _, balance in pairs])


def _balanced(
    batch: Batch, plan: PlanNote | None, bead: Range | None, outcome: str | None, values: dict[str, Entry]
) -> Account:
    number = batch.number
    if bead is None:
        raise InputError(
            tr("batch {number} has no bead; add it:  advisor journal add {number} bead=12.31g", number=number)
        )
    step = _SCALE_STEP_G if plan is None or plan.scale_step_g is None else plan.scale_step_g
    notes = [tr("The scale is taken to be right within {step:g} g.", step=step)]
    feed, estimated = _feed(number, plan, values, step)
    if estimated:
        notes.append(
            tr(
                "Gold in is an estimate by eye, of native gold with its silver; so the bead counts whole,"
                " and a difference may be an error of the eye as well as a loss."
            )
        )
    products, missing = _products(number, values, step, estimated)
    if any(product.assay_deviation == 0 for product in products if not (estimated and product.name == "bead")):
        notes.append(tr("An assay without a range counts as exact; write it as a range of two standard deviations."))
    missing += _expected_but_missing(plan, values)
    balance = batch_balance(feed, products, not_measured=missing)
    return Account(batch, plan, bead, outcome, feed.gold_g, balance, None, estimated, tuple(notes))


def _feed(number: int, plan: PlanNote | None, values: dict[str, Entry], step: float) -> tuple[Holding, bool]:
    """What went in, and whether its gold is an estimate."""
    mass = total_g(values, "feed")
    if mass is None and plan is not None and plan.dry_mass_g is not None:
        mass = range_of(plan.dry_mass_g)
    if mass is None or mass.likely <= 0:
        raise InputError(
            tr(
                "what went in to batch {number} is not recorded; add it:  advisor journal add {number} feed=250g",
                number=number,
            )
        )
    assay = values["feed_gold"].amount if "feed_gold" in values else None
    if assay is not None:
        return _holding("feed", mass, assay, step), False
    if plan is None or plan.gold_g is None or plan.gold_g.likely <= 0:
        raise InputError(
            tr(
                "the gold that went in to batch {number} is neither assayed nor estimated;"
                " add the assay:  advisor journal add {number} feed_gold=5%",
                number=number,
            )
        )
    gold = range_of(plan.gold_g)
    planned_g = plan.dry_mass_g.likely if plan.dry_mass_g is not None and plan.dry_mass_g.likely > 0 else mass.likely
    deviation = (gold.high - gold.low) / 4
    if plan.bead_g is not None and plan.bead_g.likely > 0:
        deviation = max(deviation, gold.likely * (plan.bead_g.high - plan.bead_g.low) / plan.bead_g.likely / 4)
    # The share is the one that was answered: other feed brings other gold.
    share = min(1.0, gold.likely / planned_g)
    spread = min(1.0, max(deviation / planned_g, _EYE * share))
    return Holding("feed", mass.likely, step, share, spread), True


def _products(number: int, values: dict[str, Entry], step: float, estimated: bool) -> tuple[list[Holding], list[str]]:
    """What came out with its gold, and what has no assay."""
    products, missing = [], []
    for name, entry in values.items():
        product, _, part = name.partition(".")
        if product not in _PRODUCTS:
            continue
        assay = _assay(values, _PRODUCTS[product], part)
        if product == "bead" and estimated:
            assay = Range.exact(1.0)
        elif product == "bead" and assay is None:
            raise InputError(
                tr(
                    "the bead of batch {number} has no fineness; add it:"
                    "  advisor journal add {number} fineness='880 to 900 permille'",
                    number=number,
                )
            )
        if entry.amount is None or assay is None:
            if entry.amount is None or entry.amount.high > 0:
                missing.append(name)
            continue
        products.append(_holding(name, entry.amount, assay, step))
    return products, missing


def _assay(values: dict[str, Entry], name: str, part: str) -> Range | None:
    """The assay of this part, or else of the whole."""
    for key in (f"{name}.{part}", name):
        if key in values and values[key].amount is not None:
            return values[key].amount
    return None


def _holding(name: str, mass: Range, share: Range, step: float) -> Holding:
    error = max(step, (mass.high - mass.low) / 2)
    return Holding(name, mass.likely, error, share.likely, (share.high - share.low) / 4)


def _expected_but_missing(plan: PlanNote | None, values: dict[str, Entry]) -> list[str]:
    """Products that the plan makes and nobody weighed."""
    if plan is None:
        return []
    there = {name.partition(".")[0] for name in values}
    made = []
    if "slag" in plan.expected_g:
        made.append("slag")
    if plan.cupel != "none":
        made.append("cupel")
    return [name for name in made if name not in there]
