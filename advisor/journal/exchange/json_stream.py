"""Reads one JSON document piece by piece, so that a long list in it never has to be held whole."""

from __future__ import annotations

import re
from json import JSONDecodeError, JSONDecoder
from typing import IO, Any

from advisor.words import tr

_SPACE = re.compile(r"[ \t\n\r]*")
_AT_ONCE = 1 << 20


class JsonStream:
    """Goes through an object and the lists in it, in the order in which they are written.

    Every call raises ``ValueError`` where the text is no JSON, and ``RecursionError`` where it is nested too deeply.
    """

    def __init__(self, file: IO[str], most: int) -> None:
        """Read from a file of text.

        Args:
            file: The text.
            most: The longest single value that is held, in characters.
        """
        self._file = file
        self._most = most
        self._held = ""
        self._place = 0
        self._first = True
        self._decoder = JSONDecoder()

    def opens(self, sign: str) -> bool:
        """Whether an object or a list begins here; if so, it is entered."""
        if self._sign() != sign:
            # What is no JSON at all is said to be none.
            self.value()
            return False
        self._place += 1
        self._first = True
        return True

    def has_key(self, key: str) -> bool:
        """Whether the next value of the object has this key."""
        self._comma()
        if self.value() != key:
            return False
        self._expect(":")
        self._first = False
        return True

    def has_item(self) -> bool:
        """Whether the list goes on; at its end, it is left."""
        if self._sign() == "]":
            self._place += 1
            self._first = False
            return False
        self._comma()
        return True

    def ends(self) -> None:
        """Leave the object, which must be the end of the text."""
        self._expect("}")
        if self._sign():
            raise ValueError(tr("something stands after its end: {sign!r}", sign=self._sign()))

    def value(self) -> Any:
        """The value that stands here."""
        self._sign()
        while True:
            try:
                found, end = self._decoder.raw_decode(self._held, self._place)
            except JSONDecodeError:
                if not self._more():
                    raise ValueError(tr("a value is missing or damaged")) from None
                continue
            # A number may go on in what is not read yet.
            if end == len(self._held) and self._more():
                continue
            self._place = end
            self._first = False
            return found

    def _comma(self) -> None:
        if not self._first:
            self._expect(",")
        self._first = False

    def _expect(self, sign: str) -> None:
        found = self._sign()
        if found != sign:
            raise ValueError(
                tr("{sign!r} should stand where {found!r} stands", sign=sign, found=found or tr("the end"))
            )
        self._place += 1

    def _sign(self) -> str:
        """The next sign that is no space; empty at the end."""
        while True:
            space = _SPACE.match(self._held, self._place)
            self._place = self._place if space is None else space.end()
            if self._place < len(self._held):
                return self._held[self._place]
            if not self._more():
                return ""

    def _more(self) -> bool:
        """Read on; False at the end. What was gone through is let go."""
        self._held, self._place = self._held[self._place :], 0
        if len(self._held) > self._most:
            raise ValueError(tr("one value is longer than {most} characters", most=self._most))
        # Twice as much each time, so that a long value is not begun again too often.
        read = self._file.read(max(_AT_ONCE, len(self._held)))
        self._held += read
        return bool(read)
