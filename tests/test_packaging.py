"""The kit and the installed wheel: away from the checkout and without network the program finds all that it needs."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from advisor.terminal.kit.wheels import SYSTEMS, gather
from tests.conftest import ROOT
from tests.terminal.program import Program

QUIET = ["--quiet", "--disable-pip-version-check"]
OTHER = ("windows", "3.13")
"""A system and a Python that the tests do not run on."""


@pytest.fixture(scope="module")
def kit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A kit for this computer, made with a network."""
    folder = tmp_path_factory.mktemp("kit")
    made = Program(folder / "home", folder / "cache", folder).run("kit", folder / "made")
    assert made.status == 0, made.err
    return folder / "made"


@pytest.fixture(scope="module")
def wheel(kit: Path) -> Path:
    return next((kit / "wheels").glob("goldroom_advisor-*.whl"))


@pytest.fixture(scope="module")
def installed(kit: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program, installed from the kit alone."""
    folder = tmp_path_factory.mktemp("environment")
    venv.create(folder, with_pip=True)
    install = [str(folder / "bin" / "python"), "-m", "pip", *QUIET]
    subprocess.run(
        [*install, "install", "--no-index", "--find-links", str(kit / "wheels"), "goldroom-advisor"], check=True
    )
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


def test_a_program_that_was_installed_makes_the_same_wheel_again(installed: Path, wheel: Path, tmp_path: Path) -> None:
    packing = "import sys, pathlib; from advisor.terminal.kit.wheels import own_wheel; own_wheel(pathlib.Path('.'))"
    done = subprocess.run([str(installed.with_name("python")), "-c", packing], cwd=tmp_path, capture_output=True)
    assert done.returncode == 0, done.stderr
    again = tmp_path / wheel.name
    with zipfile.ZipFile(again) as packed, zipfile.ZipFile(wheel) as built:
        record = next(name for name in built.namelist() if name.endswith("/RECORD"))
        assert {name: packed.read(name) for name in packed.namelist() if name != record} == {
            name: built.read(name) for name in built.namelist() if name != record
        }
        lines = [sorted(each.read(record).decode().split()) for each in (packed, built)]
        assert lines[0] == lines[1]


def test_the_page_of_a_kit_leads_only_to_what_is_in_it_and_to_all_of_it(kit: Path) -> None:
    page = (kit / "install.html").read_text(encoding="utf-8")
    named = set(re.findall(r'href="([^"]+)"', page))
    there = {path.relative_to(kit).as_posix() for path in kit.rglob("*") if path.is_file()}
    assert named == {name for name in there if not name.startswith("wheels/")} - {"install.html"}
    assert "print/faults.html" in named
    assert len([name for name in named if name.startswith("print/route-")]) > 3
    assert "--no-index --find-links wheels goldroom-advisor" in page
    for name in named:
        text = (kit / name).read_text(encoding="utf-8")
        assert str(ROOT) not in text, f"{name} names a folder that is not in the kit"
        assert "nvented" in text or not name.startswith(("print/route-", "print/piece-")), name


def test_a_kit_for_another_system_holds_all_that_it_needs_there(wheel: Path, tmp_path: Path) -> None:
    system, python = OTHER
    gather(tmp_path, wheel, [system], [python])
    wheels = list(tmp_path.glob("*.whl"))
    assert len(wheels) > 10
    there = {canonicalize_name(wheel.name.split("-")[0]): wheel for wheel in wheels}
    conditions = {"platform_system": "Windows", "sys_platform": "win32", "os_name": "nt", "python_version": python}
    lacking = []
    for wheel in wheels:
        tag = wheel.stem.split("-")[-1]
        assert tag == "any" or tag in SYSTEMS[system], wheel.name
        with zipfile.ZipFile(wheel) as packed:
            metadata = next(name for name in packed.namelist() if name.endswith(".dist-info/METADATA"))
            text = packed.read(metadata).decode("utf-8")
        for line in re.findall(r"^Requires-Dist: (.+)$", text, re.MULTILINE):
            needed = Requirement(line.strip())
            applies = needed.marker is None or needed.marker.evaluate({**conditions, "extra": ""})
            if applies and canonicalize_name(needed.name) not in there:
                lacking.append(f"{wheel.name} needs {line}")
    assert lacking == []


def test_a_kit_is_made_whole_or_not_at_all_and_never_over_what_is_there(tmp_path: Path) -> None:
    program = Program(tmp_path / "home", tmp_path / "cache", tmp_path)
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "mine").write_text("mine")
    refused = program.run("kit", "full")
    assert (refused.status, refused.err) == (2, "full is there already and is left alone; name a new folder\n")
    no_network = {"PIP_INDEX_URL": "http://127.0.0.1:9/", "PIP_RETRIES": "0", "PIP_CONFIG_FILE": os.devnull}
    nowhere = program.run("kit", "new", **no_network)
    assert nowhere.status == 2
    assert "could not be fetched" in nowhere.err
    assert [path.name for path in tmp_path.iterdir() if path.name == "new" or path.name.startswith(".kit")] == []
    for option, value in (("--system", "amiga"), ("--python", "2.7")):
        wrong = program.run("kit", "new", option, value)
        assert (wrong.status, value in wrong.err) == (2, True)
