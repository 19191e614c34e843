"""The batch journal: what was advised, weighed and found, in one file that only grows."""

from advisor.journal.faults import JournalError, NoJournalYet
from advisor.journal.rows import Batch, Contents, Draft, Entry
from advisor.journal.store import Journal

__all__ = [
    "Batch",
    "Contents",
    "Draft",
    "Entry",
    "Journal",
    "JournalError",
    "NoJournalYet",
    "accounts",
    "balance_document",
    "exporting",
    "gathering",
    "importing",
    "plans",
    "rows",
    "vocabulary",
]
