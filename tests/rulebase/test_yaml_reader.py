"""The reader of rule, answer and case files: what it refuses, what it keeps as text, and the lines it remembers."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import Fault, FaultyFile, InputError
from advisor.rulebase.reading import yaml_reader
from advisor.rulebase.reading.yaml_reader import (
    MOST_BYTES,
    MOST_DEPTH,
    parse_json,
    parse_yaml,
    read_document,
    read_text,
)

ALIAS_BOMB = "a: &a [x, x]\n" + "".join(
    f"{b}: &{b} [*{a}, *{a}]\n" for a, b in zip("abcdefgh", "bcdefghi", strict=True)
)


@pytest.mark.parametrize(
    ("text", "line", "wrong"),
    [
        ("a: 1\nb: 2\na: 3", 3, "'a' stands twice"),
        ("x:\n  {a: 1, a: 2}", 2, "'a' stands twice"),
        ('x:\n  a: 1\n  "a": 2', 3, "'a' stands twice"),
        ("a: 1\nb: &here 2", 2, "anchors and aliases"),
        ("a: &here\n  b: 1", 1, "anchors and aliases"),
        ("a:\n- &here [1]", 2, "anchors and aliases"),
        ("a: *there", 1, "anchors and aliases"),
        (ALIAS_BOMB, 1, "anchors and aliases"),
        ("&k a: 1", 1, "a key must be one plain word"),
        ("*k : 1", 1, "a key must be one plain word"),
        ("? [a, b]\n: 1", 1, "a key must be one plain word"),
        ("a: 1\n!!str b: 2", 2, "a key must be one plain word"),
        ("a:\n  <<: {b: 1}", 2, "merge keys"),
        ("a: 1\nb: !!int 5", 2, "the tag"),
        ("a: ! 5", 1, "the tag"),
        ("a: !mine {b: 1}", 1, "the tag"),
        ("!!python/object/apply:os.system ['true']", 1, "the tag"),
        ("a: 1\nb: 012", 2, "'012' can be read in more than one way"),
        ("a: -012", 1, "more than one way"),
        ("a: 09", 1, "more than one way"),
        ("a: 0x1F", 1, "more than one way"),
        ("a: 0o17", 1, "more than one way"),
        ("a: 0b11", 1, "more than one way"),
        ("a: 1_000", 1, "more than one way"),
        ("a: 12:30", 1, "more than one way"),
        ("a: 190:20:30", 1, "more than one way"),
        ("a: .nan", 1, "more than one way"),
        ("- 1\n- -.Inf", 2, "more than one way"),
        ("a: 1.0e999", 1, "too large"),
        ("a: 1\n---\nb: 2", 2, "a second document"),
        ("a: 1\n...\n---\nb: 2", 3, "a second document"),
        ("a: [1,\n  2", 2, "not valid YAML"),
        ("a: 1\n  b: 2", 2, "not valid YAML"),
        ("a:\n\tb: 1", 2, "not valid YAML"),
        ("a: 'open\n\n", 3, "not valid YAML"),
        ("a: b: c", 1, "not valid YAML"),
        ("a: 1\nb: @x", 2, "not valid YAML"),
        ("a: 1\nb: \x07", 2, "control character"),
        ('a: 1\nb: "\\e[2J"', 2, "control character"),
        ('a: 1\n"\\e": 2', 2, "control character"),
        ("a: \ud800", 1, "control character"),
        ("\n" * 4 + "a: " + "[" * 30 + "]" * 30, 5, "nested more than 20 deep"),
        ("".join(" " * n + "- \n" for n in range(30)), 22, "nested more than 20 deep"),
        ("[" * 100_000, 1, "nest"),
        ("{a: " * 100_000, 1, "nest"),
    ],
)
@pytest.mark.parametrize("parser", [yaml.SafeLoader, getattr(yaml, "CSafeLoader", yaml.SafeLoader)])
def test_what_yaml_could_misread_is_refused_with_its_line(
    text: str, line: int, wrong: str, parser: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(yaml_reader, "_PARSER", parser)
    with pytest.raises(FaultyFile) as refused:
        parse_yaml(text, "some.yaml")
    (fault,) = refused.value.faults
    assert (fault.file, fault.line) == ("some.yaml", line)
    assert wrong in fault.wrong
    assert fault.right
    assert str(fault).startswith(f"some.yaml:{line}: ")


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("no", "no"),
        ("yes", "yes"),
        ("on", "on"),
        ("Off", "Off"),
        ("True", "True"),
        ("true", True),
        ("false", False),
        ("null", None),
        ("~", None),
        ("", None),
        ("NULL", "NULL"),
        ("12", 12),
        ("-3", -3),
        ("0", 0),
        ("0.5", 0.5),
        ("1.5e-3", 0.0015),
        ("1e3", "1e3"),
        ("+5", "+5"),
        (".5", ".5"),
        ("5 %", "5 %"),
        ("1,200", "1,200"),
        ("2024-01-31", "2024-01-31"),
        ("12:30 o'clock", "12:30 o'clock"),
        ("1234567890123456789", "1234567890123456789"),
        ("'012'", "012"),
        ('"true"', "true"),
        ('"5"', "5"),
        ("=", "="),
        ("<", "<"),
        ("|\n  a\n  b", "a\nb"),
        (">-\n  a\n  b", "a b"),
        ("{}", {}),
        ("[]", []),
        ("[no, 1, {b: on}]", ["no", 1, {"b": "on"}]),
    ],
)
def test_only_plain_numbers_true_false_and_null_are_anything_but_text(written: str, value: Any) -> None:
    read = parse_yaml(f"key: {written}", "some.yaml").data["key"]
    assert read == value
    assert type(read) is type(value)


def test_keys_are_always_text() -> None:
    assert parse_yaml("1: a\ntrue: b\nno: c\n~: d", "some.yaml").data == {"1": "a", "true": "b", "no": "c", "~": "d"}


def test_an_empty_file_holds_nothing() -> None:
    for text in ("", "\n\n", "# only a comment\n", "---\n", "---\n...\n"):
        assert parse_yaml(text, "some.yaml").data is None


LINES = """\
# A comment.
arguments:

  - id: first
    when: a
    about:
      - one
      - two
  - id: second
    reason: >-
      of several
      lines
thresholds:
  limit: {value: 5, means: x}
"""


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ((), 2),
        (("arguments",), 2),
        (("arguments", 0), 4),
        (("arguments", 0, "when"), 5),
        (("arguments", 0, "about"), 6),
        (("arguments", 0, "about", 1), 8),
        (("arguments", 1), 9),
        (("arguments", 1, "reason"), 10),
        (("thresholds", "limit"), 14),
        (("thresholds", "limit", "means"), 14),
        (("arguments", 1, "missing"), 9),
        (("arguments", 7, "missing"), 2),
        (("nowhere", "at", "all"), 2),
    ],
)
def test_every_value_knows_its_line_and_a_missing_one_the_nearest(path: tuple[str | int, ...], line: int) -> None:
    document = parse_yaml(LINES, "some.yaml")
    assert document.line_of(path) == line
    assert document.fault(path, "here", "wrong", "right") == Fault("some.yaml", line, "here", "wrong", "right")


@pytest.mark.parametrize("text", [LINES.replace("\n", "\r\n"), "\ufeff" + LINES])
def test_line_ends_and_marks_of_other_systems_do_not_move_the_lines(text: str, tmp_path: Path) -> None:
    path = tmp_path / "some.yaml"
    path.write_bytes(text.encode())
    document = read_document(path)
    assert document.line_of(("thresholds", "limit")) == 14
    assert document.data == parse_yaml(LINES, "some.yaml").data


def test_the_limit_of_depth_is_where_it_is_said_to_be() -> None:
    deepest = "[" * MOST_DEPTH + "]" * MOST_DEPTH
    assert parse_yaml(f"a: {deepest[1:-1]}", "some.yaml").data
    assert parse_json(deepest, "some.json").data
    for parse in (parse_yaml, parse_json):
        with pytest.raises(InputError, match="nested more than"):
            parse(f"[[{deepest}]]", "some.file")


def test_a_file_of_too_many_values_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(yaml_reader, "MOST_NODES", 50)
    parse_yaml("[" + "x," * 40 + "]", "some.yaml")
    with pytest.raises(FaultyFile, match="too many values"):
        parse_yaml("[" + "x," * 60 + "]", "some.yaml")


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ('{"a": NaN}', "NaN is not a number"),
        ('{"a": [Infinity]}', "Infinity is not a number"),
        ('{"a": -Infinity}', "-Infinity is not a number"),
        ('{"a": 1e999}', "1e999' is not a number"),
        ('{"a": 1, "a": 2}', "'a' stands twice"),
        ('{"a": {"b": 1, "c": 2, "b": 3}}', "'b' stands twice"),
        ('{"a": 1,\n"b" 2}', "some.json:2: this is not valid JSON"),
        ("", "some.json:1: this is not valid JSON"),
        ('{"a": 1} {"b": 2}', "not valid JSON"),
        ('{"a": "\\u001b[2J"}', "control character"),
        ('{"\\ud800": 1}', "control character"),
        ("[" * 100_000, "nested too deeply"),
        ("[" * 30 + "]" * 30, "nested more than 20 deep"),
        ('{"a": ' + "9" * 5000 + "}", "endless number"),
    ],
)
def test_json_is_read_as_strictly(text: str, wrong: str) -> None:
    with pytest.raises(InputError) as refused:
        parse_json(text, "some.json")
    assert str(refused.value).startswith("some.json")
    assert wrong in str(refused.value)


def _file(folder: Path, content: bytes, name: str = "some.yaml") -> Path:
    path = folder / name
    path.write_bytes(content)
    return path


@pytest.mark.parametrize(
    ("content", "wrong"),
    [
        (b"a: 1\nb: caf\xe9\n", ":2: this is not UTF-8 text; save the file as UTF-8"),
        ("a: 1".encode("utf-16"), ":1: this is not UTF-8 text"),
        (b"a: 1\n\x00\x01\x02", ":2: this looks like a binary file"),
        (b"\x7fELF\x00", ":1: this looks like a binary file"),
    ],
)
def test_a_file_that_is_not_text_is_refused_with_its_line(content: bytes, wrong: str, tmp_path: Path) -> None:
    path = _file(tmp_path, content)
    with pytest.raises(InputError) as refused:
        read_document(path, "the file")
    assert str(refused.value).startswith("the file" + wrong)


def test_a_folder_a_missing_file_and_a_name_that_cannot_be_are_refused(tmp_path: Path) -> None:
    for path, wrong in (
        (tmp_path, "is a folder"),
        (tmp_path / "none.yaml", "is not a readable file"),
        (tmp_path / "none" / "none.yaml", "is not a readable file"),
        (tmp_path / ("x" * 5000), "cannot be read|is not a readable file"),
        (Path("a\0b"), "cannot be read|is not a readable file"),
    ):
        with pytest.raises(InputError, match=wrong):
            read_text(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with a name")
def test_a_pipe_is_refused_and_does_not_hang(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.yaml"
    os.mkfifo(pipe)
    with pytest.raises(InputError, match="is not an ordinary file"):
        read_text(pipe)


def test_a_file_without_permission_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = _file(tmp_path, b"a: 1")

    def refuse(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(InputError, match=r"cannot be read \(Permission denied\); check its name and permissions"):
        read_text(path)


def test_a_file_that_is_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "large.yaml"
    with path.open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    with pytest.raises(InputError, match="larger than 4 MB"):
        read_text(path)
    with pytest.raises(InputError, match="larger than 4 MB"):
        yaml_reader.decode(b"x" * (MOST_BYTES + 1), "standard input")


def test_the_ending_of_the_name_tells_json_from_yaml(tmp_path: Path) -> None:
    assert read_document(_file(tmp_path, b'{"a": 1.0}', "x.JSON")).data == {"a": 1.0}
    assert read_document(_file(tmp_path, b"{a: no}", "x.yml")).data == {"a": "no"}


plain_data = st.recursive(
    st.one_of(st.booleans(), st.integers(-(10**13), 10**13), st.text(max_size=20).filter(str.isprintable), st.none()),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.text(max_size=8).filter(lambda key: key.isprintable() and key != "<<"), inner, max_size=4)
    ),
    max_leaves=20,
)


@given(plain_data)
def test_json_text_means_the_same_as_yaml_and_as_json(data: Any) -> None:
    text = json.dumps(data, ensure_ascii=False)
    assert parse_json(text, "x").data == data
    assert parse_yaml(text, "x").data == data


@given(st.text(max_size=120))
def test_any_text_is_read_or_refused_and_never_crashes(text: str) -> None:
    for parse in (parse_yaml, parse_json):
        message = "x"
        try:
            parse(text, "x")
        except InputError as refused:
            message = str(refused)
        assert message.startswith("x")


@given(
    st.lists(
        st.sampled_from(
            ["a:", "b: ", "- ", "[", "]", "{", "}", "&x ", "*x ", "!t ", "\n", "  ", "'", '"', "#", "|", "012 ", "<<: "]
        ),
        max_size=25,
    )
)
def test_any_heap_of_yaml_signs_is_read_or_refused(pieces: list[str]) -> None:
    try:
        parse_yaml("".join(pieces), "x")
    except FaultyFile as refused:
        (fault,) = refused.faults
        assert fault.line >= 1
