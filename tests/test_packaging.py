"""The installed wheel, in an environment of its own and away from the checkout, finds its rules and cases."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

from tests.conftest import ROOT

PIP = ["-m", "pip", "--quiet", "--disable-pip-version-check"]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run([sys.executable, *PIP, "wheel", "--no-deps", "--wheel-dir", str(folder), str(ROOT)], check=True)
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("environment")
    venv.create(folder, with_pip=True)
    python = folder / "bin" / "python"
    subprocess.run([str(python), *PIP, "install", str(wheel)], check=True)
    return folder / "bin" / "advisor"


def run(program: Path, *arguments: str, folder: Path) -> subprocess.CompletedProcess[str]:
    clean = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    environment = {**clean, "ADVISOR_HOME": str(folder / "home"), "ADVISOR_CACHE": str(folder / "cache")}
    return subprocess.run([str(program), *arguments], cwd=folder, env=environment, capture_output=True, text=True)


def test_every_rule_and_case_file_is_in_the_wheel(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder in ("rules", "cases"):
        for path in (ROOT / folder).rglob("*.yaml"):
            assert f"advisor/_data/{path.relative_to(ROOT).as_posix()}" in names


def test_the_wheel_holds_the_program_and_its_data_only(wheel: Path) -> None:
    tops = {name.split("/")[0] for name in zipfile.ZipFile(wheel).namelist()}
    assert all(top == "advisor" or top.endswith(".dist-info") for top in tops)


def test_the_installed_program_checks_its_rules_from_another_folder(installed: Path, tmp_path: Path) -> None:
    result = run(installed, "rules", "check", folder=tmp_path)
    assert result.returncode == 0, result.stderr
    assert "No faults in shipped rules" in result.stdout


def test_the_installed_program_gives_the_same_advice_as_the_checkout(installed: Path, tmp_path: Path) -> None:
    case = next(iter(sorted((ROOT / "cases").glob("*.yaml"))))
    there = run(installed, "route", "--answers", str(case), "--json", folder=tmp_path)
    here = subprocess.run(
        [sys.executable, "-m", "advisor", "route", "--answers", str(case), "--json"],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert there.returncode == here.returncode, there.stderr
    assert json.loads(there.stdout) == json.loads(here.stdout)


def test_the_installed_program_draws_a_sheet_from_its_own_template(installed: Path, tmp_path: Path) -> None:
    case = next(iter(sorted((ROOT / "cases").glob("*.yaml"))))
    result = run(installed, "sheet", "--answers", str(case), "--output", "sheet.html", folder=tmp_path)
    assert result.returncode == 0, result.stderr
    assert (tmp_path / "sheet.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
