"""Measures what a user waits for and prints ratios: ``python -m tests.benchmarks.measure``.

Absolute times differ between machines; the ratios hold better. Goals: help within 1.5 times a bare typer and rich
program's help; the next question in under 10 ms on the shipped rules.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

ROOT = Path(__file__).resolve().parent.parent.parent

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


def seconds_of(command: list[str], runs: int, environment: dict[str, str]) -> float:
    """Median wall time of a command, in seconds, after one run to warm the disk."""
    times = []
    for run in range(runs + 1):
        start = time.perf_counter()
        subprocess.run(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
        if run:
            times.append(time.perf_counter() - start)
    return statistics.median(times)


def help_ratio(runs: int = 11) -> tuple[float, float]:
    """Seconds of ``advisor --help`` and of a bare program's."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with tempfile.TemporaryDirectory() as folder:
        bare = Path(folder) / "bare.py"
        bare.write_text(BARE)
        ours = seconds_of([sys.executable, "-m", "advisor", "--help"], runs, environment)
        theirs = seconds_of([sys.executable, str(bare), "--help"], runs, environment)
    return ours, theirs


def advice_seconds(runs: int = 7) -> tuple[float, float, float]:
    """Seconds of a whole advice from a file with a warm and with a cold cache, and of the bare imports."""
    case = next(iter(sorted((ROOT / "cases").glob("*.yaml"))))
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "ADVISOR_CACHE": folder, "ADVISOR_HOME": folder}
        command = [sys.executable, "-m", "advisor", "route", "--answers", str(case)]
        warm = seconds_of(command, runs, environment)
        cold = seconds_of(command, runs, {**environment, "ADVISOR_CACHE": "/dev/null"})
        imports = seconds_of([sys.executable, "-c", IMPORTS], runs, environment)
    return warm, cold, imports


def question_seconds(batches: int = 60) -> list[float]:
    """Seconds that choosing each next question took, over drawn batches."""
    from advisor.inference.conclusions import conclude
    from advisor.inference.questions import next_question
    from advisor.knowledge.loading import load_rule_base
    from tests.laws.drawing import drawn_truth

    rule_base = load_rule_base(use_cache=False)
    times: list[float] = []
    for seed in range(batches):
        truth = drawn_truth(rule_base, Random(seed), harmless=True)
        answers: dict = {}
        while True:
            start = time.perf_counter()
            question = next_question(conclude(rule_base, answers))
            times.append(time.perf_counter() - start)
            if question is None:
                break
            answers[question.fact] = truth[question.fact]
    return sorted(times)


def timed(what: Callable[[], object]) -> float:
    """Seconds that one call takes."""
    start = time.perf_counter()
    what()
    return time.perf_counter() - start


def main() -> None:
    """Print every measurement with its ratio and goal."""
    ours, theirs = help_ratio()
    say("advisor --help", f"{ours * 1000:.0f} ms", f"bare typer+rich {theirs * 1000:.0f} ms", ours / theirs, "goal 1.5")
    warm, cold, imports = advice_seconds()
    beside = f"bare imports {imports * 1000:.0f} ms"
    say("advice from a file", f"{warm * 1000:.0f} ms", beside, warm / imports, f"cold cache {cold * 1000:.0f} ms")
    times = question_seconds()
    p50, p99 = times[len(times) // 2], times[int(len(times) * 0.99)]
    say("next question", f"p50 {p50 * 1000:.2f} ms", f"p99 {p99 * 1000:.2f} ms", p99 / 0.010, "of the goal of 10 ms")
    seconds = computed_plan_seconds()
    say("computed plan", f"{seconds * 1000:.2f} ms", "goal 20 ms", seconds / 0.020, "of the goal")


def say(what: str, ours: str, beside: str, ratio: float, note: str) -> None:
    """One line of the table."""
    print(f"{what:<20} {ours:<14} {beside:<26} ratio {ratio:5.2f}   {note}")


def computed_plan_seconds(runs: int = 15) -> float:
    """Median seconds of the whole computed plan of one batch, tables loaded."""
    from advisor.knowledge.loading import load_rule_base
    from advisor.planning.computed_note import computed_note
    from advisor.planning.working import work_out
    from advisor.reckoning.book import Book
    from advisor.reckoning.document import Citer
    from tests.batches import conclusions_of

    rule_base = load_rule_base(use_cache=False)
    conclusions, book, citer = conclusions_of(rule_base), Book(rule_base), Citer(rule_base.sources)
    computed_note(work_out(conclusions, book), book, citer)
    return statistics.median(
        timed(lambda: computed_note(work_out(conclusions, book), book, citer)) for _ in range(runs)
    )


if __name__ == "__main__":
    main()
