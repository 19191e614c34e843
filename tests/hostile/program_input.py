"""The whole program in a process of its own, with bounds on its memory and time, fed with hostile files and keys."""

from __future__ import annotations

import gc
import io
import os
import random
import signal
import sys
import time
import traceback
from collections.abc import Sequence
from pathlib import Path

from advisor.errors import AdvisorError
from advisor.rulebase.model import RuleBase
from tests.hostile import answers_input, journal_input, keys_input, mutate, rules_input
from tests.hostile.guard import SECONDS, WAITING_SECONDS, guarded, held_small, seen

_STATUSES = (0, 2, 3, 4)


class ProgramError(Exception):
    """The program did something it never may."""


def _batch(r: random.Random, diagnosis: bool) -> bytes:
    data = mutate.spoiled(r, r.choice(answers_input.cases(diagnosis)), most=2)
    data.pop("plan", None) if isinstance(data, dict) else None
    raw = mutate.encoded(mutate.written(r, data))
    return mutate.spoiled_bytes(r, raw) if r.random() < 0.1 else raw


def _command(r: random.Random, work: Path) -> list[str]:
    """A command with the files it names."""
    kind = r.randrange(8)
    suffix = r.choice((".yaml", ".json", "", "\n.yaml", "\x1b[31m.yaml", "\udcff.yaml"))
    name = f"batch{suffix}"
    more = [option for option in ("--explain", "--json") if r.random() < 0.3]
    title = ["--title", r.choice(("Night", "\udcff", "\x1b[2J", "é" * 300, "", "=1+1"))] if r.random() < 0.3 else []
    if kind <= 2:
        (work / os.fsencode(name).decode("utf-8", "surrogateescape")).write_bytes(_batch(r, kind == 2))
        command = ("route", "--answers") if kind != 2 else ("diagnose", "--observations")
        return [*command, name, *more, *title]
    if kind == 3:
        (work / name).write_bytes(_batch(r, diagnosis=False))
        return ["sheet", "--answers", name, "--output", f"sheet{suffix}", *(["--text"] if more else []), *title]
    if kind == 4:
        return [r.choice(("route", "diagnose")), *title, *(["--save", name] if r.random() < 0.5 else [])]
    if kind == 5:
        raw = bytearray(journal_input.whole_file())
        for _ in range(r.randrange(4)):
            raw[r.randrange(len(raw))] = r.randrange(256)
        (work / name).write_bytes(bytes(raw))
        what = r.choice(
            (["list"], ["balance"], ["check"], ["show", "1"], ["add", "1", f"note={r.choice(mutate.NASTY)}"])
        )
        return ["journal", *[word.replace("\0", "?") for word in what], "--journal", name]
    if kind == 6:
        folder = work / "rules"
        folder.mkdir()
        (folder / f"own{suffix}").write_bytes(rules_input.own_file(r))
        return ["rules", r.choice(("check", "list")), "--rules", "rules"]
    words = [r.choice((*mutate.WORDS, *mutate.NASTY, *mutate.AMOUNTS)).replace("\0", "?") for _ in range(3)]
    return [r.choice(("charge", "balance", "rules", "journal", "schema", "", "--x")), *words]


def program(r: random.Random, work: Path) -> None:
    """One command to its end."""
    folder = work / "here"
    folder.mkdir()
    command = [
        word.encode("utf-8", "surrogateescape").decode("utf-8", "surrogateescape") for word in _command(r, folder)
    ]
    (work / "in.txt").write_bytes(keys_input.typed(r))
    pid = os.fork()
    if not pid:
        status = 1
        try:
            status = _child(command, work)
        finally:
            os._exit(status)
    status = _ended(pid)
    out, err = ((work / name).read_bytes().decode("utf-8", "replace") for name in ("out.txt", "err.txt"))
    if "Traceback (most recent" in err or "the guard refuses" in err:
        raise ProgramError(" / ".join(err.strip().splitlines()[-3:]))
    if status not in _STATUSES:
        raise ProgramError(f"status {status} of {command}: {err[-300:]}")
    answers_input.shown(err.replace("\t", " "))
    if "--json" not in command:
        answers_input.shown(out)
    if status == 2:
        raise AdvisorError(err or "refused")


def _ended(pid: int) -> int:
    until = time.monotonic() + WAITING_SECONDS
    while time.monotonic() < until:
        done, status = os.waitpid(pid, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.005)
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    raise ProgramError(f"it did not end within {WAITING_SECONDS:g} s")


def _child(command: list[str], work: Path) -> int:
    gc.disable()
    files = [os.open(work / name, flags, 0o600) for name, flags in _FILES]
    for number, file in enumerate(files):
        os.dup2(file, number)
    sys.stdin, sys.stdout, sys.stderr = (
        io.TextIOWrapper(os.fdopen(n, mode)) for n, mode in enumerate(("rb", "wb", "wb"))
    )
    os.chdir(work / "here")
    os.environ.update(ADVISOR_HOME=str(work / "home"), ADVISOR_CACHE=str(work / "cache"), NO_COLOR="1")
    sys.argv = ["advisor", *command]
    gc.enable()
    held_small()
    from advisor.terminal.app import main

    _with_rules_loaded()
    status = 0
    try:
        with guarded(work):
            main()
    except SystemExit as end:
        status = end.code if isinstance(end.code, int) else int(end.code is not None)
    except BaseException:
        traceback.print_exc()
        status = 1
    if found := seen():
        print("the guard refuses", found, file=sys.stderr)
    sys.stdout.flush()
    sys.stderr.flush()
    return status


_MADE = os.O_WRONLY | os.O_CREAT | os.O_TRUNC
_FILES = (("in.txt", os.O_RDONLY), ("out.txt", _MADE), ("err.txt", _MADE))


def _with_rules_loaded() -> None:
    """Commands without rules of their own take the shipped rules that are loaded already."""
    from advisor.terminal import compute, setup
    from advisor.terminal.consult import consulting, diagnose, diagnose_journal, sheet
    from advisor.terminal.rules import commands as rules_commands

    load = setup.rule_base_for

    def loaded(rules: Sequence[Path] | None, *, diagnosis: bool = False, promises: bool = False) -> RuleBase:
        if rules or promises:
            return load(rules, diagnosis=diagnosis, promises=promises)
        return answers_input.shipped(diagnosis)

    for user in (setup, consulting, diagnose, diagnose_journal, compute, rules_commands, sheet):
        vars(user)["rule_base_for"] = loaded


assert SECONDS < WAITING_SECONDS
