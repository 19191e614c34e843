"""Running from a file touches nothing but the program's own home and cache, and speaks to nobody."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.batches import PYRITIC
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import COMMAND, Program, Result, first_difference

WATCH = """\
import os, sys
log = os.open(os.environ["WATCHED"], os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
CHANGES = ("os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.link", "os.symlink", "os.chmod", "os.truncate")
CALLS = ("socket", "subprocess", "os.system", "os.exec", "os.posix_spawn", "os.fork", "urllib", "webbrowser")
def watch(event, arguments):
    if event == "open":
        path, mode, flags = arguments
        if isinstance(path, (str, bytes)) and (flags & WRITES or any(c in (mode or "") for c in "wax+")):
            os.write(log, f"write {os.path.abspath(os.fsdecode(path))}\\n".encode())
    elif event.startswith(CHANGES):
        paths = [os.path.abspath(os.fsdecode(a)) for a in arguments if isinstance(a, (str, bytes))]
        for path in paths:
            os.write(log, f"write {path}\\n".encode())
    elif event.startswith(CALLS):
        os.write(log, f"call {event} {arguments!r}\\n".encode())
sys.addaudithook(watch)
"""
"""Writes down what Python is asked to do, from before the program starts; by Python's own audit events."""


def watched(program: Program, tmp_path: Path, *arguments: str | Path, **more: str) -> tuple[Result, list[str]]:
    """Run a command and return what it wrote to and whom it called."""
    startup = tmp_path / "startup"
    startup.mkdir(exist_ok=True)
    (startup / "sitecustomize.py").write_text(WATCH, encoding="utf-8")
    log = tmp_path / "watched.txt"
    log.write_text("", encoding="utf-8")
    environment = {
        "PYTHONPATH": f"{startup}:{program.environment()['PYTHONPATH']}",
        # The interpreter's own cache of compiled modules is none of the program's business.
        "PYTHONDONTWRITEBYTECODE": "1",
        "WATCHED": str(log),
        **more,
    }
    result = program.run(*arguments, **environment)
    return result, log.read_text(encoding="utf-8").splitlines()


def everything_under(folder: Path) -> dict[str, bytes]:
    """Every file below a folder with its content."""
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    """A cache that does not exist yet."""
    return tmp_path / "own-cache"


COMMANDS = [
    ["route", "--answers", "batch.json", "--json", "--explain"],
    ["rules", "check"],
    ["schema", "advice"],
    ["--help"],
]


@pytest.mark.parametrize("arguments", COMMANDS, ids=lambda arguments: " ".join(arguments))
def test_nothing_is_written_outside_the_home_and_the_cache_and_nobody_is_called(
    program: Program, tmp_path: Path, cache: Path, arguments: list[str]
) -> None:
    program.write("batch.json", PYRITIC)
    before = everything_under(program.folder)
    result, seen = watched(program, tmp_path, *arguments, ADVISOR_CACHE=str(cache))
    assert result.status == 0, result.err
    assert [line for line in seen if line.startswith("call ")] == []
    written = [Path(line.removeprefix("write ")) for line in seen if line.startswith("write ")]
    allowed = (program.home, cache, Path("/dev/null"))
    assert [path for path in written if not any(path.is_relative_to(folder) for folder in allowed)] == []
    assert everything_under(program.folder) == before
    assert not program.home.exists()


def test_the_watch_sees_writing(program: Program, tmp_path: Path, cache: Path) -> None:
    program.write("batch.json", PYRITIC)
    _, seen = watched(program, tmp_path, "route", "--answers", "batch.json", ADVISOR_CACHE=str(cache))
    assert any(line.startswith(f"write {cache}") for line in seen)
    assert [path.suffix for path in cache.rglob("*") if path.is_file()] == [".image"], "something is half written"
    _, seen = watched(program, tmp_path, "schema", "rules", "--output", "rules.schema.json", ADVISOR_CACHE=str(cache))
    assert f"write {program.folder / 'rules.schema.json'}" in seen


def test_a_consultation_writes_only_its_own_file(program: Program, tmp_path: Path, cache: Path) -> None:
    result, seen = watched(program, tmp_path, "route", ADVISOR_CACHE=str(cache))
    assert result.status == 4
    assert [line for line in seen if line.startswith("call ")] == []
    written = [line.removeprefix("write ") for line in seen if line.startswith("write ")]
    assert [path for path in written if not path.startswith(str(cache))] == []


def test_without_a_home_or_cache_to_write_to_the_advice_is_the_same(
    program: Program, tmp_path: Path, advised_plainly: Result
) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    nowhere = str(tmp_path / "file" / "folder")
    for changed in (
        {"ADVISOR_HOME": "/dev/null", "ADVISOR_CACHE": "/dev/null"},
        {"ADVISOR_HOME": None, "ADVISOR_CACHE": None, "HOME": nowhere, "XDG_CONFIG_HOME": None},
        {"ADVISOR_HOME": "", "ADVISOR_CACHE": "", "HOME": nowhere},
    ):
        result = program.route(PYRITIC, **changed)
        assert (result.status, result.err) == (0, "")
        assert first_difference(result.raw, advised_plainly.raw) == ""


@pytest.fixture(scope="module")
def advised_plainly(quick: Preloaded) -> Result:
    """The text for the ordinary batch with everything in place."""
    return quick.run("route", "--answers", quick.program.write("plainly.json", PYRITIC))


def test_the_kernel_sees_no_socket_and_no_other_program(program: Program, tmp_path: Path) -> None:
    strace = shutil.which("strace")
    if strace is None:
        pytest.skip("strace is not installed")
    path = program.write("batch.json", PYRITIC)
    log = tmp_path / "strace.txt"
    done = subprocess.run(
        [
            strace,
            "-f",
            "-qq",
            "-o",
            str(log),
            "-e",
            "trace=network,execve,openat",
            *COMMAND,
            "route",
            "--answers",
            path,
        ],
        env=program.environment(PYTHONDONTWRITEBYTECODE="1"),
        cwd=program.folder,
        capture_output=True,
        timeout=60,
        check=False,
    )
    if "ptrace" in done.stderr.decode("utf-8", "replace"):
        pytest.skip("strace may not look at programs here")
    assert done.returncode == 0
    calls = log.read_text(encoding="utf-8", errors="replace")
    assert re.findall(r"\b(?:socket|connect|sendto|bind)\(.*", calls) == []
    assert len(re.findall(r"\bexecve\(", calls)) <= 1
    opened = re.findall(r'openat\([^,]*, "([^"]*)", [^)]*O_(?:WRONLY|RDWR|CREAT)', calls)
    allowed = (str(program.home), str(program.cache), "/dev/null", "/dev/tty")
    assert [name for name in opened if not name.startswith(allowed)] == []
