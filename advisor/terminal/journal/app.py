"""The commands of the journal. Each imports what it needs when it runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.terminal.helpful import HelpfulGroup
from advisor.terminal.options import ByOption, JournalOption, JsonOption, RulesOption
from advisor.words import tr

DayOption = Annotated[
    str | None, typer.Option("--day", metavar="YYYY-MM-DD", help=tr("The day of the work, where it is not today."))
]

journal_app = typer.Typer(
    subcommand_metavar="COMMAND",
    cls=HelpfulGroup,
    help=(
        tr(
            "The batch journal: what was advised, weighed out and found, in one file that only grows.\n\n"
            "The file: --journal FILE, else  journal: FILE  in the settings, else journal.sqlite in the folder"
            " for data. Exit status: 0 done, 2 bad input or a file that cannot be used, 4 left before the end."
        )
    ),
    short_help=tr("Keep the journal of your batches."),
    no_args_is_help=True,
    rich_markup_mode=None,
)


@journal_app.command(
    "start", short_help=tr("Open a batch with its plan."), help=tr("Open a batch with the advice for it.")
)
def start(
    answers: Annotated[
        Path | None,
        typer.Option("--answers", metavar="FILE", help=tr("Answers of a consultation; without it, of the last one.")),
    ] = None,
    plan: Annotated[
        Path | None, typer.Option("--plan", metavar="FILE", help=tr("A plan saved with  advisor route --json."))
    ] = None,
    name: Annotated[str | None, typer.Option("--name", metavar="NAME", help=tr("What the batch is called."))] = None,
    day: DayOption = None,
    by: ByOption = None,
    journal: JournalOption = None,
    rules: RulesOption = None,
) -> None:
    """Open a batch."""
    from advisor.terminal.journal.commands import PlanSource, Writing, start_batch

    raise typer.Exit(start_batch(PlanSource(answers, plan, rules), name, Writing(journal, by, day)))


@journal_app.command(
    "add",
    short_help=tr("Record weights, results and notes."),
    help=(
        tr(
            "Record weights, results and notes of a batch:  advisor journal add 3 bead=12.31g weighed.litharge=20g."
            " Without values you are asked one at a time: u not known, b back, q leave."
            " Without a batch it goes to the one that is open. 'advisor journal names' shows the names."
        )
    ),
)
def add(
    words: Annotated[
        list[str] | None, typer.Argument(metavar="[BATCH] [NAME=VALUE]...", help=tr("What it is."))
    ] = None,
    document: Annotated[
        Path | None,
        typer.Option("--document", metavar="FILE", help=tr("A JSON document for the diagnosis or correction given.")),
    ] = None,
    day: DayOption = None,
    by: ByOption = None,
    journal: JournalOption = None,
) -> None:
    """Record entries."""
    from advisor.terminal.journal.commands import Writing, add_entries

    raise typer.Exit(add_entries(words or [], document, Writing(journal, by, day)))


@journal_app.command("names", short_help=tr("Show the names of entries."), help=tr("Show under which names to record."))
def names() -> None:
    """Show the names of entries."""
    from advisor.terminal.journal.view import print_names

    print_names()


@journal_app.command(
    "amend",
    short_help=tr("Correct an entry; the old one stays."),
    help=tr("Correct an entry. The old one stays readable, with who corrected it, when and why."),
)
def amend(
    entry: Annotated[int, typer.Argument(metavar="ENTRY", help=tr("Number of the entry."))],
    value: Annotated[str | None, typer.Argument(metavar="[VALUE]", help=tr("What it should say."))] = None,
    why: Annotated[str | None, typer.Option("--why", metavar="TEXT", help=tr("Why it is corrected."))] = None,
    withdraw: Annotated[
        bool, typer.Option("--withdraw", help=tr("Take the entry back without another value."))
    ] = False,
    by: ByOption = None,
    journal: JournalOption = None,
) -> None:
    """Correct an entry."""
    from advisor.terminal.journal.commands import Writing, amend_entry

    raise typer.Exit(amend_entry(entry, value, why, Writing(journal, by), withdraw=withdraw))


@journal_app.command(
    "undo",
    short_help=tr("Take the last entry back."),
    help=tr("Take the last entry back. It stays readable; what it had replaced stands again."),
)
def undo(by: ByOption = None, journal: JournalOption = None) -> None:
    """Take the last entry back."""
    from advisor.terminal.journal.commands import Writing, undo_last

    raise typer.Exit(undo_last(Writing(journal, by)))


@journal_app.command("list", short_help=tr("List the batches."), help=tr("List the batches, the last ones first."))
def list_batches(
    everything: Annotated[bool, typer.Option("--all", help=tr("All of them, not only the last 30."))] = False,
    json_output: JsonOption = False,
    journal: JournalOption = None,
) -> None:
    """List the batches."""
    from advisor.terminal.journal.commands import list_all

    raise typer.Exit(list_all(everything, json_output, journal))


@journal_app.command(
    "show", short_help=tr("Show one batch as it went."), help=tr("Show one batch from advice to bead.")
)
def show(
    batch: Annotated[str, typer.Argument(metavar="BATCH", help=tr("Its number or name."))],
    json_output: JsonOption = False,
    journal: JournalOption = None,
) -> None:
    """Show one batch."""
    from advisor.terminal.journal.commands import show_batch

    raise typer.Exit(show_batch(batch, json_output, journal))


@journal_app.command(
    "balance",
    short_help=tr("Gold in and out, for one batch or over time."),
    help=tr("Gold in, gold out and losses: of one batch, or of all with a control chart."),
)
def balance(
    batch: Annotated[str | None, typer.Argument(metavar="[BATCH]", help=tr("Its number or name."))] = None,
    json_output: JsonOption = False,
    journal: JournalOption = None,
) -> None:
    """Show a balance."""
    from advisor.terminal.journal.commands import show_balance

    raise typer.Exit(show_balance(batch, json_output, journal))


@journal_app.command(
    "experience",
    short_help=tr("What your own batches say."),
    help=tr("What your finished batches say about the next one, by route, collector and cupel."),
)
def experience(journal: JournalOption = None) -> None:
    """Show the shop's experience."""
    from advisor.terminal.journal.commands import show_experience

    raise typer.Exit(show_experience(journal))


_JSON_FILE = typer.Option("--json", metavar="FILE", help=tr("One JSON file."))
_CSV_FOLDER = typer.Option("--csv", metavar="DIR", help=tr("A folder of CSV files."))


@journal_app.command(
    "export", short_help=tr("Write it all as JSON or CSV."), help=tr("Write the whole journal, without loss.")
)
def export(
    json_file: Annotated[Path | None, _JSON_FILE] = None,
    csv_folder: Annotated[Path | None, _CSV_FOLDER] = None,
    table: Annotated[
        Path | None, typer.Option("--table", metavar="FILE", help=tr("One line a batch, as CSV for a spreadsheet."))
    ] = None,
    journal: JournalOption = None,
) -> None:
    """Export the journal."""
    from advisor.terminal.journal.files import export_all

    raise typer.Exit(export_all(json_file, csv_folder, table, journal))


@journal_app.command(
    "month",
    short_help=tr("Write the page of a month for the owner."),
    help=tr(
        "Write the page of a month: batches, gold in and out, chart, what lies there and may hold gold, the shelf."
    ),
)
def month(
    month: Annotated[
        str | None, typer.Argument(metavar="[YYYY-MM]", help=tr("The month; without it this one."))
    ] = None,
    output: Annotated[Path | None, typer.Option("--output", metavar="FILE", help=tr("The file to write."))] = None,
    force: Annotated[bool, typer.Option("--force", help=tr("Write over a page that is there."))] = False,
    json_output: JsonOption = False,
    journal: JournalOption = None,
) -> None:
    """Write the page of a month."""
    from advisor.terminal.journal.files import write_month

    raise typer.Exit(write_month(month, output, journal, force=force, json_output=json_output))


@journal_app.command(
    "import",
    short_help=tr("Take in an exported journal."),
    help=tr("Take in an exported journal. What is here already is left alone; a contradiction is refused."),
)
def import_(
    json_file: Annotated[Path | None, _JSON_FILE] = None,
    csv_folder: Annotated[Path | None, _CSV_FOLDER] = None,
    journal: JournalOption = None,
) -> None:
    """Import a journal."""
    from advisor.terminal.journal.files import import_all

    raise typer.Exit(import_all(json_file, csv_folder, journal))


@journal_app.command(
    "backup", short_help=tr("Copy the journal to a new file."), help=tr("Copy the journal to a new file.")
)
def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help=tr("The new file."))],
    journal: JournalOption = None,
) -> None:
    """Back up the journal."""
    from advisor.terminal.journal.files import back_up

    raise typer.Exit(back_up(file, journal))


@journal_app.command("check", short_help=tr("Check that the file is whole."), help=tr("Check that the file is whole."))
def check(journal: JournalOption = None) -> None:
    """Check the journal."""
    from advisor.terminal.journal.files import check_file

    raise typer.Exit(check_file(journal))


@journal_app.command("path", short_help=tr("Show where the journal is."), help=tr("Show where the journal is."))
def path(journal: JournalOption = None) -> None:
    """Show the path."""
    from advisor.terminal.journal.files import show_path

    raise typer.Exit(show_path(journal))
