"""What answer would have changed the advice: each one listed is tried, and none is missing."""

from __future__ import annotations

import pytest

from advisor.inference.answers import ContradictionError
from advisor.inference.changes import changing_answers
from advisor.inference.conclusions import conclude
from advisor.knowledge.rulebase import RuleBase, Several
from tests.batches import conclusions_of


def test_every_choice_that_changes_the_route_is_listed_and_no_other(shipped: RuleBase) -> None:
    conclusions = conclusions_of(shipped)
    listed = {(c.fact, c.to) for c in changing_answers(conclusions, ("route",))}
    tried = set()
    for fact in shipped.facts.values():
        if fact.entry.kind == "quantity":
            continue
        answer = conclusions.answers.get(fact.name)
        if fact.entry.kind == "yes_no":
            others = [True, False]
        elif fact.entry.kind == "choice":
            others = list(fact.entry.options)
        else:
            assert isinstance(answer, Several)
            others = [Several(answer.present ^ {option}) for option in fact.entry.options]
        for other in others:
            try:
                after = conclude(shipped, {**conclusions.answers, fact.name: other}).rulings["route"].chosen
            except ContradictionError:
                continue
            if after != conclusions.rulings["route"].chosen:
                tried.add((fact.name, after))
    kinds = {name: fact.entry.kind for name, fact in shipped.facts.items()}
    assert {pair for pair in listed if kinds[pair[0]] != "quantity"} == tried


@pytest.mark.parametrize(("written", "to"), [("5 %", "cupel_direct"), ("5.01 %", "smelt_iron")])
def test_the_sulphide_limit_turns_the_route_exactly_at_its_threshold(shipped: RuleBase, written: str, to: str) -> None:
    conclusions = conclusions_of(
        shipped, sulphide_share=written, gold_share="60 %", black_sand_share="5 %", batch_mass="20 g"
    )
    assert conclusions.rulings["route"].chosen == to


def test_a_change_is_told_with_the_stretch_of_amounts_that_brings_it(shipped: RuleBase) -> None:
    conclusions = conclusions_of(
        shipped, sulphide_share="20 %", gold_share="60 %", black_sand_share="5 %", batch_mass="20 g"
    )
    words = {c.words for c in changing_answers(conclusions, ("route",)) if c.fact == "sulphide_share"}
    assert any("5 % or less" in text for text in words)


def test_another_collector_at_hand_is_told(shipped: RuleBase) -> None:
    changes = changing_answers(conclusions_of(shipped), ("route", "collector"))
    assert ("reagents", "bismuth") in {(c.fact, c.to) for c in changes if c.decision == "collector"}
