"""Every worked diagnosis gives what it says, and together they reach every stage and most corrections."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.advice.batches.batch_file import BatchFile
from advisor.advice.batches.entries import ExpectedDiagnosis
from advisor.advice.comparing import unmet
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import LOOKED_AT
from tests.shipped import PIECES as CASES
from tests.shipped import diagnosis_of_case, piece_of


def case(path: Path) -> tuple[BatchFile, ExpectedDiagnosis, Diagnosis]:
    batch = piece_of(path)
    assert batch.diagnosis is not None
    return batch, batch.diagnosis, diagnosis_of_case(path)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_case_gives_the_diagnosis_it_says(path: Path, diagnosing: RuleBase) -> None:
    batch, expected, diagnosis = case(path)
    assert unmet(expected, diagnosis) == [], diagnosis.remedy.reason
    assert {*expected.first, *expected.without_first} <= set(diagnosing.preparations)
    assert {*expected.hazards, *expected.without_hazards} <= set(diagnosing.hazards)
    assert batch.description
    assert batch.why
    assert "invented" in path.read_text(encoding="utf-8").lower()


def test_there_are_forty_cases_and_twenty_of_them_follow_a_published_description() -> None:
    batches = [piece_of(path) for path in CASES]
    assert len(batches) >= 40
    published = [b for b in batches if any("practice" not in text.lower() for text in b.checked_against)]
    assert len(published) >= 20


def test_the_cases_reach_every_stage(diagnosing: RuleBase) -> None:
    looked_at = {piece_of(path).answers.get(LOOKED_AT) for path in CASES}
    assert looked_at >= set(diagnosing.facts[LOOKED_AT].entry.options)


def test_every_correction_comes_out_of_some_case(diagnosing: RuleBase) -> None:
    remedies = {b.diagnosis.remedy for path in CASES if (b := piece_of(path)).diagnosis is not None}
    assert remedies >= set(diagnosing.decisions["remedy"].options) - {"set_aside"}


def test_what_is_weighed_only_if_heat_was_not_enough_is_told_as_such() -> None:
    (path,) = (one for one in CASES if one.stem == "matt-bead-from-bismuth")
    _, _, diagnosis = case(path)
    assert "nothing added" in diagnosis.remedy.title
    grams = [figure.title for figure in diagnosis.figures.values() if figure.unit == "g"]
    assert grams, "a matt bead that heat does not clear wants a little collector"
    assert all(title.endswith(", if needed") for title in grams), grams
