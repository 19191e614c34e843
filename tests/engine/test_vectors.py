"""Small sums over the options of a decision."""

from __future__ import annotations

import pytest

from advisor.engine.vectors import added_by, pair_span, spans_of, struck, summed

OPTIONS = ("stop", "melt", "roast")


def test_vectors_are_summed_place_by_place_and_one_alone_is_itself() -> None:
    assert summed([(1, 2, 3)]) == [1, 2, 3]
    assert summed([(1, 2, 3), (10, 0, -3), (0, 0, 1)]) == [11, 2, 1]


def test_the_span_is_the_greatest_lead_of_each_option_over_each_other() -> None:
    assert pair_span([(5, 2)]) == (0, 3, -3, 0)
    assert pair_span([(5, 2), (0, 1)]) == (0, 3, 1, 0)


def test_an_argument_adds_its_weight_to_the_options_it_is_about_only() -> None:
    assert added_by(-8, ("melt", "roast"), OPTIONS) == (0, -8, -8)


def test_an_open_argument_may_add_its_weight_or_nothing() -> None:
    fails, open_, holds = spans_of((0, 4))
    assert fails == (0, 0, 0, 0)
    assert open_ == (0, 0, 4, 0)
    assert holds == (0, -4, 4, 0)


@pytest.mark.parametrize(("says", "out"), [("rule_out", (1,)), ("require", (0, 2))])
def test_a_ruling_strikes_what_it_is_about_and_a_requirement_all_others(says: str, out: tuple[int, ...]) -> None:
    assert struck(says, ("melt",), OPTIONS) == out
