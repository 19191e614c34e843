"""The guide to a new fact does what it says: three files, and no case comes out differently."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from advisor.rulebase.model import RuleBase
from tests.conftest import ROOT
from tests.guides.guide import Copy, copied, guide
from tests.guides.outcomes import Outcomes, outcomes

NEW_CASE, NEW_FACT = "hose-that-bubbles", "gas_hose_tested"


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    """A copy of the program in which the guide was performed."""
    return copied(tmp_path_factory.mktemp("fact") / "copy", guide("A fact"))


@pytest.fixture(scope="module")
def after(copy: Copy) -> Outcomes:
    """What comes out of every case of the copy."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join((str(copy.folder), str(ROOT)))}
    words = [sys.executable, "-m", "tests.guides.outcomes", str(copy.folder / "cases")]
    done = subprocess.run(words, cwd=copy.folder, env=environment, capture_output=True, check=True)
    found: Outcomes = json.loads(done.stdout)
    return found


def test_the_guide_touches_three_files_and_one_answer_serves_all_cases() -> None:
    snippets = guide("A fact")
    assert len({snippet.file for snippet in snippets}) == len(snippets) == 3
    (room,) = [snippet.text for snippet in snippets if not snippet.new]
    assert room == f"  {NEW_FACT}: yes\n"


def test_the_rules_with_the_new_fact_have_no_faults(copy: Copy) -> None:
    assert copy.without_faults()


def test_no_case_comes_out_differently(after: Outcomes, shipped: RuleBase, diagnosing: RuleBase) -> None:
    before = outcomes(ROOT / "cases", shipped, diagnosing)
    assert {name: found for name, found in after.items() if name != NEW_CASE} == before


def test_the_new_case_comes_out_as_it_says(after: Outcomes) -> None:
    found = after[NEW_CASE]
    assert found["chosen"]["route"] == "smelt_iron"
    assert found["first"] == ["mend_the_hose"]
    assert {"gas-leak", "molten-splash"} <= set(found["hazards"])


def test_without_the_answer_it_counts_as_lacking(copy: Copy) -> None:
    case = copy.folder / "cases" / "not-asked.yaml"
    text = f"invented: for this test\nroom: open-shed\nlot: ordinary\nanswers: {{}}\nunanswered: [{NEW_FACT}]\n"
    case.write_text(text, encoding="utf-8")
    advice = copy.read("route", "--answers", case)
    case.unlink()
    assert advice["outcome"] == "first"
    assert [(one["id"], one["certain"]) for one in advice["first"]] == [
        ("mend_the_hose", False),
        ("hours_for_the_smelt", True),
    ]
    assert "gas-leak" in {hazard["id"] for hazard in advice["hazards"]}
