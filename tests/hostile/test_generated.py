"""A short run of the generated hostile input; the whole amount is run by ``python -m tests.hostile.run``."""

from __future__ import annotations

import random
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.hostile import guard, journal_input, rules_input, run

COUNTS = {
    "conditions": 500,
    "amounts": 400,
    "rules": 250,
    "drawings": 80,
    "overlay": 1,
    "answers": 40,
    "observations": 30,
    "inputs": 100,
    "journals": 60,
    "exports": 60,
    "keys": 10,
    "program": 4,
}
"""How much of each kind the tests take; together a good 1,500 pieces."""


def problems(tally: run.Tally) -> str:
    """What was found, to be shown."""
    return "\n".join(f"{tally.kind} {tally.first[said]}: {said}" for said in tally.findings)


@pytest.mark.parametrize("kind", COUNTS)
def test_generated_input_is_worked_with_or_refused_in_a_sentence(kind: str, tmp_path: Path) -> None:
    before = guard.peak_mb()
    tally = run.portion(kind, 2031, 0, COUNTS[kind], tmp_path)
    assert problems(tally) == ""
    assert tally.accepted + tally.refused == tally.count == COUNTS[kind]
    assert guard.peak_mb() - before < guard.MOST_MB


@given(chance=st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_whatever_chance_makes_of_a_rule_file_is_worked_with_or_refused(chance: random.Random) -> None:
    one_by_chance("rules", chance)


@given(chance=st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_whatever_chance_makes_of_an_export_is_worked_with_or_refused(chance: random.Random) -> None:
    one_by_chance("exports", chance)


def one_by_chance(kind: str, chance: random.Random) -> None:
    """One piece of input from chances that can be shrunk to the least that breaks."""
    tally = run.Tally(kind)
    # What the generators make once, before the guard is on.
    journal_input.whole_file()
    rules_input.own_file(random.Random(0))
    with tempfile.TemporaryDirectory() as folder:
        run._one(tally, kind, chance, 0, Path(folder))
    assert problems(tally) == ""


def test_the_generators_make_input_that_is_taken_and_input_that_is_refused(tmp_path: Path) -> None:
    for kind in ("conditions", "amounts", "rules", "drawings", "exports", "journals"):
        tally = run.portion(kind, 5, 0, 60, tmp_path)
        assert tally.accepted > 5, kind
        assert tally.refused > 5, kind


@pytest.mark.parametrize(
    ("what", "said"),
    [
        (lambda inside: (inside.parent / "outside").write_text("x"), "open to write"),
        (lambda _: Path("/etc/hostname").read_text(), "open to read"),
        (lambda _: eval("1 + 1"), "compile"),
        (lambda _: __import__("socket").socket(), "socket"),
        (lambda _: __import__("os").system("true"), "os.system"),
        (lambda inside: (inside.parent / "x").mkdir(), "os.mkdir"),
        (lambda _: __import__("sqlite3").connect("/somewhere.sqlite"), "database"),
    ],
)
def test_the_guard_refuses_what_lies_outside(tmp_path: Path, what: object, said: str) -> None:
    inside = tmp_path / "inside"
    inside.mkdir()
    with pytest.raises(PermissionError, match="the guard refuses"), guard.guarded(inside):
        what(inside)  # type: ignore[operator]
    (refused,) = guard.seen()
    assert said in refused


def endless() -> None:
    """Never ends."""
    while True:
        pass


def test_the_guard_ends_what_takes_too_long(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "SECONDS", 0.05)
    with pytest.raises(guard.HangError), guard.guarded(tmp_path):
        endless()


def test_what_hears_no_signal_is_ended_with_its_process(tmp_path: Path) -> None:
    """``sum`` over an endless row never comes back to where Python looks for signals."""
    lines = [
        "import sys",
        "from pathlib import Path",
        "from tests.hostile import guard",
        "guard.SECONDS = guard.WAITING_SECONDS = 0.1",
        "with guard.guarded(Path(sys.argv[1])):",
        "    sum(iter(int, 1))",
    ]
    ended = subprocess.run(
        [sys.executable, "-c", "\n".join(lines), str(tmp_path)], cwd=guard.ROOT, capture_output=True, timeout=60
    )
    assert ended.returncode != 0
    assert b"Timeout" in ended.stderr
