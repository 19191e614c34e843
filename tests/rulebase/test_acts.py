"""What is done brings its hazards and its needs by itself, on the small rule base and on the shipped one."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.rulebase.language.alternatives import any_of, ways_of
from advisor.rulebase.language.conditions import FAILS, HOLDS, AllOf, AnyOf, Condition, Leaf, Named, Tree, tree_truth
from advisor.rulebase.model import RuleBase
from tests.rulebase.small_base import compiled
from tests.shipped import piece_rules, route_rules

DANGERS = """\
hazards:
  - {id: dust, title: Dust, severity: grave, comes_with: [weigh metal, pour metal], harm: It poisons., source: practice,
     controls: [{do: Keep it down.}], stop_if: [It flies.]}
  - {id: burns, title: Burns, severity: deadly, comes_with: [fire], provided: not wet, harm: It burns.,
     source: practice, controls: [{do: Stand back.}], stop_if: [It spits.]}
preparations:
  get_a_pot: {title: Get a pot, order: 1, lacking: pots < 1, comes_with: [melt], waits: the melt, do: Get one.,
              done_when: It rings., time: 1 h, source: practice}
"""
MELT = """\
steps:
  - {id: quiet-melt, stage: fire, order: 9, when: route is roast and shelf has lead, acts: [melt lead], do: Melt it.,
     source: practice}
"""
WEIGHED = """\
amounts:
  - {id: some-lead, material: lead, when: vessel is pot, of: dry_mass, parts: {low: 1, likely: 1, high: 1},
     reason: Invented., source: practice}
"""
CHARGE = """\
steps:
  - {id: all-in, stage: fire, order: 9, when: route is melt, acts: [pour charge], do: Pour all of it., source: practice}
"""


def test_a_step_that_names_no_hazard_has_those_of_its_acts() -> None:
    rules = compiled(DANGERS, MELT)
    lead = rules.facts["shelf"].variables[2]
    wet, route = rules.facts["wet"].variables[0], rules.decisions["route"].variable
    for has_lead, is_wet, chosen in product((1, 2), (1, 2), (1, 2, 4)):
        state = rules.full_state
        state[lead], state[wet], state[route] = has_lead, is_wet, chosen
        melted = chosen == 4 and has_lead == 2
        assert (rules.hazards["burns"].condition.truth(state) == HOLDS) is (melted and is_wet == 1)
        assert (rules.preparations["get_a_pot"].wanted.truth(state) == HOLDS) is melted
    assert rules.hazards["burns"].condition.words.startswith("something is brought to a fire")


def test_what_comes_with_a_group_of_acts_is_said_of_the_plan_and_not_again_of_the_step() -> None:
    steps = compiled(DANGERS, MELT, CHARGE, WEIGHED).steps
    assert steps["quiet-melt"].brings == ()
    assert [name for name, _ in steps["all-in"].brings] == ["dust"]


def test_an_amount_weighs_its_material_and_the_charge_is_all_that_is_weighed() -> None:
    rules = compiled(DANGERS, CHARGE, WEIGHED)
    dust = rules.hazards["dust"].condition
    route, vessel = rules.decisions["route"].variable, rules.decisions["vessel"].variable
    for chosen, pot in product((1, 2, 4), (1, 2)):
        state = rules.full_state
        state[route], state[vessel] = chosen, pot
        assert (dust.truth(state) == HOLDS) is (pot == 2)
    (brought,) = compiled(DANGERS, CHARGE, WEIGHED).steps["all-in"].brings
    assert brought[1] is not None
    assert brought[1].variables == {vessel}


def test_a_preparation_whose_work_melts_something_wants_the_pot_for_it() -> None:
    tried = """\
preparations:
  try_the_lead: {title: Try it, order: 2, lacking: shelf lacks nitre, wanted: route is roast, waits: the fire,
                 acts: [melt lead], do: Melt a little., done_when: It is clean., time: 1 h, source: practice}
"""
    rules = compiled(DANGERS, tried)
    nitre, route = rules.facts["shelf"].variables[1], rules.decisions["route"].variable
    for there, chosen in product((1, 2), (1, 2, 4)):
        state = rules.full_state
        state[nitre], state[route] = there, chosen
        melted = there == 1 and chosen == 4
        assert (rules.preparations["get_a_pot"].wanted.truth(state) == HOLDS) is melted
        assert (rules.hazards["burns"].condition.truth(state) == FAILS) is not melted


LEAVES = st.builds(
    lambda variable, inside: Leaf(variable, inside, 7, f"v{variable} in {inside}", f"v{variable} not in {inside}"),
    st.integers(0, 3),
    st.integers(0, 7),
)
TREES: st.SearchStrategy[Tree] = st.recursive(
    LEAVES,
    lambda parts: st.one_of(
        st.lists(parts, min_size=2, max_size=3).map(lambda some: AllOf(tuple(some))),
        st.lists(parts, min_size=2, max_size=3).map(lambda some: AnyOf(tuple(some))),
        parts.map(lambda part: Named("n", "words", part)),
    ),
    max_leaves=8,
)


@given(st.lists(TREES, min_size=1, max_size=4))
def test_many_conditions_written_as_few_hold_exactly_where_one_of_them_does(trees: list[Tree]) -> None:
    short = any_of(way for tree in trees for way in ways_of(tree))
    for state in product((1, 2, 4), repeat=4):
        wanted = any(tree_truth(tree, state) == HOLDS for tree in trees)
        found = short if isinstance(short, bool) else Condition("", short).truth(state) == HOLDS
        assert found is wanted


@pytest.fixture(scope="module", params=[False, True], ids=["route", "diagnosis"])
def rules(request: pytest.FixtureRequest) -> RuleBase:
    return piece_rules() if request.param else route_rules()


def test_every_step_that_speaks_of_an_act_says_it(rules: RuleBase) -> None:
    """The first word of a sentence is what is done; a step that begins so without the act would lack its hazards."""
    spoken = {
        "Weigh": {"weigh", "handle"},
        "Melt": {"melt"},
        "Pour": {"pour"},
        "Crush": {"crush"},
        "Roll": {"mix"},
        "Mix": {"mix", "handle"},
        "Hammer": {"break"},
    }
    silent = []
    for step in rules.steps.values():
        done = {act.split(" ")[0] for act in step.entry.acts}
        if step.entry.id == "check-the-scale":  # A check weight is no material.
            continue
        sentences = " ".join(step.entry.do.split()).replace("Pour off", "Draw off").replace(": ", ". ").split(". ")
        first = {sentence.split(" ")[0].rstrip(",") for sentence in sentences}
        silent += [f"{step.entry.id}: {word}" for word, acts in spoken.items() if word in first and not done & acts]
    assert silent == []
