"""One file format for answers, saved consultations and worked cases.

    title: Table concentrate of the morning shift
    answers:
      batch_mass: 250 g
      dryness: dry
      sulphide_minerals: [pyrite, chalcopyrite?]     # a ? means: perhaps
      arsenic_signs: not known

A worked case also holds ``description``, ``advice`` (what must come out), ``why`` and ``checked_against``. A file
that holds nothing but facts is read as answers too. With ``room`` and ``lot`` a file starts from answers that stand
elsewhere (see ``rooms``) and lists only what differs; ``unanswered`` names facts whose answer it takes away.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import field
from pathlib import Path

from pydantic import ValidationError

from advisor.advice.batches.answers import laid_over, read_answers, shape_faults, written_answer
from advisor.advice.batches.entries import CaseFile, ExpectedAdvice, ExpectedDiagnosis
from advisor.advice.batches.rooms import NamedIn, usual_answers
from advisor.advice.experience import Lesson, Way
from advisor.document import comment, json_of
from advisor.engine import Answers
from advisor.errors import Fault, FaultyFile, InputError
from advisor.frozen import frozen
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.locations import shown_name, spoken
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import Document, legible, parse_yaml, read_document
from advisor.units import Range
from advisor.words import tr

Taught = Mapping[Way, Mapping[str, Lesson]]
"""Weights that earlier batches changed, by way of working and material."""


@frozen
class BatchFile:
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
        invented: Whether it was made up for training or tests.
        carried: How many of the answers were taken from elsewhere and not asked.
        learned: Weights that the diagnosis of an earlier batch changed, by way of working and material.
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
    invented: bool = False
    carried: int = 0
    learned: Taught = field(default_factory=dict)


def read_batch(path: Path, rule_base: RuleBase, text: str | None = None) -> BatchFile:
    """Read a batch file.

    Args:
        path: The YAML or JSON file.
        rule_base: The rules that declare the facts.
        text: Content to use instead of reading the file, for standard input; rooms and lots are then the shipped ones.

    Raises:
        FaultyFile: With every fault, each with its line.
        InputError: If the file cannot be read.
    """
    name = shown_name(path)
    document = read_document(path, name) if text is None else parse_yaml(text, name)
    return batch_of(document, rule_base, path.parent if text is None else None)


def batch_of(document: Document, rule_base: RuleBase, beside: Path | None = None) -> BatchFile:
    """The batch in a document that is already read.

    Args:
        document: The document.
        rule_base: The rules that declare the facts.
        beside: The folder in which rooms and lots are looked for before the shipped ones.

    Raises:
        FaultyFile: With every fault, each with its line.
    """
    data = document.data
    if not isinstance(data, dict) or not data:
        raise InputError(
            tr(
                "{name}: this holds no answers; write  answers:  and below it  batch_mass: 250 g  and so on",
                name=document.name,
            )
        )
    if data.get("answers", ()) is None:
        # So it is with a form that nobody has filled in.
        right = tr("write below it what you know, such as  batch_mass: 250 g")
        raise FaultyFile([document.fault(("answers",), "answers", tr("nothing is filled in here"), right)])
    prefix: tuple[str, ...] = ("answers",)
    if "answers" not in data and all(key in rule_base.facts for key in data):
        data, prefix = {"answers": data}, ()
    try:
        case = CaseFile.model_validate(data)
    except ValidationError as problem:
        raise FaultyFile(shape_faults(document, problem, CaseFile, rule_base)) from None
    faults: list[Fault] = []
    own = read_answers(document, case.answers, rule_base, faults, prefix)
    answers = laid_over(_usual(document, case, rule_base, beside), own, case.unanswered, document, rule_base, faults)
    learned = _learned(document, case, rule_base, faults)
    if faults:
        raise FaultyFile(faults)
    if case.room or case.lot:
        answers = {name: answers[name] for name in rule_base.facts if name in answers}
    return BatchFile(
        title=case.title,
        answers=answers,
        description=case.description,
        expected=case.advice,
        why=case.why,
        checked_against=tuple(case.checked_against),
        name=document.name,
        plan=Path(case.plan) if case.plan else None,
        diagnosis=case.diagnosis,
        invented=case.invented is not None,
        learned=learned,
    )


def _learned(document: Document, case: CaseFile, rule_base: RuleBase, faults: list[Fault]) -> Taught:
    """The weights that an earlier batch changed; what cannot be is told."""
    found: dict[Way, dict[str, Lesson]] = {}
    for place, one in enumerate(case.learned):
        where, factor = ("learned", str(place)), one.factor
        if one.material not in rule_base.materials:
            right = tr("leave this entry out") + closest(one.material, rule_base.materials)
            faults.append(
                document.fault(where, "learned", tr("'{material}' is no material", material=one.material[:40]), right)
            )
        elif not factor.low <= factor.likely <= factor.high:
            right = tr("write low, likely and high in this order")
            faults.append(document.fault(where, "learned", tr("the factor does not rise from low to high"), right))
        else:
            amount = Range(factor.low, factor.likely, factor.high)
            way = found.setdefault(Way(one.route, one.collector, one.cupel), {})
            way[one.material] = Lesson(one.source, amount, one.because)
    return found


def _usual(document: Document, case: CaseFile, rule_base: RuleBase, beside: Path | None) -> Answers:
    """What the room and the lot that a file names answer; nothing if it names none."""
    named_in = NamedIn(document, beside, invented=case.invented is not None)
    room = usual_answers("room", case.room, named_in, rule_base) if case.room is not None else {}
    lot = usual_answers("lot", case.lot, named_in, rule_base) if case.lot is not None else {}
    return {**room, **lot}


def batch_text(
    title: str | None,
    answers: Answers,
    rule_base: RuleBase,
    command: str = "advisor route --answers",
    plan: Path | None = None,
    learned: Taught | None = None,
) -> str:
    """A batch as the text of a YAML file (each value written as JSON, which YAML reads).

    Args:
        title: What the batch is called.
        answers: The answers.
        rule_base: The rules that declare the facts.
        command: The command that reads it again.
        plan: The file of the plan that a diagnosis started from.
        learned: Weights that the diagnosis of an earlier batch changed.
    """
    again = tr("'{command} FILE' runs it again.", command=command)
    lines = [comment(f"{tr('Answers of a consultation')}; {again}")]
    if title and title.strip():
        lines.append(f"title: {json_of(legible(title))}")
    if plan is not None and str(plan) == legible(spoken(plan)):
        lines.append(f"plan: {json_of(str(plan))}")
    if learned:
        lines += ["learned:", *_learned_lines(learned)]
    if not answers:
        return "\n".join([*lines, "answers: {}", ""])
    lines.append("answers:")
    for name, answer in answers.items():
        lines.append(f"  {name}: {json_of(written_answer(rule_base.facts[name], answer))}")
    return "\n".join([*lines, ""])


def _learned_lines(learned: Taught) -> list[str]:
    """Each changed weight on a line of its own."""
    lines = []
    for way, lessons in learned.items():
        for material, lesson in lessons.items():
            factor = {"low": lesson.factor.low, "likely": lesson.factor.likely, "high": lesson.factor.high}
            of_way = {"route": way.route, "collector": way.collector, "cupel": way.cupel}
            entry = {"material": material, **of_way, "factor": factor}
            written = {**entry, "source": lesson.source, "because": lesson.because}
            lines.append(f"  - {json_of(written)}")
    return lines


def replace_file(path: Path, text: str, right: str = tr("name another file with --save")) -> None:
    """Write a text file whole or not at all.

    Args:
        path: Where.
        text: What.
        right: What to do where it cannot be written.

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
        reason = getattr(problem, "strerror", None) or tr("its text holds half a letter")
        raise InputError(
            tr("{path} cannot be written ({reason}); {right}", path=path, reason=reason, right=right)
        ) from None
