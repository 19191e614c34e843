"""``advisor rules show ID --witness``: its answers, given back to the program, show the rule at work and at rest."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from advisor.advice.batches.batch_file import read_batch
from advisor.proof.search.oracle import concluded
from advisor.proof.search.prover import Prover
from advisor.proof.space import logic
from advisor.proof.witness import SECTIONS, witness_of
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.model import RuleBase
from advisor.terminal.app import app
from tests.proof.generated import generated
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, flat

FINE, BAD_INPUT = 0, 2
ROUTE = [
    ("hazards", "molten-splash"),
    ("steps", "iron-smelt-first-heat"),
    ("expectations", "bead-from-direct-cupelling"),
    ("referrals", "lead-licence"),
]


def replayed(quick: Preloaded, program: Program, path: Path) -> Any:
    result = quick.run("route", "--answers", path, "--json", at=program)
    assert result.status in (0, 3), result.err
    return result.json


def there(advice: Any, section: str, name: str) -> bool:
    if section == "amounts":
        return name in {line["rule"] for amount in advice["amounts"].values() for line in amount["lines"]}
    return name in {entry["id"] for entry in advice[section]}


@pytest.mark.parametrize(("section", "name"), ROUTE)
def test_the_files_show_the_rule_at_work_and_at_rest(
    section: str, name: str, quick: Preloaded, program: Program
) -> None:
    result = quick.run("rules", "show", name, "--witness", "--output", program.folder / "out", at=program)
    assert (result.status, result.err) == (FINE, "")
    acts, rests = (program.folder / "out" / f"{section}.{name}-{word}.yaml" for word in ("acts", "rests"))
    assert f"advisor route --answers {acts}" in result.out
    assert f"advisor route --answers {rests}" in result.out
    assert there(replayed(quick, program, acts), section, name)
    assert not there(replayed(quick, program, rests), section, name)


def test_an_argument_speaks_in_its_witness_and_is_silent_beside_it(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    arguments = quick.run("rules", "list", "arguments").out
    kept = {rule.removeprefix("arguments.") for one in shipped.kept.values() for rule in one.rules}
    stopping = (line.split()[0] for line in arguments.splitlines() if "[route: stop] require" in line)
    name = next(name for name in stopping if name not in kept)
    assert quick.run("rules", "show", name, "--witness", "--output", program.folder, at=program).status == FINE
    truths = []
    for word in ("acts", "rests"):
        advice = replayed(quick, program, program.folder / f"arguments.{name}-{word}.yaml")
        options = advice["decisions"][0]["options"]
        truths.append({a["id"]: a["truth"] for o in options for a in (*o["arguments"], *o["silent"])}[name])
    assert truths == ["holds", "fails"]


def test_a_sign_of_a_cause_speaks_in_its_witness(quick: Preloaded, program: Program) -> None:
    name, cause = "bar-lead-1", "bar_lead"
    result = quick.run("rules", "show", name, "--witness", "--output", program.folder, at=program)
    assert result.status == FINE
    heard = []
    for word in ("acts", "rests"):
        path = program.folder / f"arguments.{name}-{word}.yaml"
        assert f"advisor diagnose --observations {path}" in result.out
        document = quick.run("diagnose", "--observations", path, "--json", at=program).json
        heard.append({note["id"] for one in document["causes"] if one["id"] == cause for note in one["speaks_for"]})
    assert name in heard[0]
    assert name not in heard[1]


def test_no_fewer_answers_show_it(shipped: RuleBase) -> None:
    """Without any one of the answers the rule does not act for certain."""
    found = witness_of(Prover(shipped), "hazards", "molten-splash")
    condition = shipped.hazards["molten-splash"].condition
    assert found.acts is not None
    assert found.for_certain
    assert concluded(shipped, found.acts).truth(condition) == HOLDS
    for name in found.acts:
        fewer = {other: answer for other, answer in found.acts.items() if other != name}
        assert concluded(shipped, fewer).truth(condition) != HOLDS
    assert found.rests is not None
    assert concluded(shipped, found.rests).truth(condition) == FAILS
    assert found.changed is not None
    assert {n for n in found.acts if found.acts[n] != found.rests[n]} == {found.changed}


@pytest.mark.parametrize("seed", range(6))
def test_every_rule_of_a_made_up_base_is_at_work_in_its_witness_and_at_rest_beside_it(seed: int) -> None:
    rule_base = generated(16, seed, facts=5, decisions=2, options=3, promises=0)
    prover = Prover(rule_base)
    seen = 0
    for section in SECTIONS:
        for name, entry in getattr(rule_base, section).items():
            found = witness_of(prover, section, name)
            if found.acts is not None:
                truth = concluded(rule_base, found.acts).truth(entry.condition)
                assert truth == HOLDS if found.for_certain else truth != FAILS
                seen += 1
            if found.rests is not None:
                assert concluded(rule_base, found.rests).truth(entry.condition) == FAILS
    assert seen > 4


def test_a_rule_that_never_acts_says_so_and_why_it_is_kept(quick: Preloaded, shipped: RuleBase) -> None:
    kept = next(iter(shipped.kept.values()))
    section, _, name = kept.rules[0].partition(".")
    assert section == "arguments"
    result = quick.run("rules", "show", name, "--witness")
    assert result.status == FINE
    assert "It never acts" in flat(result.out)
    assert f"kept on purpose ({kept.id})" in flat(result.out)


def test_without_a_folder_the_answers_are_shown(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    result = quick.run("rules", "show", "lead-licence", "--witness", at=program)
    shown = result.out.split("It does not act")[0]
    lines = [line.strip() for line in shown.splitlines() if line.startswith("    ")]
    path = program.write("shown.yaml", "answers:\n" + "".join(f"  {line}\n" for line in lines))
    answers = read_batch(path, shipped).answers
    assert len(answers) == 1
    assert concluded(shipped, answers).truth(shipped.referrals["lead-licence"].condition) == HOLDS


@pytest.mark.parametrize(
    ("name", "says"), [("batch_mass", "acts by itself"), ("molten-splas", "closest: molten-splash")]
)
def test_what_cannot_act_is_refused_in_a_sentence(name: str, says: str, quick: Preloaded) -> None:
    result = quick.run("rules", "show", name, "--witness")
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert says in flat(result.err)


def test_without_the_solver_one_sentence_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> Any:
        raise ImportError(name)

    monkeypatch.setattr(logic.importlib, "import_module", missing)
    result = CliRunner().invoke(app, ["rules", "show", "molten-splash", "--witness"])
    assert isinstance(result.exception, logic.SolverMissingError)
    assert "-m pip install z3-solver" in str(result.exception)
