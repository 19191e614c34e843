"""Hostile keystrokes: what a cat on the keyboard, a script or a broken line types into a consultation."""

from __future__ import annotations

import io
import random
import sys
from pathlib import Path

from rich.console import Console

from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.terminal import output
from advisor.terminal.consult.conversation import Consultation
from advisor.terminal.consult.keeping import Keeper
from advisor.terminal.kinds import DIAGNOSE, ROUTE, LeftError
from tests.hostile import mutate
from tests.hostile.answers_input import shipped, shown

_KEYS = ("?", "s", "u", "b", "c", "e", "", "1", "2", "3", "4", "0", "1 2", "2?", "yes", "no", "q")
_ORDERS = (
    *(
        "\x1b[A",
        "\x1b[200~paste\x1b[201~",
        "\x03",
        "\x04",
        "\x1a",
        "\x08\x08",
        "\x7f",
        "\x15",
        "\x0c",
        "\x1b",
        "\x9b",
        "\r",
    ),
    *("\x00", "\ufeff1", "１", "²", "٣", "1,2,3", "9" * 5000, "-1", "1" * 4000 + "?", "? ?", "1?2?", "NaN", "0 0", "∞"),
)


def typed(r: random.Random) -> bytes:
    """Many lines; the end of input may come anywhere."""
    lines = []
    for _ in range(r.randint(1, 30)):
        kind = r.random()
        if kind < 0.55:
            line = r.choice(_KEYS)
        elif kind < 0.7:
            line = r.choice((*mutate.AMOUNTS, "100 g", "20 %", "1200 C", "3", "5 to 10"))
        elif kind < 0.85:
            line = r.choice(_ORDERS)
        else:
            wrong = mutate.word(r)
            line = wrong if isinstance(wrong, str) else repr(wrong)[:200]
        lines.append(line.encode("utf-8", "surrogatepass"))
    raw = b"\n".join(lines)
    if r.random() < 0.2:
        raw = mutate.spoiled_bytes(r, raw)
    return raw if r.random() < 0.5 else raw + b"\n"


def keys(r: random.Random, work: Path) -> None:
    """A consultation of either kind, whose answers are kept and can be gone on with."""
    kind = DIAGNOSE if r.random() < 0.4 else ROUTE
    consult(typed(r), work, diagnosis=kind is DIAGNOSE)


def consult(raw: bytes, work: Path, *, diagnosis: bool) -> None:
    """Type these bytes into a consultation."""
    rule_base = shipped(diagnosis)
    out = io.StringIO()
    console = Console(file=out, width=80, highlight=False, markup=False, emoji=False, no_color=True)
    kept = work / "kept.yaml"
    talk = Consultation(console, Keeper(DIAGNOSE if diagnosis else ROUTE, rule_base, BatchFile(None, {}), kept))
    before, sys.stdin = sys.stdin, io.TextIOWrapper(io.BytesIO(raw), encoding="utf-8")
    # The program has one standard input and mends it once; here each piece has its own.
    output._mend_input.cache_clear()
    before_out, sys.stdout = sys.stdout, io.StringIO()
    try:
        talk.run()
    except LeftError:
        talk.say_left()
    finally:
        sys.stdin, sys.stdout = before, before_out
    shown(out.getvalue())
    if kept.exists():
        again = read_batch(kept, rule_base)
        assert again.answers == talk.answers, "the kept answers are not what was answered"
