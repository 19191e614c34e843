"""The schemas that the program prints: those of answers know every fact, and what fits them is read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest

from advisor.advice.batches.answers import read_answer
from advisor.advice.batches.fact_schema import fact_schemas
from advisor.rulebase.model import Fact, RuleBase
from advisor.terminal.schemas import MAKERS
from advisor.units import unit_named
from advisor.units.measures import names_of_units
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program


def test_every_schema_has_a_title_and_a_name_that_is_no_address(quick: Preloaded) -> None:
    for document in MAKERS:
        schema = quick.run("schema", document).json
        jsonschema.Draft202012Validator.check_schema(schema)
        version = 2 if document in ("advice", "diagnosis", "lots") else 1
        assert schema["$id"] == f"urn:goldroom-advisor:schema:{document}:{version}"
        assert " " in schema["title"]


@pytest.mark.parametrize("document", ["answers", "case"])
def test_the_schema_of_answers_knows_every_fact(document: str, quick: Preloaded, diagnosing: RuleBase) -> None:
    facts = quick.run("schema", document).json["properties"]["answers"]["properties"]
    asked = {name: fact for name, fact in diagnosing.facts.items() if not fact.computed}
    assert list(facts) == list(asked)
    for name, fact in asked.items():
        told = facts[name]
        assert told["title"] == fact.label
        assert fact.entry.ask in told["description"]
        validator = jsonschema.Draft202012Validator(told)
        assert validator.is_valid("not known")
        for wrong in ("none-such", "", None, 1.5e9, {}, ["none-such"]):
            assert not validator.is_valid(wrong), (name, wrong)
        options = [option for one in (told, *told["anyOf"]) for option in _constants(one)]
        for option, entry in fact.entry.options.items():
            assert (option, entry.label, entry.means) in options
        if fact.unit is not None:
            assert f"An amount in {fact.unit.symbol} or another" in str(told["anyOf"])


def test_the_schema_of_a_gold_room_knows_what_stands_in_one_and_nothing_of_tonight_or_the_lot(
    quick: Preloaded, diagnosing: RuleBase
) -> None:
    validator = jsonschema.Draft202012Validator(quick.run("schema", "room").json)
    kept = {"title": "Invented", "date": "2026-11-29", "answers": {"mould": "cone", "stock_litharge": "20 g"}}
    assert validator.is_valid(kept)
    tonight = {"title": "Invented", "answers": {"floor": "damp"}}
    assert not validator.is_valid(tonight)
    assert validator.is_valid({**tonight, "invented": True})
    for invented in (True, False):
        assert not validator.is_valid({"title": "Invented", "invented": invented, "answers": {"dryness": "dry"}})
    assert not validator.is_valid({"answers": {}})
    assert {fact.entry.belongs_to for fact in diagnosing.facts.values()} == {"room", "tonight", "lot"}


def _constants(schema: dict[str, Any]) -> list[tuple[Any, ...]]:
    """The options that stand in a schema, with what is said of each."""
    every = [*schema.get("anyOf", []), *schema.get("items", {}).get("anyOf", [])]
    return [(one["const"], one.get("title"), one.get("description")) for one in every if "const" in one]


def plain_answers(fact: Fact) -> Iterator[Any]:
    """Every plain way to answer a fact: each option, and amounts in each unit of its kind."""
    yield "not known"
    if fact.entry.kind == "yes_no":
        yield from ("yes", "no", True, False)
    elif fact.entry.kind == "choice":
        yield from fact.entry.options
    elif fact.entry.kind == "several":
        yield from ([], list(fact.entry.options), [f"{option}?" for option in fact.entry.options])
    else:
        assert fact.unit is not None
        for name in names_of_units(fact.unit.dimension):
            unit = unit_named(name)
            low, high = unit.shown(fact.least + (fact.most - fact.least) / 4), unit.shown(fact.most)
            one, other = (f"{float(f'{value:.3g}'):f}".rstrip("0").rstrip(".") for value in (low, 0.99 * high))
            if float(one) > 0:
                yield from (f"{one} {name}", f"{one} to {other} {name}")
                if not re.search("[0-9]", name):
                    yield f"{one} {name} to {other} {name}"


def test_the_plain_way_to_answer_fits_the_schema_and_is_read(diagnosing: RuleBase) -> None:
    for name, schema in fact_schemas(diagnosing).items():
        fact, validator = diagnosing.facts[name], jsonschema.Draft202012Validator(schema)
        for written in plain_answers(fact):
            assert validator.is_valid(written), (name, written)
            read_answer(fact, written)


def test_what_the_program_offers_as_an_example_of_an_amount_is_read(diagnosing: RuleBase) -> None:
    for name, schema in fact_schemas(diagnosing).items():
        for example in (text for one in schema["anyOf"] for text in one.get("examples", ())):
            assert jsonschema.Draft202012Validator(schema).is_valid(example), (name, example)
            read_answer(diagnosing.facts[name], example)


def test_a_fact_of_the_own_rules_stands_in_the_schema_too(program: Program) -> None:
    own = (
        "facts:\n  ours: {label: our fact, group: place, ask: Is it ours?, find_out: Ask., explain: Ours.,\n"
        "    kind: yes_no, source: practice}\n"
        "arguments:\n- {id: ours-out, about: route.smelt_iron, says: rule_out, kind: means,\n"
        "   when: ours, reason: Ours.,\n"
        "    source: practice}\n"
    )
    folder = program.write("own/own.yaml", own).parent
    facts = program.run("schema", "answers", "--rules", folder).json["properties"]["answers"]["properties"]
    assert facts["ours"]["title"] == "our fact"
