"""The compiled rule base as bytes, so that a start neither parses nor validates nor compiles what it did before.

An image has three parts under one digest: the logic, in which a text is the place where it stands; what explains the
rules (as they were written, their sources, file and line); and the texts by their places. The logic is all that an
evaluation needs; the others are read when the first rule is explained and the first text is shown.

Reading an image runs nothing that stands in it: it can only make objects of the classes a rule base is made of. Its
values are not validated again, so an image is read only by the very program that wrote it (``program_stamp``), and
only when its digest shows that no byte has changed.
"""

from __future__ import annotations

import hashlib
import io
import os
import pickle
import sys
from collections.abc import Callable, Iterator, Mapping
from importlib import import_module
from pathlib import Path
from typing import Any, TypeVar

from pydantic import VERSION

from advisor import __version__
from advisor.errors import InputError
from advisor.frozen import is_frozen
from advisor.rulebase.entry import Entry, kind_of
from advisor.rulebase.language.conditions import Condition
from advisor.rulebase.language.words import Texts, Words
from advisor.rulebase.locations import cache_folder
from advisor.rulebase.model import RuleBase
from advisor.words import tr

T = TypeVar("T")

_PACKAGE = Path(__file__).resolve().parent.parent
_MADE_OF = ("rulebase", "units")
"""The packages whose classes a rule base is made of, and whose code decides what it says."""

_DIGEST_BYTES = hashlib.sha256().digest_size
_LENGTH_BYTES = 8
_PARTS = 3


def program_stamp() -> str:
    """What tells this very program from every other: its files with size and time, and what it runs on.

    Raises:
        OSError: If the program's own files cannot be listed.
    """
    digest = hashlib.sha256(f"{__version__} {VERSION} {sys.version}".encode())
    files = sorted(file for package in _MADE_OF for file in _files(f"{_PACKAGE}{os.sep}{package}"))
    for path, size, time in files:
        digest.update(f"{path} {size} {time}\n".encode())
    return digest.hexdigest()


def _files(folder: str) -> Iterator[tuple[str, int, int]]:
    """The files of the program in a folder, with size and time."""
    with os.scandir(folder) as found:
        for one in found:
            if one.name.endswith(".py"):
                seen = one.stat()
                yield one.path, seen.st_size, seen.st_mtime_ns
            elif one.is_dir(follow_symlinks=False):
                yield from _files(one.path)


def sealed(*parts: bytes) -> bytes:
    """An image of its three parts: logic, what explains rules, and texts; its digest before them."""
    content = b"".join(part for one in parts for part in (len(one).to_bytes(_LENGTH_BYTES, "big"), one))
    return hashlib.sha256(content).digest() + content


def parts_of(image: bytes) -> list[memoryview] | None:
    """The parts of an image; None when it is damaged."""
    content = memoryview(image)[_DIGEST_BYTES:]
    if hashlib.sha256(content).digest() != image[:_DIGEST_BYTES]:
        return None
    parts = []
    while content:
        end = _LENGTH_BYTES + int.from_bytes(content[:_LENGTH_BYTES], "big")
        parts.append(content[_LENGTH_BYTES:end])
        content = content[end:]
    return parts


def read(image: bytes) -> RuleBase | None:
    """The rule base of an image; None when it is damaged or holds anything else."""
    parts = parts_of(image)
    if parts is None or len(parts) != _PARTS:
        return None
    logic, told, texts = parts
    words = Words(lambda: _texts(texts))
    try:
        found = _Reader(logic, words, Told(told, words)).load()
    except Exception:  # whatever a foreign file makes it stumble over, the rule files are there
        return None
    return found if isinstance(found, RuleBase) else None


class Told:
    """What explains the rules, read when it is asked for of the first of them."""

    def __init__(self, image: memoryview, words: Words) -> None:
        self._image, self._words = image, words
        self._read: list[tuple[Any, ...]] | None = None

    def __getitem__(self, place: int) -> tuple[Any, ...]:
        if self._read is None:
            self._read = _of_cache(lambda: _Reader(self._image, self._words, self).load())
        return self._read[place]


def _texts(image: memoryview) -> Texts:
    texts: Texts = _of_cache(lambda: _Texts(io.BytesIO(image)).load())
    return texts


def _of_cache(load: Callable[[], T]) -> T:
    """A part that is read while a run lasts.

    Raises:
        InputError: If somebody put something else there, under a digest of their own.
    """
    try:
        return load()
    except Exception:  # as for the logic
        wrong = tr("a file of the cache cannot be read; delete the folder {folder}", folder=cache_folder())
        raise InputError(wrong) from None


class _Texts(pickle.Unpickler):
    """Reads texts by their places, and makes no object of any class."""

    def find_class(self, module: str, name: str) -> Callable[..., Any]:
        raise pickle.UnpicklingError(f"{module}.{name} is no text")


# What an image calls, by the names of these functions. Writing needs them by name; reading puts others in their place.


def made(kind: type[T]) -> T:
    """An object without its values, which are then put into it."""
    return object.__new__(kind)


def kind(name: str, fields: tuple[str, ...], defaults: Mapping[str, Any], texts: Mapping[str, str]) -> type[Entry]:
    """A kind of entry; see ``kind_of``."""
    raise NotImplementedError("only the reader of an image knows the words that its entries are shown in")


def words() -> Words:
    """The words of the rule base."""
    raise NotImplementedError("only the reader of an image knows its words")


def told() -> Told:
    """What explains the rules."""
    raise NotImplementedError("only the reader of an image knows what it tells")


class _Reader(pickle.Unpickler):
    """Makes nothing but what a rule base is made of."""

    def __init__(self, image: memoryview, words: Words, told: Told) -> None:
        super().__init__(io.BytesIO(image))
        self._calls: dict[str, Callable[..., Any]] = {
            "made": object.__new__,
            "kind": self._kind,
            "words": lambda: words,
            "told": lambda: told,
        }
        self._words = words

    def _kind(self, *told: Any) -> type[Entry]:
        found = kind_of(*told)
        found.of_words = self._words
        return found

    def find_class(self, module: str, name: str) -> Callable[..., Any]:
        if module == __name__ and name in self._calls:
            return self._calls[name]
        parts = module.split(".")
        if parts[0] == "advisor" and parts[1:2] and parts[1] in _MADE_OF:
            found = getattr(import_module(module), name, None)
            if isinstance(found, type) and found.__module__ == module and (found is Condition or is_frozen(found)):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is no part of a rule base")
