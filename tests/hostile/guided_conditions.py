"""A guided fuzzer for the grammar: conditions, formulas and amounts, as they are typed."""

from pathlib import Path

from tests.hostile.guided import ByteRandom, fuzz, instrumented

with instrumented():
    from advisor.rulebase.language.grammar import GrammarError, parse_condition, parse_formula
    from advisor.units import format_measure, parse_measure, unit_named
    from tests.hostile import grammar
    from tests.rulebase.small_base import compiled

BASE = compiled()


def one(raw: bytes, work: Path) -> None:  # noqa: ARG001
    """One text, read in one of four ways."""
    kind, rest = raw[:1], raw[1:]
    try:
        if kind < b"\x40":
            parse_condition(rest.decode("utf-8", "replace"))
        elif kind < b"\x60":
            parse_formula(rest.decode("utf-8", "replace"))
        elif kind < b"\xa0":
            unit = unit_named(("g", "%", "C", "money/kg")[kind[0] % 4])
            format_measure(parse_measure(rest.decode("utf-8", "replace"), unit), unit, 6)
        else:
            text = grammar.condition(ByteRandom(rest), 6)
            compiled(f"findings: {{own: {{means: invented, when: {text!r}}}}}")
    except GrammarError:
        pass


def seeds() -> list[bytes]:
    """Conditions, formulas and amounts of the kinds there are."""
    texts = ("share between 5 % and 30 % or not wet", "place not in (shed, none)", "shelf has any of (soda, lead)")
    sums = ("least(mass * 2, 5 g) - (share / 3)", "mass * 90 %")
    weights = ("1 1/2 kg", "1,250.5 g", "about 5 to 10 %", "2200 F", "8 oz t")
    return [
        *(b"\x01" + text.encode() for text in texts),
        *(b"\x41" + text.encode() for text in sums),
        *(b"\x61" + text.encode() for text in weights),
        b"\xa1" + bytes(range(200)),
    ]


if __name__ == "__main__":
    fuzz(one, seeds())
