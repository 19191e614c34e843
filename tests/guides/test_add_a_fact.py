"""The guide to a new fact does what it says: five pieces of text, and no case comes out differently."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from advisor.rulebase.model import RuleBase
from tests.conftest import ROOT
from tests.guides.outcomes import Outcomes, outcomes

SNIPPET = re.compile(r"<!-- (at the end of|new file) (\S+) -->\n```yaml\n(.*?)```\n", re.DOTALL)
GUIDE = SNIPPET.findall((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))
NEW_CASE, NEW_FACT = "hose-that-bubbles", "gas_hose_tested"


def run_there(folder: Path, *words: str) -> str:
    """What a module prints that runs with the program of a copied checkout."""
    environment = {**os.environ, "PYTHONPATH": str(folder), "COLUMNS": "200"}
    done = subprocess.run([sys.executable, "-m", *words], cwd=folder, env=environment, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the checkout in which the guide was performed."""
    folder = tmp_path_factory.mktemp("copy")
    for name in ("advisor", "rules", "cases", "tests"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    for how, name, text in GUIDE:
        path = folder / name
        assert path.exists() == (how == "at the end of"), name
        before = path.read_text(encoding="utf-8") if path.exists() else ""
        path.write_text(before + text, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def after(copy: Path) -> Outcomes:
    """What comes out of every case of the copy."""
    found: Outcomes = json.loads(run_there(copy, "tests.guides.outcomes", str(copy / "cases")))
    return found


def test_the_guide_touches_five_files_and_one_answer_serves_all_cases() -> None:
    assert len(GUIDE) == 5
    assert len({name for _, name, _ in GUIDE}) == 5
    (room,) = [text for _, name, text in GUIDE if name.startswith("cases/rooms/")]
    assert room == f"  {NEW_FACT}: yes\n"
    assert [name for how, name, _ in GUIDE if how == "new file"] == [f"cases/{NEW_CASE}.yaml"]


def test_the_rules_with_the_new_fact_have_no_faults(copy: Path) -> None:
    assert "No faults in shipped rules" in run_there(copy, "advisor", "rules", "check")


def test_no_case_comes_out_differently(after: Outcomes, shipped: RuleBase, diagnosing: RuleBase) -> None:
    before = outcomes(ROOT / "cases", shipped, diagnosing)
    assert {name: found for name, found in after.items() if name != NEW_CASE} == before


def test_the_new_case_comes_out_as_it_says(after: Outcomes) -> None:
    found = after[NEW_CASE]
    assert found["chosen"]["route"] == "stop"
    assert "gas-leak" in found["hazards"]
    assert "molten-splash" not in found["hazards"]


def test_without_the_answer_the_same_batch_stops(copy: Path) -> None:
    case = copy / "cases" / "not-asked.yaml"
    text = f"invented: for this test\nroom: open-shed\nlot: ordinary\nanswers: {{}}\nunanswered: [{NEW_FACT}]\n"
    case.write_text(text, encoding="utf-8")
    environment: dict[str, Any] = {**os.environ, "PYTHONPATH": str(copy)}
    words = [sys.executable, "-m", "advisor", "route", "--answers", str(case), "--json"]
    done = subprocess.run(words, cwd=copy, env=environment, capture_output=True, text=True)
    advice = json.loads(done.stdout)
    assert advice["stop"]
    assert "gas-leak" in {hazard["id"] for hazard in advice["hazards"]}
    case.unlink()
