"""Options that several commands share, so that they are called and explained alike."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.words import tr


def _plain(typed: str | None) -> str | None:
    """What was typed in another encoding, as text that can be shown and stored."""
    return None if typed is None else typed.encode("utf-8", "replace").decode("utf-8")


RulesOption = Annotated[
    list[Path] | None,
    typer.Option(
        "--rules", metavar="DIR", help=tr("A folder with your own rules, laid over the shipped ones; repeatable.")
    ),
]
ForceOption = Annotated[
    bool, typer.Option("--force", help=tr("Write over a file of the same kind; any other is always left alone."))
]
OutputOption = Annotated[
    Path | None, typer.Option("--output", metavar="FILE", help=tr("Where to write it; '-' is standard output."))
]
JsonOption = Annotated[bool, typer.Option("--json", help=tr("Give it as one JSON document."))]
ExplainOption = Annotated[
    bool, typer.Option("--explain", help=tr("Show every test, rule, figure and source behind it."))
]
WholeOption = Annotated[bool, typer.Option("--all", help=tr("Show all of it instead of the first screen."))]
ResumeOption = Annotated[
    bool, typer.Option("--resume", help=tr("Go on with the consultation that was left, or else with the last one."))
]
SaveOption = Annotated[
    Path | None, typer.Option("--save", metavar="FILE", help=tr("Keep the answers in this file while you answer."))
]
TitleOption = Annotated[
    str | None, typer.Option("--title", metavar="NAME", help=tr("A name for the batch."), callback=_plain)
]
JournalOption = Annotated[Path | None, typer.Option("--journal", metavar="FILE", help=tr("The journal to use."))]
ByOption = Annotated[str | None, typer.Option("--by", metavar="NAME", help=tr("Who records this."), callback=_plain)]
