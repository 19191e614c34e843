"""What is advised with something not asked keeps every promise, also where more is settled than bounds tell."""

from __future__ import annotations

import sys
from random import Random

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.engine.conclude import Conclusions, conclude, to_act_on
from advisor.engine.state import Answers
from advisor.proof.search import oracle
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from tests.conftest import ROOT
from tests.proof.drawn_answers import case_states, drawn_partial

KIND_OF_CUPEL_NOT_TOLD = """
invented: for this test
room: open-shed
lot: ordinary
answers:
  gold_share: 0.03 to 90 %
  sulphide_share: 20 to 30 %
  clean_part_share: 20 %
  top_temperature: 1200 C
  scale_step: 0.09 g
  time_available: 10 h
unanswered: [batch_mass, gold_look, gold_grain, black_sand_share, quartz_share, tramp_iron, carbonate, weathering,
             panning_helps, extraction, lead_rules, crucible_volume, crucible_count, cupels, pyrometer,
             fineness_wanted, send_out_possible, cost_wanted]
"""


@pytest.fixture(scope="module")
def promising() -> RuleBase:
    return load_rule_base(use_cache=False, promises=True)


def broken(rule_base: RuleBase, conclusions: Conclusions) -> list[str]:
    invariants = rule_base.invariants.items()
    return [name for name, one in invariants if oracle.breaches(conclusions, one, for_certain=False)]


def test_a_route_settled_before_its_cupel_is_named_is_not_advised(promising: RuleBase) -> None:
    answers = read_batch(ROOT / "told.yaml", promising, KIND_OF_CUPEL_NOT_TOLD).answers
    found = conclude(promising, answers)
    assert found.rulings["route"].chosen == "split"
    assert broken(promising, found) == ["no-damp-cupel", "no-cupel-route-without-a-cupel"]
    advised = to_act_on(found)
    assert advised.rulings["route"].chosen == "stop"
    assert broken(promising, advised) == []


def drawn(rule_base: RuleBase, count: int, seed: int) -> tuple[int, list[tuple[str, Answers]]]:
    """How many sets of answers are settled beyond bounds, and the promises broken by what is advised."""
    random, near = Random(seed), case_states(rule_base)
    beyond, found = 0, []
    for _ in range(count):
        answers = drawn_partial(rule_base, random, random.choice((0.5, 0.8, 0.9, 0.97)), near)
        conclusions = conclude(rule_base, answers)
        beyond += any(ruling.by_bounds != ruling.chosen for ruling in conclusions.rulings.values())
        found += [(name, answers) for name in broken(rule_base, to_act_on(conclusions))]
    return beyond, found


def test_the_advice_for_drawn_answers_of_which_some_are_missing_keeps_every_promise(promising: RuleBase) -> None:
    assert drawn(promising, 1500, 3)[1] == []


if __name__ == "__main__":  # python -m tests.proof.test_partial_advice 100000
    print(drawn(load_rule_base(use_cache=False, promises=True), int(sys.argv[1]), 7))
