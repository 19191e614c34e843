"""``advisor sheet``: the pages for the wall, from saved answers or straight after a consultation."""

from __future__ import annotations

import re
import shlex
import unicodedata
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.api import concluded
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.present.pages.paper import Paper, paper_named
from advisor.terminal.consult.consulting import status_of
from advisor.terminal.exit_codes import ADVICE
from advisor.terminal.kinds import DIAGNOSE, ROUTE
from advisor.terminal.output import notice, write_document
from advisor.terminal.setup import advised, given, rule_base_for
from advisor.terminal.writing import ANSWERS, SHEET, check_free, write_new
from advisor.words import tr

_LONGEST_SLUG = 50
_LONGEST_COMMAND = 90


@frozen
class SheetOptions:
    """What the command line asks of a sheet.

    Attributes:
        answers: The file of answers; without one those of the last consultation.
        observations: What was seen of a piece, for the sheet of its correction.
        faults: Whether it is the chart of faults.
        output: The file to write; ``-`` is standard output, and without one it is called after the batch.
        force: Whether a file that is there is written over.
        text: Whether it is plain text instead of HTML.
        paper: The name of the paper.
        title: What the batch is called.
        rules: Folders of rules, instead of the configured ones.
    """

    answers: Path | None = None
    observations: Path | None = None
    faults: bool = False
    output: Path | None = None
    force: bool = False
    text: bool = False
    paper: str = "A4"
    title: str | None = None
    rules: Sequence[Path] | None = None


def run_sheet(options: SheetOptions) -> int:
    """Write the sheet of saved answers or of what was seen of a piece, or the chart of faults.

    Returns:
        The exit status: that of the advice or diagnosis.

    Raises:
        InputError: If a file, the paper or an answer cannot be used.
    """
    chosen = paper_named(options.paper)
    if options.faults:
        return _run_chart(options, chosen)
    document, source = _document(options)
    if str(options.output) == "-":
        again = command_for(None if source == ROUTE.last_file else source, document)
        write_document(drawn(document, chosen, again, text=options.text))
        return status_of(document)
    path = options.output or Path(file_name(document, text=options.text))
    again = command_for(_lasting(source, path), document)
    answers = _answers_beside(source, path)
    check_free(path, SHEET, force=options.force)
    if answers is not None:
        # They come first: a sheet that names a file of other answers would mislead.
        _keep_answers(*answers, force=options.force)
    write_new(path, drawn(document, chosen, again, text=options.text), SHEET, force=options.force)
    notice(_said(path, text=options.text))
    return status_of(document)


def _document(options: SheetOptions) -> tuple[Advice | Diagnosis, Path]:
    """What the sheet condenses, and the file it comes from."""
    if options.observations is not None:
        if options.answers is not None:
            raise InputError(tr("--answers is a plan and --observations a piece; a sheet is of one of them"))
        return _diagnosed(options.observations, options.rules, options.title), options.observations
    source = options.answers or ROUTE.last_file
    if options.answers is None and not source.is_file():
        raise InputError(tr("there is no consultation yet; run  advisor route  first, or name a file with --answers"))
    rule_base = rule_base_for(options.rules)
    batch = given(source, rule_base)
    return advised(rule_base, replace(batch, title=options.title or batch.title)), source


def _diagnosed(observations: Path, rules: Sequence[Path] | None, title: str | None) -> Diagnosis:
    # The sheet of a plan needs nothing of a diagnosis.
    from advisor.terminal.consult.consulting import Options
    from advisor.terminal.consult.diagnose import DiagnoseConsulting

    consulting = DiagnoseConsulting(Options(file=observations, rules=rules, title=title), None, None)
    rule_base = rule_base_for(rules, diagnosis=True)
    batch = consulting.beginning(rule_base, given(observations, rule_base))
    return consulting.document(concluded(rule_base, batch), batch)


def _run_chart(options: SheetOptions, paper: Paper) -> int:
    """Write the chart of faults."""
    from advisor.present.pages.chart import chart_html

    drawn = chart_html(rule_base_for(options.rules, diagnosis=True), paper)
    if str(options.output) == "-":
        write_document(drawn)
    else:
        path = options.output or Path("faults.html")
        write_new(path, drawn, SHEET, force=options.force)
        notice(_said(path, text=False))
    return ADVICE


def _lasting(source: Path, sheet: Path) -> Path:
    """Where the answers of a sheet will be tomorrow: those of the last consultation are copied beside it."""
    if source != ROUTE.last_file:
        return source
    beside = sheet.with_suffix(".yaml")
    return beside if beside != sheet else sheet.with_name(f"answers-{sheet.name}")


def _answers_beside(source: Path, sheet: Path) -> tuple[Path, str] | None:
    """The file beside a sheet that keeps the answers of the last consultation, which the next one writes over.

    None where the answers lie in a file of their own.
    """
    beside = _lasting(source, sheet)
    return None if beside == source else (beside, source.read_text(encoding="utf-8"))


def _keep_answers(beside: Path, text: str, *, force: bool = False) -> None:
    """Keep answers beside their sheet; they may stand there already."""
    if not (beside.is_file() and beside.read_bytes() == text.encode()):
        write_new(beside, text, ANSWERS, force=force)


def write_offered(document: Advice | Diagnosis, answers: Path) -> str:
    """Write the sheet of a consultation that has just ended, beside what is there; returns what to say about it."""
    name = Path(file_name(document, text=False))
    places = (name, *(name.with_stem(f"{name.stem}-{number}") for number in range(2, 1000)))
    path = next((place for place in places if not place.exists() and not place.with_suffix(".yaml").exists()), name)
    try:
        again = command_for(_lasting(answers, path), document)
        if (beside := _answers_beside(answers, path)) is not None:
            _keep_answers(*beside)
        write_new(path, drawn(document, paper_named("A4"), again, text=False), SHEET)
    except InputError as problem:
        return str(problem)
    return _said(path, text=False)


def drawn(document: Advice | Diagnosis, paper: Paper, again: str, *, text: bool) -> str:
    """A document condensed to a sheet, as plain text or HTML; ``again`` is the command that shows the whole of it."""
    if text:
        from advisor.present.pages.choosing import make_sheet
        from advisor.present.pages.detail import TEXT
        from advisor.present.pages.plain import sheet_text

        return sheet_text(make_sheet(document, TEXT, again))
    # Templates take long to load.
    from advisor.present.pages.fitting import fitted_sheet
    from advisor.present.pages.html import sheet_html

    return sheet_html(fitted_sheet(document, paper, again))


def command_for(answers: Path | None, document: Advice | Diagnosis) -> str:
    """The command that shows all of it again; without the file where none can be named or typed."""
    kind = ROUTE if isinstance(document, Advice) else DIAGNOSE
    command = f"advisor {kind.command} {kind.option} {shlex.quote(str(answers))} --all"
    if answers is None or str(answers) == "-" or len(command) > _LONGEST_COMMAND or not command.isprintable():
        return f"advisor {kind.command} {kind.option} FILE --all  with the file of this batch"
    return command


def file_name(document: Advice | Diagnosis, *, text: bool) -> str:
    """The name of the file in the current folder: from the name of the batch, or else from the route."""
    route = document.route if isinstance(document, Advice) else document.remedy.chosen
    plain = unicodedata.normalize("NFKD", document.title or "").encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain)[:_LONGEST_SLUG].strip("-") or route.replace("_", "-")
    return f"sheet-{slug}.{'txt' if text else 'html'}"


def _said(path: Path, *, text: bool) -> str:
    how = (
        tr("Send it to the printer as it is.")
        if text
        else tr("Open it in a browser and print it at 100 %, black on white.")
    )
    return tr("The sheet is in {path}. {how}", path=path, how=how)
