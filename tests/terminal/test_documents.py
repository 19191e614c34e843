"""The documents show what the program does, and the project speaks of itself alone."""

from __future__ import annotations

import re
import subprocess

import pytest

from advisor.rulebase.model import RuleBase
from tests.conftest import ROOT
from tests.screens import DOCUMENTS, SCREEN, renewed

ALLOWED_TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "advisor", "rules", "tests", "cases"}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_screens_are_what_the_program_shows(name: str) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    assert renewed(text) == text, "run  python -m tests.screens"


def test_the_first_screen_of_the_readme_shows_the_main_job() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    bodies = [match["body"] for match in SCREEN.finditer(text)]
    assert "WEIGH" in bodies[0]
    assert "CAN KILL" in bodies[0]


def test_every_case_and_command_named_in_the_readme_exists() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for name in re.findall(r"cases/[\w/-]+\.yaml", text):
        assert (ROOT / name).is_file(), name


def test_the_readme_test_command_is_the_one_that_ci_runs() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "pip install -e '.[dev]'" in readme
    assert "-e '.[dev]'" in ci
    assert "python -m pytest" in readme
    assert 'python" -m pytest' in ci


def tracked_files() -> list[str]:
    done = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True)
    if done.returncode:
        pytest.skip("not a git checkout")
    return done.stdout.split()


def test_the_top_level_holds_only_what_the_design_allows() -> None:
    tops = {name.split("/")[0] for name in tracked_files()}
    assert {top for top in tops if not top.startswith(".")} <= ALLOWED_TOP


def test_mercury_is_no_material_and_no_step_uses_it(shipped: RuleBase) -> None:
    assert not [name for name in shipped.materials if "mercury" in name or "amalgam" in name]
    for step in shipped.steps.values():
        told = step.entry.do
        assert not re.search(r"\b(add|use|pour in|mix in)\b[^.]*\bmercury\b", told, re.IGNORECASE), step.entry.id


@pytest.mark.parametrize("word", ["cyanide", "mercury chloride", "potassium cyanide"])
def test_no_step_uses_a_reagent_that_is_never_recommended(shipped: RuleBase, word: str) -> None:
    for step in shipped.steps.values():
        assert not re.search(rf"\b(add|use|dissolve)\b[^.]*\b{word}\b", step.entry.do, re.IGNORECASE), step.entry.id
