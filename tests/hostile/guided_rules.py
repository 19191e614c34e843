"""A guided fuzzer for rule files: the first byte says whether the rest is a file as it is, or chances to spoil one."""

from pathlib import Path

from tests.hostile.guided import ByteRandom, fuzz, instrumented

with instrumented():
    from advisor.rulebase.compiling.compiler import compile_rule_base
    from advisor.rulebase.reading.layers import merge
    from advisor.rulebase.reading.yaml_reader import decode, parse_yaml
    from tests.hostile import rules_input
    from tests.rulebase.small_base import BASE


def one(raw: bytes, work: Path) -> None:
    """One rule base."""
    if raw[:1] < b"\x40":
        document = parse_yaml(decode(raw[1:], "rules.yaml"), "rules.yaml")
        compile_rule_base(merge([("small", [parse_yaml(BASE, "base.yaml"), document])]))
    else:
        rules_input.rules(ByteRandom(raw[1:]), work)


def seeds() -> list[bytes]:
    """Sections of the small rule base, and some chances."""
    sections = BASE.split("\n")
    starts = [number for number, line in enumerate(sections) if line[:1].isalpha()]
    parts = ["\n".join(sections[a:b]) for a, b in zip(starts, [*starts[1:], len(sections)], strict=True)]
    return [b"\x00" + part.encode() for part in parts] + [b"\x80" + bytes(range(n, n + 90)) for n in (0, 60, 120)]


if __name__ == "__main__":
    fuzz(one, seeds())
