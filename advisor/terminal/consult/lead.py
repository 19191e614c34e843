"""``advisor work``: takes a plan, and leads through its work at the furnace."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from advisor.advice.documents.advice import Advice
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.journal import Batch, Journal
from advisor.journal.accounts import accounts
from advisor.journal.gathering import LOOK_BACK
from advisor.journal.plans import plan_drafts, plan_of
from advisor.terminal.consult.consulting import Options
from advisor.terminal.consult.diagnose import BatchOfJournal, run_diagnose
from advisor.terminal.consult.diagnose_journal import recorded_batch
from advisor.terminal.consult.work import Logbook, Work
from advisor.terminal.journal.commands import PlanSource, name_of, who_writes
from advisor.terminal.journal.files import open_journal
from advisor.terminal.kinds import ROUTE
from advisor.terminal.output import notice
from advisor.words import tr


@frozen
class WorkOptions:
    """What the command line asks of the work.

    Attributes:
        batch: Number or name of a batch of the journal; without it the plan of the last consultation.
        journal: The file of the journal; without one the configured one.
        by: Who works.
        rules: Folders of rules, instead of the configured ones.
    """

    batch: str | None = None
    journal: Path | None = None
    by: str | None = None
    rules: Sequence[Path] | None = None


def run_work(options: WorkOptions) -> int:
    """Lead through the work of a batch.

    Returns:
        The exit status.

    Raises:
        InputError: If there is no such batch and no plan.
    """
    who = who_writes(options.by)
    if options.batch is not None:
        recorded = recorded_batch(options.batch, options.journal, options.rules)
        if recorded.plan is None:
            raise InputError(
                tr("batch {number} holds no plan with its answers, so it cannot be led", number=recorded.batch.number)
            )
        return _led(recorded.plan.advice, Logbook(recorded.journal, recorded.batch, who))
    if not ROUTE.last_file.is_file():
        raise InputError(tr("there is no plan yet; run  advisor route  first, or name a batch of the journal"))
    advice, written = PlanSource(rules=options.rules).read()
    return lead(advice, written, open_journal(options.journal), who)


def lead(advice: Advice, written: Mapping[str, object] | None, journal: Journal, who: str) -> int:
    """Lead through the work of a plan; its batch of the journal is opened if it is not there yet."""
    try:
        logbook = Logbook(journal, _batch_of(advice, written, journal, who), who)
    except InputError as problem:
        notice(tr("Nothing of the work can be kept: {problem}", problem=problem))
        return Work(advice, None).run()
    return _led(advice, logbook)


def _led(advice: Advice, logbook: Logbook) -> int:
    of_batch = BatchOfJournal(str(logbook.batch.number), logbook.journal.path, logbook.who)
    return Work(advice, logbook, lambda: run_diagnose(Options(), plan=None, batch=of_batch)).run()


def _batch_of(advice: Advice, written: Mapping[str, object] | None, journal: Journal, who: str) -> Batch:
    """The open batch with this very plan, or a new one."""
    drafts = plan_drafts(advice, written)
    if journal.exists():
        contents = journal.look_back(LOOK_BACK)
        still_open = {account.batch.uid for account in accounts(contents) if not account.done}
        for batch in reversed(contents.batches):
            plan = plan_of(contents.of(batch))
            if batch.uid in still_open and plan is not None and plan.answers == written:
                return batch
    return journal.start(name_of(advice.title, journal), who, drafts)[0]
