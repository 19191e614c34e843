"""What the journal holds: batches, and entries that are added and never changed."""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from dataclasses import field
from datetime import datetime
from typing import Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from advisor.frozen import frozen
from advisor.measures import Range

Kind = Literal["plan", "advice", "weighed", "result", "diagnosis", "correction", "note"]
State = Literal["given", "not known", "withdrawn"]
VALUE_KINDS = ("weighed", "result")
"""Kinds of which a batch holds one standing entry for each name."""


class _Row(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


def _with_offset(text: str) -> str:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError("a time needs its offset from UTC")
    return text


class Batch(_Row):
    """One batch."""

    number: int = Field(ge=1, description="How people call it; counts up.")
    uid: str = Field(min_length=1, description="Its identity, also in another file.")
    name: str = Field(min_length=1)
    at: str = Field(description="When it was opened, in UTC with the offset.")
    who: str = Field(min_length=1)

    _time = field_validator("at")(_with_offset)


class Entry(_Row):
    """One entry; it is never changed, only superseded by another."""

    number: int = Field(ge=1)
    uid: str = Field(min_length=1)
    batch: str = Field(min_length=1, description="The uid of its batch.")
    kind: Kind
    name: str = Field(min_length=1, description="What it is about: bead, litharge, note ...")
    state: State = "given"
    low: float | None = None
    likely: float | None = None
    high: float | None = None
    unit: str | None = Field(default=None, min_length=1, description="g, or share for a part of the whole.")
    text: str = Field(description="As it was written.")
    document: dict[str, Any] | None = Field(default=None, description="A document with its own name and version.")
    at: str
    who: str = Field(min_length=1)
    supersedes: str | None = Field(default=None, description="The uid of the entry that this one replaces.")
    why: str | None = Field(default=None, min_length=1, description="Why it replaces it.")

    _time = field_validator("at")(_with_offset)

    @model_validator(mode="after")
    def _whole(self) -> Self:
        ends = (self.low, self.likely, self.high)
        if len({end is None for end in (*ends, self.unit)}) > 1:
            raise ValueError("low, likely, high and unit stand together or not at all")
        if self.low is not None and self.likely is not None and self.high is not None:
            Range(self.low, self.likely, self.high)
        if (self.supersedes is None) != (self.why is None):
            raise ValueError("an entry that supersedes another says why, and no other does")
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
        unit: The inside unit: ``g`` or ``share``.
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
        document = json.loads(zlib.decompress(blob))
    except (zlib.error, TypeError) as problem:
        raise ValueError(f"a document cannot be unpacked ({problem})") from None
    if not isinstance(document, dict):
        raise ValueError("a document is no mapping")
    return document
