"""Lays a kit out: wheels, a page that says how to install, pages to print, forms to fill in."""

from __future__ import annotations

import os
import re
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from advisor import __version__, api
from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.errors import InputError
from advisor.present.pages.chart import chart_html
from advisor.present.pages.kit import KitPage, kit_html
from advisor.present.pages.paper import Paper, paper_named
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.locations import shipped
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import LOOKED_AT
from advisor.terminal.consult.sheet import command_for, drawn
from advisor.terminal.exit_codes import ADVICE
from advisor.terminal.form import KINDS, form_for
from advisor.terminal.kinds import DIAGNOSE
from advisor.terminal.kit.wheels import NAME, SYSTEMS, gather, own_wheel
from advisor.terminal.output import notice

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
            raise InputError(f"--system: '{system[:40]}' is not known; use {', '.join(SYSTEMS)}{near}")
    for python in pythons:
        if not _PYTHON.fullmatch(python):
            raise InputError(f"--python: '{python[:40]}' is no version that will do; write 3.11 or a newer one")
    try:
        if folder.is_symlink() or (folder.exists() and not (folder.is_dir() and not any(folder.iterdir()))):
            raise InputError(f"{folder} is there already and is left alone; name a new folder")
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".kit-", dir=folder.parent) as work:
            made = Path(work) / "kit"
            _lay_out(made, systems, pythons)
            # Where an empty folder stands, it takes its place.
            os.replace(made, folder)
    except OSError as problem:
        raise InputError(f"{folder} cannot be made ({problem.strerror}); name a folder elsewhere") from None
    notice(f"The kit is in {folder}. Copy the whole folder, and open {INSTALL} in it with a browser.")
    return ADVICE


def _lay_out(made: Path, systems: Sequence[str], pythons: Sequence[str]) -> None:
    for name in (WHEELS, PRINTS, FORMS):
        (made / name).mkdir(parents=True)
    notice("Fetching what it needs. This is the one command that uses the network.")
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
    yield "faults.html", "What is wrong with it? The chart of faults in pictures", chart_html(diagnosing, paper)
    for route, advice in _advices(rules):
        yield f"route-{route}.html", f"{advice.route_title}. {advice.title}", _sheet(advice, paper)
    for look, diagnosis in _diagnoses(rules, diagnosing):
        yield f"piece-{look}.html", f"{diagnosis.remedy.title}. {diagnosis.title}", _sheet(diagnosis, paper)


def _sheet(document: Advice | Diagnosis, paper: Paper) -> str:
    return drawn(document, paper, command_for(None, document), text=False)


def _titled(batch: BatchFile) -> str:
    return f"Invented: {batch.title}"


def _advices(rules: RuleBase) -> Iterator[tuple[str, Advice]]:
    """The advice for the first case of each route that is worked here, with the route."""
    seen = set()
    for path in sorted(shipped("cases").glob("*.yaml")):
        batch = read_batch(path, rules)
        expected = batch.expected
        if expected is not None and expected.outcome in ("work", "first") and expected.route not in seen:
            seen.add(expected.route)
            yield expected.route, api.advise(rules, api.answers_in(rules, path), title=_titled(batch))


def _diagnoses(rules: RuleBase, diagnosing: RuleBase) -> Iterator[tuple[str, Diagnosis]]:
    """The diagnosis of the first case of each place where a piece is looked at, with the place."""
    seen = set()
    for path in sorted((shipped("cases") / "diagnosis").glob("*.yaml")):
        batch = read_batch(path, diagnosing)
        look = str(batch.answers.get(LOOKED_AT))
        if batch.diagnosis is not None and look not in seen:
            seen.add(look)
            worked = None if batch.plan is None else api.answers_in(rules, path.parent / batch.plan)
            planned = None if worked is None else api.plan_of(rules, worked)
            told = api.answers_in(diagnosing, path)
            yield look, api.diagnose(diagnosing, told, plan=planned, title=_titled(batch))


def _forms(rules: RuleBase, diagnosing: RuleBase) -> Iterator[tuple[str, str, str]]:
    for name, kind in KINDS.items():
        yield f"{name}.yaml", f"advisor {name}", form_for(name, diagnosing if kind is DIAGNOSE else rules)
