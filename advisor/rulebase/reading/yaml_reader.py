"""Reads the small, safe part of YAML that rule, answer and case files use, and remembers line numbers.

Plain YAML has traps that a rule file must not fall into: ``no`` read as false, ``012`` read as ten, the last
of two equal keys winning silently, anchors that unfold into gigabytes, tags that ask for code. This reader
works on the parser's events, so none of them can happen: only ``true``, ``false``, ``null`` and plain decimal
numbers are anything but text, and everything else is refused with its line.
"""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any, NoReturn

import yaml

from advisor.errors import Fault, FaultyFile, InputError
from advisor.words import tr

MOST_BYTES = 4_000_000
MOST_DEPTH = 20
MOST_NODES = 400_000

Path_ = tuple[str | int, ...]
"""Keys and positions that lead to one value in a file."""

_PARSER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
# The slow reader stops at a question mark in a list, which the fast one reads as part of the word (galena?).
_PERHAPS = re.compile(r"(?<=\w)\?(?=\s*[,\]}])")
_STAND_IN = "\ue000"
_INTEGER = re.compile(r"-?(0|[1-9]\d*)")
_DECIMAL = re.compile(r"-?(0|[1-9]\d*)\.\d+([eE][-+]?\d{1,3})?")
_AMBIGUOUS = re.compile(
    r"[-+]?0\d+|[-+]?0[xob][0-9a-fA-F_]+|[-+]?\d+(_\d+)+|[-+]?\.(inf|nan)|\d+(:[0-5]\d)+", re.IGNORECASE
)
_LONGEST_INTEGER = 15
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")


class Document:
    """The content of one file with the line of every value.

    Attributes:
        name: The file as the user named it.
        data: Mappings, lists, text, numbers, booleans and None.
        lines: Line (from 1) of each value, by the path of keys and positions that leads to it.
    """

    __slots__ = ("data", "lines", "name")

    def __init__(self, name: str, data: Any, lines: dict[Path_, int]) -> None:
        self.name = name
        self.data = data
        self.lines = lines

    def line_of(self, path: Path_) -> int:
        """The line of the value at ``path``, or of the nearest value around it."""
        while path:
            if path in self.lines:
                return self.lines[path]
            path = path[:-1]
        return self.lines.get((), 0)

    def fault(self, path: Path_, where: str, wrong: str, right: str) -> Fault:
        """A fault at ``path`` in this file."""
        return Fault(self.name, self.line_of(path), where, wrong, right)


def legible(text: str) -> str:
    """A text as a file of this program may hold it: with question marks for control letters, which would be refused."""
    return _CONTROL.sub("?", text)


def read_text(path: Path, name: str | None = None) -> str:
    """The text of a file a user named.

    Raises:
        InputError: If it is missing, a directory, unreadable, too large, binary or not UTF-8.
    """
    shown = name or str(path)
    try:
        if path.is_dir():
            raise InputError(tr("{shown} is a folder; name one file in it", shown=shown))
        if not path.is_file():
            raise InputError(
                tr("{shown} is not a readable file; check the name and the folder", shown=shown)
                if not path.exists()
                else tr("{shown} is not an ordinary file; name a YAML or JSON file", shown=shown)
            )
        if path.stat().st_size > MOST_BYTES:
            raise InputError(
                tr(
                    "{shown} is larger than {most} MB; split it into smaller files",
                    shown=shown,
                    most=MOST_BYTES // 1000000,
                )
            )
        raw = path.read_bytes()
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or tr("the name cannot be used")
        raise InputError(
            tr("{shown} cannot be read ({reason}); check its name and permissions", shown=shown, reason=reason)
        ) from None
    return decode(raw, shown)


def decode(raw: bytes, shown: str) -> str:
    """The bytes of a file as text.

    Raises:
        InputError: If they are not UTF-8 text.
    """
    if len(raw) > MOST_BYTES:
        raise InputError(
            tr("{shown} is larger than {most} MB; split it into smaller files", shown=shown, most=MOST_BYTES // 1000000)
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = raw[: problem.start].count(b"\n") + 1
        raise FaultyFile([Fault(shown, line, "", tr("this is not UTF-8 text"), tr("save the file as UTF-8"))]) from None
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        raise FaultyFile(
            [Fault(shown, line, "", tr("this looks like a binary file"), tr("name a YAML or JSON text file"))]
        )
    return text


def read_document(path: Path, name: str | None = None) -> Document:
    """Read one YAML or JSON file.

    Raises:
        InputError: If the file cannot be read; as ``FaultyFile`` with its line if its content is not allowed.
    """
    shown = name or str(path)
    text = read_text(path, shown)
    return parse_json(text, shown) if path.suffix.lower() == ".json" else parse_yaml(text, shown)


def parse_json(text: str, name: str) -> Document:
    """Read JSON text strictly: no duplicate keys, no NaN; line numbers are not kept."""

    def unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        result: dict[str, Any] = {}
        for key, value in pairs:
            if key in result:
                raise InputError(tr("{name}: the key '{key}' stands twice; keep one of them", name=name, key=key))
            result[key] = value
        return result

    def no_constant(word: str) -> NoReturn:
        raise InputError(
            tr(
                "{name}: {word} is not a number; write a plain decimal number or leave the key out",
                name=name,
                word=word,
            )
        )

    def finite(digits: str) -> float:
        number = float(digits)
        return number if math.isfinite(number) else no_constant(f"'{digits[:40]}'")

    try:
        data = json.loads(text, object_pairs_hook=unique, parse_constant=no_constant, parse_float=finite)
    except json.JSONDecodeError as problem:
        raise InputError(
            tr(
                "{name}:{line}: this is not valid JSON ({why}); correct that line",
                name=name,
                line=problem.lineno,
                why=problem.msg,
            )
        ) from None
    except (RecursionError, ValueError):
        raise InputError(
            tr("{name}: this JSON is nested too deeply or holds an endless number; keep it flat", name=name)
        ) from None
    _check_json(data, name)
    return Document(name, data, {})


def _check_json(data: Any, name: str) -> None:
    """Refuse what the YAML reader refuses too: deep nesting, and characters that would steer a terminal."""
    level = [data]
    for _ in range(MOST_DEPTH + 1):
        if any(isinstance(item, str) and _CONTROL.search(item) for item in level):
            raise InputError(tr("{name}: a text holds a control character; write plain text", name=name))
        level = [
            item
            for holder in level
            if isinstance(holder, dict | list)
            for item in ((*holder, *holder.values()) if isinstance(holder, dict) else holder)
        ]
    if level:
        raise InputError(
            tr("{name}: this is nested more than {most} deep; keep it flatter", name=name, most=MOST_DEPTH)
        )


def parse_yaml(text: str, name: str) -> Document:
    """Read YAML text.

    Raises:
        FaultyFile: With the line, if it is malformed or uses anything but plain mappings, lists and scalars.
    """
    return _Builder(name).build(text)


def _line_of(event: Any) -> int:
    return int(event.start_mark.line) + 1


class _Builder:
    """Builds the data of one file from the parser's events."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.lines: dict[Path_, int] = {}
        self.nodes = 0

    def build(self, text: str) -> Document:
        if odd := _CONTROL.search(text):
            self._refuse_control(odd[0], text.count("\n", 0, odd.start()) + 1)
        try:
            self.events = iter(yaml.parse(_PERHAPS.sub(_STAND_IN, text), Loader=_PARSER))
            data = self._stream()
        except yaml.YAMLError as problem:
            mark = getattr(problem, "problem_mark", None)
            # At the end of the text the parser may already count the line after it.
            line = min(mark.line, text.count("\n")) + 1 if mark is not None else 0
            said = getattr(problem, "problem", None) or getattr(problem, "reason", None) or tr("it cannot be parsed")
            self._refuse(
                line,
                tr("this is not valid YAML ({why})", why=said),
                tr("correct that line; check indentation, quotes and colons"),
            )
        return Document(self.name, data, self.lines)

    def _refuse(self, line: int, wrong: str, right: str) -> NoReturn:
        raise FaultyFile([Fault(self.name, line, "", wrong, right)])

    def _refuse_control(self, text: str, line: int) -> None:
        if _CONTROL.search(text):
            self._refuse(line, tr("a text holds a control character"), tr("write plain text"))

    def _stream(self) -> Any:
        data: Any = None
        documents = 0
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._refuse(_line_of(event), tr("a second document starts here"), tr("keep one document a file"))
            elif not isinstance(event, yaml.StreamStartEvent | yaml.StreamEndEvent | yaml.DocumentEndEvent):
                data = self._value(event, (), 0)
        return data

    def _value(self, event: Any, path: Path_, depth: int) -> Any:
        line = _line_of(event)
        self.nodes += 1
        if self.nodes > MOST_NODES:
            self._refuse(line, tr("this file holds too many values"), tr("split it into smaller files"))
        if depth > MOST_DEPTH:
            self._refuse(line, tr("this is nested more than {most} deep", most=MOST_DEPTH), tr("keep it flatter"))
        if isinstance(event, yaml.AliasEvent) or event.anchor is not None:
            self._refuse(
                line,
                tr("anchors and aliases (& and *) are not allowed"),
                tr("write the value out, or quote the text"),
            )
        if event.tag is not None:
            self._refuse(
                line,
                tr("the tag {tag} is not allowed", tag=event.tag[:40]),
                tr("write plain text, numbers, lists or mappings"),
            )
        self.lines[path] = line
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event, line)
        if isinstance(event, yaml.SequenceStartEvent):
            return self._sequence(path, depth)
        return self._mapping(path, depth)

    def _sequence(self, path: Path_, depth: int) -> list[Any]:
        result: list[Any] = []
        for event in self.events:
            if isinstance(event, yaml.SequenceEndEvent):
                break
            result.append(self._value(event, (*path, len(result)), depth + 1))
        return result

    def _mapping(self, path: Path_, depth: int) -> dict[str, Any]:
        result: dict[str, Any] = {}
        for event in self.events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            line = _line_of(event)
            if not isinstance(event, yaml.ScalarEvent) or event.anchor is not None or event.tag is not None:
                self._refuse(line, tr("a key must be one plain word"), tr("write  key: value"))
            key = event.value.replace(_STAND_IN, "?")
            if key == "<<":
                self._refuse(line, tr("merge keys (<<) are not allowed"), tr("write the keys out"))
            if key in result:
                self._refuse(
                    line, tr("the key '{key}' stands twice in one mapping", key=key[:60]), tr("keep one of them")
                )
            self._refuse_control(key, line)
            result[key] = self._value(next(self.events), (*path, key), depth + 1)
            self.lines[(*path, key)] = line
        return result

    def _scalar(self, event: Any, line: int) -> Any:
        text: str = event.value.replace(_STAND_IN, "?")
        self._refuse_control(text, line)
        if not event.implicit[0] or event.style not in (None, ""):
            return text
        if text in ("true", "false"):
            return text == "true"
        if text in ("", "~", "null"):
            return None
        if _INTEGER.fullmatch(text) and len(text) <= _LONGEST_INTEGER:
            return int(text)
        if _DECIMAL.fullmatch(text):
            number = float(text)
            if not math.isfinite(number):
                self._refuse(
                    line, tr("the number '{number}' is too large", number=text[:40]), tr("write a plain decimal number")
                )
            return number
        if _AMBIGUOUS.fullmatch(text):
            self._refuse(
                line,
                tr("the number '{number}' can be read in more than one way", number=text[:40]),
                tr("write it as a plain decimal"),
            )
        return text
