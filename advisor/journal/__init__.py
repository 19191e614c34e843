"""The batch journal: what was advised, weighed and found, in one file that only grows.

It is rollback-mode SQLite with ``synchronous=EXTRA``: one file to copy, and a kill at any moment loses nothing
that was acknowledged. Reading never alters it. A chain of checksums tells what was changed in it later
(``checking``). A shop's own results stand beside the plan, as the 90 % prediction
interval of one more batch (Montgomery and Runger 2003, p. 269), from three batches on; nothing feeds back on
itself.

Work that goes on notes a weight or a time as it comes, by one call:

    journal.note_at_once(batch, "Ana", read_pair("weighed.litharge=20g"))
    journal.note_at_once(batch, "Ana", read_pair("time.cupel-open=25min"))
"""

from advisor.journal.faults import JournalError, NoJournalYet
from advisor.journal.rows import Batch, Contents, Draft, Entry
from advisor.journal.store import Journal
from advisor.journal.vocabulary import read_pair

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
    "exchange",
    "gathering",
    "ledger",
    "plans",
    "plausibility",
    "read_pair",
    "rows",
    "vocabulary",
]
