"""The plug pulled at random moments: ``python -m tests.hostile.kills [--work 500] [--writers 500] [--seed N]``.

What the program had said it kept stands in the journal afterwards, once; the journal is sound; and the work by phases
goes on at the screen where it was left, or at the next one where the plug came between a mark and its screen.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import select
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from advisor.errors import AdvisorError
from advisor.journal import Draft, Journal
from tests.conftest import ROOT
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program

CASE = ROOT / "cases" / "iron-smelt-trade-check-weights.yaml"
WRITERS = 8
_PLACE = re.compile(r"\d+ of \d+(?=\s*\n)")
_LONGEST_S = 0.08
"""The plug comes within this time of the last key; a screen takes less than that."""


class Work:
    """The work of one batch, led until the plug is pulled, again and again."""

    def __init__(self, quick: Preloaded, program: Program, dice: random.Random) -> None:
        self.quick, self.program, self.dice = quick, program, dice
        begun = quick.run("journal", "start", "--answers", CASE, "--by", "Ana", at=program)
        assert begun.status == 0, begun.err
        self.journal = Journal(program.home / "journal.sqlite")
        (self.batch,) = self.journal.batches()
        self.screens: dict[int, str] = {}
        self.said = 0
        self.over = False

    def marks(self) -> int:
        """How many screens are done, as the journal has it."""
        return sum(entry.name == "work" for entry in self.journal.entries_of(self.batch))

    def remarks(self) -> list[str]:
        """The remarks that the journal holds."""
        return [entry.text for entry in self.journal.entries_of(self.batch) if entry.text.startswith("remark ")]

    def pull(self) -> Iterator[str]:
        """Go on with the work, pull the plug somewhere, and say what is not as it should be."""
        before, noted = self.marks(), len(self.remarks())
        talk = self.quick.talk(self.program, "1", "--by", "Ana", command="work")
        # The plug may have come between the last mark and the last word.
        self.over = talk.ended
        if not self.over:
            yield from self._place(talk.shown, before)
        done = kept = 0
        for _ in range(0 if self.over else self.dice.randrange(4)):
            if self.dice.random() < 0.3:
                self.said += 1
                talk.say("1")
                kept += "It is kept." in talk.say(f"remark {self.said}")
            else:
                talk.say("")
                done += 1
            if talk.ended:
                self.over = True
                break
        # Mostly the plug comes while a key is being obeyed.
        last = not talk.ended and self.dice.random() < 0.7
        if last:
            talk.process.sendline("")
        time.sleep(self.dice.random() * _LONGEST_S)
        _ = talk.status
        found, remarks = self.marks() - before, self.remarks()
        if found not in (done, done + last):
            yield f"{done} screens were done and {found} are marked"
        if len(remarks) - noted != kept or len(set(remarks)) != len(remarks):
            yield f"{kept} remarks were kept and {len(remarks) - noted} are there"
        yield from (f"journal: {fault}" for fault in self.journal.faults())

    def _place(self, seen: str, marks: int) -> Iterator[str]:
        """The same number of screens done leads to the same screen, whoever was interrupted before."""
        place = _PLACE.search(seen)
        if place is None:
            yield f"no place on the screen after {marks} marks"
        elif self.screens.setdefault(marks, place.group()) != place.group():
            # Nothing but Enter leads on here, so each mark is one screen.
            yield f"after {marks} marks it goes on at {place.group()}, before at {self.screens[marks]}"


def work_kills(count: int, seed: int, folder: Path) -> Counter[str]:
    """Pull the plug so many times while the work is led; what was wrong, and how often."""
    dice, found = random.Random(f"work {seed}"), Counter[str]()
    shared = Program(folder / "home", folder / "cache", folder)
    with Preloaded(shared) as quick:
        work, batches = None, 0
        for _ in range(count):
            if work is None or work.over:
                own = folder / f"batch-{batches}"
                own.mkdir()
                work, batches = Work(quick, Program(own / "home", shared.cache, own), dice), batches + 1
            found.update(work.pull())
    return found


def writer_kills(count: int, seed: int, folder: Path) -> Counter[str]:
    """Kill writers of one journal, eight at a time; what was wrong, and how often."""
    dice, found = random.Random(f"writers {seed}"), Counter[str]()
    killed = rounds = 0
    while killed < count:
        path = folder / f"journal-{rounds}.sqlite"
        rounds += 1
        journal = Journal(path)
        batch, _ = journal.start("Invented night table", "Ana", [])
        told: list[str] = []
        for _ in range(4):
            mine, theirs = os.pipe()
            children = [_writer(path, batch.number, f"{killed} {number}", theirs) for number in range(WRITERS)]
            os.close(theirs)
            time.sleep(0.01 + dice.random() * 0.2)
            for child in children:
                time.sleep(dice.random() * 0.005)
                os.kill(child, signal.SIGKILL)
            for child in children:
                os.waitpid(child, 0)
            killed += WRITERS
            told += _said(mine).split("\n")[:-1]
        kept = Counter(entry.text for entry in Journal(path).entries_of(batch))
        found.update("a note that was said to be kept is not there" for text in told if not kept[text])
        found.update("a note is there twice" for times in kept.values() if times > 1)
        found.update(f"journal: {fault}" for fault in Journal(path).faults())
        found["notes said to be kept"] += len(told)
    return found


def _writer(path: Path, batch: int, name: str, pipe: int) -> int:
    """A process that notes and says so until it is killed."""
    pid = os.fork()
    if pid:
        return pid
    try:
        journal = Journal(path)
        (ours,) = [one for one in journal.batches() if one.number == batch]
        number = 0
        while True:
            text = f"{name} {number}"
            try:
                journal.add(ours, "Ana", [Draft("note", "note", text)])
            except AdvisorError:
                # Others hold it just now; what was refused was not said to be kept.
                continue
            os.write(pipe, f"{text}\n".encode())
            number += 1
    finally:
        os._exit(1)


def _said(pipe: int) -> str:
    """All that was written into a pipe whose writers are gone."""
    said = b""
    while select.select([pipe], [], [], 5)[0] and (more := os.read(pipe, 65536)):
        said += more
    os.close(pipe)
    return said.decode()


def main() -> None:
    """Pull the plugs and print what came of it; status 1 when anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--work", type=int, default=500)
    parser.add_argument("--writers", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="kills-") as name:
        work = work_kills(given.work, given.seed, Path(name)) if given.work else Counter[str]()
        print(f"work by phases, {given.work} plugs pulled: {dict(work) or 'nothing lost'}", flush=True)
        folder = Path(name) / "writers"
        folder.mkdir()
        writers = writer_kills(given.writers, given.seed, folder) if given.writers else Counter[str]()
        told = writers.pop("notes said to be kept", 0)
        print(f"{WRITERS} writers, {given.writers} killed, {told} notes: {dict(writers) or 'nothing lost'}")
    sys.exit(bool(work or writers))


if __name__ == "__main__":
    main()
