"""The shipped files name a schema that is there and up to date, so that an editor completes and checks them."""

from __future__ import annotations

import json

import pytest
from jsonschema import Draft202012Validator

from advisor.rulebase.loading import rule_files
from advisor.rulebase.reading.yaml_reader import read_document
from advisor.terminal.schemas import schema_text
from tests.editor_lines import ROOT, SCHEMAS, files_of, line_for, with_line

RENEW = "renew with  python -m tests.editor_lines"


@pytest.mark.parametrize("document", SCHEMAS)
def test_the_schema_in_the_checkout_is_the_one_the_program_prints(document: str) -> None:
    same = SCHEMAS[document].read_text(encoding="utf-8") == schema_text(document)
    assert same, f"{SCHEMAS[document]} is out of date; {RENEW}"


@pytest.mark.parametrize("document", SCHEMAS)
def test_every_shipped_file_begins_with_the_line_that_names_its_schema(document: str) -> None:
    lacking = [
        str(path.relative_to(ROOT))
        for path in files_of(document)
        if not path.read_text(encoding="utf-8").startswith(line_for(path, document))
    ]
    assert lacking == [], RENEW


@pytest.mark.parametrize("document", SCHEMAS)
def test_the_line_leads_to_the_schema_and_changes_nothing_in_the_file(document: str) -> None:
    for path in files_of(document):
        line = line_for(path, document)
        named = line.strip().rpartition("=")[2]
        assert (path.parent / named).resolve() == SCHEMAS[document]
        # A comment above what stands there changes nothing of it.
        text = with_line(path, document)
        assert text.count("yaml-language-server") == 1
        assert text.startswith("#")
        assert path.read_text(encoding="utf-8").endswith(text.removeprefix(line))


@pytest.mark.parametrize("document", SCHEMAS)
def test_every_shipped_file_fits_the_schema_it_names(document: str) -> None:
    validator = Draft202012Validator(json.loads(SCHEMAS[document].read_text(encoding="utf-8")))
    faults = [
        f"{path.relative_to(ROOT)}: {error.message[:200]}"
        for path in files_of(document)
        for error in validator.iter_errors(read_document(path).data)
    ]
    assert faults == []


def test_the_schemas_are_no_rule_files() -> None:
    assert not [path for path in rule_files(ROOT / "rules") if path.suffix == ".json"]
