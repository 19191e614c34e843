"""How far long work has come, on a terminal."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from advisor.terminal.output import notices

Progress = Callable[[int, int], None]
"""Told how much is done, and how much there is in all."""


@contextmanager
def progress_bar(title: str, after_s: float = 0.0) -> Iterator[Progress | None]:
    """A bar on a terminal, nothing elsewhere.

    Args:
        title: What is being done.
        after_s: How long work may last before the bar is shown, in seconds.
    """
    if not notices().is_terminal:
        yield None
        return
    from rich.progress import Progress as Bar

    bar = Bar(console=notices(), transient=True)
    task = bar.add_task(title)
    started = time.monotonic()

    def show(done: int, whole: int) -> None:
        bar.update(task, completed=done, total=whole)
        if time.monotonic() - started >= after_s:
            bar.start()

    try:
        yield show
    finally:
        bar.stop()
