"""Amounts as people write them: every factor against a general unit library, every spelling, every refusal."""

from __future__ import annotations

import math
from typing import Any

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from advisor.units import MeasureError, Range, Unit, format_measure, parse_measure, unit_named
from advisor.units.measures import _UNITS, exact_text, format_number, kind_of, symbol_shown

UNITS = {unit.symbol: unit for unit, _ in _UNITS}
SPELLINGS = [(name, unit.symbol) for unit, others in _UNITS for name in (unit.symbol, *others)]

# The same unit and the inside unit of its kind, in the words of the library.
IN_PINT: dict[str, tuple[str, str]] = {
    "g": ("gram", "gram"),
    "kg": ("kilogram", "gram"),
    "mg": ("milligram", "gram"),
    "t": ("metric_ton", "gram"),
    "oz t": ("troy_ounce", "gram"),
    "oz av": ("ounce", "gram"),
    "lb": ("pound", "gram"),
    "dwt": ("pennyweight", "gram"),
    "grain": ("grain", "gram"),
    "tola": ("tola", "gram"),
    "ml": ("milliliter", "milliliter"),
    "l": ("liter", "milliliter"),
    "m3": ("meter ** 3", "milliliter"),
    "C": ("degC", "degC"),
    "F": ("degF", "degC"),
    "K": ("kelvin", "degC"),
    "min": ("minute", "minute"),
    "h": ("hour", "minute"),
    "s": ("second", "minute"),
    "d": ("day", "minute"),
    "%": ("percent", "dimensionless"),
    "permille": ("permille", "dimensionless"),
    "g/t": ("gram / metric_ton", "dimensionless"),
    "g/kg": ("gram / kilogram", "dimensionless"),
    "g/g": ("gram / gram", "dimensionless"),
    "m3/h": ("meter ** 3 / hour", "milliliter / minute"),
    "m2": ("meter ** 2", "milliliter / meter"),
    "cm2": ("centimeter ** 2", "milliliter / meter"),
    "m/s": ("meter / second", "meter / minute"),
    "karat": ("karat", "dimensionless"),
    "g/ml": ("gram / milliliter", "gram / milliliter"),
    "mg/m3": ("milligram / meter ** 3", "gram / milliliter"),
    "mg/l": ("milligram / liter", "gram / milliliter"),
    "ug/dl": ("microgram / deciliter", "gram / milliliter"),
    "ml/m3": ("milliliter / meter ** 3", "dimensionless"),
    "money/kg": ("money / kilogram", "money / gram"),
    "money/g": ("money / gram", "money / gram"),
    "money": ("money", "money"),
    "pieces": ("piece", "piece"),
}


@pytest.fixture(scope="module")
def library() -> Any:
    registry = pint.UnitRegistry()
    registry.define("tola = 180 * grain")  # The library lacks it; 180 grains by definition.
    registry.define("karat = 1 / 24")  # The library knows only the gem weight of a similar name.
    registry.define("money = [money]")
    registry.define("piece = [pieces]")
    return registry


def test_every_unit_is_compared_with_the_library() -> None:
    assert set(IN_PINT) == set(UNITS)


@pytest.mark.parametrize("symbol", UNITS)
@pytest.mark.parametrize("value", [1.0, 7.25, 1200.0])
def test_a_unit_turns_into_the_inside_unit_as_the_library_does(symbol: str, value: float, library: Any) -> None:
    theirs, inside = IN_PINT[symbol]
    expected = library.Quantity(value, theirs).to(inside).magnitude
    assert UNITS[symbol].inside(value) == pytest.approx(expected, rel=1e-12, abs=1e-12)
    assert UNITS[symbol].shown(expected) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(("name", "symbol"), SPELLINGS)
def test_every_spelling_means_its_unit_in_any_case_and_spacing(name: str, symbol: str) -> None:
    for written in (name, name.upper(), f"  {name}  ", name.replace(" ", "   ")):
        assert unit_named(written).symbol == symbol


def test_no_spelling_means_two_units() -> None:
    seen: dict[str, str] = {}
    for name, symbol in SPELLINGS:
        assert seen.setdefault(name.lower(), symbol) == symbol


G, PERCENT, C, ML, MIN, PRICE = (unit_named(name) for name in ("g", "%", "C", "ml", "min", "money/kg"))


@pytest.mark.parametrize(
    ("text", "unit", "low", "high"),
    [
        ("250 g", G, 250, 250),
        ("250g", G, 250, 250),
        ("250", G, 250, 250),
        ("  250   grams ", G, 250, 250),
        ("0.25 kg", G, 250, 250),
        ("0,25 kg", G, 250, 250),
        ("0,250 kg", G, 250, 250),
        (".25 kg", G, 250, 250),
        ("1/4 kg", G, 250, 250),
        ("1 1/4 kg", G, 1250, 1250),
        ("1 200 g", G, 1200, 1200),
        ("1\u00a0200 g", G, 1200, 1200),
        ("1\u202f200\u202f000 mg", G, 1200, 1200),
        ("1,200,000 mg", G, 1200, 1200),
        ("1,200.5 g", G, 1200.5, 1200.5),
        ("1e-3 g", G, 0.001, 0.001),
        ("2.5E2 g", G, 250, 250),
        ("8 oz t", G, 248.8278144, 248.8278144),
        ("8 ozt", G, 248.8278144, 248.8278144),
        ("8 troy ounces", G, 248.8278144, 248.8278144),
        ("1 oz av", G, 28.349523125, 28.349523125),
        ("1200 C", C, 1200, 1200),
        ("1200°C", C, 1200, 1200),
        ("2200 F", C, 2168 * 5 / 9, 2168 * 5 / 9),
        ("32 °F", C, 0, 0),
        ("-40 F", C, -40, -40),
        ("1473.15 K", C, 1200, 1200),
        ("about 250 g", G, 250, 250),
        ("~250 g", G, 250, 250),
        ("about 5 to 10 %", PERCENT, 0.05, 0.10),
        ("5 to 10 %", PERCENT, 0.05, 0.10),
        ("5 % to 10 %", PERCENT, 0.05, 0.10),
        ("5 % to 10", PERCENT, 0.05, 0.10),
        ("5-10 %", PERCENT, 0.05, 0.10),
        ("5%-10%", PERCENT, 0.05, 0.10),
        ("5–10 %", PERCENT, 0.05, 0.10),
        ("5..10 %", PERCENT, 0.05, 0.10),
        ("5 to 10", PERCENT, 0.05, 0.10),
        ("800 g to 1 kg", G, 800, 1000),
        ("1/2 to 3/4 kg", G, 500, 750),
        ("1e-3 to 2e-3 g", G, 0.001, 0.002),
        ("-5 to 10 C", C, -5, 10),
        ("1/4", PERCENT, 0.25, 0.25),
        ("1/4 to 1/2", PERCENT, 0.25, 0.5),
        ("1/4 %", PERCENT, 0.0025, 0.0025),
        ("12 of 100", PERCENT, 0.12, 0.12),
        ("about 12 out of 100", PERCENT, 0.12, 0.12),
        ("4.5 g in 20 g", PERCENT, 0.225, 0.225),
        ("300 g in 1 t", PERCENT, 0.0003, 0.0003),
        ("916 fine", PERCENT, 0.916, 0.916),
        ("22 karat", PERCENT, 22 / 24, 22 / 24),
        ("300 g/t", PERCENT, 0.0003, 0.0003),
        ("300 ppm", PERCENT, 0.0003, 0.0003),
        ("1.5 l", ML, 1500, 1500),
        ("20 cm3", ML, 20, 20),
        ("1.5 h", MIN, 90, 90),
        ("12 per kg", PRICE, 0.012, 0.012),
        ("12 /kg", PRICE, 0.012, 0.012),
    ],
)
def test_an_amount_is_read_as_people_write_it(text: str, unit: Unit, low: float, high: float) -> None:
    amount = parse_measure(text, unit)
    assert amount.low == pytest.approx(low, rel=1e-11)
    assert amount.high == pytest.approx(high, rel=1e-11)
    assert amount.is_exact == (low == high)


@pytest.mark.parametrize(
    ("text", "unit", "right"),
    [
        ("8 oz", G, ["two weights", "'oz t'", "'oz av'"]),
        ("8 ounces", G, ["two weights", "'oz t'", "'oz av'"]),
        ("8 gr", G, ["two weights", "grain"]),
        ("8 gr.", G, ["two weights", "grain"]),
        ("1/4 to 30 %", PERCENT, ["two ways"]),
        ("1 1/2", PERCENT, ["two ways"]),
        ("5 g of 20 ml", PERCENT, ["no part of a whole"]),
        ("5 of 0", PERCENT, ["divides by zero"]),
        ("2 tons", G, ["two weights", "kg"]),
        ("1,200 g", G, ["two ways", "1200", "1.2"]),
        ("1,200 to 1,300 C", C, ["two ways", "1200"]),
        ("1 3/2 kg", G, ["two ways", "decimal"]),
        ("1,50,000 g", G, ["not a number", "0.25"]),
        ("1.200,5 g", G, ["not a number", "0.25"]),
        ("1.2.3 g", G, ["not a number", "0.25"]),
        ("2 5 g", G, ["not an amount", "5 g"]),
        ("1 0000 g", G, ["not an amount", "5 g"]),
        ("5 10 %", PERCENT, ["not an amount", "5 %"]),
        ("5 g 3", G, ["'g 3' is not a unit"]),
        ("5 to 10 to 20 g", G, ["not a unit"]),
        ("10 to 5 %", PERCENT, ["backwards", "smaller number first"]),
        ("1/0 g", G, ["divides by zero"]),
        ("5 %", G, ["measures a share", "a mass is wanted", "in g"]),
        ("5 g", PERCENT, ["measures a mass", "a share is wanted"]),
        ("5 g to 10 ml", G, ["measures a volume", "a mass is wanted"]),
        ("20 C", MIN, ["measures a temperature", "a time is wanted"]),
        ("5 stones", G, ["'stones' is not a unit", "known are g, kg"]),
        ("", G, ["nothing was written", "5 g"]),
        ("   ", C, ["nothing was written", "a temperature", "5 C"]),
        ("much", G, ["not an amount", "a mass"]),
        ("g", G, ["not an amount"]),
        ("-", G, ["not an amount"]),
        ("nan g", G, ["not an amount"]),
        ("inf", G, ["not an amount"]),
        ("1e308 g", G, ["too large"]),
        ("1e14 kg", G, ["too large", "unit"]),
        ("1e308 to 1.5e308 g", G, ["too large"]),
        ("0x10 g", G, ["not a unit"]),
        ("1_000 g", G, ["not a unit"]),
        ("7" * 81, G, ["too long"]),
    ],
)
def test_what_can_be_misread_is_refused_with_what_would_be_right(text: str, unit: Unit, right: list[str]) -> None:
    with pytest.raises(MeasureError) as refused:
        parse_measure(text, unit)
    for piece in right:
        assert piece in str(refused.value)


def test_a_point_before_three_figures_is_asked_about_where_thousands_make_sense() -> None:
    for written in ("1.200 g", "12.345", "1.200 to 1.300 g"):
        with pytest.raises(MeasureError, match="two ways"):
            parse_measure(written, G, most=50_000)
    assert parse_measure("1.200 kg", G, most=50_000).likely == 1200
    assert parse_measure("0.200 kg", G, most=50_000).likely == 200
    assert parse_measure("1.2000", G, most=50_000).likely == 1.2


@given(st.integers(1, 999), st.integers(0, 999))
def test_what_the_program_writes_is_never_asked_about(whole: int, figures: int) -> None:
    amount = Range.exact(float(f"{whole}.{figures:03}"))
    assert parse_measure(exact_text(amount, G), G, most=1e9) == amount


def test_a_share_that_is_asked_for_in_grams_takes_grams() -> None:
    assert parse_measure("7 g", PERCENT, whole_g=100) == Range.exact(0.07)
    assert parse_measure("5 to 10 g", PERCENT, whole_g=100) == Range(0.05, 0.075, 0.1)
    assert parse_measure("7 %", PERCENT, whole_g=100) == Range.exact(0.07)
    with pytest.raises(MeasureError, match="a share is wanted"):
        parse_measure("7 g", PERCENT)


def test_a_limit_is_the_same_number_in_every_unit_it_can_be_written_in() -> None:
    assert parse_measure("50 permille", PERCENT) == parse_measure("5 %", PERCENT) == parse_measure("50000 ppm", PERCENT)
    assert parse_measure("0.1 h", MIN) == parse_measure("6 min", MIN)
    assert parse_measure("2012 F", C) == parse_measure("1100 C", C)


@given(st.text(alphabet="0123456789.,/ -+eE%gkCFozt–~\u00a0x", max_size=90))
@example("1/2/3")
@example("1 1/2/3 g")
@example("9" * 60 + " kg")
def test_any_text_is_an_amount_or_a_refusal_and_never_a_crash(text: str) -> None:
    refused = ""
    amount = Range.exact(0)
    try:
        amount = parse_measure(text, G)
    except MeasureError as problem:
        refused = str(problem)
    assert len(refused) > 10 if refused else amount.low <= amount.likely <= amount.high


@pytest.mark.parametrize("symbol", UNITS)
@given(
    value=st.one_of(st.floats(0.0, 1e5), st.floats(1e-9, 1e-4)).map(lambda number: float(f"{number:.9g}")),
    more=st.one_of(st.just(0.0), st.floats(1e-3, 1e5).map(lambda number: float(f"{number:.9g}"))),
)
def test_what_is_saved_reads_back_to_the_same_amount(symbol: str, value: float, more: float) -> None:
    unit = UNITS[symbol]
    written = f"{value!r} {symbol}" if not more else f"{value!r} to {value + more!r} {symbol}"
    amount = parse_measure(written, unit)
    again = parse_measure(exact_text(amount, unit), unit)
    assert (again.low, again.high) == (
        pytest.approx(amount.low, rel=1e-11, abs=1e-9 * unit.factor),
        pytest.approx(amount.high, rel=1e-11, abs=1e-9 * unit.factor),
    )
    # Once it is written by the program, nothing moves any more.
    assert parse_measure(exact_text(again, unit), unit) == again


def test_a_very_small_share_survives_saving() -> None:
    amount = parse_measure("0.5 g/t", PERCENT)
    assert parse_measure(exact_text(amount, PERCENT), PERCENT) == amount


@given(st.floats(1e-6, 1e9), st.integers(2, 8))
def test_a_shown_number_is_plain_and_close(value: float, significant: int) -> None:
    shown = format_number(value, significant)
    assert "e" not in shown.lower()
    assert abs(float(shown) - value) <= 0.5000001 * 10 ** (math.floor(math.log10(value)) - significant + 1)


@pytest.mark.parametrize(
    ("value", "shown"),
    [(0, "0"), (-0.0, "0"), (999.6, "1000"), (0.05, "0.05"), (12345, "12300"), (-2.5, "-2.5"), (100, "100")],
)
def test_numbers_are_shown_as_they_are_said_at_the_scale(value: float, shown: str) -> None:
    assert format_number(value) == shown


@pytest.mark.parametrize(
    ("amount", "symbol", "shown"),
    [
        (Range.exact(250), "g", "250 g"),
        (Range(180, 200, 220), "g", "180 to 220 g"),
        (Range.exact(1200), "C", "1200 °C"),
        (Range.exact(0.05), "%", "5 %"),
        (Range.exact(0.916), "permille", "916 ‰"),
        (Range.exact(3), "pieces", "3"),
        (Range.exact(0.012), "money/kg", "12 per kg"),
        (Range(1.0001, 1.0002, 1.0003), "g", "1 g"),
    ],
)
def test_an_amount_is_shown_for_reading(amount: Range, symbol: str, shown: str) -> None:
    assert format_measure(amount, unit_named(symbol)) == shown


def test_every_kind_of_quantity_has_a_name_in_words() -> None:
    for unit in UNITS.values():
        assert kind_of(unit.dimension) != "something else"
        assert symbol_shown(unit) or unit.symbol == "pieces"
    assert kind_of((2, 0, 0, 0, 0, 0, 0)) == "something else"


@pytest.mark.parametrize("name", ["oz", "Ounce", "gr", "ton", "furlong", "", "g g"])
def test_an_unknown_or_ambiguous_unit_is_refused(name: str) -> None:
    with pytest.raises(MeasureError):
        unit_named(name)
