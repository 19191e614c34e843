"""Gold rooms and lots: answers that stand once, in a file of their own, for every batch file that names them.

    title: Open shed with a licence for lead
    description: The shed of the ridge, with a hood that draws and litharge on the shelf.
    invented: true
    like: open-shed                # another room; its answers count where this one has none
    answers:
      lead_rules: permitted
    unanswered: [mould]            # takes away what the other room answers

A batch file that says ``room: open-shed`` and ``lot: ordinary`` starts from both and lists only what differs. A file
that names neither takes nothing from here: what nobody answered stays unanswered, and counts as dangerous.

What is invented for training never reaches the advice for a true batch: a file that names an invented room or lot
says ``invented`` itself, or is refused.

``NAME.yaml`` is looked for in the folder ``rooms`` (or ``lots``) beside the file that names it, in that of the folder
above, and then among the shipped ones. A room may also be named as a file: ``room: ../our-room.yaml``, seen from the
folder of the file that names it. How it is tonight (the floor, the hood, the people) is no matter of a room: only an
invented one may answer it, for the night that its cases tell of.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from pydantic import ValidationError

from advisor.advice.batches.answers import laid_over, read_answers, shape_faults
from advisor.advice.batches.entries import UsualFile
from advisor.engine import NotKnown
from advisor.errors import Fault, FaultyFile, InputError
from advisor.frozen import frozen
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.locations import shipped, shown_name
from advisor.rulebase.model import Fact, RuleBase, Value
from advisor.rulebase.reading.yaml_reader import Document, read_document
from advisor.words import tr

Kind = Literal["room", "lot"]
Chain = list[tuple[Document, UsualFile]]

_FOLDERS: dict[Kind, str] = {"room": "rooms", "lot": "lots"}
_CALLED = {"room": tr("room"), "lot": tr("lot")}
_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_MOST_NAMED = 30
_ENDINGS = (".yaml", ".yml")


@frozen
class NamedIn:
    """The file that names a room or a lot.

    Attributes:
        document: The file.
        beside: Its folder; None if it came without one, and then only the shipped rooms and lots are there.
        invented: Whether it is invented itself.
    """

    document: Document
    beside: Path | None
    invented: bool


def usual_answers(kind: Kind, name: str, named_in: NamedIn, rule_base: RuleBase) -> dict[str, Value | NotKnown]:
    """What a room or a lot answers, with what it takes from the one it is like.

    Args:
        kind: Which of the two.
        name: Its name.
        named_in: The file that names it.
        rule_base: The rules that declare the facts.

    Raises:
        FaultyFile: With every fault, each with its line.
    """
    return answers_of(kind, usual_files(kind, name, named_in, rule_base), named_in, rule_base)


def answers_of(kind: Kind, chain: Chain, named_in: NamedIn, rule_base: RuleBase) -> dict[str, Value | NotKnown]:
    """What the file of a room or a lot answers, laid over those it is like.

    Args:
        kind: Which of the two.
        chain: The file, followed by those it is like.
        named_in: The file that names it.
        rule_base: The rules that declare the facts.

    Raises:
        FaultyFile: With every fault, each with its line.
    """
    answers: dict[str, Value | NotKnown] = {}
    faults: list[Fault] = []
    for document, entry in reversed(chain):
        if entry.invented and not named_in.invented:
            wrong = tr(
                "the {kind} '{title}' is invented for training, and this batch is not",
                kind=_CALLED[kind],
                title=entry.title,
            )
            right = tr("answer for your own, here or in a file of your own; a batch for training says  invented:")
            faults.append(named_in.document.fault((kind,), kind, wrong, right))
        own = read_answers(document, entry.answers, rule_base, faults)
        faults += [fault for name in own if (fault := _of_another(kind, entry, document, rule_base.facts[name]))]
        answers = laid_over(answers, own, entry.unanswered, document, rule_base, faults)
    if faults:
        raise FaultyFile(faults)
    return answers


def _of_another(kind: Kind, entry: UsualFile, document: Document, fact: Fact) -> Fault | None:
    """What is wrong with an answer that does not belong into the file of a room or a lot; None if it does."""
    other, path = fact.entry.belongs_to, ("answers", fact.name)
    if other == kind or (kind == "room" and other == "tonight" and entry.invented):
        return None
    if other == "tonight":
        wrong = tr("this can differ from night to night, so it is not kept")
        return document.fault(path, fact.name, wrong, tr("answer it in the batch file"))
    right = tr("answer it in a {kind} or in the batch file", kind=_CALLED[other])
    return document.fault(path, fact.name, tr("this is a fact of the {kind}", kind=_CALLED[other]), right)


def usual_files(kind: Kind, name: str, named_in: NamedIn, rule_base: RuleBase) -> Chain:
    """The file of a room or a lot, followed by those it is like.

    Raises:
        FaultyFile: If one of them is missing, is named again, or has not the right shape.
    """
    beside = named_in.beside
    own = () if beside is None else (beside / _FOLDERS[kind], beside.parent / _FOLDERS[kind])
    folders = (*own, shipped("cases") / _FOLDERS[kind])
    document = named_in.document
    if kind == "room" and beside is not None and name.endswith(_ENDINGS):
        path = _named_file(name, beside, document)
    else:
        path = _file_of(kind, str(name), folders, document, kind)
    return chain_from(kind, path, folders[-1], rule_base)


def chain_from(kind: Kind, path: Path, shipped_ones: Path, rule_base: RuleBase) -> Chain:
    """A file of a room or a lot, followed by those it is like: beside it, or among the shipped ones.

    Raises:
        FaultyFile: If one of them is missing, is named again, or has not the right shape.
    """
    chain: Chain = []
    seen: list[Path] = []
    while True:
        seen.append(path)
        document = read_document(path, shown_name(path))
        entry = _entry_of(document, rule_base)
        chain.append((document, entry))
        if entry.like is None:
            return chain
        path = _file_of(kind, entry.like, (path.parent, shipped_ones), document, "like")
        if path in seen:
            right = tr("leave out  like:  in one of {files}", files=", ".join(one.stem for one in seen))
            wrong = tr("the {kind} '{like}' comes to be like itself", kind=_CALLED[kind], like=entry.like)
            raise FaultyFile([document.fault(("like",), "like", wrong, right)])


def _named_file(name: str, beside: Path, document: Document) -> Path:
    """The file of a room that is named as one, seen from the folder of the file that names it."""
    try:
        path = beside / Path(name).expanduser()
    except RuntimeError:
        wrong = tr("'{name}' names a home folder that is not known here", name=name[:60])
        raise FaultyFile([document.fault(("room",), "room", wrong, tr("write the whole path"))]) from None
    if not path.is_file():
        right = tr("name the file of a gold room; 'advisor room' says where yours is")
        raise FaultyFile([document.fault(("room",), "room", tr("there is no file '{name}'", name=name[:200]), right)])
    return path


def _file_of(kind: Kind, name: str, folders: Sequence[Path], document: Document, key: str) -> Path:
    """The file with a name. It is a name and never a path, so no other folder is ever reached."""
    if len(name) > 100 or not _NAME.fullmatch(name):
        right = tr("give the name of its file alone, without folder and ending: small letters, digits and single -")
        raise FaultyFile(
            [
                document.fault(
                    (key,),
                    key,
                    tr("'{name}' cannot be the name of a {kind}", name=name[:60], kind=_CALLED[kind]),
                    right,
                )
            ]
        )
    for folder in folders:
        path = folder / f"{name}.yaml"
        if path.is_file():
            return path
    names = sorted({path.stem for folder in folders for path in folder.glob("*.yaml") if _NAME.fullmatch(path.stem)})
    right = tr("known are {names}", names=", ".join(names[:_MOST_NAMED])) + closest(name, names)
    wrong = tr(
        "there is no {kind} '{name}' in {folder}/ beside this file, nor among the shipped ones",
        kind=_CALLED[kind],
        name=name,
        folder=_FOLDERS[kind],
    )
    raise FaultyFile([document.fault((key,), key, wrong, right)])


def _entry_of(document: Document, rule_base: RuleBase) -> UsualFile:
    if not isinstance(document.data, dict):
        raise InputError(
            tr("{name}: this holds no answers; write  answers:  and below it one answer a line", name=document.name)
        )
    try:
        return UsualFile.model_validate(document.data)
    except ValidationError as problem:
        raise FaultyFile(shape_faults(document, problem, UsualFile, rule_base)) from None
