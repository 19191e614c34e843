"""JSON Schemas that the program prints."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import typer

from advisor.document import schema_of
from advisor.errors import InputError
from advisor.terminal.output import write_document

_DIALECT = "https://json-schema.org/draft/2020-12/schema"


def advice_schema() -> dict[str, Any]:
    """The schema of the advice document."""
    from advisor.advice.documents.advice import Advice

    return {"$schema": _DIALECT, **schema_of(Advice)}


def answers_schema() -> dict[str, Any]:
    """The schema of answer and case files."""
    from advisor.advice.batches.entries import CaseFile

    return {"$schema": _DIALECT, **CaseFile.model_json_schema()}


def diagnosis_schema() -> dict[str, Any]:
    """The schema of the diagnosis document."""
    from advisor.advice.documents.diagnosis import Diagnosis

    return {"$schema": _DIALECT, **schema_of(Diagnosis)}


def reckoning_schema() -> dict[str, Any]:
    """The schema of the document of a computation."""
    from advisor.metallurgy.common.document import Reckoning

    return {"$schema": _DIALECT, **schema_of(Reckoning)}


def rules_schema() -> dict[str, Any]:
    """The schema of rule files."""
    from advisor.rulebase.reading.rule_file import RuleFile

    return {"$schema": _DIALECT, **RuleFile.model_json_schema()}


def print_schema(document: str) -> None:
    """Print one of the schemas.

    Raises:
        InputError: If there is no such document.
    """
    makers = {
        "advice": advice_schema,
        "answers": answers_schema,
        "diagnosis": diagnosis_schema,
        "reckoning": reckoning_schema,
        "rules": rules_schema,
    }
    if document not in makers:
        raise InputError(f"there is no schema of '{document}'; choose one of {', '.join(makers)}")
    write_document(json.dumps(makers[document](), indent=2, ensure_ascii=False) + "\n")


def write_rules_schema(output: Path | None) -> None:
    """Print the schema of rule files, or write it to a file."""
    if output is None:
        print_schema("rules")
        return
    from advisor.advice.batches.batch_file import replace_file

    replace_file(output, json.dumps(rules_schema(), indent=2, ensure_ascii=False) + "\n")
    typer.echo(f"written to {output}", err=True)
