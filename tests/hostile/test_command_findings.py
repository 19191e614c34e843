"""What hostile words on the command line once did to the program, each as a test of its own."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.errors import InputError
from advisor.present.text.letters import tame
from advisor.terminal.consult.diagnose import plan_beside
from advisor.terminal.output import fault_of_system, number_typed
from advisor.terminal.settings import configured_rules, journal_file
from tests.batches import PYRITIC

ROOT = Path(__file__).resolve().parent.parent.parent


def advisor(folder: Path, *words: str) -> subprocess.CompletedProcess[bytes]:
    """Run the program in a folder."""
    changed = {"ADVISOR_HOME": str(folder / "home"), "ADVISOR_CACHE": str(folder / "cache"), "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "advisor", *words]
    return subprocess.run(
        command,
        cwd=folder,
        env={**os.environ, **changed},
        capture_output=True,
        timeout=120,
        check=False,
        stdin=subprocess.DEVNULL,
    )


@pytest.mark.parametrize(
    "words",
    [
        ("\x1b[31mowned",),
        ("journal", "\u202egnp.exe"),
        ("route", "\x1b]0;x\x07"),
        ("route", "--\x9b1A"),
        ("schema", "\x1b[2J"),
    ],
    ids=ascii,
)
def test_wrong_words_are_said_back_without_orders_to_the_terminal(tmp_path: Path, words: tuple[str, ...]) -> None:
    done = advisor(tmp_path, *words)
    said = done.stderr.decode()
    assert done.returncode == 2
    assert said == tame(said)
    assert "Traceback" not in said


def test_a_title_and_a_file_name_in_another_encoding_are_shown_with_question_marks(tmp_path: Path) -> None:
    name = "batch\udcff.json"
    (tmp_path / name).write_text(json.dumps(PYRITIC), encoding="utf-8")
    done = advisor(tmp_path, "route", "--answers", name, "--title", "Night \udcff", "--json")
    assert done.stderr == b""
    assert done.returncode == 0
    assert json.loads(done.stdout)["title"] == "Night ?"


@pytest.mark.parametrize(
    ("problem", "says"),
    [
        (OSError(errno.ENOSPC, "No space left on device"), "the output cannot be written (No space left on device)"),
        (PermissionError(errno.EACCES, "Permission denied", "/x/y"), "/x/y cannot be used (Permission denied)"),
        (OSError("odd"), "the output cannot be written (odd)"),
    ],
)
def test_what_the_system_refuses_is_named(problem: OSError, says: str) -> None:
    assert fault_of_system(problem).startswith(says)


def test_a_number_is_typed_only_where_it_is_on_the_list() -> None:
    assert [number_typed(word, 12) for word in ("1", "12", "012", "0", "13", "9" * 9000, "²", "٣", "-1", "")] == [
        *(1, 12, 12),
        *[None] * 7,
    ]


@pytest.mark.parametrize("setting", ['rules: ["~nobody-here/x"]', "journal: ~nobody-here/x.sqlite"])
def test_the_home_of_somebody_who_is_not_known_is_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, setting: str
) -> None:
    monkeypatch.setenv("ADVISOR_HOME", str(tmp_path))
    (tmp_path / "settings.yaml").write_text(setting, encoding="utf-8")
    with pytest.raises(InputError, match="there is no such home folder"):
        (configured_rules if setting.startswith("rules") else journal_file)()
    with pytest.raises(InputError, match="there is no such home folder"):
        journal_file(Path("~nobody-here/x.sqlite"))


def test_observations_cannot_make_the_program_wait_for_standard_input() -> None:
    found = plan_beside(Path("seen.yaml"), Path("-"))
    assert found is not None
    assert str(found) != "-"
