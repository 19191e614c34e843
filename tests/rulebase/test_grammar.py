"""The closed grammar of conditions and formulas: what it reads, and what it refuses with a hint."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.rulebase.language.formulas import compile_formula
from advisor.rulebase.language.grammar import (
    AllOf,
    Amount,
    AnyOf,
    Between,
    Compares,
    FormulaTree,
    GrammarError,
    Has,
    IsOneOf,
    Not,
    Operation,
    Term,
    Word,
    Written,
    parse_condition,
    parse_formula,
)

FIVE = Amount("5 %", "%")


@pytest.mark.parametrize(
    ("text", "tree"),
    [
        ("wet", Word("wet")),
        ("share > 5 %", Compares("share", ">", FIVE)),
        ("share>5%", Compares("share", ">", FIVE)),
        ("share <= limit", Compares("share", "<=", Amount("limit", name="limit"))),
        ("mass = 100 g", Compares("mass", "=", Amount("100 g", "g"))),
        ("mass < 1.5e2 g", Compares("mass", "<", Amount("1.5e2 g", "g"))),
        ("mass > 0", Compares("mass", ">", Amount("0"))),
        ("heat > -5 C", Compares("heat", ">", Amount("-5 C", "C"))),
        ("heat >= 1100 °C", Compares("heat", ">=", Amount("1100 °C", "°C"))),
        ("fineness > 900 ‰", Compares("fineness", ">", Amount("900 ‰", "‰"))),
        ("price > 3 money/kg", Compares("price", ">", Amount("3 money/kg", "money/kg"))),
        ("density > 2 g/ml", Compares("density", ">", Amount("2 g/ml", "g/ml"))),
        ("share between 5 % and 30 %", Between("share", FIVE, Amount("30 %", "%"))),
        (
            "share between low and high and wet",
            AllOf((Between("share", Amount("low", name="low"), Amount("high", name="high")), Word("wet"))),
        ),
        ("place is outdoors", IsOneOf("place", ("outdoors",))),
        ("place is not outdoors", IsOneOf("place", ("outdoors",), negated=True)),
        ("place is none", IsOneOf("place", ("none",))),
        ("place in (shed)", IsOneOf("place", ("shed",))),
        ("place not in (a, b)", IsOneOf("place", ("a", "b"), negated=True)),
        ("shelf has nitre", Has("shelf", "any", ("nitre",))),
        ("shelf lacks nitre", Has("shelf", "none", ("nitre",))),
        ("shelf has any of (a, b)", Has("shelf", "any", ("a", "b"))),
        ("shelf has all of (a, b)", Has("shelf", "all", ("a", "b"))),
        ("shelf has none of (a, b)", Has("shelf", "none", ("a", "b"))),
        ("shelf has none", Has("shelf", "none", ())),
        ("(shelf has any) and wet", AllOf((Has("shelf", "any", ()), Word("wet")))),
        ("not wet", Not(Word("wet"))),
        ("not not wet", Not(Not(Word("wet")))),
        ("not place is a and wet", AllOf((Not(IsOneOf("place", ("a",))), Word("wet")))),
        ("a and b and c", AllOf((Word("a"), Word("b"), Word("c")))),
        ("a or b and c", AnyOf((Word("a"), AllOf((Word("b"), Word("c")))))),
        ("(a or b) and c", AllOf((AnyOf((Word("a"), Word("b"))), Word("c")))),
        ("((wet))", Word("wet")),
        ("not (a or b)", Not(AnyOf((Word("a"), Word("b"))))),
        ("  a\n  and\tb ", AllOf((Word("a"), Word("b")))),
    ],
)
def test_a_condition_is_read_as_it_is_meant(text: str, tree: Written) -> None:
    assert parse_condition(text) == tree


@pytest.mark.parametrize(
    ("text", "wrong", "right"),
    [
        ("", "nothing is written", "share"),
        ("   ", "nothing is written", "share"),
        ("share >", "the end stands where a name is needed", "number with a unit"),
        ("share > > 5 %", "'>' stands where a name is needed", "number"),
        ("share == 5 %", "'=' stands where a name is needed", "number"),
        ("share ≥ 5 %", "'≥ 5 %' is not understood", "<="),
        ("share != 5 %", "'!= 5 %' is not understood", "<="),
        ("share > 1,200 g", "',' stands after the end", "and"),
        ("share > 5 % %", "'%' stands after the end", "and"),
        ("share > -limit", "'limit' stands after a sign", "a number"),
        ("share > - ", "the end stands after a sign", "a number"),
        ("share between 5 %", "the end stands where 'and' is needed", "between"),
        ("share between 5 % or 6 %", "'or' stands where 'and' is needed", "between"),
        ("place is", "the end stands where an option is needed", "option"),
        ("place is not", "the end stands where an option is needed", "option"),
        ("place is and", "'and' stands where an option is needed", "option"),
        ("place in outdoors", "'outdoors' stands where '(' is needed", "parentheses"),
        ("place in ()", "')' stands where an option is needed", "option"),
        ("place in (a b)", "'b' stands where ')' is needed", "list of options"),
        ("place in (a, b", "the end stands where ')' is needed", "list of options"),
        ("place not is a", "'not' stands after the end", "and"),
        ("shelf has any (a)", "'(' stands where 'of' is needed", "has any of"),
        ("shelf has all", "the end stands where 'of' is needed", "has all of"),
        ("shelf has none soda", "'soda' stands where 'of' is needed", "has none of"),
        ("shelf has", "the end stands where an option is needed", "option"),
        ("not", "the end stands where a name is needed", "fact"),
        ("a and", "the end stands where a name is needed", "fact"),
        ("and a", "'and' stands where a name is needed", "fact"),
        ("a or or b", "'or' stands where a name is needed", "fact"),
        ("a b", "'b' stands after the end", "join parts"),
        ("(a and b", "the end stands where ')' is needed", "parenthesis"),
        ("a)", "')' stands after the end", "join parts"),
        ("5 % > share", "'5' stands where a name is needed", "fact"),
        ("wet is not known ?", "'?' is not understood", "grammar"),
        ("a; b", "'; b' is not understood", "grammar"),
        ("a & b", "'& b' is not understood", "grammar"),
        ("__import__('os').system('true')", "is not understood", "grammar"),
        ("wet if wet else wet", "'if' stands after the end", "join parts"),
        ("(" * 60 + "a" + ")" * 60, "nested too deeply", "findings"),
        ("not " * 60 + "a", "nested too deeply", "findings"),
        ("a or " * 500 + "a", "too long", "finding"),
    ],
)
def test_what_is_no_condition_is_refused_with_a_hint(text: str, wrong: str, right: str) -> None:
    with pytest.raises(GrammarError) as refused:
        parse_condition(text)
    assert wrong in refused.value.wrong
    assert right in refused.value.right
    assert str(refused.value) == f"{refused.value.wrong}; {refused.value.right}"


RESERVED = {"and", "or", "not", "is", "in", "has", "lacks", "any", "all", "none", "of", "between", "least", "most"}
names = st.from_regex(r"[a-z][a-z0-9_]{0,6}", fullmatch=True).filter(lambda name: name not in RESERVED)
option_lists = st.lists(names, min_size=1, max_size=3).map(tuple)
numbers = st.one_of(
    st.integers(0, 10**6).map(str), st.decimals("0.01", "999.99", allow_nan=False, places=2).map(lambda d: f"{d:f}")
)
units = st.sampled_from(["%", "g", "C", "°C", "min", "g/ml", "money/kg", "‰"])
amounts = st.one_of(
    st.tuples(st.sampled_from(["", "-"]), numbers, units).map(lambda t: Amount(f"{t[0]}{t[1]} {t[2]}", t[2])),
    numbers.map(Amount),
    names.map(lambda name: Amount(name, name=name)),
)
tests: st.SearchStrategy[Written] = st.one_of(
    names.map(Word),
    st.builds(IsOneOf, names, option_lists, st.booleans()),
    st.builds(Has, names, st.sampled_from(["any", "all", "none"]), option_lists),
    st.builds(Compares, names, st.sampled_from(["<", "<=", ">", ">=", "="]), amounts),
    st.builds(Between, names, amounts, amounts),
)
conditions: st.SearchStrategy[Written] = st.recursive(
    tests,
    lambda inner: st.one_of(
        inner.map(Not),
        st.lists(inner, min_size=2, max_size=3).map(lambda parts: AllOf(tuple(parts))),
        st.lists(inner, min_size=2, max_size=3).map(lambda parts: AnyOf(tuple(parts))),
    ),
    max_leaves=8,
)


def written(tree: Written) -> str:
    """The tree in the words of the grammar, every joined part in parentheses."""
    if isinstance(tree, Word):
        return tree.name
    if isinstance(tree, IsOneOf):
        return f"{tree.name} {'not in' if tree.negated else 'in'} ({', '.join(tree.options)})"
    if isinstance(tree, Has):
        return f"{tree.name} has {tree.how} of ({', '.join(tree.options)})"
    if isinstance(tree, Compares):
        return f"{tree.name} {tree.operator} {tree.amount.text}"
    if isinstance(tree, Between):
        return f"{tree.name} between {tree.low.text} and {tree.high.text}"
    if isinstance(tree, Not):
        return f"not {in_parentheses(tree.part)}"
    return (" and " if isinstance(tree, AllOf) else " or ").join(in_parentheses(part) for part in tree.parts)


def in_parentheses(tree: Written) -> str:
    return f"({written(tree)})" if isinstance(tree, AllOf | AnyOf) else written(tree)


def refusal(parse: Callable[[str], object], text: str) -> GrammarError | None:
    try:
        parse(text)
    except GrammarError as refused:
        return refused
    return None


@given(conditions)
def test_a_written_tree_is_read_back_as_the_same_tree(tree: Written) -> None:
    text = written(tree)
    assume(len(text) < 2000)
    assert parse_condition(text) == tree
    assert parse_condition(f"( {text} )".replace(" ", "  ")) == tree


@given(
    st.lists(
        st.sampled_from(
            [
                "wet",
                "share",
                "5",
                "%",
                "g",
                "is",
                "not",
                "in",
                "(",
                ")",
                ",",
                "and",
                "or",
                "has",
                "any",
                "of",
                "<",
                ">=",
                "=",
                "between",
                "none",
                "-",
                "+",
                "*",
                "/",
                "least",
                "most",
                "lacks",
                "°",
                "!",
                "'",
                "1.5",
            ]
        ),
        max_size=14,
    )
)
def test_any_row_of_words_is_read_or_refused_and_never_crashes(words: list[str]) -> None:
    for parse in (parse_condition, parse_formula):
        refused = refusal(parse, " ".join(words))
        assert refused is None or (refused.wrong and refused.right)


def term(text: str) -> Term:
    return Term(Amount(text, name=text))


@pytest.mark.parametrize(
    ("text", "tree"),
    [
        ("mass", term("mass")),
        ("a - b - c", Operation("-", Operation("-", term("a"), term("b")), term("c"))),
        ("a / b * c", Operation("*", Operation("/", term("a"), term("b")), term("c"))),
        ("a + b * c", Operation("+", term("a"), Operation("*", term("b"), term("c")))),
        ("(a + b) * c", Operation("*", Operation("+", term("a"), term("b")), term("c"))),
        ("least(a, most(b, c))", Operation("least", term("a"), Operation("most", term("b"), term("c")))),
        ("a * 90 %", Operation("*", term("a"), Term(Amount("90 %", "%")))),
        ("a / 2 g/ml", Operation("/", term("a"), Term(Amount("2 g/ml", "g/ml")))),
        ("1 - a", Operation("-", Term(Amount("1")), term("a"))),
        ("-5 C", Term(Amount("-5 C", "C"))),
    ],
)
def test_a_formula_is_read_with_the_usual_precedence(text: str, tree: FormulaTree) -> None:
    assert parse_formula(text) == tree


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("", "nothing is written"),
        ("a +", "the end stands where a name is needed"),
        ("* a", "'*' stands where a name is needed"),
        ("a ** b", "'*' stands where a name is needed"),
        ("a + -b", "'b' stands after a sign"),
        ("-(a)", "'(' stands after a sign"),
        ("-a", "'a' stands after a sign"),
        ("a b", "'b' stands after the end"),
        ("least(a)", "')' stands where ',' is needed"),
        ("least a", "'a' stands where '(' is needed"),
        ("most(a, b, c)", "',' stands where ')' is needed"),
        ("(a", "the end stands where ')' is needed"),
        ("a > b", "'>' stands after the end"),
        ("abs(a)", "'(' stands after the end"),
        ("a if b", "'if' stands after the end"),
        ("a ^ b", "'^ b' is not understood"),
        ("(" * 60 + "a" + ")" * 60, "nested too deeply"),
        ("least(" * 60, "nested too deeply"),
    ],
)
def test_what_is_no_formula_is_refused(text: str, wrong: str) -> None:
    with pytest.raises(GrammarError) as refused:
        parse_formula(text)
    assert wrong in refused.value.wrong


@st.composite
def sums(draw: st.DrawFn, depth: int = 3) -> str:
    """Plain arithmetic that Python reads the same way; no division by zero."""
    if depth == 0 or draw(st.booleans()):
        return str(draw(st.integers(1, 9)))
    if draw(st.integers(0, 3)) == 0:
        return f"({draw(sums(depth=depth - 1))})"
    return f"{draw(sums(depth=depth - 1))} {draw(st.sampled_from('+-*/'))} {draw(sums(depth=depth - 1))}"


@given(sums())
def test_arithmetic_comes_out_as_everyone_learns_it(text: str) -> None:
    try:
        expected = float(eval(text))
        value = compile_formula(text, parse_formula(text), {}).value({}).likely
    except ZeroDivisionError:
        assume(False)
    assert math.isclose(value, expected, rel_tol=1e-9, abs_tol=1e-9)
