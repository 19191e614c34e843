"""Keeps the answers of a consultation in a file while they are given, so that whoever leaves can go on."""

from __future__ import annotations

import contextlib
import shlex
import time
from pathlib import Path

from advisor.advice.batches.batch_file import BatchFile, batch_text, read_batch, replace_file
from advisor.engine import Answers
from advisor.errors import InputError
from advisor.places import check_ours
from advisor.rulebase.model import RuleBase
from advisor.terminal.kinds import ConsultationKind
from advisor.terminal.output import notice
from advisor.words import one_of, tr


def kept_before(kind: ConsultationKind, rule_base: RuleBase, resume: bool, save: Path | None) -> BatchFile:
    """What was kept of a consultation that is to be gone on with; nothing when it is new.

    Where none is unfinished, the last one is taken up again.

    Raises:
        InputError: If there is nothing to go on with, a new one would overwrite a file, or another account could have
            put it there.
    """
    if save is not None:
        check_ours(save, tr("name a file in a folder of your own with --save"))
    if resume:
        places = (save,) if save is not None else (kind.unfinished_file, kind.last_file)
        kept = next((place for place in places if place.is_file()), None)
        if kept is None:
            where = one_of(map(str, places))
            raise InputError(
                tr(
                    "there is no consultation in {where}; start one with  advisor {command}",
                    where=where,
                    command=kind.command,
                )
            )
        return read_batch(kept, rule_base)
    if save is not None and save.exists():
        raise InputError(tr("{save} exists already; add --resume to go on with it, or name another file", save=save))
    return BatchFile(None, {})


def hours_since(file: Path | None) -> float:
    """Hours since a file was written; none if there is no file."""
    try:
        return 0.0 if file is None else (time.time() - file.stat().st_mtime) / 3600
    except OSError:
        return 0.0


class Keeper:
    """Writes the answers of one consultation.

    Attributes:
        kind: What kind of consultation it is.
        before: What it began with: title, answers, and the plan that some of them come from.
        file: Where the answers are kept.
        works: Whether the last answers could be kept.
        put_aside: Where an unfinished consultation goes that stands where the first answer will be kept.
    """

    def __init__(self, kind: ConsultationKind, rule_base: RuleBase, before: BatchFile, file: Path) -> None:
        self.kind = kind
        self.rule_base = rule_base
        self.before = before
        self.file = file
        self.works = True
        self.put_aside: Path | None = None

    def keep(self, answers: Answers) -> None:
        """Write the answers.

        Raises:
            InputError: If they cannot be written.
        """
        if self.put_aside is not None:
            with contextlib.suppress(OSError):
                self.file.rename(self.put_aside)
            self.put_aside = None
        self.works = False
        replace_file(self.file, self._text(answers))
        self.works = True

    def _text(self, answers: Answers) -> str:
        command = f"advisor {self.kind.command} {self.kind.option}"
        before = self.before
        return batch_text(before.title, answers, self.rule_base, command, before.plan, before.learned)

    def spare_unfinished(self) -> None:
        """Let an unfinished consultation make room when the first answer of a new one is kept; says so."""
        if not self.file.is_file():
            return
        self.put_aside = _free(self.file.parent, self.file.stem)
        notice(tr("An unfinished consultation is there. Once you answer here, go on with it by:"))
        notice(f"advisor {self.kind.command} --save {shlex.quote(str(self.put_aside))} --resume")

    def move_to(self, finished: Path, answers: Answers) -> None:
        """Keep the answers of a finished consultation in another file, so that a new one can begin.

        They stay where they were if they cannot be kept there. What stood there moves on to a file of its own.

        Raises:
            InputError: As ``keep``.
        """
        unfinished, self.file = self.file, finished
        try:
            self.works = False
            spare(finished, self._text(answers))
            self.keep(answers)
        finally:
            if not self.works:
                self.file = unfinished
        if self.works and unfinished != finished:
            with contextlib.suppress(OSError):
                unfinished.unlink(missing_ok=True)

    @property
    def holds(self) -> bool:
        """Whether the file holds answers of this consultation already."""
        return self.put_aside is None and self.file.is_file()

    @property
    def new_command(self) -> str:
        """The command that begins a new consultation."""
        return f"advisor {self.kind.command}"

    @property
    def go_on_command(self) -> str:
        """The command that goes on with the consultation."""
        own = (self.kind.unfinished_file, self.kind.last_file)
        named = "" if self.file in own else f" --save {shlex.quote(str(self.file))}"
        return f"{self.new_command}{named} --resume"

    @property
    def show_command(self) -> str:
        """The command that shows again what follows from the answers."""
        return f"advisor {self.kind.command} {self.kind.option} {shlex.quote(str(self.file))}"


def spare(finished: Path, text: str) -> None:
    """Let the last consultation make room for another, in a file of its own beside it.

    Raises:
        InputError: If it cannot be moved; then it stays.
    """
    try:
        if not finished.is_file():
            return
        stood = finished.read_bytes()
        earlier = finished.stem.replace("last", "earlier", 1)
        kept = (text.encode(), *(path.read_bytes() for path in finished.parent.glob(f"{earlier}-*.yaml")))
        if stood not in kept:
            finished.rename(_free(finished.parent, earlier))
    except OSError as problem:
        reason = problem.strerror or tr("the system gives no reason")
        raise InputError(
            tr(
                "{finished} cannot be moved out of the way ({reason}); rename it yourself",
                finished=finished,
                reason=reason,
            )
        ) from None


def _free(folder: Path, stem: str) -> Path:
    """A file that is not there yet."""
    return next(place for number in range(1, 100_000) if not (place := folder / f"{stem}-{number}.yaml").exists())


def remember(kind: ConsultationKind, rule_base: RuleBase, batch: BatchFile) -> None:
    """Keep answers that came in a file as those of the last consultation, so that it can be taken up again.

    What is invented for training is never kept so. It is no fault if they cannot be kept, since the file is there, but
    whoever counts on it is told.
    """
    if batch.invented:
        return
    keeper = Keeper(kind, rule_base, batch, kind.last_file)
    try:
        keeper.move_to(kind.last_file, batch.answers)
    except InputError as problem:
        notice(tr("These answers could not be kept as those of the last consultation: {problem}", problem=problem))
