"""The journal as the rest of the program uses it."""

from __future__ import annotations

import json
import sqlite3
import uuid
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from advisor.journal import sql
from advisor.journal.checking import batch_from, entry_from, faults_in
from advisor.journal.faults import JournalError
from advisor.journal.opening import WAIT_S, copy_whole, looked_at, reading, writing
from advisor.journal.rows import VALUE_KINDS, Batch, Contents, Draft, Entry, Flow, Recorded, packed, standing
from advisor.words import tr


def utc_now() -> datetime:
    """The present moment."""
    return datetime.now(UTC)


def _new_uid() -> str:
    return uuid.uuid4().hex


class Journal:
    """One journal file.

    Attributes:
        path: The file; it need not exist.
        now: Tells the time.
    """

    def __init__(
        self,
        path: Path,
        now: Callable[[], datetime] = utc_now,
        layouts: sql.Layouts = sql.LAYOUTS,
        wait_s: float = WAIT_S,
    ) -> None:
        self.path = path
        self.now = now
        self._layouts = layouts
        self._wait_s = wait_s

    def exists(self) -> bool:
        """Whether there is a file.

        Raises:
            JournalError: If something else is there.
        """
        return looked_at(self.path)

    def look(self, *, advice: bool = False) -> Contents:
        """Everything recorded; the long advice documents only when they are asked for.

        Raises:
            JournalError: If the journal cannot be read.
        """
        with reading(self.path, self._layouts, self._wait_s) as connection:
            batches = [batch_from(row) for row in connection.execute(sql.BATCHES)]
            chosen = sql.ENTRIES if advice else sql.ENTRIES_WITHOUT_ADVICE
            entries = [self._entry(row) for row in connection.execute(chosen)]
        return Contents(tuple(batches), tuple(entries))

    @contextmanager
    def flow(self) -> Iterator[Flow]:
        """Everything recorded with its documents, an entry at a time.

        Raises:
            JournalError: If the journal cannot be read.
        """
        with reading(self.path, self._layouts, self._wait_s) as connection:
            batches = (batch_from(row) for row in connection.execute(sql.BATCHES))
            entries = (self._entry(row) for row in connection.execute(sql.ENTRIES))
            yield Flow(batches, entries)

    def look_back(self, batches: int) -> Contents:
        """The last so many batches, without the long advice documents.

        Raises:
            JournalError: If the journal cannot be read.
        """
        with reading(self.path, self._layouts, self._wait_s) as connection:
            found = [batch_from(row) for row in connection.execute(sql.RECENT_BATCHES, (batches,))]
            rows = connection.execute(sql.RECENT_ENTRIES_WITHOUT_ADVICE, (batches,))
            return Contents(tuple(found), tuple(self._entry(row) for row in rows))

    def batches(self) -> tuple[Batch, ...]:
        """All batches, without what was recorded of them.

        Raises:
            JournalError: If the journal cannot be read.
        """
        with reading(self.path, self._layouts, self._wait_s) as connection:
            return tuple(batch_from(row) for row in connection.execute(sql.BATCHES))

    def entries_of(self, batch: Batch) -> tuple[Entry, ...]:
        """All entries of one batch with their documents.

        Raises:
            JournalError: If the journal cannot be read.
        """
        with reading(self.path, self._layouts, self._wait_s) as connection:
            return tuple(self._entry(row) for row in connection.execute(sql.ENTRIES_OF_BATCH, (batch.uid,)))

    def entry(self, number: int) -> Entry:
        """One entry by its number.

        Raises:
            JournalError: If there is none.
        """
        with reading(self.path, self._layouts, self._wait_s) as connection:
            row = connection.execute(sql.ENTRY_NUMBERED, (number,)).fetchone()
        if row is None:
            raise JournalError(
                tr("there is no entry {number}; 'advisor journal show BATCH' shows the numbers", number=number)
            )
        return self._entry(row)

    def last_entry(self) -> Entry | None:
        """The entry that was recorded last; None if there is none.

        Raises:
            JournalError: If the journal cannot be read.
        """
        with reading(self.path, self._layouts, self._wait_s) as connection:
            row = connection.execute(sql.LAST_ENTRY).fetchone()
        return None if row is None else self._entry(row)

    def start(
        self, name: str, who: str, drafts: Sequence[Draft] = (), day: str | None = None
    ) -> tuple[Batch, tuple[Entry, ...]]:
        """Open a batch with its first entries; all of it is recorded or nothing.

        Args:
            name: What it is called.
            who: Who opens it.
            drafts: Its first entries.
            day: The day of the work, where it is not today.

        Raises:
            JournalError: If it cannot be recorded.
        """
        at = self._moment()
        with writing(self.path, self.now, self._layouts, self._wait_s) as connection:
            uid = _new_uid()
            connection.execute(sql.ADD_BATCH, (None, uid, name, at, who, day))
            batch = batch_from(connection.execute(sql.BATCH_BY_UID, (uid,)).fetchone())
            entries = tuple(self._added(connection, uid, (who, at, day), draft) for draft in drafts)
        return batch, entries

    def add(self, batch: Batch, who: str, drafts: Sequence[Draft], day: str | None = None) -> tuple[Entry, ...]:
        """Add entries to a batch; all of them are recorded or none.

        Args:
            batch: The batch.
            who: Who records.
            drafts: What to record.
            day: The day it is about, where it is not today.

        Raises:
            JournalError: If one stands already or cannot be recorded.
        """
        at = self._moment()
        with writing(self.path, self.now, self._layouts, self._wait_s) as connection:
            for draft in drafts:
                _refuse_second(connection, batch, draft)
            return tuple(self._added(connection, batch.uid, (who, at, day), draft) for draft in drafts)

    def note_at_once(self, batch: Batch, who: str, draft: Draft, why: str = tr("noted anew")) -> Entry:
        """Record one weight or time at once; where one stands already, the new one supersedes it.

        Args:
            batch: The batch.
            who: Who records.
            draft: What was weighed or timed, for example ``read_pair("weighed.litharge=20g")``.
            why: Why it takes the place of an earlier one, if it does.

        Raises:
            JournalError: If it cannot be recorded.
        """
        there = [one for one in standing(self.entries_of(batch)) if (one.kind, one.name) == (draft.kind, draft.name)]
        if draft.kind in VALUE_KINDS and there:
            return self.amend(there[-1].number, who, why, draft)
        (entry,) = self.add(batch, who, [draft])
        return entry

    def amend(self, number: int, who: str, why: str, draft: Draft) -> Entry:
        """Add an entry that supersedes another, which stays readable.

        Raises:
            JournalError: If there is no such entry, it is amended already, or it is of another kind.
        """
        at = self._moment()
        with writing(self.path, self.now, self._layouts, self._wait_s) as connection:
            row = connection.execute(sql.ENTRY_NUMBERED, (number,)).fetchone()
            if row is None:
                raise JournalError(
                    tr("there is no entry {number}; 'advisor journal show BATCH' shows the numbers", number=number)
                )
            old = self._entry(row)
            later = connection.execute(sql.SUPERSEDED_BY, (old.uid,)).fetchone()
            if later is not None:
                raise JournalError(
                    tr(
                        "entry {number} was amended already by entry {later}; amend entry {later}",
                        number=number,
                        later=later[0],
                    )
                )
            if (draft.kind, draft.name) != (old.kind, old.name):
                raise JournalError(
                    tr(
                        "entry {number} is about {name} ({kind}) and cannot become {name_2} ({kind_2});"
                        " withdraw it with --withdraw and add a new one",
                        number=number,
                        name=old.name,
                        kind=old.kind,
                        name_2=draft.name,
                        kind_2=draft.kind,
                    )
                )
            return self._added(connection, old.batch, (who, at, old.day), draft, (old.uid, why))

    def take_in(self, recorded: Recorded, progress: Callable[[int], None] | None = None) -> tuple[int, int]:
        """Take in batches and entries from elsewhere with their identities; what is here already is left alone.

        A number that is taken here is replaced by the next free one.

        Args:
            recorded: What to take in.
            progress: Told how many batches and entries were gone through.

        Returns:
            How many batches and entries were new.

        Raises:
            JournalError: If something of the same identity is here and differs; nothing is taken in then.
        """
        done, before = [0, 0], 0
        with writing(self.path, self.now, self._layouts, self._wait_s) as connection:
            for before, batch in enumerate(recorded.batches, 1):
                done[0] += self._taken_batch(connection, batch)
                _tell(progress, before)
            for place, entry in enumerate(recorded.entries, before + 1):
                done[1] += self._taken_entry(connection, entry)
                _tell(progress, place)
            if connection.execute(sql.FOREIGN_KEYS).fetchone() is not None:
                raise JournalError(tr("an entry names a batch or an entry that is not there; nothing was taken in"))
        return done[0], done[1]

    def copy_to(self, to: Path, progress: Callable[[int, int], None] | None = None) -> None:
        """Copy the whole journal to a new file, also while others write.

        Raises:
            JournalError: If either file cannot be used.
        """
        with reading(self.path, self._layouts, self._wait_s) as connection:
            copy_whole(connection, to, progress)

    def counts(self) -> tuple[int, int]:
        """How many batches and entries there are.

        Raises:
            JournalError: If the journal cannot be read.
        """
        with reading(self.path, self._layouts, self._wait_s) as connection:
            batches, entries = connection.execute(sql.COUNTS).fetchone()
        return int(batches), int(entries)

    def faults(self) -> list[str]:
        """What is wrong with the file and what it holds; empty if nothing is.

        Raises:
            JournalError: If the journal cannot be read at all.
        """
        with reading(self.path, self._layouts, self._wait_s) as connection:
            return faults_in(connection, self.path)

    def _moment(self) -> str:
        return self.now().astimezone(UTC).isoformat(timespec="seconds")

    def _entry(self, row: Sequence[Any]) -> Entry:
        return entry_from(row, self.path)

    def _added(
        self,
        connection: sqlite3.Connection,
        batch: str,
        written: tuple[str, str, str | None],
        draft: Draft,
        amends: tuple[str | None, str | None] = (None, None),
    ) -> Entry:
        amount = draft.amount
        ends = (None, None, None) if amount is None else (amount.low, amount.likely, amount.high)
        uid = _new_uid()
        who, at, day = written
        values = (None, uid, batch, draft.kind, draft.name, draft.state, *ends, draft.unit, draft.text)
        connection.execute(sql.ADD_ENTRY, (*values, packed(draft.document), at, who, *amends, day))
        return self._entry(connection.execute(sql.ENTRY_BY_UID, (uid,)).fetchone())

    def _taken_batch(self, connection: sqlite3.Connection, batch: Batch) -> bool:
        row = connection.execute(sql.BATCH_BY_UID, (batch.uid,)).fetchone()
        if row is not None:
            _refuse_other(tr("batch {number} ({name})", number=batch.number, name=batch.name), batch_from(row), batch)
            return False
        taken = connection.execute(sql.BATCH_NUMBER_TAKEN, (batch.number,)).fetchone()
        number = None if taken else batch.number
        connection.execute(sql.ADD_BATCH, (number, batch.uid, batch.name, batch.at, batch.who, batch.day))
        return True

    def _taken_entry(self, connection: sqlite3.Connection, entry: Entry) -> bool:
        row = connection.execute(sql.ENTRY_BY_UID, (entry.uid,)).fetchone()
        if row is not None:
            _refuse_other(tr("entry {number}", number=entry.number), self._entry(row), entry)
            return False
        taken = connection.execute(sql.ENTRY_NUMBER_TAKEN, (entry.number,)).fetchone()
        values = entry.model_dump()
        values["document"] = packed(entry.document)
        values["number"] = None if taken else entry.number
        connection.execute(sql.ADD_ENTRY, tuple(values[column] for column in sql.ENTRY_COLUMNS))
        return True


def _refuse_second(connection: sqlite3.Connection, batch: Batch, draft: Draft) -> None:
    if draft.kind not in VALUE_KINDS:
        return
    row = connection.execute(sql.STANDING, (batch.uid, draft.kind, draft.name)).fetchone()
    if row is not None:
        raise JournalError(
            tr(
                "{name} stands already in batch {number} as entry {row} ({row_2});"
                " correct it with  advisor journal amend {row} ...  or give a second one as  {name}.2=...",
                name=draft.name,
                number=batch.number,
                row=row[0],
                row_2=row[1],
            )
        )


def _refuse_other(what: str, here: Batch | Entry, there: Batch | Entry) -> None:
    """Refuse something of the same identity that differs in more than its number."""
    one, other = (json.dumps(row.model_dump(exclude={"number"}), sort_keys=True) for row in (here, there))
    if one != other:
        raise JournalError(
            tr("{what} is here already and differs; nothing was taken in, take it in to an empty journal", what=what)
        )


def _tell(progress: Callable[[int], None] | None, place: int) -> None:
    if progress is not None and place % 100 == 0:
        progress(place)
