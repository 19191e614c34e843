"""Watches what the program does with hostile input: time, memory, files, and anything run as code.

Python tells an audit hook of every file it opens or changes, of every process and socket, and of every text that it
compiles. While a guard is on, all of it is refused and written down unless it lies in the folders named.
"""

from __future__ import annotations

import faulthandler
import os
import resource
import signal
import site
import sys
import sysconfig
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

SECONDS = 5.0
"""Longest time of the processor for one piece of input."""
WAITING_SECONDS = 60.0
"""Longest time by the clock: many things run beside it, but nothing may wait for ever."""
MOST_MB = 500

ROOT = Path(__file__).resolve().parent.parent.parent
_CHANGES = ("os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.link", "os.symlink", "os.chmod", "os.truncate")
_CALLS = ("socket.", "subprocess.", "os.system", "os.exec", "os.posix_spawn", "os.fork", "os.startfile", "pty.spawn")
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_OUTSIDE = ("/dev/null", "/dev/urandom", "/etc/localtime", "/usr/share/zoneinfo", "/etc/passwd", "/proc/self/")
"""What the interpreter itself looks at: the time zone, random numbers, the name of the user."""


_OWN_CODE = ("importlib._bootstrap", "jinja2.", "typing", "inspect", "advisor.frozen", "hypothesis.")
"""What compiles text that came with the program: modules, templates, the types of the command line, what makes
a frozen object, which is written from the names of its fields alone, and the test library, which reads the program
for the constants in it."""


class HangError(BaseException):
    """One piece of input took too long."""


class _Watch:
    """What the audit hook knows; there is one for the process."""

    def __init__(self) -> None:
        self.on = False
        self.folders: tuple[str, ...] = ()
        self.seen: list[str] = []
        self.readable = tuple(
            dict.fromkeys(
                os.path.realpath(folder)
                for folder in (
                    *sysconfig.get_paths().values(),
                    *site.getsitepackages(),
                    sys.base_prefix,
                    sys.prefix,
                    ROOT,
                    *(path for path in sys.path if path),
                )
            )
        )

    def inside(self, path: str, folders: tuple[str, ...]) -> bool:
        """Whether a path lies in one of the folders."""
        plain = os.path.abspath(path)
        return any(plain == folder or plain.startswith(folder + os.sep) for folder in folders)

    def hook(self, event: str, arguments: tuple[Any, ...]) -> None:
        """Called by Python before it does something."""
        if not self.on:
            return
        said = ""
        if event == "open":
            said = self._opened(*arguments)
        elif event.startswith(_CHANGES):
            paths = _paths(arguments)
            outside = [path for path in paths if not self.inside(path, self.folders)]
            said = f"{event} {outside}" if outside else ""
        elif event.startswith(_CALLS):
            said = f"{event} {arguments!r}"[:200]
        elif event == "sqlite3.connect":
            said = self._connected(arguments[0])
        elif event in ("compile", "exec"):
            said = _run(event, arguments)
        if said:
            self.seen.append(said)
            raise PermissionError(f"the guard refuses: {said}")

    def _opened(self, path: Any, mode: str | None, flags: int) -> str:
        if not isinstance(path, str | bytes):
            return ""
        name = os.fsdecode(path)
        if self.inside(name, self.folders) or name.startswith(_OUTSIDE):
            return ""
        if flags & _WRITES or any(letter in (mode or "") for letter in "wax+"):
            return f"open to write {name!r}"
        return "" if self.inside(name, self.readable) or name.startswith("<") else f"open to read {name!r}"

    def _connected(self, database: Any) -> str:
        name = os.fsdecode(database)
        name = name.removeprefix("file://").partition("?")[0]
        return "" if name == ":memory:" or self.inside(name, self.folders) else f"database {name!r}"


def _paths(arguments: tuple[Any, ...]) -> list[str]:
    """The paths of a change; a name that is meant from an open folder is given whole."""
    paths = [os.fsdecode(one) for one in arguments if isinstance(one, str | bytes)]
    folder = arguments[-1] if isinstance(arguments[-1], int) else -1
    if folder > 0 and not any(os.path.isabs(path) for path in paths):
        return [os.path.join(os.readlink(f"/proc/self/fd/{folder}"), path) for path in paths]
    return paths


def _run(event: str, arguments: tuple[Any, ...]) -> str:
    """What is compiled or run as code, unless it is a module of the program or a template that came with it."""
    code = arguments[0] if event == "exec" else None
    if isinstance(code, CodeType) and (code.co_filename.startswith("<frozen") or os.path.exists(code.co_filename)):
        return ""
    if event == "compile" and arguments[0] is None:
        return ""
    frame: FrameType | None = sys._getframe(1)
    while frame is not None:
        if frame.f_globals.get("__name__", "").startswith(_OWN_CODE):
            return ""
        frame = frame.f_back
    return f"{event} {arguments!r}"[:200]


_WATCH = _Watch()
_hooked = False


def seen() -> list[str]:
    """What was refused since the last time this was asked."""
    found, _WATCH.seen = _WATCH.seen, []
    return found


def _too_long(*_: object) -> None:
    raise HangError(f"more than {SECONDS:g} s")


@contextmanager
def guarded(*folders: Path) -> Iterator[None]:
    """Only the folders may be written to, nothing may be run, and it may not take long."""
    global _hooked
    if not _hooked:
        sys.addaudithook(_WATCH.hook)
        _hooked = True
    # The test library keeps what it learns of the program in a folder of its own, whenever it first draws.
    _WATCH.folders = tuple(os.path.realpath(folder) for folder in (*folders, ROOT / ".hypothesis"))
    with ends():
        _WATCH.on = True
        try:
            yield
        finally:
            _WATCH.on = False


@contextmanager
def ends() -> Iterator[None]:
    """What would go on for ever is broken off.

    Raises:
        HangError: After SECONDS of the processor, or WAITING_SECONDS by the clock.
    """
    signal.signal(signal.SIGPROF, _too_long)
    signal.signal(signal.SIGALRM, _too_long)
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    signal.setitimer(signal.ITIMER_REAL, WAITING_SECONDS)
    # A signal waits for the end of a loop in the interpreter's own C code; this ends it, with the process.
    faulthandler.dump_traceback_later(2 * WAITING_SECONDS, exit=True, file=sys.__stderr__)
    try:
        yield
    finally:
        faulthandler.cancel_dump_traceback_later()
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.setitimer(signal.ITIMER_REAL, 0)


def held_small() -> None:
    """Bound the memory and time of this process, for a run that is a process of its own."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    most = pages * resource.getpagesize() + (MOST_MB << 20)
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    resource.setrlimit(resource.RLIMIT_CPU, (int(SECONDS) + 1, int(SECONDS) + 2))


def peak_mb() -> float:
    """Greatest memory of this process so far."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
