"""Runs the whole program from outside, as a person or a script does, with a home and a cache of its own."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import zip_longest
from pathlib import Path
from types import TracebackType
from typing import Any

import pexpect

import advisor

COMMAND = (sys.executable, "-m", "advisor")
ESCAPE = re.compile(r"\x1b\[[0-9;?]*[ -/]*[@-~]")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")
WAIT = 180
LINES, COLUMNS = 24, 80


@dataclass(frozen=True, slots=True)
class Result:
    """What one run left behind.

    Attributes:
        status: The exit status.
        raw: Standard output, byte for byte.
        err: Standard error.
    """

    status: int
    raw: bytes
    err: str

    @property
    def out(self) -> str:
        """Standard output as text."""
        return self.raw.decode("utf-8")

    @property
    def lines(self) -> list[str]:
        """The lines of standard output."""
        return self.out.splitlines()

    @property
    def json(self) -> Any:
        """Standard output as one JSON document, each pointer followed."""
        written = json.loads(self.raw)
        return followed(written, written)

    @property
    def written_json(self) -> Any:
        """The same as it is written."""
        return json.loads(self.raw)


def followed(values: Any, whole: Any) -> Any:
    """A part of a JSON document with what its pointers (RFC 6901) point to in their places."""
    if isinstance(values, list):
        return [followed(one, whole) for one in values]
    if not isinstance(values, dict):
        return values
    if "said_once" in values:
        # A document that stands within another, as in the journal, keeps its own.
        whole = values
    if set(values) == {"$ref"} and str(values["$ref"]).startswith("#/said_once/"):
        found = whole
        for name in values["$ref"].removeprefix("#/").split("/"):
            found = found[name]
        return followed(found, whole)
    return {name: followed(one, whole) for name, one in values.items() if name != "said_once"}


def flat(text: str) -> str:
    """Text without its line breaks and indents, so that folded sentences can be found in it."""
    return " ".join(text.split())


def plain(text: str) -> str:
    """Terminal output without colours and carriage returns."""
    return ESCAPE.sub("", text).replace("\r", "")


def control_characters(text: str) -> list[str]:
    """Characters that a terminal would obey instead of showing."""
    return _CONTROL.findall(text)


def crash(text: str) -> str:
    """The end of a traceback in some output, or nothing."""
    return text[-400:] if "Traceback (most recent call last)" in text else ""


def first_difference(one: str | bytes, other: str | bytes) -> str:
    """The first line in which two long texts differ, or nothing; a full comparison would take minutes to print."""
    if one == other:
        return ""
    lines = zip_longest(one.splitlines(), other.splitlines())
    return next((f"line {n}: {a!r} is not {b!r}" for n, (a, b) in enumerate(lines, 1) if a != b), "line ends differ")


@dataclass(frozen=True, slots=True)
class Program:
    """The program with a home, a cache and a working folder of its own.

    Attributes:
        home: Its ``ADVISOR_HOME``.
        cache: Its ``ADVISOR_CACHE``.
        folder: The folder in which it runs.
    """

    home: Path
    cache: Path
    folder: Path

    def environment(self, **changed: str | None) -> dict[str, str]:
        """Nothing of the tester's own settings but the search path; None takes a variable out."""
        fixed = {
            "PATH": os.environ.get("PATH", os.defpath),
            "PYTHONPATH": str(Path(advisor.__file__).resolve().parent.parent),
            "HOME": str(self.folder / "nobody"),
            "ADVISOR_HOME": str(self.home),
            "ADVISOR_CACHE": str(self.cache),
            "LC_ALL": "C.UTF-8",
            "TERM": "xterm",
            "PAGER": "cat",
        }
        return {name: value for name, value in {**fixed, **changed}.items() if value is not None}

    def run(
        self,
        *arguments: str | Path,
        stdin: str | bytes | None = None,
        cwd: Path | None = None,
        **changed: Any,
    ) -> Result:
        """Run a command to its end; without ``stdin`` there is nothing to read; the rest changes the environment."""
        done = subprocess.run(
            [*COMMAND, *map(str, arguments)],
            cwd=cwd or self.folder,
            env=self.environment(**changed),
            input=stdin.encode() if isinstance(stdin, str) else (stdin or b""),
            capture_output=True,
            timeout=WAIT,
            check=False,
        )
        return Result(done.returncode, done.stdout, done.stderr.decode("utf-8", "replace"))

    def route(self, answers: Mapping[str, Any] | Path, *arguments: str | Path, **changed: str | None) -> Result:
        """Run ``route --answers`` on a file, or on answers that are written to one first."""
        path = answers if isinstance(answers, Path) else self.write("answers.json", {"answers": answers})
        return self.run("route", "--answers", path, *arguments, **changed)

    def write(self, name: str, content: Any) -> Path:
        """Write a file into the folder: text and bytes as they are, anything else as JSON."""
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if isinstance(content, bytes):
            path.write_bytes(content)
        else:
            text = content if isinstance(content, str) else json.dumps(content, ensure_ascii=False)
            path.write_text(text, encoding="utf-8")
        return path

    def talk(self, *arguments: str | Path, command: str = "route", **changed: str | None) -> Talk:
        """Start a consultation at a terminal of 80 columns and 24 lines and wait for the first question."""
        process = pexpect.spawn(
            COMMAND[0],
            [*COMMAND[1:], command, *map(str, arguments)],
            env=self.environment(NO_COLOR="1", **changed),
            cwd=str(self.folder),
            dimensions=(LINES, COLUMNS),
            encoding="utf-8",
            codec_errors="replace",
            timeout=WAIT,
        )
        process.delaybeforesend = None

        def status() -> int | None:
            process.close(force=True)
            return process.exitstatus

        return Talk(self, process, process.pid or 0, status)


class Talk:
    """A consultation at a terminal.

    Attributes:
        program: The program that asks.
        shown: What it showed since the last answer, without colours.
        raw: The same as it came.
        everything: All that was shown so far.
        raw_everything: The same as it came.
        ended: Whether it has ended.
    """

    def __init__(self, program: Program, process: Any, pid: int, status: Callable[[], int | None]) -> None:
        self.program = program
        self.process = process
        self.pid = pid
        self._status = status
        self.everything = ""
        self.raw_everything = ""
        self._wait()

    def _wait(self) -> None:
        ended = self.process.expect([r"\r\n> $", pexpect.EOF])
        self.raw: str = self.process.before or ""
        self.shown = plain(self.raw)
        self.raw_everything += self.raw
        self.everything += self.shown + "\n> "
        self.ended = bool(ended)

    def say(self, typed: str) -> str:
        """Type one line and return what is shown until the program waits again."""
        self.process.sendline(typed)
        self._wait()
        return self.shown

    def _settle(self) -> None:
        """Wait until the program waits, where the system tells.

        A signal between the prompt and the wait for input is heard only at the next key, as ``readline`` is made; a
        person is never that quick, a test is.
        """
        told = Path(f"/proc/{self.pid}/stat")
        state = "R"
        while state == "R":
            time.sleep(0.005)
            state = told.read_text(encoding="utf-8").rpartition(")")[2].split()[0] if told.exists() else ""

    def press(self, key: str) -> str:
        """Press Ctrl with a letter and wait."""
        self._settle()
        self.process.send(chr(ord(key) - ord("a") + 1))
        self._wait()
        return self.shown

    def type_bytes(self, typed: bytes) -> str:
        """Type bytes that need not be letters, and wait."""
        os.write(self.process.child_fd, typed)
        self._wait()
        return self.shown

    def strike(self, blow: signal.Signals = signal.SIGKILL) -> None:
        """Send a signal, after which the program has no more to say."""
        self._settle()
        os.kill(self.pid, blow)
        self.process.expect(pexpect.EOF)

    @cached_property
    def status(self) -> int | None:
        """The exit status; a program that still runs is ended."""
        return self._status()

    def __enter__(self) -> Talk:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        _ = self.status
