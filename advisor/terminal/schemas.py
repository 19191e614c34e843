"""JSON Schemas that the program prints."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from advisor.document import json_of, schema_of
from advisor.errors import InputError
from advisor.rulebase.language.formulas import closest
from advisor.terminal.output import notice, write_document
from advisor.words import tr

Schema = dict[str, Any]
Rules = Sequence[Path] | None
"""The shop's own folders, whose facts an answer file may name too."""

_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_VERSION = 1
_CASE_NEEDS = ("title", "description", "invented", "why")


def _named(name: str, title: str, schema: Schema) -> Schema:
    """A schema under the name by which other programs know it; it is an address of nobody."""
    version = schema.get("properties", {}).get("version", {}).get("const", _VERSION)
    head = {"$schema": _DIALECT, "$id": f"urn:goldroom-advisor:schema:{name}:{version}"}
    return {**head, **schema, "title": title}


def advice_schema(_: Rules = None) -> Schema:
    """The schema of the advice document."""
    from advisor.advice.documents.advice import Advice

    return _named("advice", "Advice for one batch", schema_of(Advice))


def answers_schema(rules: Rules = None) -> Schema:
    """The schema of answer files; a worked case is one too."""
    return _named("answers", "Answers about one batch or piece", _batch_schema(rules))


def case_schema(rules: Rules = None) -> Schema:
    """The schema of worked cases: answers with what must come out, and why."""
    schema = _batch_schema(rules)
    outcome = [{"required": ["advice"]}, {"required": ["diagnosis"]}]
    needed = [*schema.get("required", ()), *_CASE_NEEDS]
    return _named("case", "Worked case", {**schema, "required": needed, "oneOf": outcome})


def _batch_schema(rules: Rules) -> Schema:
    from advisor.advice.batches.entries import CaseFile
    from advisor.advice.batches.fact_schema import fact_schemas
    from advisor.terminal.setup import rule_base_for

    facts = fact_schemas(rule_base_for(rules, diagnosis=True))
    schema = CaseFile.model_json_schema()
    answers = {"title": "Answers", "type": "object", "properties": facts, "additionalProperties": False}
    return {**schema, "properties": {**schema["properties"], "answers": answers}}


def room_schema(rules: Rules = None) -> Schema:
    """The schema of a gold room. How it is tonight stands only in one that is invented, for the night of its cases."""
    from advisor.advice.batches.entries import UsualFile
    from advisor.advice.batches.fact_schema import fact_schemas
    from advisor.terminal.setup import rule_base_for

    rule_base = rule_base_for(rules, diagnosis=True)
    facts = fact_schemas(rule_base)

    def answers(*belonging: str) -> Schema:
        own = {name: one for name, one in facts.items() if rule_base.facts[name].entry.belongs_to in belonging}
        return {"properties": {"answers": {"properties": own, "additionalProperties": False}}}

    schema = UsualFile.model_json_schema()
    invented = {"properties": {"invented": {"const": True}}, "required": ["invented"]}
    whole = {"if": invented, "then": answers("room", "tonight"), "else": answers("room")}
    return _named("room", "Gold room", {**schema, **whole})


def diagnosis_schema(_: Rules = None) -> Schema:
    """The schema of the diagnosis document."""
    from advisor.advice.documents.diagnosis import Diagnosis

    return _named("diagnosis", "Diagnosis of one piece", schema_of(Diagnosis))


def calculation_schema(_: Rules = None) -> Schema:
    """The schema of the document of a computation."""
    from advisor.metallurgy.common.document import Calculation

    return _named("calculation", "Result of one computation", schema_of(Calculation))


def rules_schema(_: Rules = None) -> Schema:
    """The schema of rule files."""
    from advisor.rulebase.reading.rule_file import RuleFile

    return _named("rules", "Rule file", RuleFile.model_json_schema())


def trial_schema(_: Rules = None) -> Schema:
    """The schema of what ``advisor rules try`` finds."""
    from advisor.advice.documents.trial import Trial

    return _named("trial", "Cases that other rules decide differently", schema_of(Trial))


def lots_schema(_: Rules = None) -> Schema:
    """The schema of two lots side by side."""
    from advisor.advice.documents.lots import Lots

    return _named("lots", "Two lots side by side", schema_of(Lots))


MAKERS: dict[str, Callable[[Rules], Schema]] = {
    "advice": advice_schema,
    "answers": answers_schema,
    "case": case_schema,
    "room": room_schema,
    "diagnosis": diagnosis_schema,
    "calculation": calculation_schema,
    "rules": rules_schema,
    "trial": trial_schema,
    "lots": lots_schema,
}
"""For each document what makes its schema."""


def schema_text(document: str, rules: Rules = None) -> str:
    """One of the schemas as it is printed.

    Raises:
        InputError: If there is no such document.
    """
    if document not in MAKERS:
        near = closest(document, list(MAKERS))
        raise InputError(
            tr(
                "there is no schema of '{document}'; choose one of {known}{near}",
                document=document,
                known=", ".join(MAKERS),
                near=near,
            )
        )
    return json_of(MAKERS[document](rules), indent=2) + "\n"


def give_schema(document: str, output: Path | None, rules: Rules = None, *, force: bool = False) -> None:
    """Print one of the schemas, or write it to a file.

    Raises:
        InputError: If there is no such document, or something is there that must stay.
    """
    written = schema_text(document, rules)
    if output is None or str(output) == "-":
        write_document(written)
        return
    from advisor.terminal.writing import SCHEMA, write_into

    write_into(output.parent, output.name, written, SCHEMA, force=force)
    notice(tr("The schema is in {output}.", output=output))
