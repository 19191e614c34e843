"""``advisor sheet``: the pages for the wall, from saved answers or straight after a consultation."""

from __future__ import annotations

import re
import shlex
import unicodedata
from collections.abc import Sequence
from pathlib import Path

from rich.text import Text

from advisor.advice.documents.advice import Advice
from advisor.errors import InputError
from advisor.present.pages.paper import Paper, paper_named
from advisor.terminal.consult.setup import ROUTE
from advisor.terminal.exit_codes import ADVICE, STOP
from advisor.terminal.output import notices, tame, write_document
from advisor.terminal.writing import SHEET, write_new

_LONGEST_SLUG = 50
_LONGEST_COMMAND = 90


def run_sheet(
    answers: Path | None,
    output: Path | None,
    force: bool,
    text: bool,
    paper: str,
    title: str | None,
    rules: Sequence[Path] | None,
) -> int:
    """Write the sheet of saved answers.

    Returns:
        The exit status: that of the advice.

    Raises:
        InputError: If a file, the paper or an answer cannot be used.
    """
    from advisor.terminal.consult.route import advised
    from advisor.terminal.consult.setup import given, rule_base_for

    chosen = paper_named(paper)
    source = answers or ROUTE.last_file
    if answers is None and not source.is_file():
        raise InputError("there is no consultation yet; run  advisor route  first, or name a file with --answers")
    rule_base = rule_base_for(rules)
    advice = advised(rule_base, given(source, rule_base), title, ())
    drawn = draw_sheet(advice, text, chosen, command_for(source))
    if str(output) == "-":
        write_document(drawn)
    else:
        path = output or Path(file_name(advice, text))
        write_new(path, drawn, SHEET, force=force)
        notices().print(Text(tame(_said(path, text))), soft_wrap=True)
    return STOP if advice.stop else ADVICE


def write_offered(advice: Advice, answers: Path) -> str:
    """Write the sheet of a consultation that has just ended, beside what is there; returns what to say about it."""
    name = Path(file_name(advice, text=False))
    places = (name, *(name.with_stem(f"{name.stem}-{number}") for number in range(2, 1000)))
    path = next((place for place in places if not place.exists()), name)
    try:
        write_new(path, draw_sheet(advice, False, paper_named("A4"), command_for(answers)), SHEET)
    except InputError as problem:
        return str(problem)
    return _said(path, text=False)


def draw_sheet(advice: Advice, text: bool, paper: Paper, again: str) -> str:
    """The sheet as an HTML document or as plain text."""
    if text:
        from advisor.present.pages.choosing import make_sheet
        from advisor.present.pages.detail import TEXT
        from advisor.present.pages.plain import sheet_text

        return sheet_text(make_sheet(advice, TEXT, again))
    from advisor.present.pages.fitting import fitted_sheet
    from advisor.present.pages.html import sheet_html

    return sheet_html(fitted_sheet(advice, paper, again))


def command_for(answers: Path) -> str:
    """The command that shows the full advice; without the file if that is the last consultation or too long to type."""
    command = f"advisor route --answers {shlex.quote(str(answers))}"
    if str(answers) == "-" or len(command) > _LONGEST_COMMAND or not command.isprintable():
        return "advisor route --answers  and the file of this batch"
    return command


def file_name(advice: Advice, text: bool) -> str:
    """The name of the file in the current folder: from the name of the batch, or else from the route."""
    plain = unicodedata.normalize("NFKD", advice.title or "").encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain)[:_LONGEST_SLUG].strip("-") or advice.route.replace("_", "-")
    return f"sheet-{slug}.{'txt' if text else 'html'}"


def _said(path: Path, text: bool) -> str:
    how = "Send it to the printer as it is." if text else "Open it in a browser and print it at 100 %, black on white."
    return f"The sheet is in {path}. {how}"
