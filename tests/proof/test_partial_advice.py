"""What is advised with something not asked keeps every promise."""

from __future__ import annotations

import sys
from random import Random

from advisor.advice.batches.batch_file import read_batch
from advisor.engine.conclude import Conclusions, conclude
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


def broken(rule_base: RuleBase, conclusions: Conclusions) -> list[str]:
    """The promises made for answers of which some are missing that these conclusions do not keep."""
    made = {name: one for name, one in rule_base.invariants.items() if one.entry.answers == "all"}
    return [name for name, one in made.items() if oracle.breaches(conclusions, one, for_certain=False)]


def test_a_route_whose_cupel_is_not_named_is_not_advised(shipped: RuleBase) -> None:
    found = conclude(shipped, read_batch(ROOT / "told.yaml", shipped, KIND_OF_CUPEL_NOT_TOLD).answers)
    assert found.outcomes["route"].chosen == "stop"
    assert broken(shipped, found) == []


def drawn(rule_base: RuleBase, count: int, seed: int) -> list[tuple[str, Answers]]:
    """The promises broken by what is advised for drawn answers."""
    random, near = Random(seed), case_states(rule_base)
    found = []
    for _ in range(count):
        answers = drawn_partial(rule_base, random, random.choice((0.5, 0.8, 0.9, 0.97)), near)
        found += [(name, answers) for name in broken(rule_base, conclude(rule_base, answers))]
    return found


def test_the_advice_for_drawn_answers_of_which_some_are_missing_keeps_every_promise(shipped: RuleBase) -> None:
    assert drawn(shipped, 1500, 3) == []


if __name__ == "__main__":  # python -m tests.proof.test_partial_advice 100000
    print(drawn(load_rule_base(use_cache=False, promises=True), int(sys.argv[1]), 7))
