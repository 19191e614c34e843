"""Keeps the answers of a consultation in a file while they are given, so that whoever leaves can go on."""

from __future__ import annotations

import contextlib
import shlex
import time
from pathlib import Path

from advisor.advice.batches.batch_file import BatchFile, batch_text, read_batch, replace_file
from advisor.engine import Answers
from advisor.errors import InputError
from advisor.rulebase.model import RuleBase
from advisor.terminal.kinds import ConsultationKind
from advisor.terminal.output import notice


def kept_before(kind: ConsultationKind, rule_base: RuleBase, resume: bool, save: Path | None) -> BatchFile:
    """What was kept of a consultation that is to be gone on with; nothing when it is new.

    Raises:
        InputError: If there is nothing to resume, or a new one would overwrite a file.
    """
    kept = save or kind.unfinished_file
    if resume:
        if not kept.is_file():
            raise InputError(f"there is no unfinished consultation in {kept}; start one with  advisor {kind.command}")
        return read_batch(kept, rule_base)
    if save is not None and save.exists():
        raise InputError(f"{save} exists already; add --resume to go on with it, or name another file")
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
            InputError: If they could be written before and cannot be written now; it is said once.
        """
        if self.put_aside is not None:
            with contextlib.suppress(OSError):
                self.file.rename(self.put_aside)
            self.put_aside = None
        worked, self.works = self.works, True
        try:
            replace_file(self.file, self._text(answers))
        except InputError:
            self.works = False
            if worked:
                raise

    def _text(self, answers: Answers) -> str:
        command = f"advisor {self.kind.command} {self.kind.option}"
        return batch_text(self.before.title, answers, self.rule_base, command, self.before.plan)

    def spare_unfinished(self) -> None:
        """Let an unfinished consultation make room when the first answer of a new one is kept; says so."""
        if not self.file.is_file():
            return
        places = (self.file.with_name(f"{self.file.stem}-{number}.yaml") for number in range(2, 10_000))
        self.put_aside = next(place for place in places if not place.exists())
        notice("An unfinished consultation is there. Once you answer here, go on with it by:")
        notice(f"advisor {self.kind.command} --save {shlex.quote(str(self.put_aside))} --resume")

    def move_to(self, finished: Path, answers: Answers) -> None:
        """Keep the answers of a finished consultation in another file, so that a new one can begin.

        They stay where they were if they cannot be kept there.

        Raises:
            InputError: As ``keep``.
        """
        unfinished, self.file = self.file, finished
        try:
            self.keep(answers)
        finally:
            if not self.works:
                self.file = unfinished
        if self.works:
            with contextlib.suppress(OSError):
                unfinished.unlink(missing_ok=True)

    @property
    def go_on_command(self) -> str:
        """The command that goes on with the consultation."""
        named = "" if self.file == self.kind.unfinished_file else f" --save {shlex.quote(str(self.file))}"
        return f"advisor {self.kind.command}{named} --resume"

    @property
    def show_command(self) -> str:
        """The command that shows again what follows from the answers."""
        return f"advisor {self.kind.command} {self.kind.option} {shlex.quote(str(self.file))}"
