"""What was typed in one go, dealt out to several facts in their order: ``1 1 3 1 1 2 8h``."""

from __future__ import annotations

import re
from collections.abc import Sequence

from advisor.engine import NOT_KNOWN, NotKnown
from advisor.present.text.room import choices_in_line
from advisor.rulebase.model import Fact, Value
from advisor.rulebase.values import ValueFault
from advisor.terminal.consult.typed import read_typed
from advisor.units.measures import TO_WORDS
from advisor.words import tr

_NOT_KNOWN = ("u", "not known", tr("not known"), "unknown")

Given = list[tuple[Fact, Value | NotKnown]]


def dealt(facts: Sequence[Fact], typed: str) -> Given:
    """What was typed, dealt out to the facts in their order.

    Raises:
        ValueFault: If a part of it does not fit its fact, or more was typed than there are facts.
    """
    try:
        return [(facts[0], _read_one(facts[0], typed))]
    except ValueFault:
        words = re.split(r"\s*[,;]\s*" if re.search("[,;]", typed) else r"\s+", typed.strip())
        if len(words) < 2:
            raise
    given: Given = []
    for fact in facts:
        if not words:
            return given
        word = words.pop(0)
        while fact.entry.kind == "quantity" and words and _goes_on(fact, word, words[0]):
            word = f"{word} {words.pop(0)}"
        try:
            given.append((fact, _read_one(fact, word)))
        except ValueFault as problem:
            raise ValueFault(
                tr(
                    "{label}: {problem}; here it is  {choices_in_line}",
                    label=fact.label,
                    problem=problem,
                    choices_in_line=choices_in_line(fact),
                )
            ) from None
    if words:
        raise ValueFault(
            tr("'{words}' is left over; there are only {count} lines", words=" ".join(words)[:40], count=len(facts))
        )
    return given


def _goes_on(fact: Fact, word: str, following: str) -> bool:
    """Whether a word still belongs to an amount: its unit, or the second end of a range."""
    if TO_WORDS & {following.lower(), word.split()[-1].lower()}:
        return True
    try:
        read_typed(fact, f"{word} {following}")
    except ValueFault:
        return False
    return not following[:1].isdigit()


def _read_one(fact: Fact, typed: str) -> Value | NotKnown:
    return NOT_KNOWN if typed.lower() in _NOT_KNOWN else read_typed(fact, typed).value
