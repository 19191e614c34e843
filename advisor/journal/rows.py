"""What the journal holds: batches, and entries that are added and never changed."""

from __future__ import annotations

import json
import math
import re
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import field
from datetime import date, datetime
from typing import Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from advisor.frozen import frozen
from advisor.units import Range
from advisor.words import tr

Kind = Literal["plan", "advice", "weighed", "time", "result", "diagnosis", "correction", "note"]
State = Literal["given", "not known", "withdrawn"]
MOST_DOCUMENT = 8_000_000
"""Longest document in bytes; an advice with everything in it has some hundred thousand."""
_DEEPEST = 60
_HALVES = re.compile(r"[\ud800-\udfff]")
_MOST_G, _MOST_NUMBER = 1e6, 10**12
VALUE_KINDS = ("weighed", "result", "time")
"""Kinds with one standing entry for each name in a batch."""


class _Row(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


def _with_offset(text: str) -> str:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError(tr("a time needs its offset from UTC"))
    return text


def a_day(text: str | None) -> str | None:
    """A day as it is kept, for example 2031-05-06; None stays None.

    Raises:
        ValueError: If it is none.
    """
    if text is not None and date.fromisoformat(text).isoformat() != text:
        raise ValueError(tr("a day is written like 2031-05-06"))
    return text


def day_of(row: Batch | Entry) -> str:
    """The day of a batch or entry by the clock on the wall: the one that was given, else that of its time."""
    return row.day or datetime.fromisoformat(row.at).astimezone().strftime("%Y-%m-%d")


class Batch(_Row):
    """One batch."""

    number: int = Field(ge=1, le=_MOST_NUMBER, description="How people call it; counts up.")
    uid: str = Field(min_length=1, description="Its identity, also in another file.")
    name: str = Field(min_length=1)
    at: str = Field(description="When it was opened, in UTC with the offset.")
    who: str = Field(min_length=1)
    day: str | None = Field(default=None, description="The day of the work, where it was not that of ``at``.")

    _time = field_validator("at")(_with_offset)
    _day = field_validator("day")(lambda day: a_day(day))


class Entry(_Row):
    """One entry; it is never changed, only superseded by another."""

    number: int = Field(ge=1, le=_MOST_NUMBER)
    uid: str = Field(min_length=1)
    batch: str = Field(min_length=1, description="The uid of its batch.")
    kind: Kind
    name: str = Field(min_length=1, description="What it is about: bead, litharge, note ...")
    state: State = "given"
    low: float | None = None
    likely: float | None = None
    high: float | None = None
    unit: str | None = Field(default=None, min_length=1, description="g, min, or share for a part of the whole.")
    text: str = Field(description="As it was written.")
    document: dict[str, Any] | None = Field(default=None, description="A document with its own name and version.")
    at: str
    who: str = Field(min_length=1)
    supersedes: str | None = Field(default=None, description="The uid of the entry that this one replaces.")
    why: str | None = Field(default=None, min_length=1, description="Why it replaces it.")
    day: str | None = Field(default=None, description="The day it is about, where it was not that of ``at``.")

    _time = field_validator("at")(_with_offset)
    _day = field_validator("day")(lambda day: a_day(day))
    _depth = field_validator("document")(lambda document: plain_document(document))

    @model_validator(mode="after")
    def _whole(self) -> Self:
        ends = (self.low, self.likely, self.high)
        if len({end is None for end in (*ends, self.unit)}) > 1:
            raise ValueError(tr("low, likely, high and unit stand together or not at all"))
        if self.low is not None and self.likely is not None and self.high is not None:
            Range(self.low, self.likely, self.high)
            if self.low < 0 or self.high > _MOST_G:
                raise ValueError(tr("an amount lies outside what can be weighed"))
        if (self.supersedes is None) != (self.why is None):
            raise ValueError(tr("an entry that supersedes another says why, and no other does"))
        return self

    @property
    def amount(self) -> Range | None:
        """Its amount, in inside units."""
        if self.low is None or self.likely is None or self.high is None:
            return None
        return Range(self.low, self.likely, self.high)


@frozen
class Draft:
    """What someone wants to record.

    Attributes:
        kind: Which kind of entry.
        name: What it is about.
        text: As it was written.
        amount: The amount in inside units.
        unit: The inside unit: ``g``, ``min`` or ``share``.
        document: A document with its name and version.
        state: Whether it is given, not known, or withdrawn.
    """

    kind: Kind
    name: str
    text: str = ""
    amount: Range | None = None
    unit: str | None = None
    document: Mapping[str, Any] | None = None
    state: State = "given"


@frozen
class Contents:
    """Batches and entries, each in the order of their numbers."""

    batches: tuple[Batch, ...] = ()
    entries: tuple[Entry, ...] = ()
    _by_batch: dict[str, list[Entry]] = field(default_factory=dict, repr=False, compare=False)

    def __post_init__(self) -> None:
        for entry in self.entries:
            self._by_batch.setdefault(entry.batch, []).append(entry)

    def of(self, batch: Batch) -> tuple[Entry, ...]:
        """All entries of a batch, superseded ones too."""
        return tuple(self._by_batch.get(batch.uid, ()))


@frozen
class Flow:
    """Batches and entries that are read while one goes through them, once and the batches first."""

    batches: Iterator[Batch]
    entries: Iterator[Entry]


Recorded = Contents | Flow


def standing(entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """The entries that are neither superseded nor withdrawn."""
    replaced = {entry.supersedes for entry in entries}
    return tuple(entry for entry in entries if entry.uid not in replaced and entry.state != "withdrawn")


def packed(document: Mapping[str, Any] | None) -> bytes | None:
    """A document as it lies in the file: compressed JSON."""
    if document is None:
        return None
    return zlib.compress(json.dumps(document, ensure_ascii=False, allow_nan=False).encode(), 6)


def unpacked(blob: bytes | None) -> dict[str, Any] | None:
    """A document from the file.

    Raises:
        ValueError: If it is no document.
    """
    if blob is None:
        return None
    try:
        unpacking = zlib.decompressobj()
        text = unpacking.decompress(blob, MOST_DOCUMENT)
        if unpacking.unconsumed_tail:
            raise ValueError(tr("a document is larger than any that this program writes"))
        document = json.loads(text)
    except (zlib.error, TypeError, RecursionError) as problem:
        raise ValueError(tr("a document cannot be unpacked ({problem})", problem=problem)) from None
    if not isinstance(document, dict):
        raise ValueError(tr("a document is no mapping"))
    return document


def plain_document(document: Mapping[str, Any] | None) -> Mapping[str, Any] | None:
    """The same document, if it can be kept and given out again.

    Raises:
        ValueError: If it is nested too deeply, or holds halves of letters or what is no number.
    """
    level: list[Any] = [document]
    for _ in range(_DEEPEST):
        for item in level:
            if isinstance(item, str) and _HALVES.search(item):
                raise ValueError(tr("a document holds half a letter"))
            if isinstance(item, float) and not math.isfinite(item):
                raise ValueError(tr("a document holds a number beyond all numbers"))
        level = [
            item
            for holder in level
            if isinstance(holder, dict | list)
            for item in ((*holder, *holder.values()) if isinstance(holder, dict) else holder)
        ]
    if level:
        raise ValueError(tr("a document is nested more than {deepest} deep", deepest=_DEEPEST))
    return document
