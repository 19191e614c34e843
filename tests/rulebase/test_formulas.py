"""Formulas: unlike things are not added, and the result holds whatever the true values are."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.rulebase.language.formulas import Formula, closest, compile_formula
from advisor.rulebase.language.grammar import FormulaTree, GrammarError, Operation, Term, parse_formula
from advisor.units import DIMENSIONLESS, Dimension, Range, unit_named

MASS, VOLUME, DENSITY, HEAT, TIME, PRICE, MONEY = (
    unit_named(name).dimension for name in ("g", "ml", "g/ml", "C", "min", "money/kg", "money")
)
NAMES: dict[str, Dimension] = {
    "mass": MASS,
    "soda": MASS,
    "share": DIMENSIONLESS,
    "volume": VOLUME,
    "density": DENSITY,
    "heat": HEAT,
    "price": PRICE,
    "opening": unit_named("m2").dimension,
    "speed": unit_named("m/s").dimension,
}


def formula(text: str) -> Formula:
    return compile_formula(text, parse_formula(text), NAMES)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("mass", MASS),
        ("mass + soda", MASS),
        ("mass * share", MASS),
        ("mass * (100 % - share)", MASS),
        ("mass * (1 - share)", MASS),
        ("mass / soda", DIMENSIONLESS),
        ("mass / density", VOLUME),
        ("volume * density", MASS),
        ("mass + 2 kg", MASS),
        ("mass / 1.2 g/ml + 5 ml", VOLUME),
        ("least(mass, 10 g) + most(soda, mass)", MASS),
        ("mass * price", MONEY),
        ("heat - 100 C", HEAT),
        ("opening * speed", unit_named("m3/h").dimension),
        ("5 %", DIMENSIONLESS),
    ],
)
def test_a_formula_measures_what_its_parts_make(text: str, dimension: Dimension) -> None:
    assert formula(text).dimension == dimension


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("mass + volume", "a mass and a volume cannot be joined by '+'"),
        ("mass - share", "a mass and a share cannot be joined by '-'"),
        ("mass + 5", "a mass and a share cannot be joined by '+'"),
        ("mass - 5 %", "a mass and a share cannot be joined by '-'"),
        ("least(mass, volume)", "a mass and a volume cannot be joined by 'least'"),
        ("most(heat, mass)", "a temperature and a mass cannot be joined by 'most'"),
        ("mass * soda + mass", "something else and a mass cannot be joined by '+'"),
        ("mass * (volume + 1 g)", "a volume and a mass cannot be joined by '+'"),
        ("0 - mass", "a share and a mass cannot be joined by '-'"),
        ("mas + soda", "'mas' is not a quantity here"),
        ("nothing", "'nothing' is not a quantity here"),
        ("5 stone", "'stone' is not a unit"),
        ("5 oz", "two weights"),
        ("2 mass", "'mass' is not a unit"),
    ],
)
def test_a_formula_of_unlike_or_unknown_things_is_refused(text: str, wrong: str) -> None:
    with pytest.raises(GrammarError) as refused:
        formula(text)
    assert wrong in refused.value.wrong
    assert refused.value.right


def test_a_misspelt_name_brings_the_closest_one() -> None:
    with pytest.raises(GrammarError) as refused:
        formula("densty * volume")
    assert refused.value.right.endswith("(closest: density)")
    assert closest("zzz", NAMES) == ""


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("mass * 90 %", Range(90, 180, 270)),
        ("mass * (100 % - share)", Range(50, 160, 300)),
        ("mass + 0.1 kg", Range(200, 300, 400)),
        ("mass / density", Range(50, 160, 300)),
        ("least(mass, 150 g)", Range(100, 150, 150)),
        ("most(mass, 150 g)", Range(150, 200, 300)),
        ("between(mass, 150 g)", Range(100, 175, 300)),
        ("mass - mass", Range(-200, 0, 200)),
        ("heat - 100 C", Range(700, 900, 1100)),
        ("heat - 212 F", Range(700, 900, 1100)),
    ],
)
def test_a_formula_is_worked_out_on_ranges_in_inside_units(text: str, value: Range) -> None:
    known = {
        "mass": Range(100, 200, 300),
        "share": Range(0.0, 0.2, 0.5),
        "density": Range(1.0, 1.25, 2.0),
        "heat": Range(800, 1000, 1200),
    }
    found = formula(text).value(known)
    assert (found.low, found.likely, found.high) == pytest.approx((value.low, value.likely, value.high))


def test_a_formula_names_what_it_uses_and_asks_for_nothing_else() -> None:
    made = formula("least(mass, soda * 2) / density")
    assert made.names == {"mass", "soda", "density"}
    with pytest.raises(KeyError, match="density"):
        made.value({"mass": Range.exact(1), "soda": Range.exact(1)})


def test_dividing_by_what_may_be_zero_is_an_error() -> None:
    known = {"mass": Range.exact(1), "share": Range(0, 0.1, 0.2)}
    with pytest.raises(ZeroDivisionError):
        formula("mass / share").value(known)


LETTERS = ["a", "b", "c", "d"]
RANGES = st.lists(st.floats(-100, 100), min_size=3, max_size=3).map(lambda three: Range(*sorted(three)))


@st.composite
def texts(draw: st.DrawFn, depth: int = 4) -> str:
    if depth == 0 or draw(st.integers(0, 3)) == 0:
        return draw(st.one_of(st.sampled_from(LETTERS), st.integers(0, 20).map(str)))
    left, right = draw(texts(depth=depth - 1)), draw(texts(depth=depth - 1))
    operator = draw(st.sampled_from(["+", "-", "*", "/", "least", "most", "between"]))
    return (
        f"{operator}({left}, {right})" if operator in ("least", "most", "between") else f"({left} {operator} {right})"
    )


def plain_value(tree: FormulaTree, values: dict[str, float]) -> float:
    """The formula on plain numbers, as a check that shares no code with the ranges."""
    if isinstance(tree, Term):
        return values[tree.amount.name] if tree.amount.name else float(tree.amount.text)
    assert isinstance(tree, Operation)
    left, right = plain_value(tree.left, values), plain_value(tree.right, values)
    return {
        "+": lambda: left + right,
        "-": lambda: left - right,
        "*": lambda: left * right,
        "/": lambda: left / right,
        "least": lambda: min(left, right),
        "most": lambda: max(left, right),
        "between": lambda: (left + right) / 2,
    }[tree.operator]()


@given(texts(), st.lists(RANGES, min_size=4, max_size=4), st.lists(st.floats(0, 1), min_size=4, max_size=4))
def test_the_range_holds_the_result_for_any_true_values(text: str, drawn: list[Range], shares: list[float]) -> None:
    known = dict(zip(LETTERS, drawn, strict=True))
    tree = parse_formula(text)
    made = compile_formula(text, tree, dict.fromkeys(LETTERS, DIMENSIONLESS))
    true = {
        name: min(max(of.low + share * (of.high - of.low), of.low), of.high)
        for (name, of), share in zip(known.items(), shares, strict=True)
    }
    try:
        found = made.value(known)
    except (ZeroDivisionError, ValueError):  # A divisor that may be zero, or a number too large to hold.
        assume(False)
    assert found.low <= plain_value(tree, true) <= found.high
    words = text.replace("least", "").replace("most", "").replace("between", "")
    assert made.names == {name for name in LETTERS if name in words}


@given(texts(), st.lists(RANGES, min_size=4, max_size=4))
def test_with_exact_values_the_result_is_exact(text: str, drawn: list[Range]) -> None:
    # What lies between two amounts is neither.
    assume("between" not in text)
    tree = parse_formula(text)
    true = {name: of.likely for name, of in zip(LETTERS, drawn, strict=True)}
    made = compile_formula(text, tree, dict.fromkeys(LETTERS, DIMENSIONLESS))
    try:
        found = made.value({name: Range.exact(value) for name, value in true.items()})
    except (ZeroDivisionError, ValueError):
        assume(False)
    assert found.low == found.likely == found.high == plain_value(tree, true)
