"""The journal as a file: where it is, whether it is whole, copies, export and import."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from rich.text import Text

from advisor.errors import InputError, faults_in_words
from advisor.journal import Journal
from advisor.journal.exchange.exporting import write_csv, write_json
from advisor.journal.exchange.importing import reading_export
from advisor.journal.ledger import batch_lines, lines_as_csv, month_page
from advisor.present.text.letters import tame
from advisor.present.text.page import Page
from advisor.terminal.exit_codes import ADVICE, BAD_INPUT
from advisor.terminal.journal.shelf import shelf_now
from advisor.terminal.output import notices, say_fault, screen
from advisor.terminal.output import write_json as print_json
from advisor.terminal.progress import progress_bar
from advisor.terminal.settings import journal_file
from advisor.terminal.writing import MONTH, TABLE, write_new
from advisor.words import tr, tr_many

_SAFE_PLACE = tr("Keep it on another disk or stick than the journal.")


def open_journal(named: Path | None) -> Journal:
    """The journal to use; its place is always shown."""
    path = journal_file(named)
    notices().print(Text(tame(tr("Journal: {path}", path=path))), soft_wrap=True)
    return Journal(path)


def show_path(named: Path | None) -> int:
    """Show where the journal is and what is known of it."""
    journal = Journal(journal_file(named))
    page = Page(screen())
    page.verbatim(str(journal.path))
    page.say(tr("It is there.") if journal.exists() else tr("It is not there yet;  advisor journal start  begins it."))
    page.say(tr("To move it: move this one file and name the new place with --journal,"))
    page.say(tr("or for good with a line  journal: /new/place/journal.sqlite  in the settings."))
    return ADVICE


def check_file(named: Path | None) -> int:
    """Check that the file is whole and every entry can be read."""
    journal = open_journal(named)
    with _waiting(tr("Checking")):
        faults = journal.faults()
    for fault in faults:
        say_fault(fault)
    if faults:
        say_fault(
            tr(
                "{faults_in_words} in {path}. Keep the file, and go on with your last backup.",
                faults_in_words=faults_in_words(faults),
                path=journal.path,
            )
        )
        return BAD_INPUT
    batches, entries = journal.counts()
    Page(screen()).say(tr("No faults. {size}.", size=_size(batches, entries)))
    return ADVICE


def back_up(file: Path, named: Path | None) -> int:
    """Copy the journal to a new file."""
    journal = open_journal(named)
    with progress_bar(tr("Copying")) as progress:
        journal.copy_to(file, progress)
    page = Page(screen())
    page.verbatim(tr("Copied to {file}", file=file))
    page.say(tr("The copy is whole and can be used as a journal: --journal FILE. {safe_place}", safe_place=_SAFE_PLACE))
    return ADVICE


def export_all(json_file: Path | None, csv_folder: Path | None, table: Path | None, named: Path | None) -> int:
    """Write the whole journal as JSON or CSV, or one line for each batch as a table."""
    if table is not None:
        if json_file is not None or csv_folder is not None:
            raise InputError(tr("name one place: --json FILE, --csv DIR or --table FILE"))
        return _table(table, named)
    to = _one_of(json_file, csv_folder)
    journal = open_journal(named)
    with _waiting(tr("Writing")), journal.flow() as everything:
        batches, entries = (write_json if json_file is not None else write_csv)(everything, to)
    page = Page(screen())
    page.verbatim(tr("Written to {to}", to=to))
    page.say(f"{_size(batches, entries)}. {_SAFE_PLACE}")
    return ADVICE


def _table(to: Path, named: Path | None) -> int:
    lines = batch_lines(open_journal(named).look())
    write_new(to, lines_as_csv(lines), TABLE)
    page = Page(screen())
    page.verbatim(tr("Written to {to}", to=to))
    page.say(
        tr_many(
            "{count} batch, one a line, for a spreadsheet. The whole journal: --csv DIR.",
            "{count} batches, one a line, for a spreadsheet. The whole journal: --csv DIR.",
            len(lines),
        )
    )
    return ADVICE


def write_month(month: str | None, output: Path | None, named: Path | None, *, force: bool, json_output: bool) -> int:
    """Write the page of one month."""
    journal = open_journal(named)
    wanted = month or f"{journal.now().astimezone():%Y-%m}"
    if not re.fullmatch(r"[0-9]{4}-(0[1-9]|1[0-2])", wanted):
        raise InputError(
            tr("'{wanted}' is not a month; write it like  advisor journal month 2031-05", wanted=wanted[:20])
        )
    document = month_page(journal.look(), wanted, shelf_now())
    if json_output:
        print_json(document)
        return ADVICE
    # Templates take long to load.
    from advisor.present.pages.month import month_html

    path = output or Path(f"month-{wanted}.html")
    write_new(path, month_html(document), MONTH, force=force)
    page = Page(screen())
    page.say(
        tr_many(
            "{count} batch in {wanted}. {verdict}",
            "{count} batches in {wanted}. {verdict}",
            len(document.lines),
            wanted=wanted,
            verdict=document.verdict,
        )
    )
    page.verbatim(tr("The page is in {path}", path=path))
    page.say(tr("Open it in a browser and print it at 100 %."))
    return ADVICE


def import_all(json_file: Path | None, csv_folder: Path | None, named: Path | None) -> int:
    """Take in an exported journal, after the whole of it was looked through."""
    source = _one_of(json_file, csv_folder)
    with _waiting(tr("Reading")), reading_export(source) as flow:
        there = sum(1 for _ in flow.batches), sum(1 for _ in flow.entries)
    journal = open_journal(named)
    with progress_bar(tr("Taking in")) as progress, reading_export(source) as flow:
        batches, entries = journal.take_in(flow, progress and (lambda done: progress(done, sum(there))))
    known = there[0] - batches, there[1] - entries
    page = Page(screen())
    page.say(tr("New here: {size}. Here already: {known}.", size=_size(batches, entries), known=_size(*known)))
    return ADVICE


def _size(batches: int, entries: int) -> str:
    said = tr_many("{count} batch", "{count} batches", batches), tr_many("{count} entry", "{count} entries", entries)
    return ", ".join(said)


def _one_of(json_file: Path | None, csv_folder: Path | None) -> Path:
    given = [path for path in (json_file, csv_folder) if path is not None]
    if len(given) != 1:
        raise InputError(tr("name one place: --json FILE or --csv DIR"))
    return given[0]


@contextmanager
def _waiting(title: str) -> Iterator[None]:
    """A sign that work goes on, on a terminal."""
    if not notices().is_terminal:
        yield
        return
    with notices().status(Text(title), spinner="line"):
        yield
