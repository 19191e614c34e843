"""Which look comes next in a diagnosis, on a small one."""

from __future__ import annotations

from advisor.engine import NOT_KNOWN, Answers, conclude
from advisor.engine.ask.cause_questions import cause_questions
from advisor.engine.ask.question import Question
from tests.rulebase.small_base import compiled
from tests.rulebase.test_cause_faults import DIAGNOSIS, STEP

MORE = """\
consultation: diagnose
facts:
  bead_side:
    {label: side of the bead, group: look, kind: yes_no, ask: A crack?, find_out: Look., explain: Invented.}
  bead_smell:
    {label: smell of the bead, group: look, kind: yes_no, ask: A smell?, find_out: Fan., explain: Invented.,
     minutes: 20}
causes:
  cracked:
    title: It cracked
    stages: [bead]
    means: It cooled too fast.
    signs:
      - {when: bead_side, says: for, strength: strong, reason: Invented., source: practice}
      - {when: bead_top is dull, says: against, strength: slight, reason: Invented., source: practice}
    put_right:
      - {remedy: again, strength: strong, reason: Invented., source: practice}
    next_batch: [{note: other, do: Take care.}]
    source: practice
  poisoned:
    title: It gives off fume
    stages: [bead]
    means: Something in it evaporates.
    signs:
      - {when: bead_smell, says: for, strength: strong, reason: Invented., source: practice}
      - {when: not bead_smell, says: against, strength: slight, reason: Invented., source: practice}
    put_right:
      - {remedy: REMEDY, strength: strong, reason: Invented., source: practice}
    next_batch: [{note: other, do: Take care.}]
    source: practice
"""
HARMLESS = MORE.replace("REMEDY", "again")


def asked(more: str, answers: Answers) -> list[Question]:
    conclusions = conclude(compiled(DIAGNOSIS, STEP, more), answers)
    return cause_questions(conclusions, conclusions.several["cause"])


def test_where_one_looks_is_asked_before_all_else_and_alone() -> None:
    assert [question.fact for question in asked(HARMLESS, {})] == ["look_at"]


def test_the_look_that_bears_on_most_for_the_time_it_takes_comes_first() -> None:
    found = asked(HARMLESS, {"look_at": "bead"})
    assert [question.fact for question in found] == ["bead_top", "bead_side", "bead_smell"]
    assert [question.score for question in found] == sorted((q.score for q in found), reverse=True)
    assert {question.purpose for question in found} == {"cause"}


def test_only_what_bears_on_a_cause_that_is_open_is_asked() -> None:
    found = asked(HARMLESS, {"look_at": "bead", "bead_top": "bright", "bead_side": False})
    assert [question.fact for question in found] == ["bead_smell"]
    assert asked(HARMLESS, {"look_at": "bar"}) == []


def test_a_look_that_was_answered_as_not_known_is_not_asked_again() -> None:
    found = asked(HARMLESS, {"look_at": "bead", "bead_top": NOT_KNOWN})
    assert [question.fact for question in found] == ["bead_side", "bead_smell"]


def test_the_look_that_may_show_a_danger_comes_first_however_long_it_takes() -> None:
    text = DIAGNOSIS.replace("stops: [set_aside]", "stops: [set_aside, stay_away]").replace(
        "      again:\n",
        "      stay_away: {title: Stay away, summary: Nobody near., base: -4, "
        "works_like: {route: stop, vessel: none}}\n      again:\n",
    )
    rules = compiled(text, STEP, MORE.replace("REMEDY", "stay_away"))
    conclusions = conclude(rules, {"look_at": "bead"})
    found = cause_questions(conclusions, conclusions.several["cause"])
    assert [(question.fact, question.purpose) for question in found] == [("bead_smell", "stop")]
    later = conclude(rules, {"look_at": "bead", "bead_smell": False})
    assert [q.purpose for q in cause_questions(later, later.several["cause"])] == ["cause", "cause"]
