"""What every drill needs: both rule bases, the syllabus and the worked cases, each read when it is first wanted."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from advisor import __version__
from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.engine import Answers, Conclusions, conclude
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.locations import shipped
from advisor.rulebase.model import RuleBase
from advisor.training.syllabus import Syllabus, syllabus_of


@dataclass
class TrainingRules:
    """Where drills come from.

    Attributes:
        route: The rules of the route consultation.
        pieces: The rules of the diagnosis.
    """

    route: RuleBase
    pieces: RuleBase
    _cases: dict[Path, BatchFile] = field(default_factory=dict)

    @cached_property
    def syllabus(self) -> Syllabus:
        """What the rules say about training."""
        return syllabus_of(self.pieces)

    @cached_property
    def tables(self) -> Tables:
        """The tables of the route rules."""
        return Tables(self.route)

    @cached_property
    def batch_cases(self) -> tuple[Path, ...]:
        """The worked batches."""
        return tuple(sorted(shipped("cases").glob("*.yaml")))

    @cached_property
    def piece_cases(self) -> tuple[Path, ...]:
        """The worked pieces."""
        return tuple(sorted((shipped("cases") / "diagnosis").glob("*.yaml")))

    def case(self, path: Path) -> BatchFile:
        """A worked case, read once."""
        if path not in self._cases:
            self._cases[path] = read_batch(path, self.pieces if path in self.piece_cases else self.route)
        return self._cases[path]

    def conclude(self, base: str, answers: Answers) -> Conclusions:
        """What the engine says; the same call that the consultations make."""
        return conclude(self.pieces if base == "pieces" else self.route, answers)

    @cached_property
    def code(self) -> str:
        """Eight letters that two computers share when they draw the same drills from the same seed."""
        digest = hashlib.sha256(f"{__version__}/{self.pieces.fingerprint}".encode())
        usual = (path for kind in ("rooms", "lots") for path in sorted((shipped("cases") / kind).glob("*.yaml")))
        for path in (*self.batch_cases, *self.piece_cases, *usual):
            digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
        return digest.hexdigest()[:8]
