"""Whole runs of the program beside the least that any program of its packages takes."""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
CASE = ROOT / "cases" / "iron-smelt-trade-check-weights.yaml"

BARE = """
import typer
import rich.console
app = typer.Typer(add_completion=True)

@app.command()
def route(answers: str = typer.Option("", help="Answers from a file.")) -> None:
    "Ask about the batch."

@app.command()
def rules(section: str = typer.Argument("", help="The section.")) -> None:
    "Read the rules."

app()
"""
IMPORTS = "import pydantic, rich.console, typer, yaml"
# The first name loads next to nothing of pydantic; whoever declares one model loads this.
MODEL = IMPORTS + "\nclass Model(pydantic.BaseModel):\n    text: str\n"


def seconds_beside(commands: list[list[str]], runs: int, environment: dict[str, str]) -> list[float]:
    """Median processor seconds of some commands, run in turn so that a busy moment of the machine meets all of them.

    On an idle machine that is what a person waits; on a busy one the waiting says more about the others.
    """
    times: list[list[float]] = [[] for _ in commands]
    for run in range(runs + 1):
        for command, mine in zip(commands, times, strict=True):
            before = _children_seconds()
            subprocess.run(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
            if run:
                mine.append(_children_seconds() - before)
    return [statistics.median(mine) for mine in times]


def _installed(folder: str) -> dict[str, str]:
    """As where the program is installed, whatever is set here: its bytecode is written once, like that of others."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": f"{folder}/bytecode"}


def _children_seconds() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def help_seconds(runs: int = 11) -> tuple[float, float]:
    """Seconds of ``advisor --help`` and of a bare program's."""
    with tempfile.TemporaryDirectory() as folder:
        environment = _installed(folder)
        bare = Path(folder) / "bare.py"
        bare.write_text(BARE)
        commands = [[sys.executable, "-m", "advisor", "--help"], [sys.executable, str(bare), "--help"]]
        ours, theirs = seconds_beside(commands, runs, environment)
    return ours, theirs


def advice_seconds(runs: int = 11) -> tuple[float, float, float]:
    """Seconds of a whole advice from a file with a warm cache, of the bare imports, and of them with one model."""
    with tempfile.TemporaryDirectory() as folder:
        environment = {**_installed(folder), "ADVISOR_CACHE": folder, "ADVISOR_HOME": folder}
        commands = [
            [sys.executable, "-m", "advisor", "route", "--answers", str(CASE)],
            [sys.executable, "-c", IMPORTS],
            [sys.executable, "-c", MODEL],
        ]
        warm, imports, model = seconds_beside(commands, runs, environment)
    return warm, imports, model


def cold_advice_seconds(runs: int = 3) -> float:
    """Seconds of the same advice when the rules have to be read, checked and compiled."""
    with tempfile.TemporaryDirectory() as folder:
        environment = {**_installed(folder), "ADVISOR_CACHE": "/dev/null", "ADVISOR_HOME": folder}
        command = [sys.executable, "-m", "advisor", "route", "--answers", str(CASE)]
        return seconds_beside([command], runs, environment)[0]
