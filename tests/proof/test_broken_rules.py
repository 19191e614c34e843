"""A proof must fail where a rule base is broken, and show it with the fewest answers; else "proved" means nothing."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from advisor.advice.batches.batch_file import batch_text, read_batch
from advisor.engine.conclude import conclude
from advisor.engine.state import NotKnown
from advisor.proof.promises.alive import alive
from advisor.proof.promises.decided import complete, consistent, decided
from advisor.proof.promises.invariants import safe
from advisor.proof.promises.monotone import monotone
from advisor.proof.report import Failure
from advisor.proof.search import oracle
from advisor.proof.search.prover import Prover
from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.layers import merge
from advisor.rulebase.reading.yaml_reader import parse_yaml
from tests.conftest import ROOT
from tests.proof.mutate import Mutation, caught_by_cases, mutated, same_advice
from tests.rulebase.small_base import BASE

STOP = "arguments/route-stop.yaml"


def broken_base(*parts: str) -> RuleBase:
    """The shipped rules with a fault: file, place, what stands there and what is put instead."""
    return mutated(Mutation("", *parts))


def promising_only(rule_base: RuleBase, *names: str) -> RuleBase:
    """The same rules with a few of their promises; each is proved by itself, so the others only take time."""
    return replace(rule_base, invariants={name: rule_base.invariants[name] for name in names})


def answered(failure: Failure, rule_base: RuleBase) -> int:
    """How many facts the answers of a failure say anything about; what is worked out nobody answers."""
    given = (failure.answers or {}).items()
    return sum(not rule_base.facts[name].computed and not isinstance(answer, NotKnown) for name, answer in given)


def test_two_requirements_that_exclude_each_other_leave_nothing_and_clash(shipped: RuleBase) -> None:
    prover = Prover(broken_base(STOP, "id: people-live-here\n", "about: route.stop", "about: route.send_out"))
    (empty,) = complete(prover).failures
    assert empty.subject == "route"
    assert empty.confirmed
    assert answered(empty, shipped) <= 2
    clashing = consistent(prover).failures
    assert "people-live-here" in {failure.subject for failure in clashing}
    assert all(failure.confirmed for failure in clashing)
    assert min(answered(failure, shipped) for failure in clashing) <= 2


def test_options_outside_the_tie_order_are_found_to_tie() -> None:
    old, new = "cupel_direct, smelt_iron, split, smelt_nitre,\n                roast_smelt]", "roast_smelt]"
    ties = decided(Prover(broken_base("decisions.yaml", "route:\n", old, new))).failures
    assert "route: cupel_direct or smelt_iron" in {failure.subject for failure in ties}
    assert all(failure.confirmed for failure in ties)


def test_options_outside_the_tie_order_that_never_tie_are_proved_not_to() -> None:
    slight = "{id: melt-is-quick, about: route.melt, says: for, strength: slight, when: not wet,"
    slight += " reason: It is quick., source: memory}"
    shown = BASE.replace("tie_order: [stop, melt]", "tie_order: [stop]")
    texts = [shown, f"arguments:\n  - {slight}\n"]
    documents = [parse_yaml(text, f"base-{number}.yaml") for number, text in enumerate(texts)]
    tied = decided(Prover(compile_rule_base(merge([("invented rules", documents[:1])]))))
    assert not tied.proved, "without the slight argument both ways are as good"
    verdict = decided(Prover(compile_rule_base(merge([("invented rules", documents)]))))
    assert verdict.proved
    assert verdict.lines == ["Pairs of options outside a tie order: 2. None of them can tie at the top."]


def test_a_lifted_stop_breaks_its_invariant_with_few_answers(shipped: RuleBase) -> None:
    lifted = broken_base(STOP, "id: mercury-shows\n", "\n    when:", "\n    status: retired\n    when:")
    (failure,) = safe(Prover(promising_only(lifted, "mercury-nothing-is-heated"))).failures
    assert failure.confirmed
    # Clean-up cold is what is left to do, so no fire has to be possible: a silver smear and a pan are enough.
    assert answered(failure, shipped) <= 12


@pytest.fixture(scope="module")
def learner_at_a_cupel() -> tuple[RuleBase, Failure]:
    """Rules by which a learner alone waits for somebody before a smelt only, and what is found in them."""
    fault = Mutation(
        "", "preparations/place.yaml", "  trained_person_comes:\n", "comes_with: [fire]", "comes_with: [melt]"
    )
    rule_base = mutated(fault)
    one = "a-learner-alone-lights-no-fire"
    (failure,) = safe(Prover(promising_only(rule_base, one))).failures
    return rule_base, failure


def test_no_smaller_set_of_answers_shows_it(shipped: RuleBase, learner_at_a_cupel: tuple[RuleBase, Failure]) -> None:
    rule_base, failure = learner_at_a_cupel
    assert failure.answers is not None
    invariant = rule_base.invariants[failure.subject]
    assert oracle.breaches(conclude(rule_base, failure.answers), invariant, for_certain=True)
    for name in (one for one in failure.answers if not rule_base.facts[one].computed):
        fewer = {key: value for key, value in failure.answers.items() if key != name}
        assert not oracle.breaches(conclude(rule_base, fewer), invariant, for_certain=True), name
    assert not oracle.breaches(
        conclude(shipped, failure.answers), shipped.invariants[failure.subject], for_certain=True
    )


def test_a_danger_that_no_longer_counts_when_open_is_found_over_partial_answers() -> None:
    acts = "comes_with: [work any_lead, melt any_lead, add any_lead, pour lead, drive lead]\n    "
    old, new = acts + "when: lead_in_ore", "when: collector is lead and lead_in_ore"
    held_back = broken_base("hazards/fume.yaml", "id: lead-fume\n", old, new)
    found = safe(Prover(promising_only(held_back, "lead-is-never-without-its-hazards"))).failures
    assert [failure.subject for failure in found] == ["lead-is-never-without-its-hazards"]


def test_a_control_for_one_kind_of_people_only_is_found_careless() -> None:
    old, new = "when: people_near is not nobody\n        source", "when: people_near is workers\n        source"
    rule_base = mutated(Mutation("", "hazards/place-and-people.yaml", "id: people-downwind\n", old, new))
    one_order = replace(rule_base, worse={"people-near": rule_base.worse["people-near"]})
    (failure,) = monotone(Prover(one_order)).failures
    assert failure.subject == "people-near"
    assert failure.confirmed
    assert failure.before is not None


def test_what_is_found_runs_again_from_its_file(tmp_path: Path, learner_at_a_cupel: tuple[RuleBase, Failure]) -> None:
    rule_base, failure = learner_at_a_cupel
    assert failure.answers is not None
    path = tmp_path / "found.yaml"
    path.write_text(batch_text(failure.says, failure.answers, rule_base), encoding="utf-8")
    again = read_batch(path, rule_base).answers
    assert oracle.outcome(conclude(rule_base, again)) == oracle.outcome(conclude(rule_base, failure.answers))
    assert oracle.breaches(conclude(rule_base, again), rule_base.invariants[failure.subject], for_certain=True)


def test_the_same_rules_give_the_same_advice_and_changed_ones_do_not(shipped: RuleBase) -> None:
    same = Mutation("", "arguments/cupel.yaml", "id: bone-ash-is-forgiving\n", "source: practice", "source: memory")
    assert same_advice(shipped, mutated(same)) is None
    other = Mutation("", "arguments/cupel.yaml", "id: cement-is-cheap\n", "cupel.cement", "cupel.magnesia")
    assert same_advice(shipped, mutated(other)) is not None


def test_the_worked_cases_hold_on_the_rules_without_a_fault(shipped: RuleBase) -> None:
    assert caught_by_cases(shipped) == []


def test_the_promise_of_the_readme_is_broken_until_a_rule_keeps_it(tmp_path: Path) -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    example = next(block for block in re.findall(r"```yaml\n(.*?)```", readme, re.DOTALL) if "invariants:" in block)
    (tmp_path / "own.yaml").write_text(example, encoding="utf-8")
    assert _is_broken(tmp_path)
    (tmp_path / "kept.yaml").write_text(ALONE, encoding="utf-8")
    assert not _is_broken(tmp_path)


def _is_broken(folder: Path) -> bool:
    rule_base = load_rule_base([folder], use_cache=False, promises=True)
    return bool(safe(Prover(promising_only(rule_base, "ours-nobody-fires-alone"))).failures)


ALONE = """\
arguments:
  - {id: own-not-alone, says: rule_out, kind: means, when: not second_person, reason: Invented., source: practice,
     about: [route.split, route.cupel_direct, route.melt_clean, route.smelt_iron, route.smelt_nitre,
             route.roast_smelt]}
"""

OWN = """\
retire:
  - {section: arguments, id: mercury-shows, reason: Invented.}
  - {section: steps, id: lay-the-floor, reason: Invented.}
hazards:
  - {id: boil-over, title: Boil-over, severity: grave, when: smelts, harm: Invented., stop_if: [It rises.],
     controls: [{do: Fill it half.}], source: practice}
"""


def test_own_rules_that_take_away_what_a_promise_names_are_told_which_and_how(
    tmp_path: Path, shipped: RuleBase
) -> None:
    (tmp_path / "own.yaml").write_text(OWN, encoding="utf-8")
    names = ("mercury-nothing-is-heated", "no-fire-over-a-damp-floor", "hydrated-borax-is-announced")
    rule_base = load_rule_base([tmp_path], use_cache=False, promises=True)
    found = {f.subject: f for f in safe(Prover(promising_only(rule_base, *names))).failures}
    mercury = found["mercury-nothing-is-heated"]
    assert "Wanted: route is stop. Found: route is " in mercury.says
    assert answered(mercury, shipped) <= 8
    assert "The step 'lay-the-floor' is missing." in found["no-fire-over-a-damp-floor"].says
    lost = "The control 'Add hydrated borax in three or more small lots' of the hazard 'boil-over' is missing."
    assert lost in found["hydrated-borax-is-announced"].says
    assert all(failure.confirmed for failure in found.values())


NO_LEAD = """
arguments:
  - id: ours-never-lead
    about: collector.lead
    says: rule_out
    kind: means
    when: people_near is nobody or people_near is not nobody
    reason: Nobody here uses lead.
    source: practice
  - id: ours-never-heard
    about: collector.lead
    says: against
    strength: slight
    when: people_near is nobody
    reason: It is ruled out already.
    source: practice
"""


def test_stricter_own_rules_leave_shipped_ones_idle_which_is_told_and_no_fault(tmp_path: Path) -> None:
    (tmp_path / "own.yaml").write_text(NO_LEAD, encoding="utf-8")
    rule_base = load_rule_base([tmp_path], use_cache=False, promises=True)
    # All count, and those about the collector alone are looked at: each takes the solver a moment.
    looked_at = {name: one for name, one in rule_base.arguments.items() if one.decision == "collector"}
    verdict = alive(Prover(replace(rule_base, arguments=looked_at)), {})
    assert [failure.subject for failure in verdict.failures] == ["arguments.ours-never-heard"]
    (told,) = (line for line in verdict.lines if "no longer matter" in line)
    for name in ("decisions.collector.lead", "steps.lead-work-rules", "controls.lead-fume.collector is lead"):
        assert name in told
