"""The closed grammar of conditions and formulas.

    condition := all { "or" all }            all := part { "and" part }
    part      := "not" part | "(" condition ")" | name | name test
    test      := ("is" | "is not") option | ("in" | "not in") options | ("has" | "lacks") option
               | "has" ("any" | "all" | "none") "of" options | "has" ("any" | "none")
               | op amount | "between" amount "and" amount
    formula   := product { ("+" | "-") product }     product := value { ("*" | "/") value }
    value     := amount | name | ("least" | "most" | "between") "(" formula "," formula ")" | "(" formula ")"
    amount    := number [unit] | name of a threshold

Nothing here is ever run as code: the text becomes a tree of the classes below, and an unknown word is a fault.
"""

from __future__ import annotations

import re
from typing import Literal, Union

from advisor.frozen import frozen
from advisor.rulebase.language.conditions import AllOf, AnyOf
from advisor.words import tr

Operator = Literal["<", "<=", ">", ">=", "="]


class GrammarError(ValueError):
    """A condition or formula that does not follow the grammar.

    Attributes:
        wrong: What was found.
        right: What would be right.
    """

    def __init__(self, wrong: str, right: str) -> None:
        super().__init__(f"{wrong}; {right}")
        self.wrong = wrong
        self.right = right


@frozen
class Amount:
    """A number with an optional unit, or the name of a threshold."""

    text: str
    unit: str = ""
    name: str = ""


@frozen
class Word:
    """A yes_no fact or a finding, standing alone."""

    name: str


@frozen
class IsOneOf:
    """A choice or a decision has one of the options."""

    name: str
    options: tuple[str, ...]
    negated: bool = False


@frozen
class Has:
    """A several-fact holds any, all or none of the options; without options: of all that it can hold."""

    name: str
    how: Literal["any", "all", "none"]
    options: tuple[str, ...]


@frozen
class Compares:
    """A quantity against an amount."""

    name: str
    operator: Operator
    amount: Amount


@frozen
class Between:
    """A quantity between two amounts, both included."""

    name: str
    low: Amount
    high: Amount


@frozen
class Not:
    """The part does not hold."""

    part: Written


Written = Union[Word, IsOneOf, Has, Compares, Between, Not, "AllOf[Written]", "AnyOf[Written]"]


@frozen
class Term:
    """A name or an amount in a formula."""

    amount: Amount


@frozen
class Operation:
    """Two parts of a formula joined by an operator."""

    operator: Literal["+", "-", "*", "/", "least", "most", "between"]
    left: FormulaTree
    right: FormulaTree


FormulaTree = Term | Operation

_TOKEN = re.compile(
    r"\s*(?:(?P<number>\d+(?:\.\d+)?(?:[eE][-+]?\d+)?)|(?P<name>[A-Za-z_][A-Za-z0-9_]*)|(?P<sign><=|>=|[<>=()+*/,%‰°-]))"
)
_KEYWORDS = frozenset(
    ["and", "or", "not", "is", "in", "has", "lacks", "any", "all", "none", "of", "between", "least", "most"]
)
_LONGEST = 2000
_DEEPEST = 40


class _Reader:
    """Walks over the tokens of one text."""

    def __init__(self, text: str) -> None:
        if len(text) > _LONGEST:
            raise GrammarError(
                tr("this text is too long"), tr("keep it under {longest} characters; use a finding", longest=_LONGEST)
            )
        self.tokens: list[tuple[str, str]] = []
        position = 0
        stripped = text.rstrip()
        while position < len(stripped):
            match = _TOKEN.match(stripped, position)
            if match is None:
                raise GrammarError(
                    tr("'{written}' is not understood here", written=stripped[position:].strip()[:20]),
                    tr("use names, numbers with units, < <= > >= = and the words of the grammar"),
                )
            kind = match.lastgroup or ""
            self.tokens.append((kind, match[kind]))
            position = match.end()
        if not self.tokens:
            raise GrammarError(tr("nothing is written"), tr("write a condition such as  sulphide_share > 5 %"))
        self.at = 0
        self.depth = 0

    @property
    def next(self) -> str:
        return self.tokens[self.at][1] if self.at < len(self.tokens) else ""

    @property
    def kind(self) -> str:
        return self.tokens[self.at][0] if self.at < len(self.tokens) else ""

    def take(self) -> str:
        token = self.next
        self.at += 1
        return token

    def accept(self, *words: str) -> bool:
        texts = tuple(text for _, text in self.tokens[self.at : self.at + len(words)])
        if texts == words:
            self.at += len(words)
            return True
        return False

    def expect(self, word: str, right: str) -> None:
        if not self.accept(word):
            found = f"'{self.next}'" if self.next else tr("the end")
            raise GrammarError(tr("{found} stands where '{word}' is needed", found=found, word=word), right)

    def name(self, right: str) -> str:
        if self.kind != "name" or self.next in _KEYWORDS:
            found = f"'{self.next}'" if self.next else tr("the end")
            raise GrammarError(tr("{found} stands where a name is needed", found=found), right)
        return self.take()

    def option(self) -> str:
        """The name of an option; words of the grammar such as 'none' may be options too."""
        if self.kind != "name" or self.next in ("and", "or", "not"):
            found = f"'{self.next}'" if self.next else tr("the end")
            raise GrammarError(
                tr("{found} stands where an option is needed", found=found),
                tr("name an option of the fact or decision"),
            )
        return self.take()

    def deeper(self) -> None:
        self.depth += 1
        if self.depth > _DEEPEST:
            raise GrammarError(tr("this is nested too deeply"), tr("split it into findings"))

    def finish(self) -> None:
        if self.next:
            raise GrammarError(
                tr("'{found}' stands after the end", found=self.next), tr("join parts with 'and' or 'or'")
            )


def parse_condition(text: str) -> Written:
    """Read one condition.

    Raises:
        GrammarError: If it does not follow the grammar.
    """
    reader = _Reader(text)
    result = _either(reader)
    reader.finish()
    return result


def _either(reader: _Reader) -> Written:
    reader.deeper()
    parts = [_every(reader)]
    while reader.accept("or"):
        parts.append(_every(reader))
    reader.depth -= 1
    return parts[0] if len(parts) == 1 else AnyOf(tuple(parts))


def _every(reader: _Reader) -> Written:
    parts = [_part(reader)]
    while reader.accept("and"):
        parts.append(_part(reader))
    return parts[0] if len(parts) == 1 else AllOf(tuple(parts))


def _part(reader: _Reader) -> Written:
    if reader.accept("not"):
        reader.deeper()
        part = Not(_part(reader))
        reader.depth -= 1
        return part
    if reader.accept("("):
        inner = _either(reader)
        reader.expect(")", tr("close the parenthesis"))
        return inner
    return _test(reader, reader.name(tr("write the name of a fact, a finding or a decision")))


def _test(reader: _Reader, name: str) -> Written:
    if reader.accept("is", "not"):
        return IsOneOf(name, (reader.option(),), negated=True)
    if reader.accept("is"):
        return IsOneOf(name, (reader.option(),))
    if reader.accept("in"):
        return IsOneOf(name, _options(reader))
    if reader.accept("not", "in"):
        return IsOneOf(name, _options(reader), negated=True)
    if reader.accept("lacks"):
        return Has(name, "none", (reader.option(),))
    if reader.accept("has"):
        return _has(reader, name)
    if reader.accept("between"):
        low = _amount(reader)
        reader.expect("and", tr("write  between 5 % and 30 %"))
        return Between(name, low, _amount(reader))
    for operator in ("<=", ">=", "<", ">", "="):
        if reader.accept(operator):
            return Compares(name, operator, _amount(reader))
    return Word(name)


_AFTER_A_TEST = ("", "and", "or", ")")


def _has(reader: _Reader, name: str) -> Has:
    for how in ("any", "all", "none"):
        if reader.accept(how):
            if how != "all" and reader.next in _AFTER_A_TEST:
                return Has(name, how, ())
            reader.expect("of", tr("write  {name} has {how} of (...)", name=name, how=how))
            return Has(name, how, _options(reader))
    return Has(name, "any", (reader.option(),))


def _options(reader: _Reader) -> tuple[str, ...]:
    reader.expect("(", tr("write the options in parentheses, with commas"))
    options = [reader.option()]
    while reader.accept(","):
        options.append(reader.option())
    reader.expect(")", tr("close the list of options"))
    return tuple(options)


def _amount(reader: _Reader) -> Amount:
    sign = "-" if reader.accept("-") else ""
    if reader.kind == "number":
        number = sign + reader.take()
        return Amount(f"{number} {unit}".strip() if (unit := _unit(reader)) else number, unit)
    if sign:
        found = f"'{reader.next}'" if reader.next else tr("the end")
        raise GrammarError(
            tr("{found} stands after a sign where a number is needed", found=found),
            tr("write a number there, or subtract the name from something"),
        )
    name = reader.name(tr("write a number with a unit, or the name of a threshold"))
    return Amount(name, name=name)


def _unit(reader: _Reader) -> str:
    if reader.next in ("%", "‰"):
        return reader.take()
    unit = "°" if reader.accept("°") else ""
    if reader.kind == "name" and reader.next not in _KEYWORDS:
        unit += reader.take()
        if reader.next == "/" and reader.at + 1 < len(reader.tokens) and reader.tokens[reader.at + 1][1] in _PER:
            reader.take()
            unit += "/" + reader.take()
    return unit


_PER = ("ml", "kg", "g", "t", "cm3")


def parse_formula(text: str) -> FormulaTree:
    """Read one formula.

    Raises:
        GrammarError: If it does not follow the grammar.
    """
    reader = _Reader(text)
    result = _sum(reader)
    reader.finish()
    return result


def _sum(reader: _Reader) -> FormulaTree:
    reader.deeper()
    result = _product(reader)
    while reader.next in ("+", "-"):
        operator = reader.take()
        result = Operation(operator, result, _product(reader))  # type: ignore[arg-type]
    reader.depth -= 1
    return result


def _product(reader: _Reader) -> FormulaTree:
    result = _value(reader)
    while reader.next in ("*", "/"):
        operator = reader.take()
        result = Operation(operator, result, _value(reader))  # type: ignore[arg-type]
    return result


def _value(reader: _Reader) -> FormulaTree:
    if reader.accept("("):
        inner = _sum(reader)
        reader.expect(")", tr("close the parenthesis"))
        return inner
    for word in ("least", "most", "between"):
        if reader.accept(word):
            reader.expect("(", tr("write  {word}(a, b)", word=word))
            left = _sum(reader)
            reader.expect(",", tr("write  {word}(a, b)", word=word))
            right = _sum(reader)
            reader.expect(")", tr("close the parenthesis"))
            return Operation(word, left, right)
    return Term(_amount(reader))
