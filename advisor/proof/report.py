"""What a proof says: for each promise whether it is kept, and if not, the smallest answers that show it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from advisor.engine import Answers


@dataclass(frozen=True, slots=True)
class Failure:
    """A promise that is not kept.

    Attributes:
        subject: The rule, decision or promise concerned.
        says: What is wrong, in one sentence.
        answers: Answers that show it; None where no answers can (a rule that never matters).
        before: For a comparison, the answers it is compared with.
        confirmed: Whether the inference itself, run on the answers, shows it too.
    """

    subject: str
    says: str
    answers: Answers | None = None
    before: Answers | None = None
    confirmed: bool = True


@dataclass(slots=True)
class PromiseVerdict:
    """What came of one check.

    Attributes:
        name: One word.
        promise: What was to be shown, in one sentence.
        lines: What was shown in detail.
        failures: What was found instead.
        checked: How many single questions were decided.
        seconds: How long it took.
        declared: Whether there is anything to show; "proved" of nothing would mislead.
    """

    name: str
    promise: str
    lines: list[str] = field(default_factory=list)
    failures: list[Failure] = field(default_factory=list)
    checked: int = 0
    seconds: float = 0.0
    declared: bool = True

    @property
    def proved(self) -> bool:
        """Whether nothing speaks against the promise."""
        return not self.failures


@dataclass(frozen=True, slots=True)
class Proof:
    """All checks of one rule base.

    Attributes:
        full_sets: How many full sets of answers there are, as the product of all cells.
        consistent_sets: How many of them do not contradict themselves.
        partial_sets: How many sets of answers there are with things not known.
        verdicts: The checks.
        seconds: How long all of it took.
    """

    full_sets: int
    consistent_sets: int
    partial_sets: int
    verdicts: tuple[PromiseVerdict, ...]
    seconds: float

    @property
    def proved(self) -> bool:
        """Whether every promise is kept."""
        return all(verdict.proved for verdict in self.verdicts)

    def failures(self) -> Iterable[tuple[PromiseVerdict, Failure]]:
        """Every failure with its check."""
        return ((verdict, failure) for verdict in self.verdicts for failure in verdict.failures)
