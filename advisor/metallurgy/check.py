"""What only the computations know of a rule base: figures that contradict each other, and computations that are named.

It is run when a rule base is compiled, so that nobody who works with it meets such a fault.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from advisor.errors import Fault, InputError
from advisor.metallurgy.calculators import COMPUTATIONS
from advisor.metallurgy.charge.tables import charge_data
from advisor.metallurgy.common.inputs import BadValue, Input, read_input, unknown_input
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.metallurgy.roasting.tables import roasting_tables
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import Correction, Fact, RuleBase
from advisor.rulebase.reading.origins import Origin
from advisor.units import unit_named
from advisor.words import tr


def faults_of(rule_base: RuleBase) -> list[Fault]:
    """Every fault that the computations find in a rule base, with the line of its entry."""
    return [*_table_faults(rule_base), *computation_faults(rule_base)]


def _table_faults(rule_base: RuleBase) -> Iterator[Fault]:
    """Tables whose rows are right one by one and still cannot all be true."""
    tables = Tables(rule_base)
    made: dict[str, Callable[[], object]] = {
        "reducing_power": lambda: tables.once(charge_data),
        "roast_products": lambda: tables.once(roasting_tables),
    }
    for name, make in made.items():
        try:
            make()
        except InputError as problem:
            wrong, _, right = str(problem).rpartition("; ")
            origin = rule_base.tables[name].origin
            yield Fault(origin.file, origin.line, f"tables {name}", wrong, right)


def computation_faults(rule_base: RuleBase) -> Iterator[Fault]:
    """Corrections whose computation, figure or input does not exist, and inputs that do not fit."""
    figures: dict[str, list[tuple[str, str, Origin]]] = {}
    for name, figure in rule_base.figures.items():
        figures.setdefault(figure.correction.name, []).append((name, figure.entry.output, figure.origin))
    tables = Tables(rule_base)
    for correction in rule_base.corrections.values():
        computation = COMPUTATIONS.get(correction.entry.computation)
        if computation is None or computation.command:
            yield _unknown_computation(correction)
            continue
        yield from _output_faults(correction, computation, figures.get(correction.name, []))
        yield from _input_faults(rule_base, correction, {one.name: one for one in computation.inputs(tables)})


def fixed_value(written: str) -> str | None:
    """The value that a rule gives to an input after ``=``; None where a fact answers it."""
    return written.removeprefix("=").strip() if written.startswith("=") else None


def _fault(correction: Correction, origin: Origin, field: str, wrong: str, right: str) -> Fault:
    return Fault(origin.file, origin.line, f"corrections {correction.name}, {field}", wrong, right)


def _unknown_computation(correction: Correction) -> Fault:
    known = [name for name, computation in COMPUTATIONS.items() if not computation.command]
    named = correction.entry.computation
    right = tr("use one of {names}", names=", ".join(known)) + closest(named, known)
    return _fault(
        correction,
        correction.origin,
        "computation",
        tr("there is no computation '{named}' for rules", named=named),
        right,
    )


def _output_faults(
    correction: Correction, computation: Computation, figures: list[tuple[str, str, Origin]]
) -> Iterator[Fault]:
    known = [*computation.outputs, *computation.sometimes]
    for name, output, origin in figures:
        if output not in known:
            right = tr("use one of {names}", names=", ".join(known)) + closest(output, known)
            wrong = tr("'{computation}' has no output '{output}'", computation=computation.name, output=output)
            yield _fault(correction, origin, f"outputs.{name}", wrong, right)


def _input_faults(rule_base: RuleBase, correction: Correction, known: dict[str, Input]) -> Iterator[Fault]:
    entry = correction.entry
    for key, written in entry.inputs.items():
        origin, field = correction.inputs[key], f"inputs.{key}"
        if key not in known:
            yield _fault(correction, origin, field, *unknown_input(entry.computation, key, known))
            continue
        fixed = fixed_value(written)
        misfit = _misread(known[key], fixed) if fixed is not None else _misfit(known[key], rule_base.facts[written])
        if misfit is not None:
            yield _fault(
                correction,
                origin,
                field,
                misfit,
                tr("{title}, for example  {example}", title=known[key].title, example=known[key].example),
            )
    for one in known.values():
        if one.required and one.name not in entry.inputs:
            wrong, right = (
                tr("'{name}' ({title}) is missing", name=one.name, title=one.title),
                tr("name the fact that answers it"),
            )
            yield _fault(correction, correction.origin, "inputs", wrong, right)


def _misread(wanted: Input, written: str) -> str | None:
    """What is wrong with a value that stands in the rules."""
    try:
        read_input(wanted, written)
    except BadValue as problem:
        return str(problem)
    return None


def _misfit(wanted: Input, fact: Fact) -> str | None:
    """What is wrong with a fact as an answer to an input."""
    if (fact.entry.kind == "quantity") != (wanted.kind == "amount"):
        if fact.entry.kind == "quantity":
            return tr("'{fact}' is an amount", fact=fact.name)
        return tr("'{fact}' is no amount", fact=fact.name)
    if fact.unit is not None and fact.unit.dimension != unit_named(wanted.unit).dimension:
        return tr(
            "'{fact}' is measured in {measured_in}, not in {unit}",
            fact=fact.name,
            measured_in=fact.unit.symbol,
            unit=wanted.unit,
        )
    return None
