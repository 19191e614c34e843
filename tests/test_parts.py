"""Documents are made without validation; what is made must be as if it had been validated."""

from __future__ import annotations

from pathlib import Path

import pytest
from pydantic import ValidationError

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice, Span
from advisor.engine.conclude import conclude
from advisor.parts import Part
from advisor.rulebase.model import RuleBase

CASES = sorted((Path(__file__).resolve().parent.parent / "cases").glob("*.yaml"))


class Note(Part):
    """An invented part."""

    text: str
    weight: float = 1.0
    spans: tuple[Span, ...] = ()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_every_advice_is_as_if_each_of_its_values_had_been_validated(case: Path, shipped: RuleBase) -> None:
    advice = build_advice(conclude(shipped, read_batch(case, shipped).answers))
    text = advice.model_dump_json()
    read = Advice.model_validate_json(text, strict=True)
    assert read.model_dump_json() == text
    assert read == advice


def test_names_are_looked_at_when_a_part_is_made() -> None:
    for wrong in ({}, {"text": "a", "wait": 1.0}, {"weight": 1.0}):
        with pytest.raises(TypeError, match="Note takes text, weight, spans"):
            Note(**wrong)


def test_what_is_left_out_has_its_default_and_the_order_is_that_of_the_fields() -> None:
    note = Note(spans=(Span(low=1.0, likely=2.0, high=3.0),), text="a")
    assert note.weight == 1.0
    expected = '{"text":"a","weight":1.0,"spans":[{"low":1.0,"likely":2.0,"high":3.0}]}'
    assert note.model_dump_json() == expected
    assert note == Note.model_validate_json(expected)
    assert note.model_copy(update={"text": "b"}).text == "b"


def test_a_part_never_changes() -> None:
    with pytest.raises(ValidationError, match="frozen"):
        Note(text="a").text = "b"  # type: ignore[misc]


def test_what_is_read_from_outside_is_validated() -> None:
    for wrong in ('{"text": 1}', '{"text": "a", "other": 1}', "{}", '{"text": "a", "spans": [{"low": "much"}]}'):
        with pytest.raises(ValidationError):
            Note.model_validate_json(wrong)
