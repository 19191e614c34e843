"""What can still turn a decision, as far as bounds tell."""

from __future__ import annotations

from advisor.engine import NOT_KNOWN, Answers, conclude
from advisor.engine.ask.contested import Contested, contested_of, free_variables
from advisor.rulebase.model import RuleBase, Several
from advisor.units import Range
from tests.rulebase.small_base import compiled

SPARE = """
facts:
  spare: {label: spare pot, group: room, kind: yes_no, ask: Spare?, find_out: Look., explain: Invented.,
          implied: [{when: place is none, value: no}]}
arguments:
  - {id: spare-forbids, about: route.melt, says: rule_out, kind: means,
     when: spare, reason: Invented., source: practice}
  - {id: lead-forbids, about: route.roast, says: rule_out, kind: means,
     when: shelf has lead, reason: Invented., source: practice}
"""


def of(rules: RuleBase, answers: Answers, decision: str = "route") -> Contested:
    conclusions = conclude(rules, answers)
    return contested_of(conclusions, conclusions.outcomes[decision])


def names(rules: RuleBase, variables: frozenset[int]) -> set[str]:
    return {f"{rules.variables[v].name} {rules.variables[v].item}".strip() for v in variables}


def test_free_are_all_variables_of_the_facts_that_were_not_asked_and_do_not_follow() -> None:
    rules = compiled(SPARE)
    answers: Answers = {"place": "none", "wet": NOT_KNOWN, "share": Range(0.0, 0.1, 0.2)}
    free = free_variables(rules, answers, conclude(rules, answers).state)
    assert {"shelf soda", "shelf nitre", "shelf lead", "heat"} <= names(rules, free)
    assert names(rules, free).isdisjoint({"place", "wet", "share", "spare"})


def test_only_what_tells_the_options_that_may_still_win_apart_is_in_play() -> None:
    rules = compiled(SPARE)
    assert names(rules, of(rules, {}).in_play()) == {"wet", "share", "spare", "shelf lead"}
    wet = of(rules, {"wet": True, "shelf": Several()})
    assert wet.settled
    assert wet.in_play() == frozenset()
    # Roasting is out, so that nothing that speaks for it counts any more.
    assert names(rules, of(rules, {"shelf": Several(frozenset({"lead"}))}).in_play()) == {"wet", "spare"}


def test_what_is_not_known_for_good_counts_as_it_does_in_the_advice() -> None:
    rules = compiled()
    contested = of(rules, {"wet": NOT_KNOWN})
    assert names(rules, contested.unsure) == {"wet"}
    assert contested.settled
    assert [contested.prepared.decision.options[option] for option in contested.options] == ["roast"]


def test_what_is_not_known_but_may_still_follow_is_not_open_for_good() -> None:
    rules = compiled(SPARE)
    answers: Answers = {"wet": False, "share": Range.exact(0.0), "shelf": Several(), "spare": NOT_KNOWN}
    contested = of(rules, answers)
    assert contested.unsure == frozenset()
    assert names(rules, contested.in_play()) == {"place"}
    known = of(rules, {**answers, "place": "shed"})
    assert names(rules, known.unsure) == {"spare"}
    assert known.settled


def test_a_decision_is_looked_at_with_itself_and_later_ones_open_and_earlier_ones_as_they_are() -> None:
    rules = compiled()
    route, vessel = rules.decisions["route"], rules.decisions["vessel"]
    answers: Answers = {"wet": False}
    first, second = of(rules, answers), of(rules, answers, "vessel")
    assert first.state[route.variable] == 0b111
    assert second.state[route.variable] == 1 << route.options.index("melt")
    assert second.state[vessel.variable] == first.state[vessel.variable] == 0b11


def test_what_makes_the_work_stop_is_told_from_what_else_bears_on_the_decision() -> None:
    rules = compiled(
        "arguments:\n  - {id: no-place, about: route.stop, says: require, kind: means,\n"
        "     when: place is none, reason: Invented.,\n"
        "     source: practice}\n"
    )
    contested = of(rules, {})
    assert contested.may_stop
    assert names(rules, contested.stopping()) == {"place"}
    assert names(rules, contested.in_play()) == {"place", "wet", "share"}
    assert not of(rules, {"place": "shed"}).may_stop
