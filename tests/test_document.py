"""Parts of documents are made without validation; what is made must be as if it had been validated."""

from __future__ import annotations

import json
from dataclasses import FrozenInstanceError, replace
from functools import cache
from typing import Annotated

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from pydantic import Field, TypeAdapter, ValidationError

from advisor.advice.build_advice import build_advice
from advisor.advice.build_diagnosis import build_diagnosis
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import Span
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.document import json_of, json_text, part, plain, read_json, read_plain, schema_of
from advisor.engine.conclude import conclude
from advisor.present.text.letters import tame
from advisor.rulebase.model import RuleBase
from tests.shipped import CASES, PIECES, ROOT, advice_of_case, batch_of, diagnosis_of_case, piece_of
from tests.terminal.program import followed


@part
class Note:
    """An invented part."""

    weight: float = 1.0
    text: Annotated[str, Field(description="What is noted.")]
    spans: tuple[Span, ...] = ()


SPAN = Span(low=1.0, likely=2.0, high=3.0)
WRITTEN = '{"weight":1.0,"text":"a","spans":[{"low":1.0,"likely":2.0,"high":3.0}]}'


def test_every_advice_is_as_if_each_of_its_values_had_been_validated(shipped: RuleBase) -> None:
    for place, case in enumerate(CASES):
        advice = advice_of_case(case)
        if place % 8 == 0:
            advice = build_advice(conclude(shipped, batch_of(case).answers))
            assert advice.changes
        assert read_strictly(Advice, advice) == advice, case.stem


def test_every_diagnosis_is_as_if_each_of_its_values_had_been_validated(diagnosing: RuleBase) -> None:
    for place, case in enumerate(PIECES[::3]):
        diagnosis = diagnosis_of_case(case)
        if place % 8 == 0:
            diagnosis = build_diagnosis(conclude(diagnosing, piece_of(case).answers))
        assert read_strictly(Diagnosis, diagnosis) == diagnosis, case.stem


@cache
def strict(kind: type) -> TypeAdapter[object]:
    """What reads documents of a kind; made once, which takes longer than to read one."""
    return TypeAdapter(kind)


def read_strictly(kind: type, document: object) -> object:
    """The document from its own JSON, no value of which may have to be turned into another type."""
    written = json.loads(json_text(document))
    return strict(kind).validate_json(json.dumps(followed(written, written)), strict=True)


def test_names_are_looked_at_when_a_part_is_made() -> None:
    for wrong in ({}, {"text": "a", "wait": 1.0}, {"weight": 1.0}):
        with pytest.raises(TypeError, match="Note"):
            Note(**wrong)


def test_what_is_left_out_has_its_default_and_the_order_is_that_of_the_fields() -> None:
    note = Note(spans=(SPAN,), text="a")
    assert note.weight == 1.0
    assert json.loads(json_text(note)) == json.loads(WRITTEN)
    assert plain(note) == {"weight": 1.0, "text": "a", "spans": [{"low": 1.0, "likely": 2.0, "high": 3.0}]}


def test_what_is_written_is_read_again_as_it_was() -> None:
    note = Note(text="a", spans=(SPAN,))
    assert read_json(Note, WRITTEN) == note
    assert read_plain(Note, plain(note)) == note
    assert replace(note, text="b") == Note(text="b", spans=(SPAN,))


def test_a_part_never_changes() -> None:
    with pytest.raises(FrozenInstanceError):
        Note(text="a").text = "b"  # type: ignore[misc]


def test_what_is_read_from_outside_is_validated() -> None:
    for wrong in ('{"text": 1}', '{"text": "a", "other": 1}', "{}", '{"text": "a", "spans": [{"low": "much"}]}'):
        with pytest.raises(ValidationError):
            read_json(Note, wrong)


def test_the_schema_says_what_is_needed_what_it_means_and_that_nothing_else_may_stand_there() -> None:
    schema = schema_of(Note)
    assert (schema["required"], schema["additionalProperties"]) == (["text"], False)
    assert schema["properties"]["text"]["description"] == "What is noted."
    assert Draft202012Validator(schema).is_valid(plain(Note(text="a", spans=(SPAN,))))
    assert not Draft202012Validator(schema).is_valid({"text": "a", "spans": [{"low": 1.0}]})


def test_what_is_named_in_several_places_stands_once_in_the_json_and_comes_back_as_it_was(shipped: RuleBase) -> None:
    case = ROOT / "cases" / "iron-smelt-trade-check-weights.yaml"
    advice = build_advice(conclude(shipped, batch_of(case).answers))
    written = json_text(advice)
    assert read_json(Advice, written) == advice
    Draft202012Validator(schema_of(Advice)).validate(json.loads(written))
    arguments = [json.dumps(row, sort_keys=True) for row in plain(advice)["said_once"]["arguments"].values()]
    assert len(arguments) == len(set(arguments)) > 100
    reason = advice.decisions[0].options[0].arguments[0].reason
    assert written.count(json.dumps(reason, ensure_ascii=False)) == 1


def test_a_pointer_that_points_nowhere_is_refused() -> None:
    with pytest.raises(ValueError, match="points nowhere"):
        read_json(Note, '{"text":{"$ref":"#/said_once/sources/9"},"said_once":{"sources":{}}}')


@given(st.text() | st.text(alphabet="\x7f\x85\x9b\u2028\u202e\u2066\u200f\u061c\\\"'a"))
def test_any_text_comes_back_from_json_and_holds_no_order_to_a_screen(text: str) -> None:
    written = json_of({"title": text})
    assert json.loads(written) == {"title": text}
    assert tame(written) == written
