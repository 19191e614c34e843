"""The chosen correction as work on the piece in hand."""

from __future__ import annotations

from advisor.engine import Answers, Conclusions, at_work, conclude, needed_observations, own_steps
from advisor.rulebase.model import RuleBase
from tests.rulebase.small_base import compiled
from tests.rulebase.test_cause_faults import DIAGNOSIS, STEP

STEPS = """\
steps:
  - {id: last, stage: after, order: 1, when: remedy is again, do: Look again., source: practice}
  - {id: second, stage: fire, order: 2, when: remedy is again, do: "Add {lead_to_add}.", source: practice}
  - {id: first, stage: fire, order: 1, when: remedy is again and bead_top is dull, do: Heat., source: practice}
  - {id: aside, stage: before, order: 1, when: remedy is set_aside, do: Wait., source: practice}
"""
DULL: Answers = {"look_at": "bead", "bead_top": "dull", "work_done": "melt"}


def of(answers: Answers, steps: str = STEPS) -> tuple[RuleBase, Conclusions]:
    rules = compiled(DIAGNOSIS, steps)
    return rules, conclude(rules, answers)


def test_at_work_the_piece_stands_for_the_concentrate_and_the_work_for_what_it_is_like() -> None:
    rules, conclusions = of({**DULL, "wet": True})
    assert conclusions.outcomes["remedy"].chosen == "again"
    state = at_work(conclusions).state
    (wet,), (share,) = rules.facts["wet"].variables, rules.facts["share"].variables
    assert state[wet] == 0b01
    assert state[share] == 0b001
    assert state[rules.decisions["route"].variable] == 1 << rules.decisions["route"].options.index("melt")
    assert state[rules.decisions["vessel"].variable] == 1 << rules.decisions["vessel"].options.index("pot")
    assert conclusions.state[wet] == 0b10


def test_at_work_a_hazard_of_the_concentrate_that_the_piece_has_not_is_gone() -> None:
    _, conclusions = of({**DULL, "wet": True})
    assert conclusions.attached("steam")
    assert not at_work(conclusions).attached("steam")


def test_the_steps_are_those_of_the_chosen_correction_in_the_order_of_the_work() -> None:
    _, again = of(DULL)
    assert [step.entry.id for step in own_steps(again)] == ["first", "second", "last"]
    _, aside = of({"look_at": "bar"})
    assert [step.entry.id for step in own_steps(aside)] == ["aside"]


def test_the_steps_of_the_route_are_not_those_of_the_correction() -> None:
    _, again = of(DULL)
    assert "weigh" not in {step.entry.id for step in own_steps(at_work(again))}


def test_what_the_figures_of_the_steps_are_reckoned_from_has_to_be_known_and_fixed_words_have_not() -> None:
    assert needed_observations(of(DULL)[1]) == {"bead_mass"}
    assert needed_observations(of({"look_at": "bar"})[1]) == set()


def test_a_step_without_a_figure_needs_no_observation() -> None:
    assert needed_observations(of(DULL, STEP.replace("Add {lead_to_add}.", "Add lead."))[1]) == set()
