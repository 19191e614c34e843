"""The guide to a new cause does what it says: the worked diagnosis comes out with it, its remedy and its figure.

The guide says to run ``rules check --prove`` afterwards. That takes a minute of computing for the diagnosis alone, so
it is not run here.
"""

from __future__ import annotations

import pytest

from tests.guides.guide import Copy, copied, guide

SNIPPETS = guide("A cause")
CASE = "cases/diagnosis/rod-that-chilled.yaml"


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    """A copy of the program in which the guide was performed."""
    return copied(tmp_path_factory.mktemp("cause") / "copy", SNIPPETS)


def test_the_guide_touches_one_new_file_the_decisions_and_a_case() -> None:
    new = [snippet.file for snippet in SNIPPETS if snippet.new]
    assert new == ["rules/diagnosis/matte-chilled.yaml", CASE]
    assert {snippet.file for snippet in SNIPPETS} - set(new) == {"rules/diagnosis/decisions.yaml"}


def test_the_rules_with_the_cause_have_no_faults(copy: Copy) -> None:
    assert copy.without_faults()


def test_the_worked_diagnosis_comes_out_with_the_cause_its_remedy_and_its_figure(copy: Copy) -> None:
    diagnosis = copy.read("diagnose", "--observations", CASE)
    taken = [cause["id"] for cause in diagnosis["causes"] if cause["taken"]]
    assert taken[0] == "matte_chilled"
    assert diagnosis["remedy"]["chosen"] == "nails_on_matte"
    assert diagnosis["figures"]["iron_in_nails"]["likely"] > 0
    steps = {step["id"]: step["do"] for step in diagnosis["steps"]}
    assert "{" not in steps["nails-weigh"]


def test_a_new_remedy_counts_as_fire_with_its_gear_and_its_hazards(copy: Copy) -> None:
    diagnosis = copy.read("diagnose", "--observations", CASE)
    assert {"fix-gear-and-air", "fix-lead-mask", "fix-weigh-after"} <= {step["id"] for step in diagnosis["steps"]}
    assert {"molten-splash", "lead-fume"} <= {hazard["id"] for hazard in diagnosis["hazards"]}


def test_its_case_is_one_of_those_that_rules_try_decides(copy: Copy) -> None:
    own = copy.folder / "own"
    own.mkdir()
    tried = copy.read("rules", "try", own)
    assert tried["cases"] == len([*copy.folder.glob("cases/*.yaml"), *copy.folder.glob("cases/diagnosis/*.yaml")])
    assert tried["differ"] == []
