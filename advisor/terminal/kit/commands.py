"""Lays a kit out: wheels, a page that says how to install, pages to print, forms to fill in."""

from __future__ import annotations

import os
import re
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from advisor import __version__, api
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.errors import InputError
from advisor.present.pages.chart import chart_html
from advisor.present.pages.kit import KitPage, kit_html
from advisor.present.pages.paper import Paper, paper_named
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import LOOKED_AT
from advisor.terminal.consult.sheet import command_for, drawn
from advisor.terminal.exit_codes import ADVICE
from advisor.terminal.form import KINDS, form_for
from advisor.terminal.kinds import DIAGNOSE
from advisor.terminal.kit.wheels import NAME, SYSTEMS, gather, own_wheel
from advisor.terminal.output import notice
from advisor.terminal.rules.trying import Judge, case_files
from advisor.words import tr

INSTALL, WHEELS, PRINTS, FORMS = "install.html", "wheels", "print", "forms"
_PYTHON = re.compile(r"3\.(1[1-9]|[2-9][0-9])")


def make_kit(folder: Path, systems: Sequence[str], pythons: Sequence[str]) -> int:
    """Make a kit in a new folder; it appears whole or not at all.

    Args:
        folder: Where; nothing may be there, or an empty folder.
        systems: The systems that it is for; without one that which this runs on.
        pythons: The versions of Python that it is for; without one that which this runs on.

    Returns:
        The exit status.

    Raises:
        InputError: If something is there, a system or Python is not known, or something could not be fetched.
    """
    for system in systems:
        if system not in SYSTEMS:
            near = closest(system, list(SYSTEMS))
            raise InputError(
                tr(
                    "--system: '{system}' is not known; use {systems}{near}",
                    system=system[:40],
                    systems=", ".join(SYSTEMS),
                    near=near,
                )
            )
    for python in pythons:
        if not _PYTHON.fullmatch(python):
            raise InputError(
                tr("--python: '{python}' is no version that will do; write 3.11 or a newer one", python=python[:40])
            )
    try:
        if folder.is_symlink() or (folder.exists() and not (folder.is_dir() and not any(folder.iterdir()))):
            raise InputError(tr("{folder} is there already and is left alone; name a new folder", folder=folder))
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".kit-", dir=folder.parent) as work:
            made = Path(work) / "kit"
            _lay_out(made, systems, pythons)
            # Where an empty folder stands, it takes its place.
            os.replace(made, folder)
    except OSError as problem:
        raise InputError(
            tr(
                "{folder} cannot be made ({strerror}); name a folder elsewhere",
                folder=folder,
                strerror=problem.strerror,
            )
        ) from None
    notice(
        tr(
            "The kit is in {folder}. Copy the whole folder, and open {install} in it with a browser.",
            folder=folder,
            install=INSTALL,
        )
    )
    return ADVICE


def _lay_out(made: Path, systems: Sequence[str], pythons: Sequence[str]) -> None:
    for name in (WHEELS, PRINTS, FORMS):
        (made / name).mkdir(parents=True)
    notice(tr("Fetching what it needs. This is the one command that uses the network."))
    gather(made / WHEELS, own_wheel(made / WHEELS), systems, pythons)
    # The shipped rules alone: a shop's own are not in the kit.
    rules, diagnosing = api.load_rules(), api.load_rules(diagnosis=True)
    page = KitPage(
        version=__version__,
        wheels=WHEELS,
        name=NAME,
        systems=tuple(systems),
        pythons=tuple(pythons) or (f"{sys.version_info.major}.{sys.version_info.minor}",),
        prints=_write_all(made, PRINTS, _prints(rules, diagnosing)),
        forms=_write_all(made, FORMS, _forms(rules, diagnosing)),
    )
    (made / INSTALL).write_text(kit_html(page), encoding="utf-8")


def _write_all(made: Path, folder: str, pages: Iterator[tuple[str, str, str]]) -> dict[str, str]:
    """Write pages, each given by file name, title and text; returns the titles by their places in the kit."""
    titles = {}
    for name, title, text in pages:
        (made / folder / name).write_text(text, encoding="utf-8")
        titles[f"{folder}/{name}"] = title
    return titles


def _prints(rules: RuleBase, diagnosing: RuleBase) -> Iterator[tuple[str, str, str]]:
    """The chart of faults, and sheets of shipped cases: one for each route, and for each look at a piece."""
    paper = paper_named("A4")
    yield "faults.html", tr("What is wrong with it? The chart of faults in pictures"), chart_html(diagnosing, paper)
    for name, document in _worked(Judge(rules, diagnosing)):
        done = document.route_title if isinstance(document, Advice) else document.remedy.title
        yield f"{name}.html", f"{done}. {document.title}", _sheet(document, paper)


def _sheet(document: Advice | Diagnosis, paper: Paper) -> str:
    return drawn(document, paper, command_for(None, document), text=False)


def _worked(judge: Judge) -> Iterator[tuple[str, Advice | Diagnosis]]:
    """The document of the first case of each route that is worked here, and of each place of a piece."""
    seen = set()
    for path in case_files().values():
        batch = judge.read(path)
        name = ""
        if batch.expected is not None and batch.expected.outcome in ("work", "first"):
            name = f"route-{batch.expected.route}"
        elif batch.diagnosis is not None:
            name = f"piece-{batch.answers.get(LOOKED_AT)}"
        if name and name not in seen:
            seen.add(name)
            yield name, replace(judge.document(path, batch), title=tr("Invented: {title}", title=batch.title))


def _forms(rules: RuleBase, diagnosing: RuleBase) -> Iterator[tuple[str, str, str]]:
    for name, kind in KINDS.items():
        yield f"{name}.yaml", f"advisor {name}", form_for(name, diagnosing if kind is DIAGNOSE else rules)
