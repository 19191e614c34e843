"""A diagnosis of a batch that stands in the journal: its plan is taken from there, and what comes out goes in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field
from datetime import datetime
from pathlib import Path

from advisor.advice.batches.batch_file import batch_of
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.next_batch import Plan
from advisor.api import concluded
from advisor.document import plain
from advisor.engine import NotKnown
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.journal import Batch, Draft, Journal
from advisor.journal.accounts import total_g
from advisor.journal.gathering import weighed_or_planned_g
from advisor.journal.plans import advice_of, plan_of
from advisor.journal.rows import standing
from advisor.rulebase.model import RuleBase, Value
from advisor.rulebase.reading.yaml_reader import Document
from advisor.terminal.journal.commands import batch_named, who_writes
from advisor.terminal.journal.files import open_journal
from advisor.terminal.output import notice
from advisor.terminal.setup import rule_base_for
from advisor.units import Range
from advisor.words import each_of, tr


@frozen
class Recorded:
    """One batch of the journal.

    Attributes:
        journal: The journal.
        batch: The batch.
        plan: The plan it was worked by; None when the journal holds none with its answers.
        weighed: What came out and was weighed, by the name of its result.
    """

    journal: Journal
    batch: Batch
    plan: Plan | None
    weighed: Mapping[str, Range] = field(default_factory=dict)

    def seen(self, rule_base: RuleBase) -> dict[str, Value | NotKnown]:
        """What the journal answers of a diagnosis: the weights that are in it already."""
        facts = {name: f"{name}_weighed" for name in self.weighed}
        return {fact: self.weighed[name] for name, fact in facts.items() if fact in rule_base.facts}

    @property
    def hours(self) -> float:
        """Hours since the batch was opened."""
        return (self.journal.now() - datetime.fromisoformat(self.batch.at)).total_seconds() / 3600


def recorded_batch(wanted: str, named: Path | None, rules: Sequence[Path] | None) -> Recorded:
    """A batch of the journal with its plan.

    Raises:
        InputError: If there is no such batch, or its plan cannot be read with today's rules.
    """
    journal = open_journal(named)
    batch = batch_named(journal, wanted)
    entries = journal.entries_of(batch)
    note = plan_of(entries)
    results = {entry.name: entry for entry in standing(entries) if entry.kind == "result" and entry.unit == "g"}
    weighed = {name: amount for name in results if (amount := total_g(results, name)) is not None and amount.low > 0}
    if note is None or note.answers is None:
        return Recorded(journal, batch, None, weighed)
    rule_base = rule_base_for(rules)
    name = tr("batch {number} of the journal", number=batch.number)
    planned = batch_of(Document(name, {"answers": dict(note.answers)}, {}), rule_base)
    conclusions = concluded(rule_base, planned)
    lay_g = weighed_or_planned_g(note, standing(entries))
    advice = advice_of(entries) or build_advice(conclusions, batch.name)
    return Recorded(journal, batch, Plan(conclusions, advice, lay_g), weighed)


def record(recorded: Recorded, diagnosis: Diagnosis, by: str | None) -> None:
    """Put a diagnosis and its correction into the journal.

    Raises:
        InputError: If it cannot be written; the diagnosis itself is already shown.
    """
    causes = "; ".join(cause.title for cause in diagnosis.causes if cause.taken) or tr("cause not clear")
    drafts = [
        Draft("diagnosis", "diagnosis", causes, document=plain(diagnosis)),
        Draft("correction", "correction", diagnosis.remedy.title),
    ]
    try:
        entries = recorded.journal.add(recorded.batch, who_writes(by), drafts)
    except InputError as problem:
        raise InputError(tr("{problem}. The diagnosis above is not in the journal", problem=problem)) from None
    numbers = each_of(str(entry.number) for entry in entries)
    notice(tr("In the journal of batch {number}: entries {numbers}.", number=recorded.batch.number, numbers=numbers))
