"""A guided fuzzer for keystrokes: the first byte says which consultation, the rest is typed."""

from pathlib import Path

from tests.hostile.guided import fuzz, instrumented

with instrumented():
    from tests.hostile import answers_input, keys_input

answers_input.shipped(False), answers_input.shipped(True)


def one(raw: bytes, work: Path) -> None:
    """One consultation."""
    keys_input.consult(raw[1:120], work, diagnosis=raw[:1] < b"\x60")


def seeds() -> list[bytes]:
    """What a person may type."""
    return [
        b"\x00" + b"1\n" * 40,
        b"\xff" + b"u\n" * 20,
        b"\xff1\n?\ns\nb\nc\n1\nq\n",
        b"\xff100 g\n1 2?\n0\n5 to 10 %\n2\n",
    ]


if __name__ == "__main__":
    fuzz(one, seeds())
