"""Answers as they stand in files: read, checked, and written again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import BaseModel, ValidationError

from advisor.engine import NOT_KNOWN, NotKnown
from advisor.errors import Fault
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import Fact, RuleBase, Several, Value
from advisor.rulebase.reading.refused import right_words
from advisor.rulebase.reading.yaml_reader import Document
from advisor.rulebase.values import ValueFault, read_value
from advisor.units import Range
from advisor.units.measures import exact_text
from advisor.words import tr

_MOST_ANSWERS = 1_000
_NOT_KNOWN_WORDS = (tr("not known").lower(), "not known", "not_known", "unknown", "don't know", "dont know", "?")


def read_answer(fact: Fact, written: Any) -> Value | NotKnown:
    """An answer as written: a value of the fact, or the words for not knowing.

    Raises:
        ValueFault: If it is neither.
    """
    if written is None:
        raise ValueFault(tr("nothing is written; give a value or write  not known"))
    if isinstance(written, str) and written.strip().lower() in _NOT_KNOWN_WORDS:
        return NOT_KNOWN
    return read_value(fact, written)


def written_answer(fact: Fact, answer: Value | NotKnown) -> Any:
    """An answer as plain data that ``read_answer`` reads back to the same answer."""
    if isinstance(answer, NotKnown):
        return "not known"
    if isinstance(answer, bool):
        return "yes" if answer else "no"
    if isinstance(answer, Several):
        return [*sorted(answer.present), *(f"{item}?" for item in sorted(answer.unsure))]
    if isinstance(answer, Range):
        assert fact.unit is not None
        return exact_text(answer, fact.unit)
    return answer


def read_answers(
    document: Document,
    written: Mapping[str, Any],
    rule_base: RuleBase,
    faults: list[Fault],
    prefix: tuple[str, ...] = ("answers",),
) -> dict[str, Value | NotKnown]:
    """The answers of a file that can be used; the others are added to the faults.

    Args:
        document: The file.
        written: Its answers.
        rule_base: The rules that declare the facts.
        faults: The list that what is wrong is added to.
        prefix: The keys that lead to the answers.
    """
    answers: dict[str, Value | NotKnown] = {}
    if len(written) > _MOST_ANSWERS:
        right = tr("give one answer to each fact; 'advisor rules list facts' shows them")
        faults.append(document.fault(prefix, "", tr("there are {answers} answers here", answers=len(written)), right))
        return {}
    for name, value in written.items():
        path = (*prefix, name)
        fact = rule_base.facts.get(name)
        if fact is None:
            faults.append(no_fact(document, path, name, rule_base))
            continue
        try:
            answers[name] = read_answer(fact, value)
        except ValueFault as problem:
            faults.append(document.fault(path, name, str(problem), tr("correct this answer")))
    return answers


def laid_over(
    under: Mapping[str, Value | NotKnown],
    own: Mapping[str, Value | NotKnown],
    unanswered: Sequence[str],
    document: Document,
    rule_base: RuleBase,
    faults: list[Fault],
) -> dict[str, Value | NotKnown]:
    """The answers of a file over those it builds on, without what it takes away.

    Args:
        under: What the file builds on.
        own: Its own answers.
        unanswered: Facts that it takes the answer away from.
        document: The file.
        rule_base: The rules that declare the facts.
        faults: The list that what is wrong is added to.
    """
    for place, name in enumerate(unanswered[:_MOST_ANSWERS]):
        path = ("unanswered", place)
        if name not in rule_base.facts:
            faults.append(no_fact(document, path, name, rule_base))
        elif name in own:
            faults.append(document.fault(path, name, tr("this file also answers it"), tr("keep one of the two")))
        elif name not in under:
            right = tr("leave it out; what nobody answers is unanswered as it is")
            faults.append(document.fault(path, name, tr("there is no answer to take away"), right))
    return {**{name: answer for name, answer in under.items() if name not in unanswered}, **own}


def no_fact(document: Document, path: tuple[str | int, ...], name: str, rule_base: RuleBase) -> Fault:
    """The fault of a name that no fact has."""
    return document.fault(
        path,
        "",
        tr("'{name}' is not a fact of the rule base", name=str(name)[:60]),
        tr("name a fact; 'advisor rules list facts' shows them") + closest(str(name), rule_base.facts),
    )


def shape_faults(
    document: Document, problem: ValidationError, shape: type[BaseModel], rule_base: RuleBase
) -> list[Fault]:
    """What is wrong with the shape of a file."""
    errors = problem.errors(include_url=False)[:_MOST_ANSWERS]
    return [_shape_fault(document, error, list(shape.model_fields), rule_base) for error in errors]


def _shape_fault(document: Document, error: Any, keys: list[str], rule_base: RuleBase) -> Fault:
    path = tuple(error["loc"])
    key = str(path[-1]) if path else ""
    if error["type"] == "extra_forbidden":
        known = tr("known keys are {keys}", keys=", ".join(keys))
        right = tr("write facts under  answers:") if key in rule_base.facts else known
        return document.fault(path, "", tr("unknown key '{key}'", key=key[:60]), right + closest(key, keys))
    if error["type"] == "missing":
        return document.fault((), "", tr("the key '{key}' is missing", key=key), tr("add it"))
    where = ".".join(map(str, path))
    if error["type"] in _WANTED:
        return document.fault(
            path,
            where,
            tr("{wanted} is wanted here", wanted=_WANTED[error["type"]]),
            _found(error.get("input")),
        )
    return document.fault(path, where, tr("this does not fit here"), right_words(error))


_WANTED = {
    "string_type": tr("text"),
    "dict_type": tr("a mapping of names and values"),
    "model_type": tr("a mapping of names and values"),
    "list_type": tr("a list"),
    "bool_type": tr("true or false"),
    "bool_parsing": tr("true or false"),
    "string_too_short": tr("some text"),
}


def _found(given: Any) -> str:
    kinds = {
        dict: tr("a mapping"),
        list: tr("a list"),
        str: tr("text"),
        bool: tr("true or false"),
        type(None): tr("nothing"),
    }
    found = kinds.get(type(given)) or tr("a number")
    return tr("found {found}; write it as in the shipped cases", found=found)
