"""The facts as JSON Schema, so that an editor names them, completes their options and marks what cannot be read.

The schema knows the plain way to write an answer. The program reads more (labels, capitals, a bare number), but
whatever fits the schema is read.
"""

from __future__ import annotations

import re
from typing import Any

from advisor.rulebase.model import Fact, RuleBase
from advisor.units import Range, format_measure
from advisor.units.measures import exact_text, names_of_units

Schema = dict[str, Any]
_NOT_KNOWN: Schema = {"const": "not known", "title": "looked for or asked, and not known"}
# 1.200 can be twelve hundred, and is refused where it may be.
_NUMBER = r"(?![1-9][0-9]{0,2}\.[0-9]{3}(?![0-9]))(?:0|[1-9][0-9]*|[0-9]*\.[0-9]+|[1-9][0-9]*\.[0-9]*)"


def fact_schemas(rule_base: RuleBase) -> dict[str, Schema]:
    """For each fact that is asked, in the order of the groups, the schema of its answer."""
    return {name: _of_fact(fact) for name, fact in rule_base.facts.items() if not fact.computed}


def _of_fact(fact: Fact) -> Schema:
    entry = fact.entry
    kinds = {"yes_no": _yes_no, "choice": _choice, "several": _several, "quantity": _quantity}
    return {"title": entry.label, "description": f"{entry.ask} {entry.find_out}", **kinds[entry.kind](fact)}


def _yes_no(_: Fact) -> Schema:
    # Some editors take a bare yes or no for true or false.
    return {"anyOf": [{"enum": ["yes", "no"]}, {"type": "boolean"}, _NOT_KNOWN]}


def _options(fact: Fact) -> list[Schema]:
    return [
        {"const": name, "title": option.label, "description": option.means}
        for name, option in fact.entry.options.items()
    ]


def _choice(fact: Fact) -> Schema:
    return {"anyOf": [*_options(fact), _NOT_KNOWN]}


def _several(fact: Fact) -> Schema:
    perhaps = {"pattern": f"^(?:{'|'.join(fact.entry.options)})\\?$", "title": "perhaps", "type": "string"}
    items = {"anyOf": [*_options(fact), perhaps]}
    return {"anyOf": [{"type": "array", "uniqueItems": True, "items": items}, _NOT_KNOWN]}


def _quantity(fact: Fact) -> Schema:
    assert fact.unit is not None
    assert fact.when_unknown is not None
    names = sorted(names_of_units(fact.unit.dimension), key=len, reverse=True)
    unit = "|".join(map(_literally, names))
    # Of two amounts the first is read only up to a figure.
    first = "|".join(_literally(name) for name in names if not re.search("[0-9]", name))
    limits = format_measure(Range.between(fact.least, fact.most), fact.unit, 6)
    written: Schema = {
        "type": "string",
        "pattern": f"^(?:{_NUMBER}(?: ?(?:{first}))? to )?{_NUMBER} ?(?:{unit})$",
        "description": f"An amount in {fact.unit.symbol} or another unit of its kind, {limits}; or two: 5 to 10.",
        "examples": [exact_text(Range.exact(fact.when_unknown.likely), fact.unit)],
    }
    if fact.unit.symbol == "pieces":
        low, high = fact.unit.shown(fact.least), fact.unit.shown(fact.most)
        return {"anyOf": [{"type": "number", "minimum": low, "maximum": high}, written, _NOT_KNOWN]}
    return {"anyOf": [written, _NOT_KNOWN]}


def _literally(text: str) -> str:
    """Text as a part of a pattern; few letters mean anything there, and no other may be marked."""
    return re.sub(r"([.^$*+?()\[\]{}|\\])", r"\\\1", text)
