"""The diagnosis as a document: figures that follow the piece, steps that can be worked, reasons for a refusal."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import FrozenInstanceError, replace
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.advice.build_diagnosis import build_diagnosis
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.notes.figures import figure_words
from advisor.advice.plan.correction import Corrections
from advisor.document import json_text
from advisor.engine.conclude import Conclusions, conclude, conclude_forced
from advisor.engine.correction import at_work, needed_observations, own_steps
from advisor.engine.state import Answers, state_of
from advisor.metallurgy.check import computation_faults
from advisor.metallurgy.common.document import FigureNote
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import LOOKED_AT, REMEDY
from tests.advice.diagnosis.pictures import picture_of
from tests.batches import MATT_BEAD, PYRITIC, answers_of

PIECE: dict[str, Any] = {
    "work_done": "smelt_iron",
    "collector_used": "bismuth",
    "cupel_used": "bone_ash",
    "heat_now": "950 C",
    "time_in_fire": "20 min",
    "scale_step": "0.01 g",
    "bead_look": "dull",
    "stain_kind": "yellow",
    "matte_sort": "lead",
    "slag_kind": "glassy_stiff",
    "flux_used": "soda_and_borax",
    "shot_share": "2 %",
    "charge_state": "not_melted",
    "copper_in_piece": "20 %",
    "brittle_from": "bismuth",
    "fineness_found": "700 permille",
    "fineness_wanted": "850 permille",
    "silver_in_piece": "8 %",
}
"""All that a correction may be reckoned from besides weights. Invented."""

WEIGHTS = {
    "bead_weighed": 11.0,
    "button_weighed": 80.0,
    "bar_weighed": 40.0,
    "matte_weighed": 25.0,
    "slag_weighed": 300.0,
    "charge_weighed": 900.0,
    "cupel_weighed": 60.0,
    "largest_cupel": 100.0,
    "weight_shown": 14.0,
    "weight_expected": 20.0,
    "collector_weighed": 60.0,
}
"""Every weight that may be asked for, in grams. Invented."""

SMALLEST_STEP = ("meaning_difference_piece", "meaning_difference_bead")
"""Figures that hang on the scale alone and not on the piece."""


def known(rule_base: RuleBase, stage: str, times: float = 1.0, **changed: Any) -> Answers:
    """Everything is known of a piece; its weights can be taken some times over."""
    weights = {name: f"{grams * times!r} g" for name, grams in WEIGHTS.items()}
    return answers_of(rule_base, {**PYRITIC, **PIECE, **weights, LOOKED_AT: stage}, **changed)


def corrected(rule_base: RuleBase, answers: Answers, remedy: str) -> tuple[Corrections, set[str], Conclusions]:
    """The figures of a correction, whatever speaks against it, and those its steps name."""
    conclusions = conclude_forced(rule_base, answers, state_of(rule_base, answers), {REMEDY: remedy})
    acting = at_work(conclusions)
    named = {name for step in own_steps(acting) for name in step.placeholders if name in rule_base.figures}
    return Corrections(conclusions, Tables(rule_base)), named, acting


# What the rules name exists


def test_every_correction_names_a_computation_with_its_figures_and_all_inputs_it_needs(diagnosing: RuleBase) -> None:
    assert len(diagnosing.figures) > 50
    assert list(computation_faults(diagnosing)) == []


def test_every_figure_stands_in_a_step_of_some_correction(diagnosing: RuleBase) -> None:
    named = {name for step in diagnosing.steps.values() for name in step.placeholders}
    assert set(diagnosing.figures) - named == set()


# Every correction can be worked


def remedies_and_stages(rule_base: RuleBase) -> Iterator[tuple[str, str, str]]:
    """Every correction at every stage, with the collectors by turns."""
    for number, remedy in enumerate(rule_base.decisions[REMEDY].options):
        for place, stage in enumerate(rule_base.facts[LOOKED_AT].entry.options):
            yield remedy, stage, ("bismuth", "lead")[(number + place) % 2]


def test_every_figure_of_every_correction_can_be_reckoned_when_all_is_known(diagnosing: RuleBase) -> None:
    reckoned = set()
    for remedy, stage, collector in remedies_and_stages(diagnosing):
        answers = known(diagnosing, stage, collector_used=collector, brittle_from=collector)
        corrections, named, _ = corrected(diagnosing, answers, remedy)
        missing = [name for name in named if corrections.figure(name) is None]
        assert missing == [], (remedy, stage, collector, corrections.problems)
        reckoned |= named
    assert len(reckoned) > 80


def test_when_nothing_is_weighed_every_figure_is_still_a_range_or_says_why_there_is_none(diagnosing: RuleBase) -> None:
    for remedy, stage, collector in list(remedies_and_stages(diagnosing))[::4]:
        answers = answers_of(diagnosing, {**PYRITIC, LOOKED_AT: stage, "collector_used": collector})
        corrections, named, _ = corrected(diagnosing, answers, remedy)
        for name in named:
            before = len(corrections.problems)
            figure = corrections.figure(name)
            assert figure is not None or corrections.problems, (remedy, stage, name)
            assert figure is None or figure.amount.low <= figure.amount.likely <= figure.amount.high
            assert all(problem.strip() for problem in corrections.problems[before:])


def test_a_figure_that_cannot_be_reckoned_is_said_in_words_and_not_as_nought() -> None:
    assert figure_words(None) == "not known before it is weighed"


def test_every_correction_has_steps_that_begin_with_care_and_end_with_the_record(diagnosing: RuleBase) -> None:
    for remedy in diagnosing.decisions[REMEDY].options:
        _, _, acting = corrected(diagnosing, known(diagnosing, "bead"), remedy)
        steps = own_steps(acting)
        assert len(steps) >= 3, remedy
        stages = [list(diagnosing.stages).index(step.entry.stage) for step in steps]
        assert stages == sorted(stages)
        assert len({step.entry.id for step in steps}) == len(steps)


def test_what_a_correction_is_reckoned_from_may_be_asked_for_where_it_is_chosen(diagnosing: RuleBase) -> None:
    """A figure that rests on an answer nobody is asked for would always be a guess."""
    needed = set()
    for name in Random(3).sample(sorted(diagnosing.causes), 50):
        answers, _ = picture_of(diagnosing, name)
        conclusions = conclude(diagnosing, {**answers_of(diagnosing, PYRITIC, sulphide_share=None), **answers})
        for fact in needed_observations(conclusions):
            ask_if = diagnosing.facts[fact].ask_if
            chosen = conclusions.outcomes[REMEDY].chosen
            assert ask_if is None or ask_if.truth(conclusions.state) == HOLDS, (name, chosen, fact)
            needed.add(fact)
    assert len(needed) >= 5


def parted(rule_base: RuleBase) -> RuleBase:
    """The same rules with a correction of its own for each figure."""
    apart = {}
    for name, figure in rule_base.figures.items():
        one = replace(figure.correction, name=f"only_{name}")
        apart[name] = replace(figure, correction=one)
    return replace(
        rule_base, figures=apart, corrections={one.correction.name: one.correction for one in apart.values()}
    )


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 10**6))
def test_figures_that_share_a_computation_are_those_worked_out_one_by_one(diagnosing: RuleBase, seed: int) -> None:
    random = Random(seed)
    remedy = random.choice(list(diagnosing.decisions[REMEDY].options))
    answers = known(diagnosing, random.choice(list(diagnosing.facts[LOOKED_AT].entry.options)), random.uniform(0.3, 3))
    for name in random.sample(sorted(PIECE), random.randrange(3)):
        answers = {key: value for key, value in answers.items() if key != name}
    together, named, _ = corrected(diagnosing, answers, remedy)
    apart, again, _ = corrected(parted(diagnosing), answers, remedy)
    assert named == again
    for name in random.sample(sorted(named), len(named)):
        assert together.figure(name) == apart.figure(name), name


# Figures scale with the piece


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 10**6), times=st.floats(2.0, 16.0, allow_nan=False))
def test_twice_the_piece_takes_twice_the_grams(diagnosing: RuleBase, seed: int, times: float) -> None:
    random = Random(seed)
    remedy = random.choice(list(diagnosing.decisions[REMEDY].options))
    stage = random.choice(list(diagnosing.facts[LOOKED_AT].entry.options))
    collector = random.choice(["bismuth", "lead"])
    of_piece = {"collector_used": collector, "brittle_from": collector}
    once, named, _ = corrected(diagnosing, known(diagnosing, stage, times, **of_piece), remedy)
    twice, again, _ = corrected(diagnosing, known(diagnosing, stage, 2 * times, **of_piece), remedy)
    assert named == again
    for name in named:
        one, two = once.figure(name), twice.figure(name)
        assert one is not None
        assert two is not None
        if one.unit == "g":
            factor = 1 if name in SMALLEST_STEP else 2
            for part in ("low", "likely", "high"):
                expected = factor * getattr(one.amount, part)
                assert getattr(two.amount, part) == pytest.approx(expected, rel=1e-6, abs=1e-9), (name, part)
        else:
            # Heat does not hang on the weight; time and pieces never become less.
            assert two.amount.likely >= one.amount.likely - 1e-9, name


def test_the_grams_of_a_whole_diagnosis_double_with_the_weighed_bead(diagnosing: RuleBase) -> None:
    seen: dict[str, list[FigureNote]] = {}
    for grams in ("6 g", "12 g"):
        diagnosis = matt_bead(diagnosing, bead_weighed=grams)
        assert diagnosis.remedy.chosen == "recupel_bismuth"
        for name, figure in diagnosis.figures.items():
            seen.setdefault(name, []).append(figure)
        step = next(step for step in diagnosis.steps if step.id == "recupel-bismuth-weigh-bead")
        assert " g" in step.do
    assert {"bismuth_for_bead", "cupel_for_bismuth_bead"} <= set(seen)
    for one, two in (seen["bismuth_for_bead"], seen["cupel_for_bismuth_bead"]):
        assert two.likely == pytest.approx(2 * one.likely, rel=0.01)
        assert two.high == pytest.approx(2 * one.high, rel=0.01)


# The document


def matt_bead(rule_base: RuleBase, **changed: Any) -> Diagnosis:
    """The diagnosis of a matt bead from a bismuth cupel, all looked at. Invented."""
    bead = {
        **MATT_BEAD,
        "work_done": "cupel_direct",
        "collector_used": "bismuth",
        "cupel_used": "bone_ash",
        "reagents": ["bismuth", "borax_anhydrous"],
    }
    return build_diagnosis(conclude(rule_base, answers_of(rule_base, {**PYRITIC, **bead}, **changed)), "Invented bead")


def test_the_document_is_frozen_and_says_what_was_looked_at(diagnosing: RuleBase) -> None:
    diagnosis = matt_bead(diagnosing)
    assert (diagnosis.document, diagnosis.version, diagnosis.looked_at) == ("diagnosis", 2, "bead")
    assert diagnosis.title == "Invented bead"
    with pytest.raises(FrozenInstanceError):
        diagnosis.stop = True  # type: ignore[misc]


def test_the_causes_stand_the_best_supported_first_and_those_ruled_out_are_left_out(diagnosing: RuleBase) -> None:
    diagnosis = matt_bead(diagnosing)
    supports = [cause.support_now for cause in diagnosis.causes]
    assert supports == sorted(supports, reverse=True)
    assert diagnosis.causes[0].id == "collector_left"
    for cause in diagnosis.causes:
        assert "bead" in diagnosing.causes[cause.id].entry.stages
        assert cause.taken == (cause.support_now >= cause.taken_at)
        assert cause.support_low <= cause.support_now <= cause.support_high
        assert cause.sure in (("clear", "likely") if cause.taken else ("possible", "unlikely"))
        assert cause.sources


def test_figures_are_those_that_the_steps_name_and_no_placeholder_is_left(diagnosing: RuleBase) -> None:
    diagnosis = matt_bead(diagnosing)
    named = {name for step in diagnosis.steps for name in diagnosing.steps[step.id].placeholders}
    assert set(diagnosis.figures) == named & set(diagnosing.figures)
    for step in diagnosis.steps:
        assert not re.search(r"\{[a-z_]+\}", step.do + (step.look_for or ""))
    for figure in diagnosis.figures.values():
        assert figure.how
        assert figure.source


def test_every_hazard_a_step_warns_of_is_described(diagnosing: RuleBase) -> None:
    diagnosis = matt_bead(diagnosing)
    described = {hazard.id for hazard in diagnosis.hazards}
    warned = {name for step in diagnosis.steps for name in step.hazards}
    assert warned
    assert warned <= described
    ranks = [["deadly", "grave", "moderate"].index(hazard.severity) for hazard in diagnosis.hazards]
    assert ranks == sorted(ranks)


def test_only_setting_aside_sealing_and_leaving_are_stops(diagnosing: RuleBase) -> None:
    stops = set(diagnosing.decisions[REMEDY].entry.stops)
    assert stops == {"set_aside", "seal_it", "leave_it"}
    assert not matt_bead(diagnosing).stop
    refused = matt_bead(diagnosing, mercury_signs="yes")
    assert refused.stop
    assert refused.remedy.chosen in stops


def test_the_same_observations_give_the_same_document(diagnosing: RuleBase) -> None:
    assert json_text(matt_bead(diagnosing)) == json_text(matt_bead(diagnosing))


# What keeps a correction out


def test_a_refused_correction_says_what_keeps_it_out_and_what_would_lift_it(diagnosing: RuleBase) -> None:
    refused = matt_bead(diagnosing, place="closed_room", extraction="none", open_ground="no")
    assert refused.remedy.chosen == "set_aside"
    assert refused.lifts
    titles = {option.title for option in diagnosing.decisions[REMEDY].entry.options.values()}
    for lift in refused.lifts:
        assert lift.lifted_by
        assert lift.because
        assert lift.opens is None or lift.opens in titles
    assert any("open ground" in lift.lifted_by for lift in refused.lifts)
    reason = refused.remedy.reason
    assert "is out" in reason
    assert "closed" in reason


def test_a_metal_that_can_be_got_refuses_nothing_and_stands_first_once(diagnosing: RuleBase) -> None:
    shelves = {"get_bismuth": ["borax_anhydrous"], "get_bismuth_metal": ["borax_anhydrous", "bismuth_oxide", "flour"]}
    for wanted, shelf in shelves.items():
        bead = matt_bead(diagnosing, reagents=shelf, lead_rules="forbidden")
        assert bead.outcome == "first"
        assert (bead.remedy.chosen, bead.lifts) == ("recupel_bismuth", ())
        assert [one.id for one in bead.first if "bismuth" in one.id] == [wanted]


def test_what_runs_short_of_the_whole_batch_is_no_preparation_for_a_piece(diagnosing: RuleBase) -> None:
    poor = matt_bead(diagnosing, batch_mass="40 kg", reagents=["bismuth"], stock_bismuth="1 g", lead_rules="forbidden")
    assert poor.remedy.chosen == "recupel_bismuth"
    short = {name for name, one in diagnosing.preparations.items() if "_short" in one.entry.lacking}
    assert len(short) > 5
    assert not short & {one.id for one in poor.first}


def test_a_preparation_for_a_piece_shows_no_name_of_an_amount(diagnosing: RuleBase) -> None:
    bare = matt_bead(diagnosing, reagents=[], cupels=[], cupels_dry=None, lead_rules="forbidden")
    assert any("enough" in one.do for one in bare.first)
    names = {*diagnosing.quantities, *diagnosing.thresholds, *diagnosing.figures}
    for one in bare.first:
        assert not {word.strip(".,") for word in one.do.split()} & names


def test_what_is_lifted_is_no_longer_in_the_way(diagnosing: RuleBase) -> None:
    assert matt_bead(diagnosing, reagents=["bismuth"], lead_rules="forbidden").remedy.chosen == "recupel_bismuth"
    assert matt_bead(diagnosing, reagents=["bismuth"], lead_rules="forbidden").lifts == ()


def test_mercury_that_is_possible_keeps_every_piece_out_of_the_fire(diagnosing: RuleBase) -> None:
    refused = matt_bead(diagnosing, mercury_signs="yes")
    assert refused.figures == {}
    assert all(step.temperature_c is None for step in refused.steps)
    assert any("mercury" in lift.because.lower() for lift in refused.lifts)
