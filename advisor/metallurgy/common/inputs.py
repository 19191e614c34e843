"""What a computation is told: named inputs with units, from words, from a file, or from what was answered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from advisor.errors import Fault, FaultyFile, InputError
from advisor.frozen import frozen
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.reading.yaml_reader import Document
from advisor.units import Range, format_measure, parse_measure, unit_named
from advisor.units.measures import MeasureError
from advisor.words import tr

Kind = Literal["amount", "amounts", "choice", "words", "yes_no", "holdings"]
Value = Range | str | bool
"""What one answer can say: an amount in inside units, a word, or yes and no."""


@frozen
class Input:
    """One input of a computation.

    Attributes:
        name: Its key.
        title: What it is.
        kind: ``amount``, ``amounts`` (a mapping of names to amounts), ``choice``, ``words`` (a list), ``yes_no`` or
            ``holdings`` (a mapping of names to mappings of amounts).
        example: An example as it is written.
        unit: Unit of amounts that are written without one.
        units: For holdings, the unit of each inner key.
        options: Allowed words or names; empty when any name may stand.
        required: Whether it must be given.
        bands: For amounts, words that may stand in place of an amount.
        otherwise: What holds where it is left out, an amount in inside units; None where nothing does.
    """

    name: str
    title: str
    kind: Kind
    example: str
    unit: str = ""
    units: Mapping[str, str] | None = None
    options: tuple[str, ...] = ()
    required: bool = False
    bands: tuple[str, ...] = ()
    otherwise: Value | None = None


@frozen
class Inputs:
    """Checked inputs of one computation.

    Attributes:
        wanted: What the computation asks for, by name.
        values: The values that were given, by name; a band word stays text.
    """

    wanted: Mapping[str, Input]
    values: Mapping[str, Any]

    @property
    def written(self) -> dict[str, str]:
        """The inputs as understood, for showing back."""
        return {name: _shown(self.wanted[name], value) for name, value in self.values.items()}

    def has(self, name: str) -> bool:
        """Whether it was given."""
        return name in self.values

    def amount(self, name: str) -> Range:
        """An amount in inside units."""
        value = self._value(name)
        assert isinstance(value, Range), name
        return value

    def in_unit(self, name: str) -> Range:
        """An amount in the unit of the input: 800 where ``amount`` is 0.8 and the unit permille."""
        amount, shown = self.amount(name), unit_named(self.wanted[name].unit).shown
        return Range(shown(amount.low), shown(amount.likely), shown(amount.high))

    def optional(self, name: str) -> Range | None:
        """An amount, or None when it was not given."""
        value = self.values.get(name)
        return value if isinstance(value, Range) else None

    def amounts(self, name: str) -> dict[str, Any]:
        """A mapping of names to amounts; empty when it was not given."""
        return dict(self.values.get(name, {}))

    def word(self, name: str) -> str:
        """A word; empty when it was not given and nothing holds otherwise."""
        return str(self._value(name) or "")

    def words(self, name: str) -> tuple[str, ...]:
        """A list of words."""
        return tuple(self.values.get(name, ()))

    def yes(self, name: str) -> bool:
        """Yes or no; no when it was not given."""
        return bool(self._value(name))

    def _value(self, name: str) -> Any:
        return self.values[name] if name in self.values else self.wanted[name].otherwise


def from_words(words: Sequence[str]) -> dict[str, Any]:
    """Inputs written as ``name=value`` or ``name.part=value`` on the command line.

    Raises:
        InputError: If a word is not of that form or a name stands twice.
    """
    data: dict[str, Any] = {}
    for word in words:
        path, sign, value = word.partition("=")
        keys = [key.strip() for key in path.split(".")]
        if not sign or not all(keys) or len(keys) > 3:
            raise InputError(
                tr("'{word}' is not an input; write  name=value,  for example  dry_mass=250g", word=word[:60])
            )
        holder = data
        for key in keys[:-1]:
            inner = holder.setdefault(key, {})
            if not isinstance(inner, dict):
                raise InputError(tr("'{key}' is given both whole and in parts; give it one way", key=key))
            holder = inner
        if keys[-1] in holder:
            raise InputError(tr("'{path}' is given twice; give it once", path=path))
        holder[keys[-1]] = value.strip()
    return data


def check_inputs(command: str, wanted: Sequence[Input], document: Document) -> Inputs:
    """Read the inputs of a computation as they were written.

    Args:
        command: Name of the computation, for messages.
        wanted: The inputs it knows.
        document: What was given.

    Raises:
        FaultyFile: With every fault.
    """
    known = {one.name: one for one in wanted}
    data = document.data if document.data is not None else {}
    if not isinstance(data, dict):
        raise InputError(
            tr(
                "{name}: this holds no inputs; write  name: value  lines, see  advisor {command}",
                name=document.name,
                command=command,
            )
        )
    faults: list[Fault] = []
    values: dict[str, Any] = {}
    for name, written in data.items():
        if name not in known:
            faults.append(document.fault((name,), "", *unknown_input(command, str(name), known)))
            continue
        try:
            values[name] = read_input(known[name], written)
        except BadValue as problem:
            faults.append(
                document.fault((name,), name, str(problem), tr("write it like  {example}", example=known[name].example))
            )
    faults += [
        document.fault(
            (),
            "",
            tr("'{name}' ({title}) is missing", name=one.name, title=one.title),
            tr("add it, for example  {example}", example=one.example),
        )
        for one in wanted
        if one.required and one.name not in data
    ]
    if faults:
        raise FaultyFile(faults)
    return Inputs(known, values)


def given_inputs(name: str, wanted: Sequence[Input], values: Mapping[str, Value]) -> Inputs:
    """The inputs of a computation from values that were read before, such as the answers of a consultation.

    Args:
        name: Name of the computation, for messages.
        wanted: The inputs it knows.
        values: Amounts in inside units, words, yes and no.

    Raises:
        InputError: If one is unknown, missing, of the wrong kind, or no option.
    """
    known = {one.name: one for one in wanted}
    for key, value in values.items():
        if key not in known:
            raise InputError("; ".join(unknown_input(name, key, known)))
        _refuse_unfit(name, known[key], value)
    for one in wanted:
        if one.required and one.name not in values:
            raise InputError(
                tr(
                    "'{name}' ({title}) is missing for {computation}; give it, or give a wide range",
                    name=one.name,
                    title=one.title,
                    computation=name,
                )
            )
    return Inputs(known, values)


def unknown_input(name: str, key: str, known: Mapping[str, Input]) -> tuple[str, str]:
    """What is wrong where a computation has no such input, and what would be right."""
    right = tr("inputs of '{computation}' are {inputs}", computation=name, inputs=", ".join(known))
    return tr("unknown input '{key}'", key=key[:60]), right + closest(key, known)


def _refuse_unfit(name: str, one: Input, value: Value) -> None:
    if one.kind == "amount":
        if not isinstance(value, Range):
            raise InputError(
                tr("'{name}' of {computation} is an amount; give it with its unit", name=one.name, computation=name)
            )
    elif one.kind == "choice" and value not in one.options:
        shown = value[:40] if isinstance(value, str) else tr("an amount")
        raise InputError(
            tr(
                "'{name}' of {computation} is {shown}; it is one of {options}",
                name=one.name,
                computation=name,
                shown=shown,
                options=", ".join(one.options),
            )
        )


def read_input(one: Input, written: Any) -> Any:
    """The value of an input as it is written in a file, on the command line or in a rule.

    Raises:
        BadValue: If it is not of the kind that the input takes.
    """
    try:
        return _value(one, written)
    except MeasureError as problem:
        raise BadValue(str(problem)) from None


class BadValue(ValueError):
    """A value of the wrong form."""


def _value(one: Input, written: Any) -> Any:
    if one.kind == "amount":
        return _amount(written, one.unit)
    if one.kind == "yes_no":
        word = str(written).strip().lower()
        yes, no = ("yes", "true", tr("yes")), ("no", "false", tr("no"))
        if word not in (*yes, *no):
            raise BadValue(tr("'{written}' is neither yes nor no", written=str(written)[:40]))
        return word in yes
    if one.kind == "choice":
        return _option(one, written)
    if one.kind == "words":
        words = written if isinstance(written, list) else str(written).split(",")
        return tuple(_option(one, str(word)) for word in words if str(word).strip())
    if not isinstance(written, dict) or not written:
        raise BadValue(tr("names with amounts are wanted"))
    if one.kind == "amounts":
        return {_name(one, name): _banded(one, value) for name, value in written.items()}
    return {str(name): _holding(one, str(name), inner) for name, inner in written.items()}


def _amount(written: Any, unit: str) -> Range:
    if isinstance(written, dict | list | bool) or written is None:
        raise BadValue(tr("one amount is wanted"))
    amount = parse_measure(repr(written) if isinstance(written, float) else str(written), unit_named(unit))
    if unit == "%" and not (amount.low >= 0 and amount.high <= 1):
        raise BadValue(
            tr(
                "{amount} is not a share; a share lies between 0 and 100 %",
                amount=format_measure(amount, unit_named("%"), 6),
            )
        )
    return amount


def _banded(one: Input, written: Any) -> Range | str:
    word = str(written).strip().lower().replace(" ", "_")
    return word if word in one.bands else _amount(written, one.unit)


def _option(one: Input, written: Any) -> str:
    if isinstance(written, dict | list):
        raise BadValue(tr("one word is wanted"))
    if isinstance(written, bool):
        written = "yes" if written else "no"
    word = str(written).strip()
    if one.options and word not in one.options:
        raise BadValue(
            tr(
                "'{word}' is not known here; known are {options}{closest}",
                word=word[:40],
                options=", ".join(one.options),
                closest=closest(word, list(one.options)),
            )
        )
    return word


def _name(one: Input, name: Any) -> str:
    return _option(one, str(name))


def _holding(one: Input, name: str, inner: Any) -> dict[str, Range]:
    units = one.units or {}
    if not isinstance(inner, dict):
        raise BadValue(tr("'{name}' needs {units}", name=name[:40], units=", ".join(units)))
    found = {}
    for key, value in inner.items():
        if key not in units:
            raise BadValue(
                tr(
                    "'{key}' is not known in '{name}'; known are {units}",
                    key=str(key)[:40],
                    name=name[:40],
                    units=", ".join(units),
                )
            )
        found[key] = _amount(value, units[key])
    return found


def _shown(one: Input, value: Any) -> str:
    if isinstance(value, Range):
        return format_measure(value, unit_named(one.unit), 6)
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    if isinstance(value, tuple):
        return ", ".join(value) or tr("none")
    if isinstance(value, dict):
        return "; ".join(f"{name} {_inner_shown(one, inner)}" for name, inner in value.items())
    return str(value)


def _inner_shown(one: Input, value: Any) -> str:
    if isinstance(value, dict):
        units = one.units or {}
        return (
            "(" + ", ".join(f"{key} {format_measure(v, unit_named(units[key]), 6)}" for key, v in value.items()) + ")"
        )
    return format_measure(value, unit_named(one.unit), 6) if isinstance(value, Range) else str(value)
