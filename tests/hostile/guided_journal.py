"""A guided fuzzer for journals: files as they are, exports as they are, or either spoiled by chance."""

from pathlib import Path

from tests.hostile.guided import ByteRandom, fuzz, instrumented

with instrumented():
    from tests.hostile import journal_input
    from tests.journal.exports import read_export
    from tests.journal.making import journal_at

journal_input.whole_file()


def one(raw: bytes, work: Path) -> None:
    """One journal or one export."""
    kind, rest = raw[:1], raw[1:]
    if kind < b"\x40":
        path = work / "journal.sqlite"
        path.write_bytes(rest)
        journal_input.look_at(journal_at(path, wait_s=0.1), work)
    elif kind < b"\x80":
        path = work / "export.json"
        path.write_bytes(rest)
        journal_at(work / "new.sqlite").take_in(read_export(path))
    elif kind < b"\xc0":
        journal_input.files(ByteRandom(rest), work)
    else:
        journal_input.exports(ByteRandom(rest), work)


def seeds() -> list[bytes]:
    """A small journal in every form."""
    return [b"\x00" + journal_input.whole_file(), b"\x41" + journal_input.whole_text(), b"\x90" * 80, b"\xd0" * 80]


if __name__ == "__main__":
    fuzz(one, seeds())
