"""Many runs from one process that has the rules loaded already, since loading them is most of what a run costs.

Every run is a fork with its own arguments, files, terminal and working folder, and runs ``main`` to its end. Only runs
with the shipped rules gain from it. ``python -m tests.terminal.preloaded`` is the process; ``Preloaded`` speaks to it.
"""

from __future__ import annotations

import contextlib
import fcntl
import gc
import json
import os
import pty
import signal
import struct
import subprocess
import sys
import termios
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any

import pexpect.fdpexpect

from advisor.rulebase.model import RuleBase
from tests.terminal.program import COLUMNS, LINES, WAIT, Program, Result, Talk


class Preloaded:
    """The process as a test sees it. It does one thing at a time."""

    def __init__(self, program: Program, **changed: str | None) -> None:
        self.program = program
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.terminal.preloaded"],
            env=program.environment(**changed),
            cwd=program.environment()["PYTHONPATH"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def run(
        self, *arguments: str | Path, stdin: str | bytes = b"", at: Program | None = None, **changed: str | None
    ) -> Result:
        """Run one command; variables that Python reads at its own start cannot be changed here."""
        program = at or self.program
        typed = self.program.write("typed.txt", stdin)
        out, err = (self.program.folder / name for name in ("out.txt", "err.txt"))
        self._order(program, arguments, program.environment(**changed), [str(typed), str(out), str(err)])
        status = self._answer()
        return Result(status, out.read_bytes(), err.read_text(encoding="utf-8", errors="replace"))

    def talk(self, program: Program, *arguments: str | Path, command: str = "route", **changed: str | None) -> Talk:
        """Start a consultation at a terminal, as ``Program.talk`` does."""
        mine, theirs = pty.openpty()
        fcntl.ioctl(mine, termios.TIOCSWINSZ, struct.pack("HHHH", LINES, COLUMNS, 0, 0))
        environment = program.environment(NO_COLOR="1", **changed)
        pid = self._order(program, (command, *arguments), environment, [os.ttyname(theirs)] * 3)
        os.close(theirs)
        process = pexpect.fdpexpect.fdspawn(mine, encoding="utf-8", codec_errors="replace", timeout=WAIT)
        process.delaybeforesend = None

        def status() -> int:
            with contextlib.suppress(ProcessLookupError):
                if not talk.ended:
                    os.kill(pid, signal.SIGKILL)
            ended = self._answer()
            process.close()
            return ended

        talk = Talk(program, process, pid, status)
        return talk

    def _order(
        self, program: Program, arguments: tuple[str | Path, ...], environment: dict[str, str], files: list[str]
    ) -> int:
        order = {
            "arguments": [str(argument) for argument in arguments],
            "environment": environment,
            "folder": str(program.folder),
            "files": files,
        }
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps(order) + "\n")
        self.process.stdin.flush()
        return self._answer()

    def _answer(self) -> int:
        assert self.process.stdout is not None
        return int(self.process.stdout.readline())

    def __enter__(self) -> Preloaded:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.process.communicate()


@dataclass(frozen=True)
class Warm(Program):
    """The program with a home and a working folder of its own, whose runs come from the process that has the rules.

    Attributes:
        process: That process.
    """

    process: Preloaded

    def run(
        self, *arguments: str | Path, stdin: str | bytes | None = None, cwd: Path | None = None, **changed: Any
    ) -> Result:
        """Run a command to its end; variables that Python reads at its own start cannot be changed here."""
        place = self if cwd is None else Program(self.home, self.cache, cwd)
        return self.process.run(*arguments, stdin=stdin or b"", at=place, **changed)


def _opened(names: list[str]) -> list[int]:
    """Standard input, output and error of a run; three times the same name is a terminal."""
    made = os.O_WRONLY | os.O_CREAT | os.O_TRUNC
    if len(set(names)) == 1:
        return [os.open(names[0], os.O_RDWR | os.O_NOCTTY)] * 3
    return [os.open(name, flags, 0o600) for name, flags in zip(names, (os.O_RDONLY, made, made), strict=True)]


def _run(order: dict[str, Any], files: list[int]) -> int:
    """Run one command in this process, which ends with it."""
    os.setsid()
    # Whoever began the tests in a shell that is to outlive its terminal handed that on.
    signal.signal(signal.SIGHUP, signal.SIG_DFL)
    os.chdir(order["folder"])
    os.environ.clear()
    os.environ.update(order["environment"])
    if len(set(files)) == 1:
        fcntl.ioctl(files[0], termios.TIOCSCTTY, 0)
    for number, file in enumerate(files):
        os.dup2(file, number)
    for file in set(files):
        os.close(file)
    sys.stdin, sys.stdout, sys.stderr = (os.fdopen(number, mode) for number, mode in enumerate("rww"))
    sys.argv = ["advisor", *order["arguments"]]
    from advisor.terminal.app import main

    try:
        main()
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else int(end.code is not None)
    except BaseException:
        traceback.print_exc()
        return 1
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
    return 0


def _make_ready(route: RuleBase, pieces: RuleBase) -> None:
    """Make what is kept with the rules on first use, so that it is not made anew in each run."""
    from advisor.advice.batches.batch_file import read_batch
    from advisor.advice.build_advice import build_advice
    from advisor.advice.build_diagnosis import build_diagnosis
    from advisor.engine import conclude, next_question
    from advisor.present.pages.paper import paper_named
    from advisor.terminal.consult.sheet import drawn
    from tests.shipped import CASES, PIECES

    for rules in (route, pieces):
        next_question(conclude(rules, {}))
    advices = [build_advice(conclude(route, read_batch(case, route).answers)) for case in CASES[::20]]
    diagnoses = [build_diagnosis(conclude(pieces, read_batch(case, pieces).answers)) for case in PIECES[::30]]
    for document in (*advices, *diagnoses):
        drawn(document, paper_named("A4"), "again", text=False)


def _serve() -> None:
    """Run commands as they are ordered, one a line; answers with the process number and then the exit status."""
    import rich.text

    from advisor.present.text import advice as advice_view
    from advisor.present.text import diagnosis as diagnosis_view
    from advisor.terminal import app, output, schemas
    from advisor.terminal import compute as reckon
    from advisor.terminal import setup as asking
    from advisor.terminal.consult import consulting, conversation, diagnose, diagnose_journal, sheet
    from advisor.terminal.rules import commands as rules_commands

    # Imported only to have them ready.
    _ = (advice_view, app, conversation, diagnosis_view, output, schemas, rich.text)
    load = asking.rule_base_for
    kinds = ((False, False), (True, False), (True, True))
    shipped = {kind: load(None, diagnosis=kind[0], promises=kind[1]) for kind in kinds}

    def loaded(rules: Sequence[Path] | None, *, diagnosis: bool = False, promises: bool = False) -> RuleBase:
        if not rules and (diagnosis, promises) in shipped:
            return shipped[diagnosis, promises]
        return load(rules, diagnosis=diagnosis, promises=promises)

    _make_ready(shipped[False, False], shipped[True, False])
    for user in (asking, consulting, diagnose, diagnose_journal, sheet, reckon, rules_commands):
        vars(user)["rule_base_for"] = loaded
    # Keeps the collector from touching, and so copying, what all forks share.
    gc.freeze()
    for line in sys.stdin:
        order = json.loads(line)
        files = _opened(order["files"])
        child = os.fork()
        if not child:
            status = 1
            try:
                status = _run(order, files)
            finally:
                os._exit(status)
        for file in set(files):
            os.close(file)
        print(child, flush=True)
        print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)


if __name__ == "__main__":
    _serve()
