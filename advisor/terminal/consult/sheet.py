"""``advisor sheet``: the pages for the wall, from saved answers or straight after a consultation."""

from __future__ import annotations

import re
import shlex
import unicodedata
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from advisor.advice.documents.advice import Advice
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.present.pages.paper import Paper, paper_named
from advisor.terminal.consult.consulting import status_of
from advisor.terminal.kinds import ROUTE
from advisor.terminal.output import notice, write_document
from advisor.terminal.setup import advised, given, rule_base_for
from advisor.terminal.writing import SHEET, write_new

_LONGEST_SLUG = 50
_LONGEST_COMMAND = 90


@frozen
class SheetOptions:
    """What the command line asks of a sheet.

    Attributes:
        answers: The file of answers; without one those of the last consultation.
        output: The file to write; ``-`` is standard output, and without one it is called after the batch.
        force: Whether a file that is there is written over.
        text: Whether it is plain text instead of HTML.
        paper: The name of the paper.
        title: What the batch is called.
        rules: Folders of rules, instead of the configured ones.
    """

    answers: Path | None = None
    output: Path | None = None
    force: bool = False
    text: bool = False
    paper: str = "A4"
    title: str | None = None
    rules: Sequence[Path] | None = None


def run_sheet(options: SheetOptions) -> int:
    """Write the sheet of saved answers.

    Returns:
        The exit status: that of the advice.

    Raises:
        InputError: If a file, the paper or an answer cannot be used.
    """
    chosen, output, text = paper_named(options.paper), options.output, options.text
    source = options.answers or ROUTE.last_file
    if options.answers is None and not source.is_file():
        raise InputError("there is no consultation yet; run  advisor route  first, or name a file with --answers")
    rule_base = rule_base_for(options.rules)
    batch = given(source, rule_base)
    advice = advised(rule_base, replace(batch, title=options.title or batch.title))
    again = command_for(source)
    drawn = sheet_as_text(advice, again) if text else sheet_as_html(advice, chosen, again)
    if str(output) == "-":
        write_document(drawn)
    else:
        path = output or Path(file_name(advice, text=text))
        write_new(path, drawn, SHEET, force=options.force)
        notice(_said(path, text=text))
    return status_of(advice)


def write_offered(advice: Advice, answers: Path) -> str:
    """Write the sheet of a consultation that has just ended, beside what is there; returns what to say about it."""
    name = Path(file_name(advice, text=False))
    places = (name, *(name.with_stem(f"{name.stem}-{number}") for number in range(2, 1000)))
    path = next((place for place in places if not place.exists()), name)
    try:
        write_new(path, sheet_as_html(advice, paper_named("A4"), command_for(answers)), SHEET)
    except InputError as problem:
        return str(problem)
    return _said(path, text=False)


def sheet_as_text(advice: Advice, again: str) -> str:
    """The sheet as plain text; ``again`` is the command that shows the full advice."""
    from advisor.present.pages.choosing import make_sheet
    from advisor.present.pages.detail import TEXT
    from advisor.present.pages.plain import sheet_text

    return sheet_text(make_sheet(advice, TEXT, again))


def sheet_as_html(advice: Advice, paper: Paper, again: str) -> str:
    """The sheet as an HTML document; ``again`` is the command that shows the full advice."""
    # Templates take long to load.
    from advisor.present.pages.fitting import fitted_sheet
    from advisor.present.pages.html import sheet_html

    return sheet_html(fitted_sheet(advice, paper, again))


def command_for(answers: Path) -> str:
    """The command that shows the full advice; without the file if that is the last consultation or too long to type."""
    command = f"advisor route --answers {shlex.quote(str(answers))}"
    # Tomorrow another batch stands in the file of the last consultation, and the page still hangs on the wall.
    unnamed = str(answers) in ("-", str(ROUTE.last_file), str(ROUTE.unfinished_file))
    if unnamed or len(command) > _LONGEST_COMMAND or not command.isprintable():
        return "advisor route --answers  and the file of this batch"
    return command


def file_name(advice: Advice, *, text: bool) -> str:
    """The name of the file in the current folder: from the name of the batch, or else from the route."""
    plain = unicodedata.normalize("NFKD", advice.title or "").encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain)[:_LONGEST_SLUG].strip("-") or advice.route.replace("_", "-")
    return f"sheet-{slug}.{'txt' if text else 'html'}"


def _said(path: Path, *, text: bool) -> str:
    how = "Send it to the printer as it is." if text else "Open it in a browser and print it at 100 %, black on white."
    return f"The sheet is in {path}. {how}"
