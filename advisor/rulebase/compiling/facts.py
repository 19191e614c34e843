"""Compiles the facts: their variables, the cells of each, and the values that follow from other answers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from advisor.errors import Fault
from advisor.rulebase.language import grammar
from advisor.rulebase.language.conditions import AllOf, AnyOf, Condition
from advisor.rulebase.model import Fact, Implied, Variable
from advisor.rulebase.reading.entries import FactEntry
from advisor.rulebase.reading.layers import LocatedEntry
from advisor.rulebase.values import ValueFault, options_saying_no, read_value
from advisor.units import Dimension, Range, Unit, parse_measure, unit_named
from advisor.units.measures import MeasureError
from advisor.words import each_of, tr

Limits = Mapping[str, tuple[float, Dimension]]
"""Value and dimension of each threshold."""


def amount_value(amount: grammar.Amount, limits: Limits) -> tuple[float, Dimension | None]:
    """The inside value of an amount in a condition; a bare number has no dimension.

    Raises:
        GrammarError: If the threshold or the unit is unknown.
    """
    if amount.name:
        if amount.name not in limits:
            raise grammar.GrammarError(
                tr("'{name}' is not a threshold", name=amount.name),
                tr("write a number with a unit, or the name of a threshold"),
            )
        return limits[amount.name]
    if not amount.unit:
        return float(amount.text), None
    try:
        unit = unit_named(amount.unit)
        return parse_measure(amount.text, unit).likely, unit.dimension
    except MeasureError as problem:
        raise grammar.GrammarError(str(problem), tr("write a number with a known unit")) from None


def breakpoints_of(
    conditions: Iterable[grammar.Written], limits: Limits
) -> dict[str, set[tuple[float, Dimension | None]]]:
    """For each name compared with amounts in any condition, the amounts."""
    breakpoints: dict[str, set[tuple[float, Dimension | None]]] = {}

    def visit(tree: grammar.Written) -> None:
        if isinstance(tree, AllOf | AnyOf):
            for part in tree.parts:
                visit(part)
        elif isinstance(tree, grammar.Not):
            visit(tree.part)
        elif isinstance(tree, grammar.Compares | grammar.Between):
            amounts = (tree.amount,) if isinstance(tree, grammar.Compares) else (tree.low, tree.high)
            for amount in amounts:
                try:
                    breakpoints.setdefault(tree.name, set()).add(amount_value(amount, limits))
                except grammar.GrammarError:
                    continue  # Reported where the condition itself is compiled.

    for condition in conditions:
        visit(condition)
    return breakpoints


def compile_facts(
    held_facts: Mapping[str, LocatedEntry],
    breakpoints: Mapping[str, set[tuple[float, Dimension | None]]],
    groups: Mapping[str, str],
    faults: list[Fault],
) -> tuple[dict[str, Fact], list[Variable]]:
    """All facts and their variables, without the implied values (their conditions need the variables first)."""
    facts: dict[str, Fact] = {}
    variables: list[Variable] = []
    places = {group: place for place, group in enumerate(groups)}
    in_order = sorted(held_facts.items(), key=lambda item: places.get(item[1].entry.group, len(places)))
    for name, held in in_order:
        entry = held.entry
        if entry.group not in groups:
            faults.append(
                held.fault(
                    ("group",),
                    tr("there is no group '{group}'", group=entry.group),
                    tr("use one of {groups}", groups=", ".join(groups)),
                )
            )
        unit, least, most, when_unknown = _quantity_fields(held, faults)
        points: tuple[float, ...] = ()
        if entry.kind == "quantity":
            if unit is None:
                continue
            points = tuple(
                sorted(
                    value * (1.0 if given or value == 0 else unit.factor) for value, given in breakpoints.get(name, ())
                )
            )
            points = tuple(dict.fromkeys(point for point in points if least <= point <= most))
            names = [("", tuple(map(str, range(2 * len(points) + 1))))]
        elif entry.kind == "several":
            names = [(option, ("absent", "present")) for option in entry.options]
        else:
            names = [("", ("no", "yes") if entry.kind == "yes_no" else tuple(entry.options))]
        indices = []
        for item, domain in names:
            indices.append(len(variables))
            variables.append(Variable(len(variables), name, item, domain))
        facts[name] = Fact(name, entry, unit, least, most, when_unknown, points, tuple(indices), (), held.origin)
        if len(saying_no := options_saying_no(facts[name])) > 1:
            wrong = tr("{options} each say no", options=each_of(f"'{option}'" for option in saying_no))
            faults.append(held.fault(("options",), wrong, tr("let one of them say no")))
    return facts, variables


def _quantity_fields(held: LocatedEntry, faults: list[Fault]) -> tuple[Unit | None, float, float, Range | None]:
    entry = held.entry
    if entry.kind != "quantity":
        return None, 0.0, 0.0, None
    field = "unit"
    try:
        unit = unit_named(entry.unit)
        if entry.computed:
            return _limits(entry, unit)
        field = "least"
        least = parse_measure(entry.least, unit).likely
        field = "most"
        most = parse_measure(entry.most, unit).likely
        if most <= least:
            raise MeasureError(tr("the greatest value is not above the least"))
        field = "when_unknown"
        low, likely, high = (
            parse_measure(text, unit).likely
            for text in (entry.when_unknown.low, entry.when_unknown.likely, entry.when_unknown.high)
        )
        unknown = Range(low, likely, high)
        if low < least or high > most:
            raise MeasureError(tr("this range leaves the sensible values"))
    except (MeasureError, ValueError) as problem:
        faults.append(held.fault((field,), str(problem), tr("write amounts in the unit of the fact, in order")))
        return None, 0.0, 0.0, None
    return unit, least, most, unknown


def _limits(entry: FactEntry, unit: Unit) -> tuple[Unit, float, float, Range]:
    """The limits of a computed quantity; it is somewhere between them while nothing more is known."""
    least, most = parse_measure(entry.least or "", unit).likely, parse_measure(entry.most or "", unit).likely
    if most <= least:
        raise MeasureError(tr("the greatest value is not above the least"))
    return unit, least, most, Range.between(least, most)


def compile_implied(
    fact: Fact,
    held: LocatedEntry,
    condition_of: Callable[[str, tuple[str | int, ...]], Condition],
    faults: list[Fault],
) -> tuple[Implied, ...]:
    """The values of a fact that follow from other answers."""
    implied = []
    for position, entry in enumerate(fact.entry.implied):
        path = ("implied", position)
        try:
            value = read_value(fact, entry.value)
        except ValueFault as problem:
            faults.append(held.fault((*path, "value"), str(problem), tr("write a value of this fact")))
            continue
        condition = condition_of(entry.when, (*path, "when"))
        if condition.variables & set(fact.variables):
            faults.append(held.fault((*path, "when"), tr("this tests the fact itself"), tr("test other facts")))
        implied.append(Implied(condition, value))
    return tuple(implied)
