"""``balance``: recovery of a separation from three assays, in grams too, or the gold of a batch in and out."""

from __future__ import annotations

from advisor.errors import InputError
from advisor.metallurgy.balance.gold import Holding, batch_balance, two_product, two_product_masses
from advisor.metallurgy.common.document import Remark, Result
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.units import Range
from advisor.words import tr

_HOLDING = {"mass": "g", "scale_error": "g", "gold": "%", "deviation": "%"}


def balance_inputs(tables: Tables) -> tuple[Input, ...]:  # noqa: ARG001 - every computation has the same signature
    """The inputs of the balances."""
    return (
        Input("feed_assay", tr("gold in the feed"), "amount", "feed_assay=20 g/t", unit="g/t"),
        Input("concentrate_assay", tr("gold in the concentrate"), "amount", "concentrate_assay=1500 g/t", unit="g/t"),
        Input("tailing_assay", tr("gold in the tailing"), "amount", "tailing_assay=4 g/t", unit="g/t"),
        Input("feed_mass", tr("with the assays: weight of the feed"), "amount", "feed_mass=1000kg", unit="g"),
        Input("feed_silver", tr("or beside gold: silver in the feed"), "amount", "feed_silver=12 g/t", unit="g/t"),
        Input(
            "concentrate_silver", tr("silver in the concentrate"), "amount", "concentrate_silver=600 g/t", unit="g/t"
        ),
        Input("tailing_silver", tr("silver in the tailing"), "amount", "tailing_silver=6 g/t", unit="g/t"),
        Input(
            "feed",
            tr("the batch, or several feeds: mass, scale_error, gold, deviation"),
            "holdings",
            "feed.batch.mass=500g",
            units=_HOLDING,
        ),
        Input(
            "products",
            tr("what came out, each with mass, scale_error, gold, deviation"),
            "holdings",
            "products.bead.mass=9.9g products.bead.gold=95%",
            units=_HOLDING,
        ),
        Input("not_measured", tr("products that were not weighed or assayed"), "words", "not_measured=slag,cupel"),
    )


def calculate_balance(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """The balance that the inputs ask for, or both.

    Raises:
        InputError: If neither is given in full.
    """
    results: list[Result] = []
    for metal, tail in (("gold", "assay"), ("silver", "silver")):
        names = tuple(f"{place}_{tail}" for place in ("feed", "concentrate", "tailing"))
        given = [name for name in names if inputs.has(name)]
        if given and len(given) < 3:
            raise InputError(
                tr(
                    "the recovery needs {feed}, {concentrate} and {tailing}; add what is missing",
                    feed=names[0],
                    concentrate=names[1],
                    tailing=names[2],
                )
            )
        if given:
            results.append(_two_product(tables, inputs, names, metal))
    if inputs.has("feed") or inputs.has("products"):
        results.append(_batch(tables, inputs))
    if not results:
        raise InputError(tr("give three assays for a recovery, or feed and products for a batch; see  advisor balance"))
    return tuple(results)


COMPUTATION = Computation("balance", tr("Gold balance"), balance_inputs, calculate_balance)


def _two_product(tables: Tables, inputs: Inputs, names: tuple[str, ...], metal: str) -> Result:
    feed, concentrate, tailing = (inputs.amount(name) for name in names)
    found = two_product(feed.scaled(1e6), concentrate.scaled(1e6), tailing.scaled(1e6), metal)
    figures: tuple[Figure, ...] = (found.recovery, found.mass_pull, found.enrichment)
    if inputs.has("feed_mass"):
        figures += two_product_masses(found, feed, inputs.amount("feed_mass"), metal)
    note = Remark(kind="note", text=tables.notes["coarse_gold_assay"].said())
    return Result(
        title=tr("Recovery of the {metal}", metal=metal_word(metal)),
        figures=figures,
        said=(note,) if metal == "gold" else (),
    )


def _batch(tables: Tables, inputs: Inputs) -> Result:
    feeds = [_holding(name, values) for name, values in inputs.amounts("feed").items()]
    if not feeds:
        raise InputError(tr("give what went in, for example  feed.batch.mass=500g feed.batch.gold=2%"))
    products = [_holding(name, values) for name, values in inputs.amounts("products").items()]
    balance = batch_balance(feeds[0], products, more_feeds=feeds[1:], not_measured=inputs.words("not_measured"))
    said = (Remark(kind="warning" if balance.signal else "verdict", text=balance.told(tables.notes)),)
    return Result(
        title=tr("Gold of the batch"),
        figures=(*balance.lines, balance.unaccounted, balance.unaccounted_percent),
        said=said,
    )


def _holding(name: str, values: dict[str, Range]) -> Holding:
    for key in ("mass", "gold"):
        if key not in values:
            raise InputError(
                tr(
                    "'{name}' has no {key}; add it, for example  {name}.{key}={example}",
                    name=name,
                    key=key,
                    example="500g" if key == "mass" else "2%",
                )
            )
    gold = values["gold"]
    # A gold share written as a range stands for two standard deviations either way.
    spread = (gold.high - gold.low) / 4
    deviation = values["deviation"].likely if "deviation" in values else spread
    error = values.get("scale_error", Range.exact(0.0)).likely
    return Holding(name, values["mass"].likely, error, gold.likely, deviation)
