"""Many completions at once come to what each of them comes to alone."""

from __future__ import annotations

from random import Random

import pytest

from advisor.engine import NOT_KNOWN, conclude
from advisor.engine.ask.blocks import MUST
from advisor.engine.ask.completions import completion_in, outlook_of, pool_block
from advisor.engine.ask.contested import Contested, contested_of
from advisor.engine.ask.winners import standing_of
from advisor.engine.decide import cautious_choice, tally_of
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import RuleBase
from advisor.units import Range
from tests.engine.completing import concluded, value_of
from tests.engine.drawn_bases import drawn_base
from tests.engine.law_draws import consistent, drawn_truth, some_answers
from tests.rulebase.small_base import compiled


def compared(rule_base: RuleBase, random: Random) -> int:
    """Compare some completions of drawn answers with plain evaluation; how many decisions were compared."""
    truth = drawn_truth(rule_base, random, harmless=random.random() < 0.8)
    answers = some_answers(truth, random, 0.6, random.choice((0.0, 0.2)))
    if not consistent(rule_base, answers):
        return 0
    before = conclude(rule_base, answers)
    count = 0
    outcome = next(iter(before.outcomes.values()))
    contested = contested_of(before, outcome)
    worked_out = [fact.variables[0] for fact in rule_base.facts.values() if fact.computed]
    if any(contested.state[variable] & (contested.state[variable] - 1) for variable in worked_out):
        return 0  # Drawn by itself what is worked out may be out of reach; such completions only order questions.
    block = pool_block(outlook_of(rule_base), contested.state, contested.free)
    taken = standing_of(contested.tally, block, contested.options).taken()
    assert sum(mask & block.valid for mask in taken.values()) == block.valid
    for place in random.sample(range(block.valid.bit_length()), 25):
        bit = 1 << place
        if block.valid & bit:
            domain = dict(enumerate(contested.state)) | completion_in(block, bit)
            unasked = [fact for fact in rule_base.facts.values() if fact.name not in answers]
            whole = {**answers, **{fact.name: value_of(rule_base, fact, domain) for fact in unasked}}
            after = concluded(rule_base, whole)
            assert after is not None
            assert named(contested, {o: mask & bit for o, mask in taken.items()}) == [
                after.outcomes[outcome.decision.name].chosen
            ]
            count += 1
    return count


def named(contested: Contested, taken: dict[int, int]) -> list[str]:
    return [contested.prepared.decision.options[option] for option, mask in taken.items() if mask]


@pytest.mark.parametrize("seed", range(12))
def test_the_route_of_many_completions_is_that_of_each(shipped: RuleBase, seed: int) -> None:
    compared(shipped, Random(seed))


@pytest.mark.parametrize("block", range(4))
def test_so_it_is_on_drawn_small_rule_bases(block: int) -> None:
    assert sum(compared(drawn_base(Random(f"{block}-{seed}")), Random(seed)) for seed in range(12)) > 80


def test_where_every_option_is_struck_the_fallback_is_taken(shipped: RuleBase) -> None:
    conclusions = conclude(shipped, {"mercury_history": NOT_KNOWN})
    contested = contested_of(conclusions, conclusions.outcomes["route"])
    block = pool_block(outlook_of(shipped), contested.state, contested.free)
    taken = standing_of(contested.tally, block, contested.options).taken()
    struck = [name for name in named(contested, taken) if contested.prepared.decision.entry.options[name].base < 0]
    assert "stop" in struck


@pytest.mark.parametrize(
    ("argument", "without_place"),
    [
        ("about: route.melt, says: rule_out, kind: means", {"roast"}),
        ("about: route.melt, says: against, strength: slight", {"roast"}),
        ("about: route.roast, says: for, strength: slight", {"melt"}),
    ],
    ids=["rules out", "against", "for"],
)
def test_what_is_not_known_counts_in_each_completion_as_it_does_in_the_advice(
    argument: str, without_place: set[str]
) -> None:
    rules = compiled(
        f"arguments:\n  - {{id: hot-without-place, {argument}, when: hot_enough and place is none,\n"
        "     reason: Invented., source: practice}\n"
    )
    conclusions = conclude(rules, {"wet": False, "share": Range.exact(0.0), "heat": NOT_KNOWN})
    contested = contested_of(conclusions, conclusions.outcomes["route"])
    block = pool_block(outlook_of(rules), contested.state, contested.free)
    taken = standing_of(contested.tally, block, range(len(contested.prepared.decision.options))).taken()
    none = block.leaf(rules.facts["place"].variables[0], 0b100, MUST)
    assert none
    assert set(named(contested, {option: mask & none for option, mask in taken.items()})) == without_place
    assert named(contested, {option: mask & ~none for option, mask in taken.items()}) == ["melt"]


@pytest.mark.parametrize("block", range(2))
def test_every_decision_comes_out_as_it_does_for_each_completion_by_itself(block: int) -> None:
    count = 0
    for seed in range(10):
        random = Random(f"{block}-{seed}")
        rule_base = drawn_base(random)
        answers = some_answers(drawn_truth(rule_base, random, harmless=False), random, 0.5, 0.1)
        if not consistent(rule_base, answers):
            continue
        conclusions = conclude(rule_base, answers)
        for outcome in conclusions.outcomes.values():
            contested = contested_of(conclusions, outcome)
            drawn = pool_block(outlook_of(rule_base), contested.state, contested.free)
            taken = standing_of(contested.tally, drawn, contested.options).taken()
            places = [place for place in range(drawn.valid.bit_length()) if drawn.valid >> place & 1]
            for place in random.sample(places, 20):
                domain = {**dict(enumerate(contested.state)), **completion_in(drawn, 1 << place)}
                tally = tally_of(contested.prepared, [domain[variable] for variable in range(len(contested.state))])
                chosen = cautious_choice(tally, tally.support())
                assert [option for option, mask in taken.items() if mask >> place & 1] == [chosen], (seed, place)
                count += 1
    assert count > 100


@pytest.mark.parametrize("seed", range(12))
def test_what_one_change_moves_is_what_summing_anew_comes_to(seed: int) -> None:
    random = Random(seed)
    rule_base = drawn_base(random)
    conclusions = conclude(rule_base, {})
    moved = 0
    for outcome in conclusions.outcomes.values():
        contested = contested_of(conclusions, outcome)
        block = pool_block(outlook_of(rule_base), contested.state, contested.free)
        standing = standing_of(contested.tally, block, contested.options)
        for variable in block.columns:
            for cell in single_cells(contested.state[variable]):
                put = standing.put(variable, cell)
                anew = standing_of(contested.tally, block.put(variable, cell, block.valid), contested.options)
                assert put.supports == anew.supports
                assert put.taken() == anew.taken()
                moved += put.supports != standing.supports
    assert moved
