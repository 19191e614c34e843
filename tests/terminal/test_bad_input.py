"""Files that cannot be used: one clear sentence on standard error that names the file, status 2, nothing else."""

from __future__ import annotations

import json
import os
import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, Result, control_characters, crash

BAD_INPUT = 2


@dataclass(frozen=True, slots=True)
class Bad:
    """One file that cannot be used.

    Attributes:
        content: What stands in it.
        said: What the sentence must say, as a pattern.
        line: The line that must be named, if there is one.
        suffix: The end of its name.
    """

    content: str | bytes
    said: str
    line: int | None = None
    suffix: str = ".yaml"


def answers(*lines: str) -> str:
    """A file that holds only these answers."""
    return "answers:\n" + "".join(f"  {line}\n" for line in lines)


LAUGHS = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{new}: &{new} [{', '.join([f'*{old}'] * 9)}]\n" for old, new in zip("abcdefgh", "bcdefghi", strict=True)
)

BAD: dict[str, Bad] = {
    # The file as such
    "empty": Bad("", r"answers:"),
    "blank": Bad("  \n\n", r"answers:"),
    "a comment": Bad("# nothing yet\n", r"answers:"),
    "empty JSON": Bad("", r"JSON", suffix=".json"),
    "a word": Bad("hello\n", r"answers:"),
    "a list": Bad("- dryness: dry\n", r"answers:"),
    "a JSON list": Bad("[1, 2]", r"answers:", suffix=".json"),
    "null": Bad("null", r"answers:", suffix=".json"),
    "binary": Bad(bytes(range(256)), r"UTF-8|binary"),
    "a zero byte": Bad(b"answers:\n  dryness: d\x00ry\n", r"binary", 2),
    "Latin 1": Bad("title: Früh\n".encode("latin-1"), r"UTF-8", 1),
    "UTF-16": Bad(answers("dryness: dry").encode("utf-16"), r"UTF-8", 1),
    "huge": Bad("# " + "x" * 4_100_000, r"larger than 4 MB"),
    "huge JSON": Bad('{"answers": {' + " " * 4_100_000, r"larger than 4 MB", suffix=".json"),
    "an endless word": Bad(answers("dryness: " + "x" * 3_000_000), r"dryness.*not an option", 2),
    # Its form
    "malformed": Bad("answers: [\n  dryness: dry\n", r"not valid YAML"),
    "a tab": Bad("answers:\n\tdryness: dry\n", r"not valid YAML", 2),
    "JSON cut short": Bad('{"answers": {"dryness": "dry"', r"not valid JSON", 1, ".json"),
    "JSON with a tail": Bad('{"answers":\n {"dryness": "dry"}}\nx', r"not valid JSON", 3, ".json"),
    "duplicate key": Bad(answers("dryness: dry", "dryness: wet"), r"'dryness' stands twice", 3),
    "duplicate JSON key": Bad('{"answers": {"dryness": "dry", "dryness": "wet"}}', r"'dryness'.*twice", None, ".json"),
    "anchor": Bad(answers("dryness: &a dry", "mould: *a"), r"anchors and aliases", 2),
    "alias bomb": Bad(LAUGHS, r"anchors and aliases", 1),
    "tag": Bad(answers('dryness: !!python/object/apply:os.system ["echo owned"]'), r"tag .* is not allowed", 2),
    "harmless tag": Bad(answers("dryness: !!str dry"), r"tag .* is not allowed", 2),
    "merge key": Bad(answers("<<: {dryness: dry}"), r"merge keys", 2),
    "key of several words": Bad("answers:\n  ? [a, b]\n  : dry\n", r"key", 2),
    "two documents": Bad(answers("dryness: dry") + "---\n" + answers("dryness: wet"), r"second document", 3),
    "deep list": Bad("answers: " + "[" * 3000 + "]" * 3000, r"nest"),
    "deep mapping": Bad("".join(" " * n + f"k{n}:\n" for n in range(100)), r"nest|deep"),
    "deep JSON": Bad('{"answers": ' + "[" * 50_000 + "]" * 50_000 + "}", r"nested", None, ".json"),
    "control characters": Bad(b"answers:\n  dryness: \x1b[31mdry\n", r"control|YAML|JSON"),
    "number with two meanings": Bad(answers("batch_mass: 012"), r"'012'.*more than one way", 2),
    # What it holds
    "unknown key": Bad("answer:\n  dryness: dry\n", r"'answer'.*answers", 1),
    "facts beside answers": Bad("dryness: dry\nanswers:\n  mould: cone\n", r"'dryness'", 1),
    "answers as a list": Bad("answers: [1, 2]\n", r"answers", 1),
    "no answers": Bad("answers:\n", r"answers", 1),
    "title as a list": Bad("title: [1]\n" + answers("dryness: dry"), r"title", 1),
    "unknown fact": Bad(answers("dryness: dry", "batch_mas: 250 g"), r"'batch_mas' is not a fact.*batch_mass", 3),
    "number as a fact": Bad(answers("1: dry"), r"'1' is not a fact", 2),
    "unknown option": Bad(answers("dryness: soggy"), r"dryness: 'soggy' is not an option.*dry, damp, wet", 2),
    "unknown item": Bad(answers("reagents: [borax_anhydrous, moonlight]"), r"reagents: 'moonlight'", 2),
    "items in items": Bad(answers("reagents: [[silica], [salt]]"), r"reagents", 2),
    "a mapping for an amount": Bad(answers("batch_mass: {low: 1 g}"), r"batch_mass: .*mapping", 2),
    "a list for a choice": Bad(answers("dryness: [dry, damp]"), r"dryness: .*list", 2),
    "nothing for an answer": Bad(answers("dryness:"), r"dryness: nothing is written", 2),
    "maybe for yes or no": Bad(answers("tongs: maybe"), r"tongs: 'maybe' is neither yes nor no", 2),
    "yes for an amount": Bad(answers("batch_mass: true"), r"batch_mass: an amount", 2),
    "half a JSON character": Bad('{"answers": {"dryness": "\\ud800"}}', r"dryness|character", None, ".json"),
    # Its room and its lot
    "a room that is not there": Bad(
        "room: open-shad\n" + answers("dryness: dry"), r"no room 'open-shad'.*open-shed\)", 1
    ),
    "a path to a room": Bad("room: ../rooms/open-shed\n" + answers("dryness: dry"), r"cannot be the name of a room", 1),
    "an answer taken away twice": Bad(
        "lot: ordinary\ninvented: here\n" + answers("dryness: dry") + "unanswered: [dryness]\n",
        r"this file also answers it",
        5,
    ),
    "an invented lot for a true batch": Bad("lot: rich\n" + answers("tongs: no"), r"invented for training", 1),
    # Amounts
    "wrong unit": Bad(answers("batch_mass: 250 ml"), r"batch_mass: 'ml' measures a volume; a mass", 2),
    "unknown unit": Bad(answers("batch_mass: 250 handfuls"), r"batch_mass: 'handfuls' is not a unit", 2),
    "unit with two meanings": Bad(answers("batch_mass: 8 oz"), r"'oz' can mean two weights", 2),
    "too small": Bad(answers("batch_mass: 0 g"), r"batch_mass: 0 g is outside.*0\.1 to 50000 g", 2),
    "too large": Bad(answers("batch_mass: 900 kg"), r"batch_mass: 900000 g is outside", 2),
    "more than all": Bad(answers("gold_share: 130 %"), r"gold_share: 130 % is outside", 2),
    "negative": Bad(answers("batch_mass: -5 g"), r"batch_mass: -5 g is outside", 2),
    "not a number": Bad(answers("batch_mass: nan"), r"batch_mass: 'nan'", 2),
    "not a YAML number": Bad(answers("batch_mass: .nan"), r"'\.nan'", 2),
    "not a JSON number": Bad('{"answers": {"batch_mass": NaN}}', r"NaN is not a number", None, ".json"),
    "infinity": Bad(answers("batch_mass: inf g"), r"batch_mass: 'inf g'", 2),
    "YAML infinity": Bad(answers("batch_mass: -.inf"), r"inf'", 2),
    "JSON infinity": Bad('{"answers": {"batch_mass": -Infinity}}', r"Infinity is not a number", None, ".json"),
    "a number beyond all numbers": Bad(answers("batch_mass: 1e999 g"), r"batch_mass: .*too large", 2),
    "a JSON number beyond all numbers": Bad('{"answers": {"batch_mass": 1e999}}', r"batch_mass|1e999", None, ".json"),
    "a JSON number without end": Bad('{"answers": {"batch_mass": ' + "9" * 5000 + "}}", r"number", None, ".json"),
    "range backwards": Bad(answers("batch_mass: 500 to 200 g"), r"batch_mass: .*backwards", 2),
    "comma with two meanings": Bad(answers("batch_mass: 1,250 g"), r"1250 or 1\.25;", 2),
    # Answers that cannot all be true
    "contradiction": Bad(answers("mercury_history: never", "mercury_test: found"), r"mercury_test.*correct one"),
    "contradicting list": Bad(answers("sulphide_minerals: []", "sulphide_share: 25 %"), r"sulphide_share"),
    "impossible sum": Bad(
        answers("sulphide_share: 60 %", "black_sand_share: 40 %", "quartz_share: 30 %"), r"more than the whole batch"
    ),
}


def special(folder: Path) -> dict[str, tuple[Path, str]]:
    """Names that are no ordinary file, with what the sentence must say."""
    (folder / "folder.yaml").mkdir()
    os.mkfifo(folder / "pipe.yaml")
    (folder / "endless.yaml").symlink_to("/dev/zero")
    (folder / "circle.yaml").symlink_to(folder / "circle.yaml")
    (folder / "dangling.yaml").symlink_to(folder / "nothing.yaml")
    return {
        "a folder": (folder / "folder.yaml", r"folder\.yaml is a folder"),
        "missing": (folder / "missing.yaml", r"missing\.yaml is not"),
        "in a missing folder": (folder / "no" / "such.yaml", r"such\.yaml is not"),
        "a pipe that nobody fills": (folder / "pipe.yaml", r"pipe\.yaml is not an ordinary file"),
        "a device without end": (folder / "endless.yaml", r"endless\.yaml is not an ordinary file"),
        "a link to itself": (folder / "circle.yaml", r"circle\.yaml"),
        "a link to nothing": (folder / "dangling.yaml", r"dangling\.yaml"),
        "a name that is too long": (folder / ("x" * 5000), r"xxx"),
        "a name that is an order to the terminal": (folder / "\x1b[31m.yaml", r"\.yaml is not"),
    }


SPECIAL = (
    "a folder",
    "missing",
    "in a missing folder",
    "a pipe that nobody fills",
    "a device without end",
    "a link to itself",
    "a link to nothing",
    "a name that is too long",
    "a name that is an order to the terminal",
)


@pytest.fixture(scope="module")
def refused(quick: Preloaded) -> dict[str, Result]:
    """What the program does with each bad file."""
    write = quick.program.write
    paths = {name: write(f"bad/bad-{n}{bad.suffix}", bad.content) for n, (name, bad) in enumerate(BAD.items())}
    paths |= {name: path for name, (path, _) in special(quick.program.folder / "bad").items()}
    return {name: quick.run("route", "--answers", path) for name, path in paths.items()}


def refuses(result: Result, named: str, said: str) -> None:
    """Check what holds for every refusal."""
    assert result.status == BAD_INPUT, result
    assert result.raw == b""
    assert crash(result.err) == ""
    assert named in result.err, "the file is not named"
    assert re.search(said, result.err), result.err
    assert control_characters(result.err) == [], "the terminal is given an order"
    assert len(result.err.splitlines()) <= 2, result.err
    assert result.err.endswith("\n")


@pytest.mark.parametrize("name", BAD)
def test_a_file_that_cannot_be_used_is_refused_with_a_sentence(refused: dict[str, Result], name: str) -> None:
    bad = BAD[name]
    number = list(BAD).index(name)
    place = f"bad-{number}{bad.suffix}" + (f":{bad.line}: " if bad.line else "")
    refuses(refused[name], place, bad.said)


@pytest.mark.parametrize("name", SPECIAL)
def test_what_is_no_ordinary_file_is_refused_with_a_sentence(
    refused: dict[str, Result], name: str, tmp_path: Path
) -> None:
    path, said = special(tmp_path)[name]
    refuses(refused[name], path.name[:10] if "\x1b" not in path.name else ".yaml", said)


def test_no_message_speaks_the_language_of_programmers(refused: dict[str, Result]) -> None:
    words = "dictionary|dict|tuple|NoneType|int|float|bool|unicode string|valid string|regex|pydantic|errno"
    jargon = re.compile(rf"\b({words})\b", re.IGNORECASE)
    spoken = {name: found.group() for name, result in refused.items() if (found := jargon.search(result.err))}
    assert spoken == {}


def test_a_file_that_may_not_be_read_is_refused_with_a_sentence(program: Program) -> None:
    if os.geteuid() == 0:
        pytest.skip("root may read everything")
    path = program.write("secret.yaml", answers("dryness: dry"))
    path.chmod(0)
    refuses(program.route(path), "secret.yaml", r"permission")


def test_every_fault_of_a_file_is_reported_at_once(quick: Preloaded, program: Program) -> None:
    path = program.write("many.yaml", answers("dryness: soggy", "batch_mas: 5 g", "tongs: maybe", "mould: cone"))
    result = quick.run("route", "--answers", path)
    assert result.status == BAD_INPUT
    assert [line.split(": ")[0] for line in result.err.splitlines()] == [f"{path}:{line}" for line in (2, 3, 4)]


def test_a_fault_deep_in_a_json_file_is_found_by_its_line(quick: Preloaded, program: Program) -> None:
    content = json.dumps({"title": "Invented", "answers": {"mould": "cone", "dryness": "soggy"}}, indent=1)
    result = quick.run("route", "--answers", program.write("long.json", content))
    line = content.splitlines().index('  "dryness": "soggy"') + 1
    assert result.status == BAD_INPUT
    assert "soggy" in result.err
    named = re.findall(r"long\.json:(\d+)", result.err)
    assert named in ([], [str(line)]), "a wrong line is worse than none"


def test_a_flood_of_faults_is_cut_short(quick: Preloaded, program: Program) -> None:
    path = program.write("flood.yaml", answers(*(f"k{number}: 1" for number in range(5_000))))
    result = quick.run("route", "--answers", path)
    assert result.status == BAD_INPUT
    assert len(result.err.splitlines()) <= 1000


STANDARD_INPUT = {
    "nothing": b"",
    "unknown fact": answers("batch_mas: 1 g").encode(),
    "not UTF-8": b"\xff\xfe",
    "malformed": b"answers: [",
    "contradiction": answers("mercury_history: never", "mercury_test: found").encode(),
}


@pytest.mark.parametrize("name", STANDARD_INPUT)
def test_standard_input_is_named_as_such(quick: Preloaded, name: str) -> None:
    refuses(quick.run("route", "--answers", "-", stdin=STANDARD_INPUT[name]), "standard input", "")


@pytest.mark.parametrize("name", ["Latin 1", "impossible sum"])
def test_a_program_that_starts_anew_refuses_in_the_same_words(
    refused: dict[str, Result], program: Program, name: str
) -> None:
    path = program.write("same" + BAD[name].suffix, BAD[name].content)
    result = program.route(path)
    before = re.sub(r"\S*bad-\d+", str(path.with_suffix("")), refused[name].err)
    assert (result.status, result.raw, result.err) == (BAD_INPUT, b"", before)


def test_a_bad_file_is_refused_the_same_way_when_json_is_wanted(quick: Preloaded, program: Program) -> None:
    path = program.write("bad.yaml", answers("dryness: soggy"))
    refuses(quick.run("route", "--answers", path, "--json", "--explain"), "bad.yaml:2: ", "soggy")


def test_a_bad_file_leaves_nothing_behind(program: Program) -> None:
    program.route(program.write("bad.yaml", answers("dryness: soggy")))
    assert sorted(path.name for path in program.folder.iterdir()) == ["bad.yaml"]
    assert not program.home.exists()
