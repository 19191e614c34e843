"""Spoils what is right: data, text and bytes, by a source of chance that a test, a seed or a fuzzer may be."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Callable
from typing import Any

import yaml

WORDS = (
    *[
        "and",
        "or",
        "not",
        "is",
        "in",
        "has",
        "lacks",
        "any",
        "all",
        "none",
        "of",
        "between",
        "least",
        "most",
        "yes",
        "no",
        "true",
        "null",
        "~",
        "not_known",
        "unknown",
        "nan",
        "inf",
    ],
    *[
        "g",
        "kg",
        "%",
        "‰",
        "°C",
        "C",
        "F",
        "K",
        "ml",
        "l",
        "h",
        "min",
        "pieces",
        "money/kg",
        "g/ml",
        "oz",
        "ton",
        "permille",
        "karat",
    ],
    *[
        "route",
        "collector",
        "cupel",
        "melt",
        "stop",
        "wet",
        "place",
        "shelf",
        "mass",
        "share",
        "heat",
        "pots",
        "price",
        "soda",
        "lead",
        "dry_mass",
    ],
)
NUMBERS = (
    "0",
    "-0",
    "1",
    "-1",
    "0.1",
    "1e308",
    "-1e308",
    "1e999",
    "5e-324",
    "1e15",
    "999999999999999",
    "9" * 30,
    "012",
)
AMOUNTS = ("5 %", "100 g", "1e308 g", "500 to 200 g", "-5 g", "1/0 g", "1 1/2 kg", "2.5.1 g", "1,250 g", "5 to 10 %")
NASTY = (
    "\x00",
    "\x1b[31m",
    "\x1b]0;owned\x07",
    "\u202egnp.exe",
    "\u2028",
    "\ufeff",
    "\ufffe",
    "\x9b1A",
    "e\u0301" * 9,
    "💥",
    "\U000e0041",
    "١٢",
    "=1+1",
    "@SUM(A1)",
    "{0.__class__}",
    "{soda}",
    "{mass!r:>1000000}",
    "%s%n",
    "$(touch x)",
    "../../etc/passwd",
    "__import__('os').system('true')",
    "\r\n",
    "\t",
    "a" * 3000,
)
YAML_TRICKS = (
    "&a ",
    "*a",
    "!!python/object/apply:os.system ['true']",
    "!!str ",
    "<<: {a: 1}",
    "? [a]\n: b",
    "---\n",
    "...\n",
    "%YAML 1.1\n",
    "- - - -",
    "[" * 40,
    "{a: " * 30,
    "|\n  x",
    ">-\n",
    "'",
    '"',
    '"\\x1b"',
    ": ",
    " #",
    "\t",
    "?,]",
)


def word(r: random.Random) -> Any:
    """Something small and probably wrong."""
    kind = r.randrange(9)
    if kind == 0:
        return r.choice(NASTY)
    if kind == 1:
        return r.choice(NUMBERS)
    if kind == 2:
        return r.choice(AMOUNTS)
    if kind == 3:
        return r.choice([True, False, None, 0, -1, 1, 3.5, 1e300, 10**15 - 1, [], {}, "", " "])
    if kind == 4:
        return "".join(chr(r.choice((r.randrange(32, 127), r.randrange(160, 0xD7FF)))) for _ in range(r.randrange(12)))
    if kind == 5:
        nest: Any = "x"
        for _ in range(r.choice((1, 5, 18, 25))):
            nest = [nest] if r.random() < 0.5 else {"a": nest}
        return nest
    return r.choice(WORDS)


def places(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The path of every value in nested data."""
    found = [path] if path else []
    if isinstance(data, dict):
        for key, value in data.items():
            found += places(value, (*path, key))
    elif isinstance(data, list):
        for position, value in enumerate(data):
            found += places(value, (*path, position))
    return found


def _at(data: Any, path: tuple[Any, ...]) -> Any:
    for part in path:
        data = data[part]
    return data


def spoiled(r: random.Random, data: Any, instead: Callable[[random.Random], Any] = word, most: int = 3) -> Any:
    """A copy of nested data with a few values, keys or items changed, dropped, doubled or swapped."""
    data = copy.deepcopy(data)
    for _ in range(r.randrange(most + 1)):
        found = places(data)
        if not found:
            return data
        path = r.choice(found)
        holder, last = _at(data, path[:-1]), path[-1]
        kind = r.randrange(6)
        if kind == 0:
            del holder[last]
        elif kind == 1:
            other = r.choice(found)
            if other[: len(path)] != path:
                holder[last] = copy.deepcopy(_at(data, other))
        elif kind == 2 and isinstance(holder, dict):
            key = r.choice((str(instead(r))[:80], str(last) + "s", r.choice(list(holder))))
            holder[key] = holder.pop(last)
        elif kind == 3 and isinstance(holder, list):
            holder += [copy.deepcopy(holder[last])] * r.choice((1, 2, 70))
        else:
            holder[last] = instead(r)
    return data


def written(r: random.Random, data: Any) -> str:
    """Data as YAML or as JSON."""
    if r.random() < 0.3:
        return str(yaml.dump(data, allow_unicode=r.random() < 0.5, sort_keys=False, Dumper=yaml.CSafeDumper))
    return json.dumps(data, ensure_ascii=r.random() < 0.5, indent=r.choice((None, 1)), default=str)


def spoiled_text(r: random.Random, text: str, most: int = 3) -> str:
    """Text with lines dropped, doubled or swapped, and odd pieces put in."""
    for _ in range(r.randrange(most + 1)):
        kind = r.randrange(5)
        at = r.randrange(len(text) + 1)
        if kind == 0:
            end = min(len(text), at + r.choice((1, 1, 8, 60)))
            text = text[:at] + text[end:]
        elif kind == 1:
            lines = text.split("\n")
            line = r.randrange(len(lines))
            lines[line : line + 1] = [lines[line]] * r.choice((0, 2, 3))
            text = "\n".join(lines)
        elif kind == 2:
            text = text[:at] + r.choice(YAML_TRICKS) + text[at:]
        elif kind == 3:
            text = text[:at] + r.choice(NASTY) + text[at:]
        else:
            text = text[:at] + r.choice((*NUMBERS, *WORDS)) + text[at:]
    return text


def spoiled_bytes(r: random.Random, raw: bytes) -> bytes:
    """Bytes with some changed; a byte order mark, other line ends, or bytes that are no letters."""
    kind = r.randrange(8)
    if kind == 0:
        return b"\xef\xbb\xbf" + raw
    if kind == 1:
        return raw.replace(b"\n", r.choice((b"\r\n", b"\r", b"\x85", b"\xe2\x80\xa8")))
    if kind == 2:
        return raw.decode("utf-8", "replace").encode(r.choice(("utf-16", "utf-32", "utf-7")), "replace")
    hurt = bytearray(raw)
    for _ in range(r.randrange(4)):
        at = r.randrange(len(hurt) + 1)
        if kind == 3:
            hurt[at:at] = r.choice((b"\x00", b"\xff", b"\xc0\x80", b"\xed\xa0\x80", b"\xf4\x90\x80\x80"))
        elif kind == 4 and hurt:
            hurt[at % len(hurt)] = r.randrange(256)
        elif kind == 5:
            del hurt[at:]
    return bytes(hurt)


def encoded(text: str) -> bytes:
    """Text as bytes, halves of letters too."""
    return text.encode("utf-8", "surrogatepass")
