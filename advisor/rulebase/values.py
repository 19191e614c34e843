"""Values of facts: read from what a person wrote, and as the cells a variable may be in."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from typing import Any

from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import Fact, Several, Value, Variable
from advisor.units import Range, format_measure, parse_measure
from advisor.units.measures import MeasureError, format_number, kind_of, unambiguous
from advisor.words import tr, typed_words

_LESS_THAN_ONE = re.compile(r"0?[.,]\d*[1-9]\d*")
_LONG_ENOUGH = 4
NO_WORDS = typed_words("no none never nobody nothing")
"""Words that say no to any question."""
_SAYING_NO = ("no", "none", "never")
"""Names of options that say no; "nobody" answers who is there, and a mere no does not."""


def cell_range(fact: Fact, cell: int) -> Range:
    """The amounts in one cell of a quantity (position counted from 0); open ends are given closed."""
    if not fact.breakpoints:
        return Range.between(fact.least, fact.most)
    if cell % 2:
        return Range.exact(fact.breakpoints[cell // 2])
    low = fact.least if cell == 0 else fact.breakpoints[cell // 2 - 1]
    high = fact.most if cell == 2 * len(fact.breakpoints) else fact.breakpoints[cell // 2]
    return Range.between(min(low, high), max(low, high))


def cell_words(fact: Fact, cell: int) -> str:
    """One cell of a quantity (position counted from 0) in words."""
    assert fact.unit is not None
    unit, points = fact.unit, fact.breakpoints

    def shown(value: float) -> str:
        return format_measure(Range.exact(value), unit, 6)

    if not points:
        return tr("any amount")
    if cell % 2:
        return shown(points[cell // 2])
    if cell == 0:
        return tr("below the least value") if fact.least == points[0] else tr("below {most}", most=shown(points[0]))
    if cell == 2 * len(points):
        above = fact.most == points[-1]
        return tr("above the greatest value") if above else tr("above {least}", least=shown(points[-1]))
    low, high = points[cell // 2 - 1], points[cell // 2]
    return tr("above {least} and below {most}", least=shown(low), most=shown(high))


def possible_domain(fact: Fact) -> int:
    """The cells of a quantity that hold at least one sensible value, as bits."""
    full = (1 << (2 * len(fact.breakpoints) + 1)) - 1
    if fact.breakpoints and fact.breakpoints[0] <= fact.least:
        full &= ~1
    if fact.breakpoints and fact.breakpoints[-1] >= fact.most:
        full &= ~(1 << (2 * len(fact.breakpoints)))
    return full


def domain_of_range(fact: Fact, amount: Range) -> int:
    """The cells that hold at least one value of the range, as bits."""
    # The cells from the one that holds the low end to the one that holds the high end.
    first = bisect_left(fact.breakpoints, amount.low) + bisect_right(fact.breakpoints, amount.low)
    last = bisect_left(fact.breakpoints, amount.high) + bisect_right(fact.breakpoints, amount.high)
    return (1 << (last + 1)) - (1 << first)


def domains_of_value(
    fact: Fact, value: Value, variables: list[Variable] | tuple[Variable, ...]
) -> list[tuple[int, int]]:
    """For each variable of the fact, the cells it may be in when the fact has this value."""
    first = fact.variables[0]
    if isinstance(value, Range):
        return [(first, domain_of_range(fact, value))]
    if isinstance(value, Several):
        result = []
        for index in fact.variables:
            item = variables[index].item
            domain = 3 if item in value.unsure else (2 if item in value.present else 1)
            result.append((index, domain))
        return result
    if isinstance(value, bool):
        return [(first, 2 if value else 1)]
    return [(first, 1 << variables[first].domain.index(value))]


class ValueFault(ValueError):
    """A written value does not fit its fact; the message says what would be right."""


def read_value(fact: Fact, written: Any) -> Value:
    """A value of a fact as written in a file or typed by a person.

    Args:
        fact: The fact.
        written: Text, a number, true or false, or a list of options.

    Raises:
        ValueFault: If it does not fit; the message says what would be right.
    """
    kind = fact.entry.kind
    if written is None:
        raise ValueFault(tr("nothing is written; give a value or write  not known"))
    if isinstance(written, dict) or (isinstance(written, list) and kind != "several"):
        if isinstance(written, list):
            raise ValueFault(tr("one value is wanted, not a list"))
        raise ValueFault(tr("one value is wanted, not a mapping"))
    if kind == "quantity":
        return _read_quantity(fact, written)
    if kind == "several":
        return _read_several(fact, written)
    word = str(written).strip().lower() if not isinstance(written, bool) else ("yes" if written else "no")
    if kind == "yes_no":
        if word in ("yes", "y", "true", "ja", tr("yes")):
            return True
        if word in ("no", "n", "false", tr("no")):
            return False
        raise ValueFault(tr("'{written}' is neither yes nor no", written=_short(written)))
    return _option(fact, word)


def _read_quantity(fact: Fact, written: Any) -> Range:
    if isinstance(written, bool):
        raise ValueFault(tr("an amount is wanted, not yes or no"))
    assert fact.unit is not None
    text = unambiguous(written) if isinstance(written, float) else str(written)
    try:
        amount = parse_measure(text, fact.unit, most=fact.most, whole_g=fact.entry.grams_of)
    except MeasureError as problem:
        raise ValueFault(str(problem)) from None
    if fact.unit.symbol == "%" and fact.entry.grams_of is None and _LESS_THAN_ONE.fullmatch(text.strip()):
        few, many = (format_number(amount.likely * times, 6) for times in (100, 10_000))
        raise ValueFault(
            tr("'{written}' can be read two ways; write {few} % or {many} %", written=text.strip(), few=few, many=many)
        )
    if amount.low < fact.least or amount.high > fact.most:
        limits = format_measure(Range(fact.least, fact.least, fact.most), fact.unit, 6)
        raise ValueFault(
            tr(
                "{amount} is outside what makes sense here; give {what} of {limits}",
                amount=format_measure(amount, fact.unit, 6),
                what=kind_of(fact.unit.dimension),
                limits=limits,
            )
        )
    return amount


def _read_several(fact: Fact, written: Any) -> Several:
    words = written if isinstance(written, list) else str(written).replace(";", ",").split(",")
    items = ["" if word is None else str(word).strip().lower() for word in words]
    named = [item for item in items if item] if isinstance(written, str) else items
    if (words and not named) or "" in named:
        raise ValueFault(tr("nothing is named here; write  none  if you looked and saw none, otherwise  not known"))
    if named in (["none"], ["nothing"], ["no"], [tr("none")]):
        return Several()
    present: set[str] = set()
    unsure: set[str] = set()
    for text in named:
        item = text.strip("? ")
        if item in ("", *NO_WORDS):
            raise ValueFault(
                tr(
                    "'{written}' names nothing; leave it out, or write  none  or  not known  alone",
                    written=_short(text),
                )
            )
        (unsure if text[0] == "?" or text[-1] == "?" else present).add(_option(fact, item))
    return Several(frozenset(present), frozenset(unsure - present))


def _option(fact: Fact, word: str) -> str:
    plain = word.replace("-", "_").replace(" ", "_")
    if plain in fact.entry.options:
        return plain
    by_label = {option.label.lower(): name for name, option in fact.entry.options.items()}
    if word in by_label:
        return by_label[word]
    if word in NO_WORDS and (saying_no := options_saying_no(fact)):
        return saying_no[0]
    options = ", ".join(
        name if option.label.lower() == name.replace("_", " ") else f"{name} ({option.label})"
        for name, option in fact.entry.options.items()
    )
    # What is near to a short word in letters may say its opposite: no and now.
    near = closest(plain, [*fact.entry.options, *by_label]) if len(plain) >= _LONG_ENOUGH else ""
    raise ValueFault(
        tr("'{written}' is not an option; options are {options}", written=_short(word), options=options) + near
    )


def options_saying_no(fact: Fact) -> list[str]:
    """The option that says no to the question of a fact; of rules without a fault one at most."""
    return [name for name, option in fact.entry.options.items() if name in _SAYING_NO or option.says_no]


def _short(written: Any) -> str:
    text = str(written)
    return text if len(text) <= 40 else text[:37] + "..."
