"""The JSON Schema of rule files: editors check rules with it, so it must agree with the program."""

from __future__ import annotations

from typing import Any

import pytest
from jsonschema import Draft202012Validator
from pydantic import ValidationError

from advisor.rulebase.loading import rule_files
from advisor.rulebase.locations import shipped
from advisor.rulebase.reading.rule_file import RuleFile
from advisor.rulebase.reading.yaml_reader import parse_yaml
from advisor.terminal.schemas import rules_schema
from tests.rulebase.small_base import BASE

FILES = rule_files(shipped("rules"))


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    return Draft202012Validator(rules_schema())


def test_the_schema_of_rule_files_is_a_valid_schema() -> None:
    schema = rules_schema()
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert set(schema["properties"]) == set(RuleFile.model_fields)


def test_the_small_rule_base_fits_the_schema(validator: Draft202012Validator) -> None:
    validator.validate(parse_yaml(BASE, "base.yaml").data)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("means: much sulphide", "maens: much sulphide"),
        ("means: much sulphide, ", ""),
        ("says: rule_out", "says: maybe"),
        ("severity: grave", "severity: mild"),
        ("format: 1", "format: 2"),
        ("id: wet-spits", "id: Wet Spits"),
        ("  wet: {label", "  Wet-Fact: {label"),
        ("order: 1", "order: first"),
        ("stop_if: [It hisses.]", "stop_if: []"),
        ("controls: [{do: Dry it.}]", "controls: []"),
        ("uses: [soda]", "uses: soda"),
        ("{low: 1, likely: 2, high: 3},\n     reason", "{low: 1, likely: 2},\n     reason"),
        ("kind: yes_no", "kind: maybe"),
        ("summary: Melt it.", "summary: [Melt it.]"),
        ("decides: Lead", "decides: true"),
        ('title: Button', 'title: ""'),
    ],
)  # fmt: skip
def test_schema_and_program_refuse_the_same_shapes(old: str, new: str, validator: Draft202012Validator) -> None:
    assert BASE.count(old) == 1
    data: Any = parse_yaml(BASE.replace(old, new), "base.yaml").data
    assert list(validator.iter_errors(data))
    with pytest.raises(ValidationError):
        RuleFile.model_validate(data)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("year: 1900", "year: about 1900"),
        ("year: 1900", "year: 1900.5"),
        ("least: 0 %", "least: 0"),
        ("temperature: 20 C", "temperature: {low: 10 C, likely: 20 C, high: 30 C}"),
        ("source: practice}\n  lead:", "source: [practice, memory]}\n  lead:"),
        ("about: vessel.pot", "about: [vessel.pot]"),
        ("value: 5 %", "value: 0.05"),
    ],
)
def test_schema_and_program_allow_the_same_shapes(old: str, new: str, validator: Draft202012Validator) -> None:
    assert BASE.count(old) == 1
    data: Any = parse_yaml(BASE.replace(old, new), "base.yaml").data
    assert list(validator.iter_errors(data)) == []
    RuleFile.model_validate(data)
