"""How long a text may be that is read at the furnace, at night and with gloves on."""

from __future__ import annotations

import re

import pytest

from advisor.rulebase.model import RuleBase

PLACEHOLDER = re.compile(r"\{\w+\}")
SHORT_WORDS, REASON, HARM, CALLED = 90, 160, 120, 24


def shown_length(text: str) -> int:
    """Letters of a text with a weight in each place for one, such as ``39.6 g``."""
    return len(PLACEHOLDER.sub("39.6 g", text))


@pytest.fixture(params=["shipped", "diagnosing"])
def rules(request: pytest.FixtureRequest) -> RuleBase:
    """The rules of a route, and those of a diagnosis."""
    found: RuleBase = request.getfixturevalue(request.param)
    return found


def test_every_step_has_short_words_that_fit_a_line_or_two(rules: RuleBase) -> None:
    without = [name for name, step in rules.steps.items() if not step.entry.brief]
    long = {name: n for name, s in rules.steps.items() if (n := shown_length(s.entry.brief or "")) > SHORT_WORDS}
    assert (without, long) == ([], {})


def test_every_danger_has_a_name_a_sign_and_a_control_of_a_few_words(rules: RuleBase) -> None:
    for name, hazard in rules.hazards.items():
        entry = hazard.entry
        assert entry.called is not None, name
        assert entry.sign is not None, name
        assert entry.brief is not None, name
        assert len(entry.called) <= CALLED, name
        assert len(entry.brief) <= SHORT_WORDS + 10, name
        assert len(entry.harm) <= HARM, name


def test_what_is_prepared_and_who_decides_has_a_name_of_a_few_words(rules: RuleBase) -> None:
    named = {name: one.entry.called for name, one in (*rules.preparations.items(), *rules.referrals.items())}
    assert [name for name, called in named.items() if not called] == []


def test_every_heat_has_a_name_in_the_table_of_heats(rules: RuleBase) -> None:
    assert [name for name, step in rules.steps.items() if step.entry.temperature and not step.entry.called] == []


def test_a_reason_is_one_breath(rules: RuleBase) -> None:
    long = {name: len(one.entry.reason) for name, one in rules.arguments.items() if len(one.entry.reason) > REASON}
    assert long == {}
