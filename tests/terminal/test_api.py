"""The calls for other programs give what the commands give, and their examples are true."""

from __future__ import annotations

import doctest
import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor import api
from advisor.errors import InputError
from advisor.rulebase.model import RuleBase
from tests.conftest import ROOT
from tests.terminal.preloaded import Preloaded

ROUTE = ROOT / "cases" / "iron-smelt-trade-check-weights.yaml"
PIECE = ROOT / "cases" / "diagnosis" / "rod-eaten-and-matte-on-the-button.yaml"
FINENESS = {"in_air": "31.10 g", "in_water": "29.35 g", "scale_step": "0.01 g"}


def of_file(path: Path) -> Mapping[str, Any]:
    found: Mapping[str, Any] = yaml.safe_load(path.read_text(encoding="utf-8"))
    return found


def test_every_example_of_the_calls_is_true_and_each_call_has_one(
    warm_cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ADVISOR_CACHE", str(warm_cache))
    tried = [test for test in doctest.DocTestFinder().find(api) if test.examples]
    assert doctest.testmod(api).failed == 0
    shown = " ".join(example.source for test in tried for example in test.examples)
    calls = set(api.__all__) - {"Written", "answers_in", "as_json", "plan_of"}
    assert [name for name in calls if f"{name}(" not in shown] == []


def test_the_example_of_the_readme_runs_and_prints_what_it_says(
    warm_cache: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("ADVISOR_CACHE", str(warm_cache))
    blocks = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    block = next(block for block in blocks if "advisor.api" in block)
    exec(compile(block.replace('"cases/', f'"{ROOT.as_posix()}/cases/'), "README.md", "exec"), {})
    said = re.findall(r"# -> (.*)", block)
    assert said
    assert capsys.readouterr().out.splitlines() == said


def test_a_call_gives_the_document_that_the_command_prints(
    quick: Preloaded, shipped: RuleBase, diagnosing: RuleBase
) -> None:
    batch, piece = of_file(ROUTE), of_file(PIECE)
    advice = api.advise(shipped, api.answers_in(shipped, ROUTE), title=batch["title"])
    assert json.loads(api.as_json(advice)) == quick.run("route", "--answers", ROUTE, "--json").written_json
    plan = api.plan_of(shipped, api.answers_in(shipped, PIECE.parent / piece["plan"]))
    diagnosis = api.diagnose(diagnosing, api.answers_in(diagnosing, PIECE), plan=plan, title=piece["title"])
    assert json.loads(api.as_json(diagnosis)) == quick.run("diagnose", "--observations", PIECE, "--json").written_json
    words = [f"{name}={value}" for name, value in FINENESS.items()]
    calculation = json.loads(api.as_json(api.compute(shipped, "fineness", FINENESS)))
    assert calculation == quick.run("fineness", *words, "--json").written_json


def test_a_question_that_has_an_answer_is_not_asked_again(shipped: RuleBase) -> None:
    answers: dict[str, Any] = {}
    for _ in range(5):
        question = api.next_question(shipped, answers)
        assert question is not None
        assert question.fact not in answers
        answers[question.fact] = "not known"
    assert api.next_question(shipped, {"mercury_history": "now"}) is None


def test_what_cannot_be_is_refused_in_a_sentence(shipped: RuleBase) -> None:
    with pytest.raises(InputError, match="no computation 'assays'"):
        api.compute(shipped, "assays", {})
    with pytest.raises(InputError, match="the answers given: "):
        api.advise(shipped, {"mercury": "never"})
    impossible = {"sulphide_share": "60 %", "quartz_share": "60 %"}
    with pytest.raises(InputError, match="the answers given: "):
        api.next_question(shipped, impossible)
