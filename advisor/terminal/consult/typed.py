"""How what is typed becomes a value."""

from __future__ import annotations

from advisor.rulebase.model import Fact, Several, Value
from advisor.rulebase.values import ValueFault, read_value
from advisor.terminal.output import number_typed


def read_typed(fact: Fact, typed: str) -> Value:
    """The value a person typed: numbers of the list shown, or words and amounts as in a file.

    Raises:
        ValueFault: If it does not fit.
    """
    if not typed:
        raise ValueFault("nothing was typed")
    kind = fact.entry.kind
    if kind == "quantity":
        return read_value(fact, typed)
    options = ["yes", "no"] if kind == "yes_no" else list(fact.entry.options)
    if kind != "several":
        return read_value(fact, _option_named(options, typed) or typed)
    words = typed.replace(",", " ").split()
    if not all(word.strip("?").isascii() and word.strip("?").isdigit() for word in words):
        return read_value(fact, typed)
    if words in (["0"], []):
        return Several()
    chosen = []
    for word in words:
        option = _option_named(options, word.strip("?"))
        if option is None:
            raise ValueFault(f"'{word}' is not a number from 1 to {len(options)}; type 0 alone for none of them")
        chosen.append(option + ("?" if "?" in word else ""))
    return read_value(fact, chosen)


def _option_named(options: list[str], typed: str) -> str | None:
    """The option with the number typed, or None when it is not a number of the list."""
    number = number_typed(typed, len(options))
    if number is not None:
        return options[number - 1]
    if typed.isascii() and typed.isdigit() and len(typed) < 6:
        raise ValueFault(f"'{typed}' is not a number from 1 to {len(options)}")
    return None
