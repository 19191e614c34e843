"""What may stand in a rule file about diagnosing what came out: causes, their signs, and what puts them right."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from advisor.rulebase.reading.entries import Condition, Name, PartsEntry, RuleEntry, Sources, Text, Written
from advisor.words import tr


class SignEntry(RuleEntry):
    """Something seen that speaks about a cause.

    Attributes:
        when: The condition under which it speaks.
        says: ``for``, ``against`` or ``rule_out``.
        strength: Named strength; only with ``for`` and ``against``.
        reason: Why it speaks so, in plain words.
        limits: When it is known to mislead.
        source: Where it comes from.
    """

    when: Condition
    says: Literal["for", "against", "rule_out"]
    strength: Name | None = None
    reason: Text
    limits: Text | None = None
    source: Sources

    @model_validator(mode="after")
    def _strength_fits_stance(self) -> SignEntry:
        if (self.strength is None) != (self.says == "rule_out"):
            raise ValueError(tr("a sign that speaks for or against needs a strength, one that rules out has none"))
        return self


class PutRightEntry(RuleEntry):
    """A correction that a cause speaks for or against.

    Attributes:
        remedy: The option of the decision about the correction.
        says: ``for``, ``against``, ``rule_out`` or ``require`` it.
        strength: Named strength; only with ``for`` and ``against``.
        when: A further condition.
        reason: Why.
        source: Where it comes from; the cause's own source if it names none.
    """

    remedy: Name
    says: Literal["for", "against", "rule_out", "require"] = "for"
    strength: Name | None = None
    when: Condition | None = None
    reason: Text
    source: Sources | None = None

    @model_validator(mode="after")
    def _strength_fits_stance(self) -> PutRightEntry:
        if (self.strength is None) != (self.says in ("rule_out", "require")):
            raise ValueError(tr("a correction spoken for or against needs a strength; require and rule_out have none"))
        return self


class NextBatchEntry(RuleEntry):
    """One changed line of the plan of the next batch.

    Attributes:
        amount: The material whose weight changes.
        step: The step that changes.
        fact: The answer that changes.
        note: A short label for a change that is none of these.
        factor: By what the planned weight is multiplied; only with ``amount``.
        do: What to do otherwise.
        when: A further condition.
        source: Where it comes from; the cause's own source if it names none.
    """

    amount: Name | None = None
    step: Written | None = None
    fact: Name | None = None
    note: Text | None = None
    factor: PartsEntry | None = None
    do: Text
    when: Condition | None = None
    source: Sources | None = None

    @model_validator(mode="after")
    def _one_line_is_named(self) -> NextBatchEntry:
        if sum(value is not None for value in (self.amount, self.step, self.fact, self.note)) != 1:
            raise ValueError(tr("name one line of the plan: amount, step, fact or note"))
        if self.factor is not None and self.amount is None:
            raise ValueError(tr("a factor belongs to an amount"))
        return self


class CauseEntry(RuleEntry):
    """Why something came out as it did.

    Attributes:
        title: Its name.
        stages: Where it shows: options of the fact that says what is looked at.
        means: What happened and why.
        names_it: Whether it says what the piece is, and not what went wrong with it; the next batch may stay as it is.
        base: Its support before any sign speaks; below zero for a rare cause.
        signs: What speaks for and against it.
        put_right: What puts this piece right.
        next_batch: What to change in the plan of the next batch.
        now_known: What it teaches about the concentrate, as answers of the route consultation.
        wrong_route: Whether the route itself was wrong.
        all_well: Whether it says that the whole of what is looked at is as it should be; never beside a fault.
        source: Where it comes from.
    """

    title: Annotated[Text, Field(max_length=80)]
    stages: Annotated[list[Name], Field(min_length=1)]
    means: Text
    names_it: bool = False
    base: Annotated[int, Field(ge=-100, le=100)] = 0
    signs: Annotated[list[SignEntry], Field(min_length=2)]
    put_right: Annotated[list[PutRightEntry], Field(min_length=1)]
    next_batch: list[NextBatchEntry] = []
    now_known: dict[Name, Any] = {}
    wrong_route: bool = False
    all_well: bool = False
    source: Sources

    @model_validator(mode="after")
    def _a_fault_changes_the_next_batch(self) -> CauseEntry:
        if not self.next_batch and not self.names_it:
            raise ValueError(tr("a cause says what changes in the next batch; add a line under next_batch"))
        return self


class PieceEntry(RuleEntry):
    """A kind of piece in hand: what it is like where the rules ask for the concentrate.

    Attributes:
        title: Its name.
        facts: Answers that stand for the piece while its correction is weighed.
    """

    title: Text
    facts: dict[Name, Any]


class FigureEntry(RuleEntry):
    """A figure that the texts of steps may show.

    Attributes:
        output: Which of the figures of the computation.
        material: The material or thing that is weighed out by it; a step that shows it says what is done with it.
        title: Its name for people.
    """

    output: Name
    material: Name | None = None
    title: Text


class CorrectionEntry(RuleEntry):
    """A computation of the metallurgy for one piece, with the answers it goes by.

    Attributes:
        computation: Name of the computation.
        inputs: For each input of the computation the fact that answers it, or a fixed value written as ``= value``.
        outputs: Its figures by the names that steps use.
    """

    computation: Name
    inputs: dict[Name, Written]
    outputs: Annotated[dict[Name, FigureEntry], Field(min_length=1)]
