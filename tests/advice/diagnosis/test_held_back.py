"""What may hold a correction back and what may be told of a piece: one law for each, over pieces that were worked."""

from __future__ import annotations

import re
from typing import Any

import pytest

from advisor.advice.build_diagnosis import build_diagnosis, is_harmless
from advisor.engine import PRESENT, Conclusions, conclude
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import CAUSE, REMEDY
from tests.batches import answers_of

ON_A_CUPEL = ("hotter_cupel", "second_cupel", "recupel_bismuth", "recupel_lead")
SUBJECTS = (
    # The answer that the subject is absent, the word for it, and the stages at which it is seen all the same.
    ("cupel_used", "none", r"\bcupel", ("cupelling", "cold_cupel")),
    ("collector_used", "none", r"\bcollector|litharge", ()),
    ("crucible_kind", "clay", r"graphite", ()),
)
TOO_LITTLE = {"copper_left", "slag_shots_no_collector"}
"""Causes that say that there was none of it, or too little."""

COLOURS = ("bead_colour", "bar_colour", "slag_colour", "cupel_stain", "bead_streak", "piece_streak")


def seen(diagnosing: RuleBase, **told: Any) -> Conclusions:
    return conclude(diagnosing, answers_of(diagnosing, told))


def test_a_correction_is_ruled_out_for_danger_or_want_of_means_never_for_worth(diagnosing: RuleBase) -> None:
    decision = diagnosing.decisions[REMEDY]
    striking = [a for a in decision.arguments if a.entry.says in ("rule_out", "require")]
    by_the_work = [a for a in striking if "-put-right-" not in a.id]
    assert len(by_the_work) > 200
    assert {a.entry.kind for a in by_the_work} == {"danger", "means"}


def test_no_kind_of_cupel_that_lacks_rules_a_cupel_out_while_another_is_there(diagnosing: RuleBase) -> None:
    kinds = diagnosing.facts["cupels"].entry.options
    outcomes = [seen(diagnosing, look_at="bead", cupels=[kind]).outcomes[REMEDY] for kind in kinds]
    options = outcomes[0].decision.options
    struck = {
        (kind, act)
        for kind, outcome in zip(kinds, outcomes, strict=True)
        for act in ON_A_CUPEL
        if outcome.tally.surely_out[options.index(act)]
    }
    assert struck == set()


@pytest.mark.parametrize(("fact", "absent", "word", "seen_at"), SUBJECTS)
def test_a_cause_needs_what_it_is_about(
    diagnosing: RuleBase, fact: str, absent: str, word: str, seen_at: tuple[str, ...]
) -> None:
    about = {
        (name, stage)
        for name, cause in diagnosing.causes.items()
        for stage in cause.entry.stages
        if re.search(word, cause.entry.title, re.IGNORECASE) and stage not in seen_at and name not in TOO_LITTLE
    }
    assert about
    kept = set()
    for stage in {stage for _, stage in about}:
        several = seen(diagnosing, look_at=stage, **{fact: absent}).several[CAUSE]
        for name, at in about:
            support = several.supports[name]
            if at == stage and support.out != HOLDS and support.high >= several.taken_at:
                kept.add((name, stage))
    assert kept == set()


@pytest.mark.parametrize("fact", COLOURS)
def test_one_colour_never_makes_the_cause_of_a_fault_clear(diagnosing: RuleBase, fact: str) -> None:
    rule = diagnosing.facts[fact]
    stages = [
        stage
        for stage in diagnosing.facts["look_at"].entry.options
        if rule.ask_if is None or rule.ask_if.truth(seen(diagnosing, look_at=stage).state) != FAILS
    ]
    clear = set()
    for colour in rule.entry.options:
        for stage in stages:
            several = seen(diagnosing, look_at=stage, **{fact: colour}).several[CAUSE]
            for name, support in several.supports.items():
                fault = not is_harmless(diagnosing.causes[name]) and name != "unknown_stain"
                if fault and support.domain(several.taken_at) == PRESENT:
                    clear.add((colour, name))
    assert clear == set()


@pytest.mark.parametrize(
    ("stage", "cause"),
    [
        ("crucible", "pot_too_cold"),
        ("pour", "pour_too_cold"),
        ("cupelling", "frozen_at_start"),
        ("cupelling", "working_too_cold"),
        ("cupelling", "finish_too_cold"),
        ("bead", "stopped_too_cold"),
        ("cold_cupel", "oxide_scales_left"),
        ("cold_mould", "slag_shots_cold"),
    ],
)
def test_a_heat_that_was_measured_speaks_against_too_cold(diagnosing: RuleBase, stage: str, cause: str) -> None:
    hot = seen(diagnosing, look_at=stage, heat_now="1220 C").several[CAUSE].supports[cause]
    unmeasured = seen(diagnosing, look_at=stage).several[CAUSE].supports[cause]
    assert hot.now <= unmeasured.now - 3


def test_all_is_well_is_not_said_of_a_cupel_that_cracked(diagnosing: RuleBase) -> None:
    told = {"look_at": "cold_cupel", "cupel_stain": "orange", "cupel_ring": "none", "bead_grip": "drops_off"}
    well = build_diagnosis(seen(diagnosing, **told), look_for_changes=False)
    assert [cause.id for cause in well.causes if cause.taken] == ["all_well_cold_cupel"]
    cracked = build_diagnosis(seen(diagnosing, **told, cupel_cracks="fine_shrinkage"), look_for_changes=False)
    assert [cause.id for cause in cracked.causes if cause.taken] == ["shrinkage_cracks"]
