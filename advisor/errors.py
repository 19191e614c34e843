"""Errors a person can act on: each one is a sentence that says what is wrong, where, and what would be right."""

from __future__ import annotations

import sys
from collections.abc import Sized
from dataclasses import dataclass

from advisor.words import tr


class AdvisorError(Exception):
    """Base of every error that is shown to the user as one sentence and not as a traceback."""


class InputError(AdvisorError):
    """Something the user gave cannot be used; nothing that was recorded before is lost."""


def install_command(package: str) -> str:
    """The command that installs a package for the very Python that runs this, as it can be typed.

    A Python that some installers set up has no pip yet; it brings one along.
    """
    # Nearly no run needs it.
    import importlib.util

    python = f'"{sys.executable}"' if " " in sys.executable else sys.executable
    first = "" if importlib.util.find_spec("pip") else f"{python} -m ensurepip && "
    return f"{first}{python} -m pip install {package}"


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing wrong in a file.

    Attributes:
        file: The file as the user named it.
        line: Line in that file, counted from 1; 0 when the fault belongs to the file as a whole.
        where: The entry and field, for example ``arguments arsenic-needs-extraction, when``.
        wrong: What was found.
        right: What would be right.
    """

    file: str
    line: int
    where: str
    wrong: str
    right: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        subject = f"{self.where}: " if self.where else ""
        return f"{place}: {subject}{self.wrong}; {self.right}"


def faults_in_words(faults: Sized) -> str:
    """How many faults there are, as one says it."""
    return tr("1 fault") if len(faults) == 1 else tr("{count} faults", count=len(faults))


MOST_SHOWN = 200
"""More faults than this in one message would scroll the first ones away."""


class FaultyFile(InputError):
    """One or more files have faults; all of them are reported at once.

    Attributes:
        faults: The faults, in the order of file and line.
    """

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = tuple(sorted(faults))
        shown = [str(fault) for fault in self.faults[:MOST_SHOWN]]
        if len(self.faults) > MOST_SHOWN:
            shown.append(tr("... and {count} more faults; correct these first", count=len(self.faults) - MOST_SHOWN))
        super().__init__("\n".join(shown))
