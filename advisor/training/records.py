"""What one learner has answered: one file for each learner, which nobody else's run opens.

The folder is open to its owner alone (0700) and so are the files (0600). That keeps other accounts of the computer
out. It keeps nothing from somebody who works under the same account; there is no secrecy between them.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import unicodedata
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, ValidationError

from advisor.advice.batches.batch_file import replace_file
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.words import tr

LONGEST_NAME = 60
MOST_KEPT = 5000
"""So many answers are kept; the spacing needs only the cards, readiness only the last few dozen."""
_MOST_BYTES = 4_000_000


class _Kept(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class CardEntry(_Kept):
    """When one thing comes back, by the spacing.

    Attributes:
        title: What it is about.
        state: Learning 1, review 2, learning again 3.
        step: Step of the learning.
        stability: Days in which the chance of a right answer falls to nine in ten.
        difficulty: From 1 to 10.
        due: When it comes back.
        last_review: When it was answered last.
    """

    title: str
    state: Annotated[int, Field(ge=1, le=3)]
    step: Annotated[int, Field(ge=0, le=100)] | None
    stability: Annotated[float, Field(gt=0, allow_inf_nan=False)] | None
    difficulty: Annotated[float, Field(ge=1, le=10)] | None
    due: AwareDatetime
    last_review: AwareDatetime | None


class AnswerEntry(_Kept):
    """One answer: when, about what, and what it was worth."""

    at: AwareDatetime
    item: str
    mark: Literal["right", "nearly", "incomplete", "not_known", "wrong", "unsafe"]

    @property
    def kind(self) -> str:
        """The kind of drill."""
        return self.item.partition(":")[0]


class Record(_Kept):
    """Everything kept of one learner."""

    document: Literal["training record"] = "training record"
    version: Literal[1] = 1
    name: Annotated[str, Field(min_length=1, max_length=LONGEST_NAME)]
    cards: dict[str, CardEntry] = {}
    answers: tuple[AnswerEntry, ...] = ()

    def due(self, now: datetime) -> list[str]:
        """What has come back, the longest due first."""
        waiting = [(card.due, item) for item, card in self.cards.items() if card.due <= now]
        return [item for _, item in sorted(waiting)]

    def with_answer(self, answer: AnswerEntry, card: CardEntry) -> Record:
        """The record with one more answer."""
        cards = {**self.cards, answer.item: card}
        return self.model_copy(update={"cards": cards, "answers": (*self.answers, answer)[-MOST_KEPT:]})


def clean_name(typed: str) -> str:
    """A learner's name, spaces tidied.

    Raises:
        InputError: If it cannot be used.
    """
    name = " ".join(unicodedata.normalize("NFC", typed).split())
    if not name:
        raise InputError(tr("the name is empty; type a name, for example: Amina"))
    if len(name) > LONGEST_NAME:
        raise InputError(
            tr("the name has {count} letters; use at most {longest_name}", count=len(name), longest_name=LONGEST_NAME)
        )
    if any(unicodedata.category(letter) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp") for letter in name):
        raise InputError(tr("the name holds signs that cannot be shown; use letters, digits and spaces"))
    return name


def record_name(name: str) -> str:
    """The file of a learner: a readable part, and one that tells apart whom the readable part does not."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:30].strip("-") or "learner"
    return f"{slug}-{hashlib.sha256(name.casefold().encode()).hexdigest()[:10]}.json"


@frozen
class Records:
    """The folder of all records.

    Attributes:
        folder: Where they are.
    """

    folder: Path

    def path(self, name: str) -> Path:
        """The file of a learner."""
        return self.folder / record_name(name)

    def load(self, name: str) -> tuple[Record, str]:
        """The record of a learner, and a sentence if a damaged one had to be put aside.

        Raises:
            InputError: If there is a record that cannot be read.
        """
        path = self.path(name)
        if not os.path.lexists(path):
            return Record(name=name), ""
        try:
            return read_record(path), ""
        except _DamagedError as problem:
            aside = _put_aside(path)
            return Record(name=name), tr(
                "{problem} It is kept as {name}; a new record is begun.", problem=problem, name=aside.name
            )

    def keep(self, record: Record) -> None:
        """Write a record whole or not at all.

        Raises:
            InputError: If it cannot be written.
        """
        path = self.path(record.name)
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            if os.stat(self.folder).st_mode & 0o077:
                self.folder.chmod(0o700)
            replace_file(path, record.model_dump_json(indent=1) + "\n")
        except (OSError, InputError):
            raise InputError(
                tr("the record {path} cannot be written; free some room or check who may write there", path=path)
            ) from None

    def all(self) -> Iterator[Record | str]:
        """Every record for the trainer, by name; for one that cannot be read a sentence.

        Raises:
            InputError: If the folder is not yours to read.
        """
        for path in self._paths():
            try:
                yield read_record(path)
            except (_DamagedError, InputError) as problem:
                yield str(problem)

    def _paths(self) -> list[Path]:
        if not self.folder.exists():
            return []
        refused = tr("the records in {folder} are not yours to read; ask whoever runs the training", folder=self.folder)
        try:
            if hasattr(os, "geteuid") and os.geteuid() not in (0, os.stat(self.folder).st_uid):
                raise InputError(refused)
            return sorted(path for path in self.folder.iterdir() if path.suffix == ".json")
        except OSError:
            raise InputError(refused) from None


class _DamagedError(Exception):
    """A record that holds no record; the message is a sentence."""


def read_record(path: Path) -> Record:
    """The record in a file.

    Raises:
        InputError: If it cannot be read.
        _DamagedError: If it holds no record.
    """
    try:
        if not path.is_file():
            raise InputError(tr("the record {path} is not an ordinary file; move it away", path=path))
        content = path.read_bytes() if path.stat().st_size <= _MOST_BYTES else b""
    except OSError as problem:
        raise InputError(
            tr(
                "the record {path} cannot be read ({strerror}); check who may read it",
                path=path,
                strerror=problem.strerror,
            )
        ) from None
    try:
        return Record.model_validate_json(content)
    except ValidationError:
        raise _DamagedError(tr("The record {name} is damaged.", name=path.name)) from None


def _put_aside(path: Path) -> Path:
    """Move a damaged record where no run takes it for one."""
    numbers = range(1, 10_000)
    aside = next(p for n in numbers if not os.path.lexists(p := path.with_name(f"{path.stem}.damaged-{n}")))
    with contextlib.suppress(OSError):
        path.rename(aside)
    return aside


def now_utc() -> datetime:
    """The time now; the only clock of the training."""
    return datetime.now(UTC)
