"""One file format for answers, saved consultations and worked cases.

    title: Table concentrate of the morning shift
    answers:
      batch_mass: 250 g
      dryness: dry
      sulphide_minerals: [pyrite, chalcopyrite?]     # a ? means: perhaps
      arsenic_signs: not known

A worked case also holds ``description``, ``advice`` (what must come out), ``why`` and ``checked_against``. A file
that holds nothing but facts is read as answers too.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from advisor.advice.batches.entries import CaseFile, ExpectedAdvice, ExpectedDiagnosis
from advisor.engine.state import NOT_KNOWN, Answers, NotKnown
from advisor.errors import Fault, FaultyFile, InputError
from advisor.frozen import frozen
from advisor.rulebase.facts import ValueFault, read_value
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.locations import shown_name, spoken
from advisor.rulebase.model import Fact, RuleBase, Several, Value
from advisor.rulebase.reading.yaml_reader import Document, parse_yaml, read_document
from advisor.units import Range
from advisor.units.measures import exact_text

_MOST_ANSWERS = 1_000
_NOT_KNOWN_WORDS = ("not known", "not_known", "unknown", "don't know", "dont know", "?")


@frozen
class Batch:
    """What a batch file holds.

    Attributes:
        title: What the batch is called.
        answers: The answers, in the order they were given.
        description: What it is about; in worked cases.
        expected: The advice that must come out; in worked cases.
        why: Why; in worked cases.
        checked_against: Published procedures or tables it was checked against; in worked cases.
        name: The file, as it is shown.
        plan: The file of the plan that a diagnosis starts from.
        diagnosis: The diagnosis that must come out; in worked cases.
    """

    title: str | None
    answers: Answers
    description: str | None = None
    expected: ExpectedAdvice | None = None
    why: str | None = None
    checked_against: tuple[str, ...] = ()
    name: str = ""
    plan: Path | None = None
    diagnosis: ExpectedDiagnosis | None = None


def read_batch(path: Path, rule_base: RuleBase, text: str | None = None) -> Batch:
    """Read a batch file.

    Args:
        path: The YAML or JSON file.
        rule_base: The rules that declare the facts.
        text: Content to use instead of reading the file, for standard input.

    Raises:
        FaultyFile: With every fault, each with its line.
        InputError: If the file cannot be read.
    """
    name = shown_name(path)
    document = read_document(path, name) if text is None else parse_yaml(text, name)
    return batch_of(document, rule_base)


def batch_of(document: Document, rule_base: RuleBase) -> Batch:
    """The batch in a document that is already read.

    Raises:
        FaultyFile: With every fault, each with its line.
    """
    data = document.data
    if not isinstance(data, dict) or not data:
        raise InputError(
            f"{document.name}: this holds no answers; write  answers:  and below it  batch_mass: 250 g  and so on"
        )
    if data.get("answers", ()) is None:
        # So it is with a form that nobody has filled in.
        right = "write below it what you know, such as  batch_mass: 250 g"
        raise FaultyFile([document.fault(("answers",), "answers", "nothing is filled in here", right)])
    prefix: tuple[str, ...] = ("answers",)
    if "answers" not in data and all(key in rule_base.facts for key in data):
        data, prefix = {"answers": data}, ()
    try:
        case = CaseFile.model_validate(data)
    except ValidationError as problem:
        errors = problem.errors(include_url=False)[:_MOST_ANSWERS]
        raise FaultyFile([_shape_fault(document, error, rule_base) for error in errors]) from None
    faults: list[Fault] = []
    answers = _answers(document, case.answers, rule_base, prefix, faults)
    if faults:
        raise FaultyFile(faults)
    return Batch(
        title=case.title,
        answers=answers,
        description=case.description,
        expected=case.advice,
        why=case.why,
        checked_against=tuple(case.checked_against),
        name=document.name,
        plan=Path(case.plan) if case.plan else None,
        diagnosis=case.diagnosis,
    )


def _shape_fault(document: Document, error: Any, rule_base: RuleBase) -> Fault:
    path = tuple(error["loc"])
    key = str(path[-1]) if path else ""
    if error["type"] == "extra_forbidden":
        right = (
            "write facts under  answers:"
            if key in rule_base.facts
            else "known keys are " + ", ".join(CaseFile.model_fields)
        )
        return document.fault(path, "", f"unknown key '{key[:60]}'", right + closest(key, list(CaseFile.model_fields)))
    if error["type"] == "missing":
        return document.fault((), "", f"the key '{key}' is missing", "add it")
    where = ".".join(map(str, path))
    if error["type"] in _WANTED:
        return document.fault(
            path, where, f"{_WANTED[error['type']]} is wanted here", f"found {_found(error.get('input'))}"
        )
    message = error["msg"].removeprefix("Value error, ")
    return document.fault(path, where, "this does not fit here", message[:1].lower() + message[1:])


_WANTED = {
    "string_type": "text",
    "dict_type": "a mapping of names and values",
    "model_type": "a mapping of names and values",
    "list_type": "a list",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "string_too_short": "some text",
}


def _found(given: Any) -> str:
    kinds = {dict: "a mapping", list: "a list", str: "text", bool: "true or false", type(None): "nothing"}
    return kinds.get(type(given), "a number") + "; write it as in the shipped cases"


def _answers(
    document: Document,
    written: Mapping[str, Any],
    rule_base: RuleBase,
    prefix: tuple[str, ...],
    faults: list[Fault],
) -> Answers:
    answers: dict[str, Value | NotKnown] = {}
    if len(written) > _MOST_ANSWERS:
        right = "give one answer to each fact; 'advisor rules list facts' shows them"
        faults.append(document.fault(prefix, "", f"there are {len(written)} answers here", right))
        return {}
    for name, value in written.items():
        path = (*prefix, name)
        fact = rule_base.facts.get(name)
        if fact is None:
            faults.append(
                document.fault(
                    path,
                    "",
                    f"'{str(name)[:60]}' is not a fact of the rule base",
                    "name a fact; 'advisor rules list facts' shows them" + closest(str(name), rule_base.facts),
                )
            )
            continue
        try:
            answers[name] = read_answer(fact, value)
        except ValueFault as problem:
            faults.append(document.fault(path, name, str(problem), "correct this answer"))
    return answers


def read_answer(fact: Fact, written: Any) -> Value | NotKnown:
    """An answer as written: a value of the fact, or the words for not knowing.

    Raises:
        ValueFault: If it is neither.
    """
    if written is None:
        raise ValueFault("nothing is written; give a value or write  not known")
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


def batch_text(
    title: str | None,
    answers: Answers,
    rule_base: RuleBase,
    command: str = "advisor route --answers",
    plan: Path | None = None,
) -> str:
    """A batch as the text of a YAML file (each value written as JSON, which YAML reads).

    Args:
        title: What the batch is called.
        answers: The answers.
        rule_base: The rules that declare the facts.
        command: The command that reads it again.
        plan: The file of the plan that a diagnosis started from.
    """
    lines = [f"# Answers of a consultation; '{command} FILE' runs it again."]
    if title:
        lines.append(f"title: {json.dumps(title, ensure_ascii=False)}")
    if plan is not None and str(plan) == spoken(plan):
        lines.append(f"plan: {json.dumps(str(plan), ensure_ascii=False)}")
    if not answers:
        return "\n".join([*lines, "answers: {}", ""])
    lines.append("answers:")
    for name, answer in answers.items():
        lines.append(f"  {name}: {json.dumps(written_answer(rule_base.facts[name], answer), ensure_ascii=False)}")
    return "\n".join([*lines, ""])


def replace_file(path: Path, text: str) -> None:
    """Write a text file whole or not at all.

    Raises:
        InputError: If it cannot be written.
    """
    # Loaded here: few runs write, and it brings much with it.
    import tempfile

    temporary = ""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile("w", encoding="utf-8", dir=path.parent, suffix=".new", delete=False) as file:
            temporary = file.name
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.replace(temporary, path)
    except (OSError, UnicodeError) as problem:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
        reason = getattr(problem, "strerror", None) or "its text holds half a letter"
        raise InputError(f"{path} cannot be written ({reason}); name another file with --save") from None
