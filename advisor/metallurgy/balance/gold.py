"""Where the gold went: recovery from three assays, and a batch balanced from feed to bead, slag and cupel.

Gold that is not accounted for is only news when it is more than the scale and the assays can explain. The
balance carries their errors along and says which it is. It never corrects a figure by losses that another
laboratory found.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.bounds import range_within, within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.rows import Notes
from advisor.units import Range
from advisor.units.measures import as_known, format_number
from advisor.words import each_of, said_as, tr, tr_many

SIGNAL_AT = 2.0
"""Standard deviations beyond which a difference is a signal; chance alone passes 2 once in 22 balances."""

_MOST = 1e9
_LEAST_GOLD_G = 1e-6
_TWO_PRODUCT = f"calculation, {tr('balance of mass and gold over one separation (two-product formula)')}"
_SUMMED = f"calculation, {tr('sum of weight times assay')}"
_SQUARES = f"calculation, {tr('errors of scale and assay added in squares')}"


@frozen
class TwoProduct:
    """What a table or a pan made of its feed.

    Attributes:
        recovery: Part of the gold that went into the concentrate, in per cent.
        mass_pull: Part of the mass that did, in per cent.
        enrichment: How many times richer the concentrate is than the feed.
    """

    recovery: Figure
    mass_pull: Figure
    enrichment: Figure


def two_product_masses(made: TwoProduct, feed: Range, feed_g: Range, metal: str = "gold") -> tuple[Figure, ...]:
    """Weights of a separation from the weight of its feed.

    Args:
        made: Its recovery and mass pull.
        feed: Assay of the feed, as a share.
        feed_g: Weight of the feed, in g.
        metal: What was assayed, in words.

    Returns:
        Concentrate and tailing in g, and the metal in feed, concentrate and tailing in g. A tonne of 20 g/t with a
        recovery of 80.2 % and a pull of 1.07 % gives 10.7 kg of concentrate with 16.0 g of gold.

    Raises:
        InputError: If the weight is impossible.

    Source: balance of mass and metal over one separation.
    """
    range_within(tr("the weight of the feed"), feed_g, "g", 0, _MOST)
    pull, recovery = made.mass_pull.amount.scaled(0.01), made.recovery.amount.scaled(0.01)
    whole, held = Range.exact(1.0), feed_g * feed
    weighed, word = feed_g.likely, metal_word(metal)
    return (
        _figure(
            "concentrate_g", tr("concentrate"), feed_g * pull, "g", tr("mass pull of {feed:g} g of feed", feed=weighed)
        ),
        _figure(
            "tailing_g",
            tr("tailing"),
            feed_g * (whole - pull),
            "g",
            tr("what is left of {feed:g} g of feed", feed=weighed),
        ),
        _figure(
            f"{metal}_in_feed_g",
            tr("{metal} in the feed", metal=word),
            held,
            "g",
            tr("assay of {feed:g} g of feed", feed=weighed),
        ),
        _figure(
            f"{metal}_in_concentrate_g",
            tr("{metal} in the concentrate", metal=word),
            held * recovery,
            "g",
            tr("recovery of it"),
        ),
        _figure(
            f"{metal}_in_tailing_g",
            tr("{metal} in the tailing", metal=word),
            held * (whole - recovery),
            "g",
            tr("the rest of it"),
        ),
    )


def two_product(feed: Range, concentrate: Range, tailing: Range, metal: str = "gold") -> TwoProduct:
    """Recovery and mass pull from three assays of the same metal, without any weight.

    Coarse gold makes a single assay of feed or tailing a poor guess; take at least two splits of each.

    Args:
        feed: Assay of the feed, in any unit of share.
        concentrate: Assay of the concentrate, same unit.
        tailing: Assay of the tailing, same unit.
        metal: What was assayed, in words.

    Returns:
        Per cent; an end where the assays overlap is 0 or 100. Feed 20, concentrate 1500 and tailing 4 g/t
        give a recovery of 80.2 % and a pull of 1.07 %.

    Raises:
        InputError: If the concentrate is not richer than the feed, or the feed not richer than the tailing.

    Source: balance of mass and metal over one separation.
    """
    range_within(tr("the tailing assay"), tailing, "", 0, _MOST)
    range_within(tr("the concentrate assay"), concentrate, "", 0, _MOST)
    f, c, t = feed.likely, concentrate.likely, tailing.likely
    if not c > f > t:
        raise InputError(
            tr(
                "feed {f:g}, concentrate {c:g} and tailing {t:g} do not belong to one separation;"
                " the concentrate must be richer than the feed, and the feed richer than the tailing",
                f=f,
                c=c,
                t=t,
            )
        )
    range_within(tr("the feed assay"), feed, "", 1 / _MOST, _MOST)
    recovery = _between_ends(_recovery_percent, feed, concentrate, tailing)
    pull = _between_ends(_pull_percent, feed, concentrate, tailing)
    how = tr("feed {f:g}, concentrate {c:g}, tailing {t:g}", f=f, c=c, t=t)
    return TwoProduct(
        _figure(
            "recovery_percent",
            tr("recovery of {metal}", metal=metal_word(metal)),
            recovery,
            "%",
            f"100 c (f - t) / (f (c - t)), {how}",
        ),
        _figure("mass_pull_percent", tr("mass pull"), pull, "%", f"100 (f - t) / (c - t), {how}"),
        _figure("enrichment_times", tr("enrichment"), concentrate / feed, "", f"c / f, {how}"),
    )


def _recovery_percent(f: float, c: float, t: float) -> float:
    return _pull_percent(f, c, t) * c / f


def _pull_percent(f: float, c: float, t: float) -> float:
    return 100 * (f - t) / (c - t)


def _between_ends(rule: Callable[[float, float, float], float], f: Range, c: Range, t: Range) -> Range:
    """Both rules rise with the feed and fall with the concentrate and the tailing."""
    low = rule(f.low, c.high, t.high) if f.low > t.high else 0.0
    high = rule(f.high, c.low, t.low) if f.high < c.low else 100.0
    likely = rule(f.likely, c.likely, t.likely)
    return Range(min(low, likely), likely, max(high, likely))


def _figure(name: str, title: str, amount: Range, unit: str, how: str) -> Figure:
    return Figure(name, title, amount, unit, how, _TWO_PRODUCT)


@frozen
class Holding:
    """Something weighed that holds gold: the feed, the bead, the slag, a cupel.

    Attributes:
        name: What it is: an id, its parts parted by ``.``.
        mass_g: Its weight, in g.
        scale_error_g: Greatest error of that weight, in g.
        gold_share: Gold in it, as a share from 0 to 1.
        assay_deviation: Standard deviation of that share, also as a share; best taken from duplicates.

    Raises:
        InputError: If a number is negative, no number, or a share above 1.
    """

    name: str
    mass_g: float
    scale_error_g: float
    gold_share: float
    assay_deviation: float

    def __post_init__(self) -> None:
        what = self.called
        within(tr("the weight of the {what}", what=what), self.mass_g, "g", 0, _MOST)
        within(tr("the error of the weight of the {what}", what=what), self.scale_error_g, "g", 0, _MOST)
        within(tr("the gold share of the {what}", what=what), self.gold_share, "", 0, 1)
        within(tr("the deviation of the assay of the {what}", what=what), self.assay_deviation, "", 0, 1)

    @property
    def called(self) -> str:
        """What it is, in words."""
        return _called(self.name)

    @property
    def gold_g(self) -> float:
        """Gold in it, in g."""
        return self.mass_g * self.gold_share

    @property
    def standard_g(self) -> float:
        """Standard uncertainty of that gold, in g: scale (its error spread evenly) and assay, in squares."""
        from_scale = self.gold_share * self.scale_error_g / math.sqrt(3)
        return math.hypot(from_scale, self.mass_g * self.assay_deviation)

    def figure(self) -> Figure:
        """The gold in it, with twice its standard uncertainty either way."""
        spread = 2 * self.standard_g
        amount = Range(max(0.0, self.gold_g - spread), self.gold_g, self.gold_g + spread)
        percent = as_known(100 * self.gold_share, 200 * self.assay_deviation)
        how = tr(
            "{mass_g:g} g x {percent} %, give or take two standard deviations", mass_g=self.mass_g, percent=percent
        )
        name = f"gold_in_{re.sub(r'[^a-zA-Z0-9]+', '_', self.name)}_g"
        return Figure(name, tr("gold in the {what}", what=self.called), amount, "g", how, _SUMMED)


def _called(name: str) -> str:
    return " ".join(map(said_as, name.split(".")))


@frozen
class GoldBalance:
    """The gold of a batch, in and out.

    Attributes:
        lines: Gold in the feed and in each product.
        unaccounted: Gold in the feed less gold found, in g; the range is what scale and assays can explain.
        unaccounted_percent: The same in per cent of the gold in the feed.
        standard_g: Standard uncertainty of the difference.
        signal: Whether the difference is more than scale and assays can explain.
        says: The finding in words, without what to make of it.
    """

    lines: tuple[Figure, ...]
    unaccounted: Figure
    unaccounted_percent: Figure
    standard_g: float
    signal: bool
    says: str

    def told(self, notes: Notes) -> str:
        """The finding, and what to make of it."""
        more_out = self.unaccounted.amount.likely < 0
        key = "balance_no_signal" if not self.signal else "balance_more_out" if more_out else "balance_less_out"
        return f"{self.says} {notes[key].said()}"


def batch_balance(
    feed: Holding,
    products: Sequence[Holding],
    *,
    more_feeds: Sequence[Holding] = (),
    not_measured: Sequence[str] = (),
) -> GoldBalance:
    """Balance a batch: what went in, what was found, and whether the difference means anything.

    Args:
        feed: What went in.
        products: What was weighed and assayed afterwards: bead, slag, cupel, pot, sweepings.
        more_feeds: Other feeds that went into the same batch.
        not_measured: Names of products that were not; their gold counts as unaccounted.

    Returns:
        The balance. 500 g of feed at 2 % (deviation 0.05 %) against a bead of 9.9 g at 95 % (deviation 0.5 %)
        leaves 0.595 g, 2.3 standard deviations: a signal.

    Raises:
        InputError: If the feed holds no gold, nothing was measured, or no error at all is given.

    Source: sum of weight times assay; uncertainties added in squares, as for independent errors.
    """
    feeds = (feed, *more_feeds)
    for one in feeds:
        if one.gold_g < _LEAST_GOLD_G:
            raise InputError(
                tr("the {what} holds no gold by these figures; give its weight and its assay", what=one.called)
            )
    if not products:
        raise InputError(tr("nothing that came out is given; give at least the bead with its weight and fineness"))
    fed_g = math.fsum(one.gold_g for one in feeds)
    found_g = math.fsum(product.gold_g for product in products)
    standard_g = math.hypot(*(one.standard_g for one in (*feeds, *products)))
    lines = tuple(one.figure() for one in (*feeds, *products))
    how = tr(
        "{fed_g:.4g} g in {feeds} less {found_g:.4g} g found",
        fed_g=fed_g,
        feeds=each_of(tr("the {what}", what=one.called) for one in feeds),
        found_g=found_g,
    )
    return _judged(lines, fed_g, fed_g - found_g, standard_g, how, not_measured)


def running_balance(feeds_g: Sequence[float], balances: Sequence[GoldBalance]) -> GoldBalance:
    """The balances of several batches together; a small steady loss shows here before it shows in one batch.

    The errors are taken as independent. A scale or an assayer that is always wrong the same way is not, and
    looks like a loss: check the scale with a known weight first.

    Args:
        feeds_g: Gold in the feed of each batch, in g.
        balances: The balance of each batch.

    Raises:
        InputError: If there is none, or not one feed for each balance.
    """
    for feed_g in feeds_g:
        within(tr("the gold in a feed"), feed_g, "g", _LEAST_GOLD_G, _MOST)
    if not balances or len(feeds_g) != len(balances):
        raise InputError(
            tr(
                "{balances} balances and {feeds} feeds are given; give one feed for each balance",
                balances=len(balances),
                feeds=len(feeds_g),
            )
        )
    unaccounted_g = math.fsum(balance.unaccounted.amount.likely for balance in balances)
    standard_g = math.hypot(*(balance.standard_g for balance in balances))
    lines = tuple(balance.unaccounted for balance in balances)
    how = tr_many("sum over {count} batch", "sum over {count} batches", len(balances))
    return _judged(lines, math.fsum(feeds_g), unaccounted_g, standard_g, how, ())


def _judged(
    lines: tuple[Figure, ...],
    feed_g: float,
    unaccounted_g: float,
    standard_g: float,
    how: str,
    not_measured: Sequence[str],
) -> GoldBalance:
    """The difference with its uncertainty, and whether it is a signal."""
    if standard_g <= 0:
        raise InputError(
            tr("no error of a scale or an assay is given; without one nobody can tell a loss from a rounding")
        )
    explained_g = SIGNAL_AT * standard_g
    signal = abs(unaccounted_g) > explained_g
    amount = Range(unaccounted_g - explained_g, unaccounted_g, unaccounted_g + explained_g)
    how = tr(
        "{how}, give or take {times:g} standard deviations of {standard_g:.3g} g",
        how=how,
        times=SIGNAL_AT,
        standard_g=standard_g,
    )
    share = amount.scaled(100 / feed_g)
    return GoldBalance(
        lines,
        Figure("unaccounted_gold_g", tr("gold not accounted for"), amount, "g", how, _SQUARES),
        Figure("unaccounted_gold_percent", tr("gold not accounted for"), share, "%", how, _SQUARES),
        standard_g,
        signal,
        _in_words(unaccounted_g, share.likely, explained_g, not_measured),
    )


def _in_words(unaccounted_g: float, percent: float, explained_g: float, not_measured: Sequence[str]) -> str:
    """The finding for people."""
    error_percent = abs(percent * explained_g / unaccounted_g) if unaccounted_g else 0.0
    shown, part = as_known(abs(unaccounted_g), explained_g), as_known(abs(percent), error_percent)
    if unaccounted_g < 0:
        said = [tr("{grams} g of gold ({percent} %) came out more than went in.", grams=shown, percent=part)]
    else:
        said = [tr("{grams} g of gold ({percent} %) is not accounted for.", grams=shown, percent=part)]
    if not_measured:
        said.append(tr("Not measured, so counted in this: {products}.", products=", ".join(map(_called, not_measured))))
    said.append(tr("Errors of scale and assay explain up to {grams} g.", grams=format_number(explained_g, 2)))
    return " ".join(said)
