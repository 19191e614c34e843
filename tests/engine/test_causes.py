"""A decision of which several options may be taken: each by its own support."""

from __future__ import annotations

from advisor.engine.causes import ABSENT, EITHER, PRESENT, Support, prepare_options, support_in
from advisor.engine.state import state_of
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN
from tests.rulebase.small_base import compiled


def test_an_option_is_present_absent_or_open_by_what_it_can_come_to() -> None:
    assert Support(8, 12, 8, FAILS).domain(8) == PRESENT
    assert Support(0, 7, 0, FAILS).domain(8) == ABSENT
    assert Support(0, 9, 0, FAILS).domain(8) == EITHER
    assert Support(8, 8, 8, OPEN).domain(8) == EITHER
    assert Support(9, 9, 9, HOLDS).domain(8) == ABSENT


def test_what_is_taken_now_counts_as_present_though_more_may_be_seen() -> None:
    support = Support(5, 12, 8, OPEN)
    assert support.taken(8)
    assert support.acted_on(8) == PRESENT
    assert not Support(9, 9, 9, HOLDS).taken(8)


def test_support_is_an_interval_and_a_ruling_that_holds_ends_it() -> None:
    rules = compiled()
    prepared = prepare_options(rules, rules.decisions["route"])
    roast, melt = prepared["roast"], prepared["melt"]
    open_roast = support_in(roast, state_of(rules, {}))
    assert (open_roast.low, open_roast.high, open_roast.now) == (0, 8, 0)
    assert support_in(melt, state_of(rules, {})).out == OPEN
    assert support_in(melt, state_of(rules, {"wet": True})).out == HOLDS
    assert melt.variables == frozenset(rules.facts["wet"].variables)
