"""What the program says to someone who does not know what to type."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from typer.main import get_command

from advisor import __version__
from advisor.terminal.app import app
from tests.terminal.preloaded import Preloaded, Warm
from tests.terminal.program import Program, Result, control_characters, crash, flat

FINE, BAD_INPUT = 0, 2


def test_the_bare_program_says_what_to_type_next(program: Program) -> None:
    result = program.run()
    assert (result.status, result.err) == (FINE, "")
    for command in ("advisor route", "advisor route --answers FILE", "advisor rules list", "advisor --help"):
        assert any(line.strip().startswith(command) for line in result.lines)
    assert max(map(len, result.lines)) <= 80
    assert not program.home.exists()


@pytest.mark.parametrize("option", ["--help", "-h"])
def test_help_names_every_command_and_every_exit_status(warm: Warm, option: str) -> None:
    result = warm.run(option)
    assert (result.status, result.err) == (FINE, "")
    for command in ("route", "form", "schema", "rules"):
        assert any(line.split()[:1] == [command] for line in result.lines)
    for meaning in ("0 advice given", "3 stop work", "2 bad input", "4 left before the end", "1 unexpected fault"):
        assert meaning in flat(result.out)


def test_help_of_route_names_its_options(warm: Warm) -> None:
    shown = flat(warm.run("route", "--help").out)
    for option in ("--answers", "--json", "--explain", "--resume", "--save", "--title", "--rules"):
        assert option in shown
    assert "<str>" not in shown
    assert "<path>" not in shown.lower()


def commands_below(group: Any, *words: str) -> Iterator[tuple[str, ...]]:
    """Every command and group of commands, as it is typed."""
    for name, command in group.commands.items():
        yield (*words, name)
        if hasattr(command, "commands"):
            yield from commands_below(command, *words, name)


@pytest.mark.parametrize("words", [(), *commands_below(get_command(app))])
def test_help_before_a_command_is_its_help_without_types_of_python(words: tuple[str, ...], quick: Preloaded) -> None:
    asked = quick.run("help", *words)
    assert (asked.status, asked.err) == (FINE, "")
    assert asked.out == quick.run(*words, "--help").out
    assert re.findall(r"<[a-z]|list\[|\[\[|\{", asked.out) == []
    assert control_characters(asked.out) == []
    assert max(map(len, asked.lines)) <= 80
    assert [line for line in asked.lines if re.search(r"\w\.\.\.$", line)] == [], "cut short"


def test_help_for_a_command_that_is_none_names_the_closest(quick: Preloaded) -> None:
    result = quick.run("help", "rout")
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "Did you mean" in result.err


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        (["rout"], "advisor route"),
        (["Route"], "advisor route"),
        (["rule"], "advisor rules"),
        (["shema"], "advisor schema"),
        (["rules", "chek"], "advisor rules check"),
        (["rules", "lst"], "advisor rules list"),
    ],
)
def test_an_unknown_command_suggests_the_closest(warm: Warm, typed: list[str], meant: str) -> None:
    result = warm.run(*typed)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert f"There is no command '{typed[-1]}'." in flat(result.err)
    assert f"{meant}'?" in flat(result.err)
    assert crash(result.err) == ""


def test_a_command_like_no_other_lists_the_known_ones(warm: Warm) -> None:
    result = warm.run("xyzzy")
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert all(command in result.err for command in ("route", "rules", "schema"))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("route --answer", "there is no option '--answer' (closest: --answers); see  advisor route --help"),
        ("route --ansers x", "there is no option '--ansers' (closest: --answers); see  advisor route --help"),
        ("--jsno", "there is no option '--jsno'; see  advisor --help"),
        ("route x", "more was typed than there is a use for; see  advisor route --help"),
        ("sheet --paper", "'--paper' is not used like this; see  advisor sheet --help"),
        ("route --json=3", "'--json' is not used like this; see  advisor route --help"),
        ("rules show", "'ID' is missing; see  advisor rules show --help"),
        ("train drills", "'--seed' is missing; see  advisor train drills --help"),
        ("train drills --seed x", "'--seed' takes a whole number, 0 or more; see  advisor train drills --help"),
        (
            "train drills --seed 1 --count 0",
            "'--count' takes a whole number from 1 to 200; see  advisor train drills --help",
        ),
    ],
)
def test_what_cannot_be_used_of_the_command_line_is_refused_with_a_sentence(warm: Warm, typed: str, said: str) -> None:
    result = warm.run(*typed.split())
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert re.sub(r"python -m \S+", "advisor", result.err) == f"{said}\n"


def test_a_hostile_command_is_shown_and_not_obeyed(warm: Warm) -> None:
    result = warm.run("\x1b[2J[red]x[/red]")
    assert result.status == BAD_INPUT
    assert "[red]x[/red]" in result.err
    assert control_characters(result.err) == []


def test_the_version_is_shown(program: Program) -> None:
    result = program.run("--version")
    assert (result.status, result.out, result.err) == (FINE, f"advisor {__version__}\n", "")


# Completion, of the installed program by its own name


@pytest.fixture(scope="module")
def installed(shared: Program) -> Path:
    """The program under its own name, as an installation puts it on the search path."""
    script = shared.write("bin/advisor", f"#!{sys.executable}\nfrom advisor.terminal.app import main\nmain()\n")
    script.chmod(0o755)
    return script


def completion(program: Program, installed: Path, **asked: str) -> Result:
    """What the program writes for a shell that asks it to complete."""
    done = subprocess.run(
        [str(installed)],
        env=program.environment(PATH=f"{installed.parent}{os.pathsep}{os.environ['PATH']}", **asked),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=30,
        check=False,
    )
    return Result(done.returncode, done.stdout, done.stderr.decode())


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_completion_script_is_produced(program: Program, installed: Path, shell: str) -> None:
    result = completion(program, installed, _ADVISOR_COMPLETE=f"source_{shell}")
    assert (result.status, result.err) == (FINE, "")
    assert "advisor" in result.out
    assert "_ADVISOR_COMPLETE" in result.out
    if found := shutil.which(shell):
        read = subprocess.run([found, "-n"], input=result.raw, capture_output=True, check=False)
        assert (read.returncode, read.stderr) == (0, b"")


def test_completion_offers_the_commands(program: Program, installed: Path) -> None:
    asked = {"_ADVISOR_COMPLETE": "complete_bash", "COMP_WORDS": "advisor r", "COMP_CWORD": "1"}
    result = completion(program, installed, **asked)
    offered = set(result.out.split())
    assert {"route", "rules"} <= offered
    assert all(command.startswith("r") for command in offered)
    assert result.err == ""


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ("rules show molten-s", "molten-splash"),
        ("rules try own --case iron-smelt-t", "iron-smelt-trade-check-weights"),
        ("rules list haz", "hazards"),
        ("rules draw mould_m", "mould_matte_between"),
        ("route --beside smelt_i", "smelt_iron"),
        ("schema ca", "case"),
        ("charge coll", "collector="),
        ("route --show dan", "dangers"),
        ("form diag", "diagnose"),
    ],
)
def test_completion_offers_values_too(program: Program, installed: Path, typed: str, wanted: str) -> None:
    words = f"advisor {typed}"
    asked = {"_ADVISOR_COMPLETE": "complete_bash", "COMP_WORDS": words, "COMP_CWORD": str(len(typed.split()))}
    result = completion(program, installed, **asked)
    assert wanted in result.out.split()
    assert all(one.startswith(typed.split()[-1]) for one in result.out.split())
    assert result.err == ""


def test_where_the_rules_cannot_be_read_no_value_is_offered(program: Program, installed: Path) -> None:
    program.home.mkdir()
    (program.home / "settings.yaml").write_text("rules: [/nowhere/at/all]\n", encoding="utf-8")
    asked = {"_ADVISOR_COMPLETE": "complete_bash", "COMP_WORDS": "advisor rules show molten", "COMP_CWORD": "3"}
    result = completion(program, installed, **asked)
    assert (result.out.split(), result.err) == ([], "")


def test_the_options_that_install_completion_are_in_the_help(warm: Warm) -> None:
    shown = warm.run("--help").out
    assert "--install-completion" in shown
    assert "--show-completion" in shown
