"""One screen first: from a file, through a pipe and at a terminal; the rest of the document on request."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from advisor.present.text.advice import PARTS
from advisor.present.text.diagnosis import PARTS as PARTS_OF_DIAGNOSIS
from advisor.rulebase.model import RuleBase
from tests.batches import PYRITIC
from tests.conftest import ROOT
from tests.terminal.conftest import KEYS, Operator, ordinary, through_the_room
from tests.terminal.emulated import Emulated
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, Result, flat, plain
from tests.terminal.test_gold_room import kept_room
from tests.terminal.test_route_from_file import shell

CASE = ROOT / "cases" / "iron-smelt-trade-check-weights.yaml"
PIECE = ROOT / "cases" / "diagnosis" / "matt-bead-from-bismuth.yaml"
DONE, BAD_INPUT = 0, 2
MOST_LINES, MOST_LETTERS = 24, 79
MOST_WORDS_TO_THE_FIRST_WEIGHT = 1000


def shown(quick: Preloaded, command: str, *options: str) -> Result:
    """A worked case of either kind from its file."""
    of_file = ("--answers", CASE) if command == "route" else ("--observations", PIECE)
    return quick.run(command, *of_file, *options)


@pytest.mark.parametrize(("command", "parts"), [("route", PARTS), ("diagnose", PARTS_OF_DIAGNOSIS)])
def test_from_a_file_one_screen_is_shown_and_how_to_see_the_rest(
    quick: Preloaded, command: str, parts: dict[str, Any]
) -> None:
    result = shown(quick, command)
    assert result.err == ""
    assert len(result.lines) <= MOST_LINES
    assert max(map(len, result.lines)) <= MOST_LETTERS
    assert "MORE  --show " in result.out
    assert flat(" ".join(result.lines[-2:])).endswith(f"{'|'.join(parts)} --all")


def sentences(text: str) -> set[str]:
    """The sentences of a text, folded as they may be."""
    return {flat(one) for one in re.split(r"(?<=[.:;])\s+", flat(text)) if re.search(r"[a-z]{3}", one)}


@pytest.mark.parametrize(("command", "parts"), [("route", PARTS), ("diagnose", PARTS_OF_DIAGNOSIS)])
def test_the_parts_and_the_first_screen_together_say_every_sentence_of_the_whole(
    quick: Preloaded, command: str, parts: dict[str, Any]
) -> None:
    whole = shown(quick, command, "--all").out
    together = "".join(shown(quick, command, "--show", name).out for name in parts)
    first = flat(shown(quick, command).out).lower()
    said = sentences(together)
    # The head of the whole stands on the first screen, in fewer words; what it says besides is looked at here.
    head = sentences(whole[: whole.index("HAZARDS (")])
    assert sentences(whole[whole.index("HAZARDS (") : whole.rindex("Can kill here: ")]) <= said
    assert len(head & said) > 0 or not head
    title = next(line for line in whole.splitlines() if line.startswith(("ROUTE ", "NOW ")))
    assert flat(title.split(maxsplit=1)[1]).lower()[:40] in first


def test_a_part_is_what_the_whole_shows_of_it(quick: Preloaded) -> None:
    dangers = shown(quick, "route", "--show", "dangers").out.strip("\n")
    assert dangers in shown(quick, "route", "--all").out
    assert len(dangers.splitlines()) > 100


def test_an_unknown_part_is_refused_in_one_sentence(quick: Preloaded) -> None:
    for command in ("route", "diagnose"):
        result = shown(quick, command, "--show", "everything")
        assert (result.status, result.out) == (BAD_INPUT, "")
        assert len(result.err.strip().splitlines()) == 1
        assert "there is no part 'everything'; use one of dangers, numbers, work" in result.err


def test_whoever_reads_only_the_first_lines_sees_no_error(shared: Program) -> None:
    result = shell(shared, f'"$@" route --answers "{CASE}" | head -3')
    assert (result.status, result.err) == (DONE, "")
    assert len(result.lines) == 3


# At a terminal


@pytest.fixture
def answered(program: Program) -> Program:
    """A consultation in which everything but the end is answered already."""
    program.home.mkdir()
    written = program.write("answers.json", {"title": "Invented batch", "answers": PYRITIC})
    (program.home / Operator.KEPT).write_bytes(written.read_bytes())
    return program


@pytest.mark.parametrize(
    ("width", "height", "changed"),
    [
        (80, 24, {}),
        (120, 40, {"NO_COLOR": "1"}),
        (80, 24, {"TERM": "dumb"}),
        (80, 24, {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}),
    ],
)
def test_after_a_consultation_the_whole_first_screen_stands_there_with_its_prompt(
    answered: Program, width: int, height: int, changed: dict[str, str]
) -> None:
    with Emulated(answered, width, height, "route", "--resume", **changed) as at:
        while KEYS not in flat(at.shown):
            at.say("n")
        titles = [number for number, row in enumerate(at.rows) if row.startswith("SODA SMELT")]
        assert len(titles) == 1, f"the head of the screen has scrolled away: {at.rows}"
        rows = at.rows[titles[0] :]
        for words in ("WEIGH", "HOW HOT, HOW LONG", "CAN KILL", "STOP IF"):
            assert any(words in row for row in rows), words
        assert max(map(len, rows)) <= MOST_LETTERS
        assert rows[-1].startswith(">")
        assert any(row.startswith("Enter work") for row in rows[-3:])
        if "LC_ALL" in changed:
            assert "".join(rows).isascii()
            assert re.search(r"\d C\b", " ".join(rows))
        if {"NO_COLOR", "TERM"} & set(changed):
            assert not re.findall(r"\x1b\[[0-9;]*[349][0-7]m", at.said)


@pytest.mark.parametrize(("width", "height"), [(60, 20), (42, 22)])
def test_a_smaller_terminal_breaks_no_line_and_loses_no_danger_and_no_heading(
    answered: Program, width: int, height: int
) -> None:
    with Emulated(answered, width, height, "route", "--resume") as at:
        said = at.said
        while KEYS not in flat(at.shown):
            at.say("n")
            said = at.said
        assert max(map(len, at.rows)) < width
        assert "CAN KILL" in said
        assert "STOP IF" in said
        assert at.rows[-1].startswith(">")
        assert any(row.startswith("SODA SMELT") for row in at.rows), at.rows


@pytest.mark.parametrize(
    ("width", "height", "changed"),
    [
        (42, 22, {}),
        (60, 20, {"NO_COLOR": "1"}),
        (80, 24, {"TERM": "dumb"}),
        (120, 40, {}),
        (80, 24, {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}),
    ],
)
def test_each_question_stands_under_its_heading_with_all_that_can_be_answered(
    program: Program, shipped: RuleBase, width: int, height: int, changed: dict[str, str]
) -> None:
    asked: list[str] = []
    with Emulated(program, width, height, "route", **changed) as at:
        while KEYS not in flat(plain(at.said)):
            if "about your gold room" in flat(plain(at.said)):
                at.say("n")
                continue
            # The lines of a look are asked one below the other, so its heading may leave; each names what it asks.
            asks_a_line = re.match(r"\d+ .+\?$", at.rows[-2])
            begins = [number for number, row in enumerate(at.rows) if re.match(r"\d+\. [A-Z]", row)]
            assert begins or asks_a_line, at.rows
            begin = max(begins, default=0)
            assert max(map(len, at.rows[begin:])) < width
            seen = flat(" ".join(at.rows[begin:]))
            name = asked_in(at.rows[begin:], shipped)
            asked.append(name)
            options = shipped.facts[name].entry.options
            assert [one.label for one in options.values() if flat(one.label) not in seen] == []
            assert "u=unknown" in seen
            at.say(ordinary(name))
        if "LC_ALL" in changed:
            assert at.said.isascii()
            assert "?C" not in at.said
        if {"NO_COLOR", "TERM"} & set(changed):
            assert not re.findall(r"\x1b\[[0-9;]*[349][0-7]m", at.said)
    assert len(asked) > 20


def asked_in(rows: list[str], rule_base: RuleBase) -> str:
    """The fact that is asked: by the last line of a look, or else by its question."""
    facts = {name: fact for name, fact in rule_base.facts.items() if not fact.computed}
    line = re.search(r"^\d+ +(.+)\?$", rows[-2])
    of_line = [name for name, fact in facts.items() if line is not None and fact.label == line[1]]
    seen = flat(" ".join(rows))
    found = of_line or [name for name, fact in facts.items() if flat(fact.entry.ask) in seen]
    assert len(found) == 1, rows
    return found[0]


def test_wide_terminals_get_paragraphs_that_can_be_read(quick: Preloaded) -> None:
    assert max(map(len, shown(quick, "route", "--show", "dangers").lines)) <= 76
    wide = quick.run("route", "--answers", CASE, "--show", "dangers", COLUMNS="160")
    assert max(map(len, wide.lines)) <= 76
    first = quick.run("route", "--answers", CASE, COLUMNS="160")
    assert max(map(len, first.lines)) <= MOST_LETTERS


# Words


@pytest.fixture
def known_room(quick: Preloaded, program: Program, shipped: RuleBase) -> Iterator[Operator]:
    """Someone whose gold room is kept, at the first question about the lot."""
    kept_room(program, shipped)
    with Operator(quick.talk(program), shipped) as person:
        through_the_room(person.talk, shipped)
        yield person


def test_from_the_command_to_the_first_weight_few_words_are_read(known_room: Operator) -> None:
    known_room.to_the_advice()
    seen = known_room.talk.everything
    before = re.sub(r"^> .*$", "", seen[: seen.index("WEIGH, SET OUT")], flags=re.MULTILINE)
    words = re.findall(r"\S*\w\S*", before)
    assert len(words) <= MOST_WORDS_TO_THE_FIRST_WEIGHT, len(words)
