"""``advisor rules check --prove``: what it says, writes and returns."""

from __future__ import annotations

import importlib
import importlib.util
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

import advisor
from advisor.advice.batches.batch_file import read_batch
from advisor.errors import InputError, install_command
from advisor.proof import prove as proof
from advisor.proof.space import logic
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.promise_entries import KeptEntry
from advisor.terminal.app import app
from advisor.terminal.exit_codes import LEFT
from advisor.terminal.rules import prove as command
from tests.proof.generated import generated

OWN = """\
arguments:
  - {id: own-wish, about: route.smelt_iron, says: require, kind: means,
     when: operator is learner_alone, reason: Invented.,
     source: practice}
"""


def run(monkeypatch: pytest.MonkeyPatch, *arguments: str, only: tuple[str, ...] = ("complete", "decided")) -> Any:
    """The command, with the quick checks only."""
    monkeypatch.setattr(command, "prove", lambda rule_base, notify: proof.prove(rule_base, only, notify))
    return CliRunner().invoke(app, ["rules", "check", "--prove", *arguments])


def test_sound_rules_are_proved_and_the_size_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    rule_base = generated(14, 1, facts=6, decisions=2, options=3, promises=0)
    rule_base = replace(rule_base, kept=_all_idle(rule_base))
    assert command.run_proof(rule_base, rule_base, command.Wanted()) == 0
    output = capsys.readouterr().out
    assert "complete: proved" in output
    assert "safe: no rule declares anything to prove here" in output
    assert "Decided over all sets of answers" in output


def _all_idle(rule_base: RuleBase) -> dict[str, KeptEntry]:
    """Whatever happens not to matter in a made-up base, kept on purpose."""
    found, _ = proof.prove(rule_base, ("alive",))
    idle = [failure.subject for _, failure in found.failures()]
    return {"all": KeptEntry(id="all", rules=idle, reason="Invented.", source="practice")} if idle else {}


def test_own_rules_that_break_a_promise_are_shown_by_a_file(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    own, found = tmp_path / "own", tmp_path / "found"
    own.mkdir()
    (own / "own.yaml").write_text(OWN, encoding="utf-8")
    result = run(monkeypatch, "--rules", str(own), "--counterexamples", str(found), only=("complete",))
    assert result.exit_code == 2
    assert "NOT proved" in result.output
    file = next(found.glob("route-*"))
    assert f"advisor route --answers {file} --rules {own}" in result.output
    rule_base = load_rule_base((own,), use_cache=False)
    answers = read_batch(file, rule_base).answers
    assert len([name for name in answers if not rule_base.facts[name].computed]) <= 2


def test_without_a_folder_the_answers_are_printed(capsys: pytest.CaptureFixture[str]) -> None:
    rule_base = generated(24, 3, facts=4, decisions=2, options=3, wild=1.0)
    assert command.run_proof(rule_base, rule_base, command.Wanted()) == 2
    output = capsys.readouterr().out
    assert "NOT proved" in output
    assert "The answers:" in output
    assert "--counterexamples FOLDER" in output


def test_without_the_solver_one_sentence_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> Any:
        raise ImportError(name)

    monkeypatch.setattr(logic.importlib, "import_module", missing)
    with pytest.raises(InputError) as problem:
        proof.prove(generated(8, facts=4, decisions=1, options=3))
    # The command is given to a shell as it is printed. The solver is there, so nothing is fetched.
    command = str(problem.value).split("install it with  ")[1]
    done = subprocess.run(command, shell=True, capture_output=True, text=True, env={**os.environ, "PIP_NO_INDEX": "1"})
    assert done.returncode == 0, done.stderr
    assert "z3-solver in" in done.stdout


def test_a_python_without_pip_is_told_how_to_get_it_first(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    monkeypatch.setattr(sys, "executable", "/my tools/python")
    said = '"/my tools/python" -m ensurepip && "/my tools/python" -m pip install z3-solver'
    assert install_command(logic.SOLVER) == said


def test_the_solver_is_loaded_only_for_a_proof() -> None:
    names = (
        "advisor.terminal.app",
        "advisor.terminal.rules.prove",
        "advisor.terminal.rules.witness",
        "advisor.proof.prove",
    )
    for name in names:
        importlib.import_module(name)
    source = Path(advisor.__file__).parent
    users = [path for path in source.rglob("*.py") if '"z3"' in path.read_text(encoding="utf-8")]
    assert users == [source / "proof" / "space" / "logic.py"]


def test_an_interrupt_while_the_solver_works_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    rule_base = generated(12, 1, facts=6, decisions=2, options=3, promises=0)
    solver = type(logic.Logic()._solver)
    monkeypatch.setattr(solver, "check", lambda _, *__: logic.Logic()._z3.unknown)
    monkeypatch.setattr(solver, "reason_unknown", lambda _: "interrupted from keyboard")
    assert command.run_proof(rule_base, rule_base, command.Wanted()) == LEFT
    assert "stopped before its end" in capsys.readouterr().err


def test_a_consultation_keeps_nothing_that_only_a_proof_reads() -> None:
    without, whole = load_rule_base(), load_rule_base(promises=True)
    assert (without.invariants, without.worse, without.kept) == ({}, {}, {})
    assert len(whole.invariants) > 50
    again = load_rule_base(promises=True)  # from the cache
    assert list(again.invariants) == list(whole.invariants)
    assert not load_rule_base().invariants
