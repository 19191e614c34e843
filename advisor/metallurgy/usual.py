"""``usual``: what is usual at cupel, pot and bench, and with the buyer; minutes on the cupel for so many grams."""

from __future__ import annotations

from dataclasses import replace

from advisor.metallurgy.common.document import Remark, Result
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.rows import in_words, source_of, text
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.metallurgy.cupellation.cupel import COLLECTORS, Collector, time_min
from advisor.metallurgy.cupellation.tables import cupellation_tables
from advisor.units import Range
from advisor.words import tr

_GRAMS = (5.0, 20.0, 50.0)


def usual_inputs(tables: Tables) -> tuple[Input, ...]:
    """What to read about, and for the minutes how much collector."""
    return (
        Input(
            "topic",
            tr("what to read about"),
            "choice",
            "topic=cupel",
            options=tables.names("usual_topics", "topic"),
            required=True,
        ),
        Input("grams", tr("with topic=minutes: collector on one cupel"), "amount", "grams=35g", unit="g"),
    )


def calculate_usual(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """The lines about a topic, each with its source."""
    topic = inputs.word("topic")
    title = text(tables.row("usual_topics", "topic", topic), "title")
    said = tuple(
        Remark(kind="note", text=text(row, "text"), source=source_of(row))
        for row in tables.rows("usual")
        if row["topic"] == topic
    )
    if topic != "minutes":
        return (Result(title, said=said),)
    grams = inputs.optional("grams")
    weights = (grams,) if grams is not None else tuple(map(Range.exact, _GRAMS))
    figures = tuple(_minutes(tables, collector, weight) for collector in COLLECTORS for weight in weights)
    return (Result(title, figures, said),)


def _minutes(tables: Tables, collector: Collector, grams: Range) -> Figure:
    """Minutes on one cupel for so much collector."""
    found = time_min(collector, grams, tables.once(cupellation_tables))
    return replace(
        found,
        name=f"{found.name}_{collector}_{grams.likely:g}",
        title=tr("{grams} of {collector}", grams=in_words(grams, "g"), collector=metal_word(collector)),
    )


COMPUTATION = Computation("usual", tr("What is usual"), usual_inputs, calculate_usual)
