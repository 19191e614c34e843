"""The plug pulled at random moments: ``python -m tests.hostile.kills [--work 500] [--writers 500] [--seed N]``.

What the program had said it kept stands in the journal afterwards, once; the journal is sound; and the work by phases
goes on at the screen where it was left, or at the next one where the plug came between a mark and its screen.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from advisor.journal import Journal
from tests.conftest import ROOT
from tests.journal.making import kill, reported, writer
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program

CASE = ROOT / "cases" / "iron-smelt-trade-check-weights.yaml"
WRITERS = 8
TOLD = "entries said to be kept"
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
    for turn in range(0, count, WRITERS):
        path = folder / f"journal-{turn // WRITERS // 4}.sqlite"
        journal = Journal(path)
        batch = journal.batches()[0] if path.exists() else journal.start("Invented night table", "Ana")[0]
        mine, theirs = os.pipe()
        children = [writer(path, theirs, batch.uid) for _ in range(WRITERS)]
        os.close(theirs)
        time.sleep(0.01 + dice.random() * 0.2)
        for child in children:
            time.sleep(dice.random() * 0.005)
            kill(child)
        told = [uid for line in reported(mine) for uid in line[1:]]
        kept = [entry.uid for entry in Journal(path).entries_of(batch)]
        found.update("an entry that was said to be kept is not there" for uid in set(told) - set(kept))
        if len(kept) % 2:
            found["half of what was recorded together is there"] += 1
        found.update(f"journal: {fault}" for fault in Journal(path).faults())
        found[TOLD] += len(told)
    return found


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
        told = writers.pop(TOLD, 0)
        print(f"{WRITERS} writers, {given.writers} killed, {told} entries: {dict(writers) or 'nothing lost'}")
    sys.exit(bool(work or writers))


if __name__ == "__main__":
    main()
