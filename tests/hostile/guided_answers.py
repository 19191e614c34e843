"""A guided fuzzer for answer and observation files: as they are, as JSON, or spoiled by chance."""

from pathlib import Path

from tests.hostile.guided import ByteRandom, fuzz, instrumented

with instrumented():
    from advisor.advice.batches.batch_file import batch_of
    from advisor.rulebase.reading.yaml_reader import decode, parse_json, parse_yaml
    from tests.hostile import answers_input

FOLDER = Path(__file__).resolve().parent.parent.parent / "cases"
answers_input.shipped(False), answers_input.shipped(True)
answers_input.cases(False), answers_input.cases(True)


def one(raw: bytes, work: Path) -> None:
    """One file; a whole advice only where it is spoiled by chance, since that takes a hundred times as long."""
    kind, rest = raw[:1], raw[1:]
    if kind < b"\xa0":
        read = parse_yaml if kind < b"\x50" else parse_json
        batch_of(read(decode(rest, "batch"), "batch"), answers_input.shipped(kind[:1] in (b"\x00", b"\x51")))
    elif kind < b"\xd0":
        answers_input.inputs(ByteRandom(rest), work)
    else:
        answers_input.answers(ByteRandom(rest), work)


def seeds() -> list[bytes]:
    """Shipped cases."""
    cases = sorted(FOLDER.rglob("*.yaml"))[::6]
    return [b"\x01" + path.read_bytes() for path in cases] + [b'\x60{"answers": {"batch_mass": "5 g"}}', b"\xb0" * 60]


if __name__ == "__main__":
    fuzz(one, seeds())
