"""Reads a guide of DEVELOPERS.md and performs it on a copy of the program, as somebody would who follows it."""

from __future__ import annotations

import re
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.conftest import ROOT
from tests.terminal.program import Program, Result

_FENCE = re.compile(r"^```(?:yaml|python)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
_PLACE = re.compile(r'^# (?:(new file|at the end of) (\S+)|in (\S+), below "(.+)")\n', re.MULTILINE)
_TITLE = re.compile(r"^\*\*(A [^*]+)\.\*\* ", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Snippet:
    """Text that a guide puts into a file.

    Attributes:
        file: The file, as the guide names it.
        text: What goes there.
        new: Whether the file is made.
        below: How the line begins below which it goes; empty for the end of the file.
    """

    file: str
    text: str
    new: bool
    below: str

    def put(self, folder: Path) -> None:
        """Put it where it belongs in a copy of the program."""
        path = folder / self.file
        assert path.exists() != self.new, self.file
        lines = [] if self.new else path.read_text(encoding="utf-8").splitlines(keepends=True)
        places = [number for number, line in enumerate(lines, 1) if line.strip().startswith(self.below)]
        assert not self.below or len(places) == 1, f"{self.file}: {len(places)} lines begin with {self.below}"
        lines.insert(places[0] if self.below else len(lines), self.text)
        path.write_text("".join(lines), encoding="utf-8")


def guides() -> dict[str, tuple[Snippet, ...]]:
    """The snippets of every guide in the order they stand there, by its title."""
    document = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    section = document[document.index("## How to add") : document.index("## Conventions")]
    _, *parts = _TITLE.split(section)
    return {title: _snippets(text) for title, text in zip(parts[::2], parts[1::2], strict=True)}


def _snippets(text: str) -> tuple[Snippet, ...]:
    found = []
    for fence in _FENCE.findall(text):
        before, *parts = _PLACE.split(fence)
        assert before == "", f"a snippet names no file: {before[:60]}"
        for how, whole, within, below, content in zip(*(parts[n::5] for n in range(5)), strict=True):
            found.append(Snippet(whole or within, content, how == "new file", below or ""))
    return tuple(found)


def guide(title: str) -> tuple[Snippet, ...]:
    """The snippets of the guide whose title begins so."""
    (found,) = [snippets for name, snippets in guides().items() if name.startswith(title)]
    return found


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy of the program, which runs with rules, cases, home and cache of its own.

    Attributes:
        folder: Where it is.
    """

    folder: Path

    def run(self, *words: str | Path) -> Result:
        """Run a command of the copied program to its end."""
        own = self.folder.parent
        program = Program(home=own / "home", cache=own / "cache", folder=self.folder)
        # Another width than 80 would not fold a line that a test looks for.
        return program.run(*words, PYTHONPATH=str(self.folder), COLUMNS="200")

    def fine(self, *words: str | Path) -> Result:
        """Run a command that must end well."""
        result = self.run(*words)
        assert result.status == 0, result.out[-500:] + result.err
        return result

    def read(self, *words: str | Path) -> Any:
        """What a command gives as JSON, whatever its status says of the work."""
        result = self.run(*words, "--json")
        assert result.raw, result.err
        return result.json

    def without_faults(self) -> bool:
        """Whether ``rules check`` finds nothing."""
        return "No faults in shipped rules" in self.fine("rules", "check").out


def copied(folder: Path, snippets: Sequence[Snippet]) -> Copy:
    """A copy of the program in which a guide was performed."""
    for name in ("advisor", "rules", "cases"):
        # With what Python made of the modules, which would take it seconds again; but nothing half written.
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("*.pyc.*"))
    shutil.copy(ROOT / "pyproject.toml", folder)
    for snippet in snippets:
        snippet.put(folder)
    return Copy(folder)
