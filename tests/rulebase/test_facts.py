"""Facts: reading values, and the cells into which limits cut a quantity."""

from __future__ import annotations

import dataclasses
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import Fact, RuleBase, Several
from advisor.rulebase.values import (
    ValueFault,
    cell_range,
    cell_words,
    domain_of_range,
    domains_of_value,
    possible_domain,
    read_value,
)
from advisor.units import Range
from tests.rulebase.small_base import compiled


@pytest.fixture(scope="module")
def small() -> RuleBase:
    return compiled()


# --- reading values --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fact", "written", "value"),
    [
        ("wet", "yes", True),
        ("wet", "Y", True),
        ("wet", True, True),
        ("wet", " no ", False),
        ("wet", "N", False),
        ("wet", False, False),
        ("place", "outdoors", "outdoors"),
        ("place", " Outdoors ", "outdoors"),
        ("place", "open shed", "shed"),
        ("place", "Open Shed", "shed"),
        ("place", "none", "none"),
        ("shelf", [], Several()),
        ("shelf", "none", Several()),
        ("shelf", "nothing", Several()),
        ("shelf", ["soda", "nitre"], Several(frozenset({"soda", "nitre"}))),
        ("shelf", "soda; lead metal", Several(frozenset({"soda", "lead"}))),
        ("shelf", "soda, nitre?", Several(frozenset({"soda"}), frozenset({"nitre"}))),
        ("shelf", ["?nitre"], Several(frozenset(), frozenset({"nitre"}))),
        ("shelf", ["nitre", "nitre?"], Several(frozenset({"nitre"}))),
        ("shelf", "soda,", Several(frozenset({"soda"}))),
        ("mass", "250 g", Range.exact(250)),
        ("mass", 250, Range.exact(250)),
        ("mass", 0.25e3, Range.exact(250)),
        ("mass", "1/4 kg", Range.exact(250)),
        ("mass", "200 to 300 g", Range(200, 250, 300)),
        ("share", 5, Range.exact(0.05)),
        ("share", 0.00001, Range.exact(1e-7)),
        ("share", "50 permille", Range.exact(0.05)),
        ("heat", "2012 F", Range.exact(1100)),
        ("pots", "3", Range.exact(3)),
        ("price", 12, Range.exact(0.012)),
    ],
)
def test_a_value_is_read_as_people_write_it(small: RuleBase, fact: str, written: Any, value: Any) -> None:
    assert read_value(small.facts[fact], written) == value


@pytest.mark.parametrize(
    ("fact", "written", "right"),
    [
        ("wet", "perhaps", ["neither yes nor no"]),
        ("wet", "", ["neither yes nor no"]),
        ("wet", 1, ["neither yes nor no"]),
        ("wet", ["yes"], ["one value is wanted", "a list"]),
        ("wet", {"yes": 1}, ["one value is wanted", "a mapping"]),
        ("place", "outdors", ["not an option", "outdoors, shed (open shed), none (no place)", "closest: outdoors"]),
        ("place", True, ["'yes' is not an option"]),
        ("place", ["shed"], ["one value is wanted"]),
        ("shelf", "salt", ["not an option", "soda (soda ash), nitre, lead (lead metal)"]),
        ("shelf", ["soda", ["nitre"]], ["not an option"]),
        ("shelf", {"soda": True}, ["a mapping"]),
        ("shelf", True, ["not an option"]),
        ("mass", "heavy", ["not an amount", "a mass"]),
        ("mass", "5 ml", ["measures a volume", "a mass is wanted"]),
        ("mass", "8 oz", ["two weights", "oz t"]),
        ("mass", "1,200 g", ["two ways"]),
        ("mass", "0.5 g", ["outside what makes sense", "1 to 5000 g"]),
        ("mass", "6 kg", ["6000 g is outside", "1 to 5000 g"]),
        ("mass", "4 to 6 kg", ["outside"]),
        ("mass", True, ["an amount is wanted"]),
        ("mass", float("nan"), ["not an amount"]),
        ("mass", float("inf"), ["not an amount"]),
        ("mass", 10**300, ["too"]),
        ("share", "101 %", ["outside", "0 to 100 %"]),
        ("share", "-1 %", ["outside", "0 to 100 %"]),
        ("shelf", "x" * 500, ["xxx..."]),
    ],
)
def test_a_value_that_does_not_fit_is_refused_with_what_would_be_right(
    small: RuleBase, fact: str, written: Any, right: list[str]
) -> None:
    with pytest.raises(ValueFault) as refused:
        read_value(small.facts[fact], written)
    for piece in right:
        assert piece in str(refused.value)
    assert len(str(refused.value)) < 300


@pytest.mark.parametrize("fact", ["wet", "place", "shelf", "mass"])
def test_an_empty_place_in_a_file_is_not_taken_for_none(small: RuleBase, fact: str) -> None:
    with pytest.raises(ValueFault, match="nothing is written"):
        read_value(small.facts[fact], None)


@pytest.mark.parametrize("written", ["?", ["?"], ["soda", "?"], "none?", [None], ["soda", None], ["nothing?"]])
def test_a_doubt_about_the_whole_list_is_not_taken_for_an_empty_list(small: RuleBase, written: Any) -> None:
    with pytest.raises(ValueFault, match="not known"):
        read_value(small.facts["shelf"], written)


# --- cells -----------------------------------------------------------------------------------------


def cut_at(small: RuleBase, points: list[float]) -> Fact:
    """The fact ``mass`` (1 to 5000 g) with limits at these points."""
    return dataclasses.replace(small.facts["mass"], breakpoints=tuple(sorted(set(points))))


def the_cell_of(fact: Fact, value: float) -> int:
    """The cell of one value, found by counting the limits below it."""
    if value in fact.breakpoints:
        return 2 * fact.breakpoints.index(value) + 1
    return 2 * sum(point < value for point in fact.breakpoints)


points = st.lists(st.sampled_from([1.0, 2.0, 10.0, 50.0, 100.0, 999.5, 4999.0, 5000.0]), max_size=6)
amounts = st.one_of(st.floats(1, 5000), st.sampled_from([1.0, 2.0, 10.0, 50.0, 100.0, 999.5, 4999.0, 5000.0]))


@given(points, amounts)
def test_every_sensible_amount_lies_in_exactly_one_cell(small: RuleBase, drawn: list[float], amount: float) -> None:
    fact = cut_at(small, drawn)
    domain = domain_of_range(fact, Range.exact(amount))
    assert domain == 1 << the_cell_of(fact, amount)
    assert domain & possible_domain(fact) == domain
    around = cell_range(fact, domain.bit_length() - 1)
    assert around.low <= amount <= around.high


@given(points, amounts, amounts)
def test_a_range_lies_in_the_cells_of_its_members_and_no_others(
    small: RuleBase, drawn: list[float], one: float, other: float
) -> None:
    fact = cut_at(small, drawn)
    low, high = sorted((one, other))
    domain = domain_of_range(fact, Range.between(low, high))
    if low == high:
        assert domain == 1 << the_cell_of(fact, low)
        return
    tried = [low, high, *(point for point in fact.breakpoints if low <= point <= high)]
    tried += [(a + b) / 2 for a, b in zip(sorted(tried), sorted(tried)[1:], strict=False) if a < b]
    expected = 0
    for value in tried:
        expected |= 1 << the_cell_of(fact, value)
    assert domain == expected


@given(points, amounts, amounts, amounts)
def test_a_smaller_range_lies_in_fewer_cells(small: RuleBase, drawn: list[float], a: float, b: float, c: float) -> None:
    fact = cut_at(small, drawn)
    low, middle, high = sorted((a, b, c))
    large = domain_of_range(fact, Range.between(low, high))
    assert domain_of_range(fact, Range.between(low, middle)) & ~large == 0
    assert domain_of_range(fact, Range.exact(middle)) & ~large == 0


@given(points)
def test_the_cells_cover_the_sensible_values_without_gap_or_overlap(small: RuleBase, drawn: list[float]) -> None:
    fact = cut_at(small, drawn)
    assert domain_of_range(fact, Range.between(fact.least, fact.most)) == possible_domain(fact)
    stretches = [cell_range(fact, cell.bit_length() - 1) for cell in single_cells(possible_domain(fact))]
    assert stretches[0].low == fact.least
    assert stretches[-1].high == fact.most
    for before, after in pairwise(stretches):
        assert before.high == after.low
    words = [cell_words(fact, cell) for cell in range(2 * len(fact.breakpoints) + 1)]
    assert len(words) == len(set(words)) == 2 * len(fact.breakpoints) + 1


@given(points)
def test_a_cell_beyond_the_sensible_values_is_never_possible(small: RuleBase, drawn: list[float]) -> None:
    fact = cut_at(small, drawn)
    top = 2 * len(fact.breakpoints)
    assert bool(possible_domain(fact) & 1) == (not fact.breakpoints or fact.breakpoints[0] > fact.least)
    assert bool(possible_domain(fact) >> top & 1) == (not fact.breakpoints or fact.breakpoints[-1] < fact.most)


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        ("0 %", "below 5 %"),
        ("4.99 %", "below 5 %"),
        ("5 %", "5 %"),
        ("50 permille", "5 %"),
        ("5.01 %", "above 5 % and below 30 %"),
        ("29.99 %", "above 5 % and below 30 %"),
        ("30 %", "30 %"),
        ("30.01 %", "above 30 %"),
        ("100 %", "above 30 %"),
    ],
)
def test_an_amount_below_at_and_above_a_limit_falls_into_the_right_cell(amount: str, words: str) -> None:
    rule_base = compiled("findings:\n  much: {means: much, when: share >= 30 %}\n")
    fact = rule_base.facts["share"]
    assert fact.breakpoints == (0.05, 0.3)
    (index, domain) = domains_of_value(fact, read_value(fact, amount), rule_base.variables)[0]
    assert index == fact.variables[0]
    assert cell_words(fact, domain.bit_length() - 1) == words
    assert domain & (domain - 1) == 0


def test_the_same_limit_in_two_units_makes_one_cut() -> None:
    rule_base = compiled("findings:\n  much: {means: m, when: share > 50 permille or share > 50000 g/t}\n")
    assert rule_base.facts["share"].breakpoints == (0.05,)


def test_limits_at_the_ends_leave_impossible_cells_with_plain_names() -> None:
    rule_base = compiled("findings:\n  some: {means: m, when: share > 0 and share < 100 %}\n")
    fact = rule_base.facts["share"]
    domain = rule_base.variables[fact.variables[0]].domain
    assert cell_words(fact, 0) == "below the least value"
    assert cell_words(fact, len(domain) - 1) == "above the greatest value"
    assert possible_domain(fact) == (1 << len(domain)) - 1 & ~1 & ~(1 << len(domain) - 1)


@pytest.mark.parametrize(
    ("fact", "written", "domain"),
    [
        ("wet", "yes", ["yes"]),
        ("wet", "no", ["no"]),
        ("place", "shed", ["shed"]),
        ("shelf", "soda, lead?", ["present", "absent", "absent|present"]),
        ("shelf", [], ["absent", "absent", "absent"]),
        ("heat", "1100 C", ["1"]),
        ("heat", "1000 to 1100 C", ["0|1"]),
        ("mass", "5 g", ["0"]),
    ],
)
def test_a_value_says_for_each_of_its_variables_which_cells_are_left(
    small: RuleBase, fact: str, written: Any, domain: list[str]
) -> None:
    found = domains_of_value(small.facts[fact], read_value(small.facts[fact], written), small.variables)
    assert [index for index, _ in found] == list(small.facts[fact].variables)
    assert [
        "|".join(small.variables[index].domain[cell.bit_length() - 1] for cell in single_cells(bits))
        for index, bits in found
    ] == domain


# --- facts as declared -----------------------------------------------------------------------------


def test_facts_are_asked_group_by_group_and_in_the_order_they_are_written(small: RuleBase) -> None:
    assert list(small.facts) == ["wet", "mass", "share", "place", "shelf", "heat", "pots", "price"]
    assert [variable.index for variable in small.variables] == list(range(len(small.variables)))


def test_what_is_not_known_of_a_quantity_is_a_range_in_inside_units(small: RuleBase) -> None:
    assert small.facts["share"].when_unknown == Range(0.0, 0.1, 0.6)
    assert small.facts["price"].when_unknown == Range(0.001, 0.002, 0.003)
    assert small.facts["mass"].label == "mass"


def test_an_implied_value_is_read_like_an_answer() -> None:
    rule_base = compiled(
        "facts:\n"
        "  ore:\n"
        "    {label: ore, group: batch, kind: several, ask: Which?, find_out: Look., explain: Invented.,\n"
        "     options: {pyrite: {label: pyrite, means: brass yellow}},\n"
        "     implied: [{when: share = 0 %, value: []}]}\n"
        "  warm:\n"
        "    {label: warm, group: room, kind: yes_no, ask: Warm?, find_out: Feel., explain: Invented.,\n"
        "     implied: [{when: heat < 10 C, value: no}]}\n"
    )
    assert rule_base.facts["ore"].implied[0].value == Several()
    assert rule_base.facts["warm"].implied[0].value is False
    assert rule_base.facts["ore"].implied[0].condition.words == "sulphide share 0 %"
