"""``advisor work``: one phase a screen, as a person sees it; nothing that was done or noted is lost."""

from __future__ import annotations

import re
import signal
from pathlib import Path
from typing import Any

import pytest

from advisor.terminal.consult.work import KEYS
from tests.batches import PYRITIC
from tests.conftest import ROOT
from tests.terminal.emulated import Emulated
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import ESCAPE, Program, flat, plain

CASE = ROOT / "cases" / "iron-smelt-trade-check-weights.yaml"
DONE, LEFT = 0, 4
MOST_WORDS_OF_THE_WORK = 2500


@pytest.fixture
def begun(quick: Preloaded, program: Program) -> Program:
    """The program with a batch in its journal."""
    result = quick.run("journal", "start", "--answers", CASE, "--by", "Ana", at=program)
    assert result.status == 0, result.err
    return program


def entries(quick: Preloaded, program: Program) -> list[dict[str, Any]]:
    shown: Any = quick.run("journal", "show", "1", "--json", at=program).json
    return list(shown["entries"])


def marks(quick: Preloaded, program: Program) -> list[str]:
    """How far the work is done, mark by mark."""
    return [entry["text"] for entry in entries(quick, program) if entry["name"] == "work"]


def heading(rows: list[str]) -> str:
    """The phase that a screen shows."""
    return next(row for row in rows if re.search(r"\d+ of \d+$", row))


# Keys


def test_every_key_of_the_work_does_what_it_says(begun: Program, quick: Preloaded) -> None:
    with Emulated(begun, 80, 24, "work", "1", "--by", "Ana") as at:
        first = heading(at.rows)
        at.say("")
        assert heading(at.rows) != first, "Enter leads on"
        at.say("2")
        assert heading(at.rows) == first, "2 leads back"
        at.say("")
        assert "To weigh: " in flat(at.say("1"))
        assert "It is kept." in at.say("soda_ash 201 g")
        at.say("1")
        wrong = at.say("soda_ash many")
        assert len(re.findall("NOT KEPT: ", wrong)) == 1
        at.say("1")
        assert "It is kept." in at.say("the wind turned")
        assert re.search(r"It is \d\d:\d\d. Here since \d\d:\d\d: \d+ min.", at.say("4"))
        at.say("5")
        assert "+ Two people at every weighing" in flat(at.said), "5 shows the long words"
        at.say("0")
        assert at.ended
        assert "it goes on here with advisor work" in flat(at.said)
        at.process.close()
        assert at.process.exitstatus == LEFT
    kept = entries(quick, begun)
    assert [entry["text"] for entry in kept if entry["text"] == "the wind turned"] == ["the wind turned"]
    weights = [entry for entry in kept if entry["name"] == "soda_ash"]
    assert len(weights) == 1, [entry["name"] for entry in kept]
    assert "201" in str(weights[0])


def test_a_weight_that_is_weighed_again_takes_the_place_of_the_first(begun: Program, quick: Preloaded) -> None:
    with Emulated(begun, 80, 24, "work", "1", "--by", "Ana") as at:
        for typed in ("soda_ash 201 g", "bead 12.3 g", "soda_ash 199 g"):
            at.say("1")
            assert "It is kept." in at.say(typed)
        at.say("0")
    first, again = [entry for entry in entries(quick, begun) if entry["name"] == "soda_ash"]
    assert again["supersedes"] == first["uid"]
    shown = flat(quick.run("journal", "show", "1", at=begun).out)
    assert re.search(r"soda_ash: 201 g \[Ana\] ~ no longer stands", shown)
    assert re.search(r"soda_ash: 199 g \[Ana\] (?!~ no longer)", shown)
    assert re.search(r"bead: 12\.3 g \[Ana\] (?!~ no longer)", shown)


def test_what_looks_wrong_is_diagnosed_and_the_work_goes_on(begun: Program) -> None:
    with Emulated(begun, 80, 24, "work", "1", "--by", "Ana") as at:
        here = heading(at.rows)
        assert "q=leave" in flat(at.say("3")), "the diagnosis asks"
        at.say("q")
        assert not at.ended
        assert KEYS[:10] in at.shown
        at.say("")
        at.say("2")
        assert heading(at.rows) == here


# Nothing is lost


def test_pulling_the_plug_loses_nothing_and_the_work_goes_on_at_that_screen(begun: Program, quick: Preloaded) -> None:
    with Emulated(begun, 80, 24, "work", "1", "--by", "Ana") as at:
        for _ in range(4):
            at.say("")
        where = heading(at.rows), at.rows[-3:]
        at.say("1")
        at.say("borax_anhydrous 51 g")
        at.process.kill(signal.SIGKILL)
    done = marks(quick, begun)
    assert len(done) == 4
    assert any(entry["name"] == "borax_anhydrous" for entry in entries(quick, begun))
    for _ in range(2):
        # Whoever comes second goes on as well.
        with Emulated(begun, 80, 24, "work", "1", "--by", "Ana") as again:
            assert (heading(again.rows), again.rows[-3:]) == where
            again.say("0")
    assert marks(quick, begun) == done


def test_where_nothing_can_be_kept_the_work_goes_on_and_says_so(program: Program) -> None:
    program.home.mkdir()
    plan = program.write("plan.json", {"answers": PYRITIC})
    (program.home / "last-route.yaml").write_bytes(plan.read_bytes())
    with Emulated(program, 80, 24, "work", "--journal", str(plan / "book.sqlite"), "--by", "Ana") as at:
        assert "of the work can be kept" in flat(ESCAPE.sub("", at.said))
        at.say("")
        at.say("1")
        assert "write it on paper" in flat(at.say("soda_ash 200 g"))


# Screens


@pytest.fixture(scope="module")
def walked(quick: Preloaded, tmp_path_factory: pytest.TempPathFactory) -> list[list[str]]:
    """Every screen of the whole work at a terminal of 80 by 24, the last one after its end."""
    folder: Path = tmp_path_factory.mktemp("walked")
    program = Program(folder / "own home", quick.program.cache, folder)
    result = quick.run("journal", "start", "--answers", CASE, "--by", "Ana", at=program)
    assert result.status == 0, result.err
    with Emulated(program, 80, 24, "work", "1", "--by", "Ana") as at:
        seen = [at.rows]
        while not at.ended:
            assert at.scrolled_away == 0, at.shown
            at.say("")
            seen.append(at.rows)
        at.process.close()
        assert at.process.exitstatus == DONE
    return seen


def test_each_screen_of_the_work_stands_whole_with_its_prompt(walked: list[list[str]]) -> None:
    *screens, _ = walked
    assert len(screens) > 5
    for rows in screens:
        assert re.search(r"\d+ of \d+$", rows[0]), rows
        assert rows[-1].startswith(">")
        assert rows[-2] == KEYS


def test_a_finished_work_says_what_is_still_to_be_weighed(walked: list[list[str]]) -> None:
    assert "What is still to be weighed: advisor journal add" in flat(" ".join(walked[-1]))


def test_the_whole_work_is_read_in_a_few_minutes(walked: list[list[str]]) -> None:
    words = sum(len(re.findall(r"\S*\w\S*", " ".join(rows).replace(KEYS, ""))) for rows in walked[:-1])
    assert words <= MOST_WORDS_OF_THE_WORK, words


@pytest.mark.parametrize(
    ("width", "height", "changed"),
    [
        (42, 22, {}),
        (60, 20, {}),
        (80, 24, {"TERM": "dumb"}),
        (120, 40, {"NO_COLOR": "1"}),
        (80, 24, {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}),
    ],
)
def test_other_terminals_show_the_work_too(begun: Program, width: int, height: int, changed: dict[str, str]) -> None:
    with Emulated(begun, width, height, "work", "1", "--by", "Ana", **changed) as at:
        seen = ""
        for _ in range(8):
            # As it was written: what is typed is not shown, so on a dumb terminal the heading follows the prompt.
            lines = plain(at.said).splitlines()
            seen += at.shown
            begin = lines.index(heading(lines))
            assert max(map(len, lines[begin:])) < width
            assert len(lines[begin:]) <= height
            assert lines[-1].startswith(">")
            at.say("")
    if "LC_ALL" in changed:
        assert seen.isascii()
        assert "?C" not in seen
    if {"NO_COLOR", "TERM"} & set(changed):
        assert not re.findall(r"\x1b\[[0-9;]*[349][0-7]m", at.said)
