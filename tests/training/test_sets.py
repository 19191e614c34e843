"""A seed fixes a set of drills: in every process, whatever the hash seed, and however long the set."""

from __future__ import annotations

import os
import subprocess
import sys
from copy import copy
from dataclasses import replace
from itertools import islice
from pathlib import Path

import pytest

from advisor.errors import InputError
from advisor.rulebase.model import RuleBase
from advisor.training.drills.chance import Chance
from advisor.training.drills.drawing_up import drill_set
from advisor.training.syllabus import KINDS, syllabus_of
from advisor.training.training_rules import TrainingRules
from tests.conftest import ROOT

PRINTED = """
from advisor.rulebase.loading import load_rule_base
from advisor.training.drills.drawing_up import drill_set
from advisor.training.training_rules import TrainingRules
training = TrainingRules(load_rule_base(), load_rule_base(diagnosis=True))
print(training.code)
for drill in drill_set(training, 7, 40):
    print(drill.item, drill.text, drill.choices, drill.pictures, drill.case)
"""


def printed(tmp_path: Path, hash_seed: str) -> bytes:
    environment = {**os.environ, "PYTHONHASHSEED": hash_seed, "ADVISOR_CACHE": str(tmp_path), "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", PRINTED], cwd=tmp_path, env=environment, capture_output=True, check=True
    )
    return done.stdout


def test_a_seed_gives_the_same_drills_in_every_process(tmp_path: Path) -> None:
    first = printed(tmp_path, "1")
    assert len(first) > 20_000
    assert first == printed(tmp_path, "2")


def test_the_draws_of_a_seed_are_pinned() -> None:
    chance = Chance("drill", 7, 1)
    assert [round(chance.share(), 6) for _ in range(3)] == [0.786892, 0.919609, 0.21183]
    assert Chance(7).some("abcdef", 3) == ["d", "f", "a"]
    assert [Chance("w", n).weighted([(1.0, "a"), (3.0, "b")]) for n in range(6)] == ["a", "b", "b", "b", "b", "a"]


def test_other_seeds_give_other_drills(training: TrainingRules) -> None:
    assert list(drill_set(training, 7, 5)) != list(drill_set(training, 8, 5))


def test_a_longer_set_begins_like_a_shorter_one(training: TrainingRules) -> None:
    assert list(drill_set(training, 7, 5)) == list(islice(drill_set(training, 7, 9), 5))


def test_a_set_asks_hardly_anything_twice(training: TrainingRules) -> None:
    items = [drill.item for drill in drill_set(training, 4, 30)]
    assert len(set(items)) >= 28


@pytest.mark.parametrize("kind", KINDS)
def test_a_set_may_be_of_one_kind(training: TrainingRules, kind: str) -> None:
    assert {drill.kind for drill in drill_set(training, 4, 3, (kind,))} == {kind}


# The data behind the draws


def changed(diagnosing: RuleBase, table: str, row: int, **fields: str | float) -> RuleBase:
    old = diagnosing.tables[table]
    rows = [dict(r) for r in old.entry.rows]
    rows[row].update(fields)
    entry = copy(old.entry)
    vars(entry)["rows"] = rows
    return replace(diagnosing, tables={**diagnosing.tables, table: replace(old, entry=entry)})


@pytest.mark.parametrize(
    ("table", "fields", "said"),
    [
        ("training_draws", {"draw": "lots of 5 g"}, "'lots of 5 g' cannot be read; write it as  8 of dry"),
        ("training_draws", {"draw": "1 of soggy"}, "training_draws: dryness"),
        ("training_draws", {"fact": "colour"}, "'colour' is not a fact"),
        ("training_room", {"room": "open-sheds"}, "there is no room 'open-sheds'"),
        ("training_room", {"lot": "../lots/rich"}, "'../lots/rich' cannot be the name of a lot"),
        ("training_usual", {"value": "soggy"}, "training_usual: people_near"),
        ("training_batches", {"part": "shed"}, "'rich_clean' is not a kind of batch"),
        ("training_batches", {"weight": 0}, "'weight' is 0; write a number above zero"),
        ("training_kinds", {"kind": "dance"}, "the row of 'dance' cannot be used"),
        ("training_kinds", {"retention": 1.5}, "the row of 'route' cannot be used"),
        ("training_marks", {"mark": "perfect"}, "the marks cannot be used"),
        ("training_marks", {"rating": "splendid"}, "the marks cannot be used"),
        ("training_ready", {"kinds": "juggling"}, "the row of 'safety' names what is not there"),
        ("training_ready", {"last": 2.5}, "'last' is 2.5; write a whole number"),
    ],
)
def test_a_fault_in_the_data_is_one_sentence_with_its_file(
    diagnosing: RuleBase, table: str, fields: dict[str, str | float], said: str
) -> None:
    with pytest.raises(InputError) as problem:
        syllabus_of(changed(diagnosing, table, 0, **fields))
    assert said in str(problem.value)
    assert str(problem.value).startswith("rules/training/")
