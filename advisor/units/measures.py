"""Units as miners write them.

Inside the program masses are in grams, volumes in millilitres, temperatures in degrees Celsius, times in
minutes and shares as plain fractions. Other units exist only here, at the edge. A general unit library was
tried and left out of the program because it costs more start-up time than everything else together; the
tests check every factor against one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterable

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.units.ranges import Range
from advisor.words import tr, typed_words

Dimension = tuple[int, int, int, int, int, int, int]
"""Exponents of mass, volume, temperature, time, money, pieces and length (an area is a volume over a length)."""

DIMENSIONLESS: Dimension = (0, 0, 0, 0, 0, 0, 0)
_MASS: Dimension = (1, 0, 0, 0, 0, 0, 0)
_VOLUME: Dimension = (0, 1, 0, 0, 0, 0, 0)
_TEMPERATURE: Dimension = (0, 0, 1, 0, 0, 0, 0)
_TIME: Dimension = (0, 0, 0, 1, 0, 0, 0)
_DENSITY: Dimension = (1, -1, 0, 0, 0, 0, 0)
_PRICE: Dimension = (-1, 0, 0, 0, 1, 0, 0)
_MONEY: Dimension = (0, 0, 0, 0, 1, 0, 0)
_FLOW: Dimension = (0, 1, 0, -1, 0, 0, 0)
_PIECES: Dimension = (0, 0, 0, 0, 0, 1, 0)
_AREA: Dimension = (0, 1, 0, 0, 0, 0, -1)
_SPEED: Dimension = (0, 0, 0, -1, 0, 0, 1)

_KIND_NAMES = {
    DIMENSIONLESS: tr("a share"),
    _MASS: tr("a mass"),
    _VOLUME: tr("a volume"),
    _TEMPERATURE: tr("a temperature"),
    _TIME: tr("a time"),
    _DENSITY: tr("a density"),
    _PRICE: tr("a price by mass"),
    _MONEY: tr("money"),
    _FLOW: tr("an air flow"),
    _PIECES: tr("a number of pieces"),
    _AREA: tr("an area"),
    _SPEED: tr("a speed"),
}


class MeasureError(InputError):
    """A written amount cannot be understood; the message says what would be right."""


@frozen
class Unit:
    """One unit of measure.

    Attributes:
        symbol: How the unit is shown.
        dimension: What kind of quantity it measures.
        factor: Multiplies a value in this unit to give the inside unit (g, ml, °C, min, m, fraction).
        offset: Added after multiplying; only temperatures have one.
    """

    symbol: str
    dimension: Dimension
    factor: float
    offset: float = 0.0

    def inside(self, value: float) -> float:
        """The value in the inside unit."""
        return value * self.factor + self.offset

    def shown(self, value: float) -> float:
        """The inside value in this unit."""
        return (value - self.offset) / self.factor


# Factors are exact by definition: avoirdupois pound 453.59237 g (International yard and pound agreement,
# 1959), troy ounce 480 grains of 64.79891 mg, US liquid units not accepted, temperature scales by definition.
_UNITS: tuple[tuple[Unit, tuple[str, ...]], ...] = (
    (Unit("g", _MASS, 1.0), ("gram", "grams", "gramme", "grammes", "gm", "gms")),
    (Unit("kg", _MASS, 1000.0), ("kilo", "kilos", "kilogram", "kilograms", "kgs")),
    (Unit("mg", _MASS, 0.001), ("milligram", "milligrams")),
    (Unit("t", _MASS, 1e6), ("tonne", "tonnes")),
    (
        Unit("oz t", _MASS, 31.1034768),
        ("ozt", "oz tr", "troy oz", "troy ounce", "troy ounces", "t oz", "toz"),
    ),
    (Unit("oz av", _MASS, 28.349523125), ("oz avdp", "avoirdupois ounce", "avoirdupois ounces")),
    (Unit("lb", _MASS, 453.59237), ("lbs", "pound", "pounds")),
    (Unit("dwt", _MASS, 1.55517384), ("pennyweight", "pennyweights")),
    (Unit("grain", _MASS, 0.06479891), ("grains",)),
    (Unit("tola", _MASS, 11.6638038), ("tolas",)),
    (
        Unit("ml", _VOLUME, 1.0),
        ("millilitre", "millilitres", "milliliter", "milliliters", "cc", "cm3", "cm³"),
    ),
    (Unit("l", _VOLUME, 1000.0), ("litre", "litres", "liter", "liters", "dm3")),
    (Unit("m3", _VOLUME, 1e6), ("m³", "cubic metre", "cubic metres")),
    (Unit("C", _TEMPERATURE, 1.0), ("°c", "deg c", "degc", "celsius", "degrees c", "degrees celsius")),
    (
        Unit("F", _TEMPERATURE, 5 / 9, -160 / 9),
        ("°f", "deg f", "degf", "fahrenheit", "degrees f", "degrees fahrenheit"),
    ),
    (Unit("K", _TEMPERATURE, 1.0, -273.15), ("kelvin",)),
    (Unit("min", _TIME, 1.0), ("minute", "minutes", "mins")),
    (Unit("h", _TIME, 60.0), ("hr", "hrs", "hour", "hours")),
    (Unit("s", _TIME, 1 / 60), ("sec", "secs", "second", "seconds")),
    (Unit("d", _TIME, 1440.0), ("day", "days")),
    (Unit("%", DIMENSIONLESS, 0.01), ("percent", "per cent", "pct")),
    (
        Unit("permille", DIMENSIONLESS, 0.001),
        ("‰", "per mille", "per mil", "fine", "fineness", "parts per thousand"),
    ),
    (Unit("g/t", DIMENSIONLESS, 1e-6), ("gpt", "ppm", "g per t", "grams per tonne", "g/tonne")),
    (Unit("g/kg", DIMENSIONLESS, 0.001), ("g per kg",)),
    (Unit("karat", DIMENSIONLESS, 1 / 24), ("k.", "ct", "kt", "carat", "carats", "karats")),
    (Unit("g/ml", _DENSITY, 1.0), ("g/cm3", "g/cm³", "g/cc", "kg/l")),
    (Unit("mg/m3", _DENSITY, 1e-9), ("mg/m³",)),
    (Unit("mg/l", _DENSITY, 1e-6), ("milligrams a litre",)),
    (Unit("ug/dl", _DENSITY, 1e-8), ("µg/dl", "μg/dl", "micrograms a decilitre")),
    (Unit("ml/m3", DIMENSIONLESS, 1e-6), ("parts per million by volume",)),
    (Unit("g/g", DIMENSIONLESS, 1.0), ("parts", "part")),
    (Unit("m3/h", _FLOW, 1e6 / 60), ("m³/h", "cubic metres an hour")),
    (Unit("m2", _AREA, 1e6), ("m²", "square metre", "square metres")),
    (Unit("cm2", _AREA, 100.0), ("cm²", "square centimetre", "square centimetres")),
    (Unit("m/s", _SPEED, 60.0), ("metres a second", "metre a second")),
    (Unit("money/kg", _PRICE, 0.001), ("per kg", "/kg", "a kg")),
    (Unit("money/g", _PRICE, 1.0), ("per g", "/g")),
    (Unit("money", _MONEY, 1.0), ()),
    (Unit("pieces", _PIECES, 1.0), ("piece", "pcs", "pc")),
)

_WHOLE_SHARE = Unit("of the whole", DIMENSIONLESS, 1.0)
_GRAM = _UNITS[0][0]

_BY_NAME: dict[str, Unit] = {}
for _unit, _others in _UNITS:
    for _name in (_unit.symbol, *_others):
        _BY_NAME.setdefault(_name.lower(), _unit)

# Spaces (plain, no-break, narrow) part thousands only: "2 5 g" is a slip of the hand and not 25 g.
_SPACES = " \u00a0\u202f"
_WHOLE = rf"(?:\d{{1,3}}(?:[{_SPACES}]\d{{3}})+(?!\d)|\d+)"
_DECIMAL = rf"(?:{_WHOLE}(?:[.,]\d+)*|[.,]\d+)(?:e[-+]?\d+)?"
_FRACTION = r"(?:\d+\s+(?=\d{1,2}\s*/))?\d+\s*/\s*\d+"
_NUMBER = rf"[-+]?(?:{_FRACTION}|{_DECIMAL})"
_NO_DIGIT = r"(?![\s\d.,]|/\s*\d)"
_ABOUT = r"(?:about|around|ca\.?|approx\.?|~)?\s*"
_ONE = re.compile(rf"^{_ABOUT}(?P<number>{_NUMBER})\s*(?P<unit>{_NO_DIGIT}.*)$", re.IGNORECASE)


def any_of(words: Iterable[str]) -> str:
    """What finds any of some words, as a part of a regular expression."""
    return "|".join(map(re.escape, sorted(words)))


TO_WORDS = typed_words("to")
"""What may be typed between the two ends of a range."""
_TWO = re.compile(
    rf"^{_ABOUT}(?P<a>{_NUMBER})(?!e[-+]?\d)\s*(?P<ua>[^\d]*?)\s*(?:\b(?:{any_of(TO_WORDS)})\b|\.\.|–|—|(?<=[\d\s%a-z])-)"
    rf"\s*(?P<b>{_NUMBER})\s*(?P<ub>{_NO_DIGIT}.*)$",
    re.IGNORECASE,
)
_PARTED = re.compile(
    rf"^{_ABOUT}(?P<part>{_NUMBER})\s*(?P<unit>(?!(?:out|of|in|per)\b)[^\d\s/][^\d/]*?)?"
    rf"\s*(?P<sign>/|\b(?:per|in|of|out of)\b)\s*(?P<whole>{_NUMBER})(?P<unit_of_whole>[^\d]*)$",
    re.IGNORECASE,
)
_THOUSANDS = re.compile(r"[-+]?[1-9]\d{0,2}[.,]\d{3}")
_GREATEST = 1e15
_LONGEST_TEXT = 80


def unit_named(name: str, dimension: Dimension | None = None) -> Unit:
    """The unit a person means by ``name``; a complaint lists the units of ``dimension``, or all of them.

    Raises:
        MeasureError: If it is unknown or can mean two things.
    """
    plain = " ".join(name.strip().lower().split())
    if plain in ("oz", "ounce", "ounces"):
        raise MeasureError(
            tr("'{name}' can mean two weights; write 'oz t' (troy, 31.10 g) or 'oz av' (28.35 g)", name=name.strip())
        )
    if plain.rstrip(".") == "gr":
        raise MeasureError(tr("'{name}' can mean two weights; write g (gram) or grain (0.0648 g)", name=name.strip()))
    if plain in ("ton", "tons"):
        raise MeasureError(tr("'{name}' can mean two weights; write kg or t (1000 kg)", name=name.strip()))
    unit = _BY_NAME.get(plain) or _BY_NAME.get(plain.rstrip("."))
    if unit is None:
        known = ", ".join(unit.symbol for unit, _ in _UNITS if dimension in (None, unit.dimension))
        raise MeasureError(tr("'{name}' is not a unit known here; known are {known}", name=name.strip(), known=known))
    return unit


def names_of_units(dimension: Dimension) -> tuple[str, ...]:
    """Every way to write a unit of this kind, as ``unit_named`` reads it."""
    return tuple(name for unit, others in _UNITS if unit.dimension == dimension for name in (unit.symbol, *others))


def spellings() -> Collection[str]:
    """Every way to write a unit of any kind, in small letters."""
    return _BY_NAME.keys()


def _number(text: str) -> float:
    if "/" in text:
        return _fraction(text)
    plain = re.sub(f"[{_SPACES}]", "", text)
    commas = plain.count(",")
    if commas == 1 and _THOUSANDS.fullmatch(plain):
        raise _two_ways(text, plain)
    if commas > 1 or (commas and "." in plain):
        if not re.fullmatch(r"[-+]?\d{1,3}(,\d{3})+(\.\d+)?", plain):
            raise MeasureError(
                tr("'{text}' is not a number; write it with one decimal point, for example 0.25", text=text.strip())
            )
        plain = plain.replace(",", "")
    try:
        value = float(plain.replace(",", "."))
    except ValueError:
        raise MeasureError(
            tr("'{text}' is not a number; write it with one decimal point, for example 0.25", text=text.strip())
        ) from None
    if abs(value) > _GREATEST:
        raise MeasureError(tr("'{text}' is too large; write a plain number", text=text.strip()))
    return value


def _two_ways(text: str, plain: str) -> MeasureError:
    """What to say of ``1,200`` and ``1.200``: a thousand and more, or one and a little."""
    whole, figures = re.split("[.,]", plain)
    return MeasureError(
        tr(
            "'{text}' can be read two ways; write {whole}{figures} or {unambiguous}",
            text=text.strip(),
            whole=whole,
            figures=figures,
            unambiguous=unambiguous(float(f"{whole}.{figures}")),
        )
    )


def unambiguous(value: float) -> str:
    """A number as text that nobody can take for thousands: ``1.2340`` in place of ``1.234``."""
    text = repr(value)
    return f"{text}0" if _THOUSANDS.fullmatch(text) else text


def _fraction(text: str) -> float:
    """The value of a fraction, with or without a whole number before it: ``1/2``, ``1 1/2``."""
    above, below = text.split("/")
    *whole, above = above.split()
    if float(below) == 0:
        raise MeasureError(tr("'{text}' divides by zero; write a plain number", text=text.strip()))
    part = _number(above) / _number(below)
    if not whole:
        return part
    if part >= 1:
        raise MeasureError(
            tr("'{text}' can be read two ways; write it as a decimal, for example 1.5", text=text.strip())
        )
    return _number(whole[0]) + (-part if whole[0].startswith("-") else part)


@frozen
class _Wanted:
    """What amount is wanted.

    Attributes:
        unit: The unit of an amount that is written without one.
        most: The greatest amount that makes sense, in the inside unit; None where a point always begins decimals.
        written: All that was written.
        alike: Whether of two amounts both or none are fractions.
    """

    unit: Unit
    most: float | None
    written: str
    alike: bool = True


def _in_unit(number: str, written_unit: str, wanted: _Wanted) -> float:
    default = wanted.unit
    unit = unit_named(written_unit, default.dimension) if written_unit.strip() else default
    if unit.dimension != default.dimension:
        raise MeasureError(
            tr(
                "'{written_unit}' measures {kind_of}; {dimension} is wanted, for example in {symbol}",
                written_unit=written_unit.strip(),
                kind_of=kind_of(unit.dimension),
                dimension=kind_of(default.dimension),
                symbol=default.symbol,
            )
        )
    if "/" in number and default.dimension == DIMENSIONLESS and not (written_unit.strip() and wanted.alike):
        unit = _of_the_whole(number, wanted)
    inside = unit.inside(_number(number))
    plain = re.sub(f"[{_SPACES}]", "", number)
    if wanted.most is not None and _THOUSANDS.fullmatch(plain) and unit.inside(_thousands(plain)) <= wanted.most:
        raise _two_ways(number, plain)
    if abs(inside) > _GREATEST:
        raise MeasureError(
            tr(
                "'{number} {symbol}' is too large; check the number and the unit",
                number=number.strip(),
                symbol=unit.symbol,
            )
        )
    # Twelve figures: 50 per mille and 5 % must be the same number, or a limit written in one would miss the other.
    return float(f"{inside:.12g}")


def _thousands(plain: str) -> float:
    return float(plain.replace(".", "").replace(",", ""))


def _of_the_whole(number: str, wanted: _Wanted) -> Unit:
    """A share written as a fraction without a unit: a quarter is a quarter of the whole and not of one per cent.

    Raises:
        MeasureError: If it is more than the whole, or the other amount of a range is written in another way.
    """
    if not wanted.alike or (wanted.unit.factor != 1 and len(number.split("/")[0].split()) > 1):
        right = tr("write it in {symbol}, for example 25 %", symbol=wanted.unit.symbol)
        raise MeasureError(tr("'{written}' can be read two ways; {right}", written=wanted.written, right=right))
    return _WHOLE_SHARE


def kind_of(dimension: Dimension) -> str:
    """What a dimension measures, in words."""
    return _KIND_NAMES.get(dimension, "something else")


def parse_measure(text: str, unit: Unit, *, most: float | None = None, whole_g: float | None = None) -> Range:
    """Read an amount as a person writes it: ``250 g``, ``0.25 kg``, ``8 oz t``, ``2200 F``, ``5 to 10 %``.

    A share may also be written as a part: ``1/4``, ``12 of 100``, ``4.5 g in 20 g``.

    Args:
        text: The written amount; a number without a unit is taken in ``unit``.
        unit: The unit expected, which also fixes the kind of quantity.
        most: The greatest amount that makes sense, in the inside unit. Where it allows ``1.200`` to be twelve
            hundred, that is refused like ``1,200``; without it a point always begins the decimals.
        whole_g: For a share that is asked for in grams: in how many grams.

    Returns:
        The amount in the inside unit; a written range gives a range with the middle as likely value.

    Raises:
        MeasureError: If the text is not one amount or one range of the wanted kind.
    """
    stripped = text.strip()
    example = tr("for example 5 {symbol}", symbol=unit.symbol)
    if not stripped:
        raise MeasureError(
            tr("nothing was written; give {kind_of}, {example}", kind_of=kind_of(unit.dimension), example=example)
        )
    if len(stripped) > _LONGEST_TEXT:
        raise MeasureError(
            tr(
                "this is too long for one amount; give {kind_of}, {example}",
                kind_of=kind_of(unit.dimension),
                example=example,
            )
        )
    if unit.dimension == DIMENSIONLESS and (part := _part_of_a_whole(stripped, unit)) is not None:
        return part
    if whole_g is not None and _is_in_grams(stripped):
        mass = parse_measure(stripped, _GRAM, most=whole_g)
        return Range(*(float(f"{value / whole_g:.12g}") for value in (mass.low, mass.likely, mass.high)))
    wanted = _Wanted(unit, most, stripped)
    if two := _TWO.match(stripped):
        last_unit = two["ub"] or two["ua"]
        wanted = _Wanted(unit, most, stripped, alike=("/" in two["a"]) == ("/" in two["b"]))
        low = _in_unit(two["a"], two["ua"] or last_unit, wanted)
        high = _in_unit(two["b"], last_unit, wanted)
        if low > high:
            raise MeasureError(tr("'{stripped}' runs backwards; write the smaller number first", stripped=stripped))
        return Range.between(low, high)
    if one := _ONE.match(stripped):
        return Range.exact(_in_unit(one["number"], one["unit"], wanted))
    raise MeasureError(
        tr(
            "'{stripped}' is not an amount; give {kind_of}, {example}",
            stripped=stripped,
            kind_of=kind_of(unit.dimension),
            example=example,
        )
    )


def _is_in_grams(text: str) -> bool:
    """Whether an amount or two are written in a unit of mass."""
    if two := _TWO.match(text):
        name = two["ub"] or two["ua"]
    else:
        one = _ONE.match(text)
        name = "" if one is None else one["unit"]
    unit = _BY_NAME.get(" ".join(name.lower().split()))
    return unit is not None and unit.dimension == _MASS


def _part_of_a_whole(text: str, unit: Unit) -> Range | None:
    """A share written as so much of so much: ``12 of 100``, ``4.5 g in 20 g``; None if it is written otherwise.

    Raises:
        MeasureError: If the two cannot be parts of each other.
    """
    parted = _PARTED.match(text)
    if parted is None:
        return None
    named, named_of = parted["unit"] or "", parted["unit_of_whole"]
    if not named.strip() if parted["sign"] == "/" else named.strip() and not named_of.strip():
        # A plain fraction with its unit (1/4 %), or a unit that only looks like a part.
        return None
    unit_of_whole = unit_named(named_of) if named_of.strip() else _WHOLE_SHARE
    whole = unit_of_whole.inside(_number(parted["whole"]))
    unit_of_part = unit_named(named) if named.strip() else unit_of_whole
    part = unit_of_part.inside(_number(parted["part"]))
    comparable = unit_of_part.dimension in (_MASS, _VOLUME, DIMENSIONLESS)
    if not comparable or unit_of_part.dimension != unit_of_whole.dimension:
        raise MeasureError(
            tr(
                "'{text}' is no part of a whole; write it like 5 g in 100 g, or in {symbol}",
                text=text,
                symbol=unit.symbol,
            )
        )
    if whole <= 0:
        raise MeasureError(tr("'{text}' divides by zero; write it in {symbol}", text=text, symbol=unit.symbol))
    return Range.exact(float(f"{part / whole:.12g}"))


def format_number(value: float, significant: int = 3) -> str:
    """A number to a few significant figures without exponents, as it is said at the scale."""
    if value == 0:
        return "0"
    digits = significant - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, digits)
    text = f"{rounded:.{max(0, digits)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def as_known(value: float, error: float, significant: int = 3) -> str:
    """A number to the place that its error leaves: 12.41 with an error of 2.1 is ``12``.

    Args:
        value: The number.
        error: How far it may be off; 0 where that is not known.
        significant: Most figures that count.
    """
    if error > 0 and abs(value) < error:
        return f"{value:.{max(0, -math.floor(math.log10(error)))}f}"
    # An error that is as good as nothing leaves every figure.
    ratio = abs(value) / error if error > 0 else math.inf
    places = significant if math.isinf(ratio) else math.floor(math.log10(ratio)) + 2
    return format_number(value, min(significant, max(1, places)))


def give_or_take(value: float, error: float, unit: str) -> str:
    """A number as far as it is known, and its error: ``12 g, give or take 2``."""
    said = f"{as_known(value, error)} {unit}"
    return said if error <= 0 else tr("{said}, give or take {error}", said=said, error=format_number(error, 1))


_MONEY_SYMBOLS = {"money": "money", "money/kg": tr("per kg"), "money/g": tr("per g"), "pieces": ""}


def symbol_shown(unit: Unit) -> str:
    """The unit as it is printed beside a number."""
    if unit.dimension == _TEMPERATURE:
        return f"°{unit.symbol}" if unit.symbol in "CF" else unit.symbol
    if unit.symbol == "permille":
        return "‰"
    return _MONEY_SYMBOLS.get(unit.symbol, unit.symbol)


def format_measure(amount: Range, unit: Unit, significant: int = 3) -> str:
    """The amount in ``unit`` for reading: ``250 g``, or ``180 to 220 g`` for a range."""
    symbol = symbol_shown(unit)
    tail = f" {symbol}" if symbol else ""
    low = format_number(unit.shown(amount.low), significant)
    high = format_number(unit.shown(amount.high), significant)
    if low == high:
        return f"{low}{tail}"
    return tr("{low} to {high}{tail}", low=low, high=high, tail=tail)


def exact_text(amount: Range, unit: Unit) -> str:
    """The amount as text that reads back to the same range, for files."""
    low, high = unit.shown(amount.low), unit.shown(amount.high)
    if amount.is_exact:
        return f"{unambiguous(low)} {unit.symbol}"
    # In every language alike: a file outlives the catalogue it was written with.
    return f"{unambiguous(low)} to {unambiguous(high)} {unit.symbol}"
