"""The program and its rules know what they ask of each other: every name that is read is declared, and none besides."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import read_document
from tests.conftest import ROOT

SECTIONS = ("facts", "findings", "thresholds", "decisions", "quantities", "materials", "minerals", "tables")
WHERE_OPTIONS_ARE_READ = ("advice", "present", "training", "terminal")
"""The metallurgy and the journal have words of their own, which a rule base only happens to share."""

COINCIDENCES = {
    "bead_look": "input of a correction",
    "carbonate": "kind of mineral",
    "charge_state": "input of a correction",
    "cupel_count": "name of a figure",
    "cupel_stain": "input of a correction",
    "cupels": "name of a figure",
    "extraction": "what a fume screen finds",
    "flux_used": "input of a correction",
    "fluorspar": "part of the name of a figure",
    "matte_kind": "input of a correction",
    "operator": "setting of the journal",
    "salt": "place of a product",
    "scale_check": "name of a correction",
    "shot_share": "input of a correction",
    "training_room": "table of the training",
    "sulphur_dioxide": "agent of the fume screen",
    "spitting": "note beside a cupellation, asked for by cupel_notes",
}
COINCIDING_OPTIONS = {
    "bead": "name of a page, a step of the work, or a word of the journal",
    "black": "tone of a drawing",
    "changed": "how a part of a document differs",
    "copper": "metal",
    "crucible": "input of a computation",
    "fineness": "name of a command",
    "gone": "how a part of a document differs",
    "hard": "rating of an answer",
    "medium": "tone of a drawing",
    "no": "answer in a word",
    "nothing": "answer in a word",
    "open": "truth of a condition",
    "right": "mark of an answer",
    "set_aside": "state of an option",
    "several": "kind of fact",
    "slag_stony": "tone of a drawing",
    "stop": "purpose of a question",
    "thick": "line of a drawing",
    "worse": "section of the rules",
}


@cache
def _literals(folders: tuple[str, ...] = ()) -> tuple[tuple[str, str], ...]:
    return tuple(_found_literals(folders))


def _found_literals(folders: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for path in sorted((ROOT / "advisor").rglob("*.py")):
        room = path.relative_to(ROOT / "advisor").parts[0]
        if room in ("rulebase", "engine") or (folders and room not in folders):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                yield node.value, f"{path.relative_to(ROOT)}:{node.lineno}"


@cache
def declared() -> dict[str, set[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for file in ("needs.yaml", "diagnosis/needs.yaml"):
        for section, names in read_document(ROOT / "rules" / file).data["needs"].items():
            found[section] |= set(names)
    return found


def test_every_name_of_a_rule_that_the_program_reads_is_declared(diagnosing: RuleBase) -> None:
    known = {name.partition(".")[0] for names in declared().values() for name in names}
    names = {name for section in SECTIONS for name in getattr(diagnosing, section)}
    undeclared = {
        f"{place}: {word}"
        for word, place in _literals()
        if word in names and word not in known and word not in COINCIDENCES
    }
    assert undeclared == set(), "declare them in rules/needs.yaml, or say here why they only look like names of rules"


def test_every_option_that_the_program_reads_is_declared(diagnosing: RuleBase) -> None:
    known = {part for names in declared().values() for name in names for part in name.split(".")}
    options = {
        option
        for section in (diagnosing.facts, diagnosing.decisions)
        for one in section.values()
        for option in one.entry.options
    }
    undeclared = defaultdict(list)
    for word, place in _literals(WHERE_OPTIONS_ARE_READ):
        if word in options and word not in known and word not in COINCIDING_OPTIONS and word not in COINCIDENCES:
            undeclared[word].append(place)
    assert dict(undeclared) == {}


def test_every_declared_name_is_read_by_the_program() -> None:
    words = {word for word, _ in _literals()}
    words |= {
        node.value
        for node in ast.walk(ast.parse(Path(ROOT / "advisor/rulebase/reading/expand_causes.py").read_text()))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    unread = {
        f"{section} {name}"
        for section, names in declared().items()
        for name in names
        if not set(name.split(".")) <= words
    }
    assert unread == set()


@pytest.mark.parametrize("word", [*COINCIDENCES, *COINCIDING_OPTIONS])
def test_a_coincidence_is_still_one(word: str, diagnosing: RuleBase) -> None:
    names = {name for section in SECTIONS for name in getattr(diagnosing, section)}
    names |= {
        o for section in (diagnosing.facts, diagnosing.decisions) for e in section.values() for o in e.entry.options
    }
    assert word in names
    assert word in {literal for literal, _ in _literals()}
