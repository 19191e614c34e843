"""Cells that no rule tells apart, and cells in words."""

from __future__ import annotations

from advisor.engine.alike import alike_cells
from advisor.engine.stretches import words_of_domain
from advisor.rulebase.model import RuleBase
from tests.rulebase.small_base import compiled


def test_cells_that_no_decision_or_hazard_tests_apart_are_alike() -> None:
    rules = compiled()
    (wet,), (place,), (share,) = (rules.facts[name].variables for name in ("wet", "place", "share"))
    assert alike_cells(rules)[wet] == (0b01, 0b10)
    assert alike_cells(rules)[place] == (0b111,)
    assert len(alike_cells(rules)[share]) == 2


def test_amounts_that_something_is_worked_out_from_are_all_told_apart(shipped: RuleBase) -> None:
    used = {name for fact in shipped.facts.values() for case in fact.computed for name in case.formula.names}
    assert "batch_mass" in used
    for fact in (shipped.facts[name] for name in used if name in shipped.facts):
        (variable,) = fact.variables
        assert len(alike_cells(shipped)[variable]) == len(shipped.variables[variable].domain), fact.name


def test_neighbouring_amounts_are_one_stretch_and_others_are_told_apart() -> None:
    rules = compiled()
    (share,) = rules.facts["share"].variables
    assert rules.facts["share"].breakpoints == (0.05,)
    assert words_of_domain(rules, share, 0b011) == ["5 % or less"]
    assert words_of_domain(rules, share, 0b100) == ["above 5 %"]
    assert words_of_domain(rules, share, 0b101) == ["below 5 %", "above 5 %"]
    assert words_of_domain(rules, share, 0b010) == ["5 %"]


def test_options_and_items_are_told_by_their_labels() -> None:
    rules = compiled()
    (place,), shelf = rules.facts["place"].variables, rules.facts["shelf"].variables
    assert words_of_domain(rules, place, 0b011) == ["outdoors or open shed"]
    assert words_of_domain(rules, shelf[1], 0b10) == ["nitre"]
    assert words_of_domain(rules, shelf[1], 0b01) == ["no nitre"]
