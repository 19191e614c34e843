"""What the guided fuzzers share. They need ``pip install atheris`` and are run by hand, not with the tests:

    python -m tests.hostile.guided_rules -max_total_time=300 FOLDER

FOLDER takes what the fuzzer finds worth keeping; it is filled from the shipped files first. Inputs are bytes: most are
read as chances for the same generators as the other runs use, so that they stay close to what is nearly right.
"""

from __future__ import annotations

import random
import sys
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from advisor.errors import AdvisorError
from tests.hostile.guard import guarded, seen


class ByteRandom(random.Random):
    """Chance that is read from bytes; when they are used up it always says nought."""

    def __init__(self, raw: bytes) -> None:
        super().__init__(0)
        self.raw, self.at = raw, 0

    def _taken(self, many: int) -> int:
        piece = self.raw[self.at : self.at + many]
        self.at += many
        return int.from_bytes(piece.ljust(many, b"\0"), "big")

    def random(self) -> float:
        """A number from 0 to 1, in steps of 1/256."""
        return self._taken(1) / 256

    def getrandbits(self, k: int, /) -> int:
        """So many bits."""
        return self._taken((k + 7) // 8) >> (-k % 8)


def fuzz(one: Callable[[bytes, Path], None], seeds: Iterable[bytes]) -> None:
    """Let the fuzzer guide itself by what the program runs through."""
    import atheris

    # A file is something found before, to be run again.
    folders = [Path(w) for w in sys.argv[1:] if not w.startswith("-") and not Path(w).is_file()]
    if folders:
        folders[0].mkdir(parents=True, exist_ok=True)
        for number, raw in enumerate(seeds):
            (folders[0] / f"seed-{number}").write_bytes(raw)
    work = Path(tempfile.mkdtemp(prefix="guided-"))

    def run(raw: bytes) -> None:
        with tempfile.TemporaryDirectory(dir=str(work)) as folder:
            tempfile.tempdir = folder
            try:
                with guarded(Path(folder)):
                    one(raw, Path(folder))
            except AdvisorError:
                pass
        if found := seen():
            raise RuntimeError(f"outside what is named: {found}")

    atheris.Setup(sys.argv, run)
    atheris.Fuzz()


def instrumented() -> Any:
    """While modules of the program are imported, so that the fuzzer sees which lines run."""
    import atheris

    return atheris.instrument_imports(include=["advisor"])
