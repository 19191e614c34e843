"""``advisor rules try``: what it says is what the consultations themselves say, with the rules and without."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from typer.testing import CliRunner

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.batches.entries import ExpectedAdvice, ExpectedDiagnosis
from advisor.advice.build_advice import build_advice
from advisor.advice.build_diagnosis import build_diagnosis
from advisor.advice.comparing import changed_parts, unmet
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.engine.conclude import conclude
from advisor.rulebase.entry import as_written
from advisor.rulebase.model import RuleBase
from advisor.terminal.app import app
from advisor.terminal.rules import trying
from tests.batches import MATT_BEAD, PYRITIC, advice_of, answers_of
from tests.conftest import ROOT
from tests.shipped import CASES, PIECES
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, Result, flat

FINE, BAD_INPUT, STOP = 0, 2, 3
IRON, PIECE = "iron-smelt-trade-check-weights", "rod-eaten-and-matte-on-the-button"
NO_IRON = """\
arguments:
  - {id: ours-no-iron-smelt, about: route.smelt_iron, says: rule_out, kind: means,
     when: extraction is none, reason: Invented.,
     source: practice}
"""
NEVER = NO_IRON.replace("extraction is none", "extraction is none and extraction is working")


def own(program: Program, text: str) -> Path:
    return program.write("own/own.yaml", text).parent


def tried(quick: Preloaded, program: Program, *more: str | Path) -> Result:
    return quick.run("rules", "try", program.folder / "own", *more, at=program)


def test_a_rule_that_bears_on_no_case_changes_none(quick: Preloaded, program: Program) -> None:
    own(program, NEVER)
    for case in (IRON, PIECE):
        result = tried(quick, program, "--case", case)
        assert (result.status, result.err) == (FINE, "")
        assert flat(result.out) == f"The case {case} comes out the same."


def test_all_cases_are_decided_and_those_that_break_are_marked(
    program: Program, shipped: RuleBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All there are; here every fourth of them and one that breaks, since each is decided twice."""
    whole = trying.case_files()
    assert list(whole) == [path.stem for path in (*CASES, *PIECES)]
    cases = {name: path for n, (name, path) in enumerate(whole.items()) if n % 4 == 0 or name in (IRON, PIECE)}
    monkeypatch.setattr(trying, "case_files", lambda: cases)
    folder = own(program, NO_IRON)
    result = CliRunner().invoke(app, ["rules", "try", str(folder)])
    lines = result.stdout.splitlines()
    assert (result.exit_code, result.stderr) == (FINE, "")
    differing = [line.split()[0] for line in lines if line.endswith((" (route)", " (diagnose)"))]
    broken = [line for line in lines if "BREAKS" in line]
    assert IRON in differing
    assert 3 < len(differing) < len(cases)
    assert f"{len(differing)} of {len(cases)} cases come out differently, and {len(broken)} of them" in flat(
        result.stdout
    )
    assert f"advisor rules try {folder} --case {differing[0]}" in flat(result.stdout)
    batches = {name: read_batch(path, shipped) for name, path in cases.items() if path.parent.name == "cases"}
    expecting = {
        name
        for name, batch in batches.items()
        if batch.expected and batch.expected.route == "smelt_iron" and batch.answers.get("extraction") == "none"
    }
    assert IRON in expecting <= set(differing)
    assert len(broken) >= len(expecting)
    assert len(lines) < 12 * len(differing)


def shown(quick: Preloaded, program: Program, *more: str | Path) -> Any:
    return quick.run("route", "--answers", ROOT / "cases" / f"{IRON}.yaml", "--json", *more, at=program).json


def test_one_case_in_full_is_what_the_two_advices_say(quick: Preloaded, program: Program) -> None:
    folder = own(program, NO_IRON)
    document = tried(quick, program, "--case", IRON, "--json").json
    jsonschema.validate(document, quick.run("schema", "trial").json)
    (case,) = document["differing"]
    was, now = shown(quick, program), shown(quick, program, "--rules", folder)
    assert was["route"] == "smelt_iron" != now["route"]
    assert (case["status_before"], case["status_after"]) == tuple(STOP if one["stop"] else FINE for one in (was, now))
    assert "route smelt_iron" in case["broken"]
    parts = {(part["kind"], part["id"]): part for part in case["changed"]}
    assert parts["decision", "route"]["before"] == was["route_title"]
    assert parts["decision", "route"]["after"] == now["route_title"]
    for kind, section in (("hazard", "hazards"), ("step", "steps"), ("referral", "referrals")):
        before, after = ({one["id"] for one in side[section]} for side in (was, now))
        changes = {
            way: {i for (k, i), p in parts.items() if k == kind and p["change"] == way} for way in ("comes", "goes")
        }
        assert changes == {"comes": after - before, "goes": before - after}
    for name in was["amounts"] | now["amounts"]:
        part = parts.get(("weight", name))
        same = was["amounts"].get(name) == now["amounts"].get(name)
        assert (part is None) or not same
        assert part is not None or (name in was["amounts"] and name in now["amounts"])
    assert document["after"]["overrides"] == now["rules"]["overrides"]
    assert document["after"]["layers"] == now["rules"]["layers"]
    text = tried(quick, program, "--case", IRON).out
    assert "BREAKS what the case expects: route smelt_iron" in flat(text)
    words = {"comes": "new", "goes": "gone", "differs": "changed"}
    for part in case["changed"]:
        assert f"{part['kind'].replace('_', ' ')} {part['id']}, {words[part['change']]}: " in flat(text)


def test_a_weight_is_shown_before_and_after(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    entry = as_written(shipped.amounts["smelt-litharge"].entry)
    entry["parts"] = {"low": 0.3, "likely": 0.4, "high": 0.6}
    folder = own(program, json.dumps({"amounts": [{**entry, "source": "practice"}]}))
    was, now = (shown(quick, program, *more)["amounts"]["litharge"] for more in ((), ("--rules", folder)))
    assert now["likely_g"] == pytest.approx(40), "the shop's own rule goes before the computation"
    assert now["computed"] is None
    text = flat(tried(quick, program, "--case", IRON).out)
    first, other = (f"{side['likely_g']:.3g} g" for side in (was, now))
    assert re.search(rf"weight litharge, changed: litharge was: .*{first} \(.* is: .*{other} \(", text), text


def test_a_cause_that_is_taken_no_more_changes_the_diagnosis(quick: Preloaded, program: Program) -> None:
    own(
        program,
        "consultation: diagnose\narguments:\n  - {id: ours-no-matte, about: cause.matte_iron_used_up,\n"
        "     says: rule_out, kind: means,\n"
        "     when: look_at is cold_mould, reason: Invented., source: practice}\n",
    )
    (case,) = tried(quick, program, "--case", PIECE, "--json").json["differing"]
    parts = {(part["kind"], part["id"]): part["change"] for part in case["changed"]}
    assert parts["cause", "matte_iron_used_up"] == "goes"
    assert "cause matte_iron_used_up" in case["broken"]


def test_a_case_that_cannot_be_decided_any_more_says_why(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    entry = as_written(shipped.facts["tramp_iron"].entry)
    entry |= {"source": "practice", "implied": [{"when": "gold_grain is fine", "value": "much"}]}
    own(program, json.dumps({"facts": {"tramp_iron": entry}}))
    result = tried(quick, program, "--case", IRON)
    assert result.status == FINE, result.err
    assert "cannot be decided: " in result.out
    assert "tramp_iron" in result.out
    assert "BREAKS what the case expects: it can be decided" in flat(result.out)


def test_faulty_rules_are_refused_with_every_fault(quick: Preloaded, program: Program) -> None:
    own(program, NO_IRON.replace("smelt_iron", "smelt_irn").replace("rule_out", "rule-out"))
    result = tried(quick, program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "own.yaml:2" in result.err
    assert "faults. Correct them" in result.err or "1 fault. Correct it" in result.err


@pytest.mark.parametrize(
    ("more", "says"),
    [(("--case", "iron-smelt-trade-check-weight"), f"closest: {IRON}"), (("--rules", "nowhere"), "nowhere")],
)
def test_what_is_not_there_is_named(more: tuple[str, ...], says: str, quick: Preloaded, program: Program) -> None:
    own(program, NO_IRON)
    result = tried(quick, program, *more)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert says in result.err


def test_a_whole_rule_base_takes_the_place_of_the_shipped_one(quick: Preloaded, program: Program) -> None:
    """What is deleted in a copy is gone, where laid over the shipped rules nothing would be."""
    for path in (ROOT / "rules").rglob("*.yaml"):
        program.write(f"own/{path.relative_to(ROOT / 'rules')}", path.read_text(encoding="utf-8"))
    same = tried(quick, program, "--whole", "--case", IRON)
    assert flat(same.out) == f"The case {IRON} comes out the same."
    referrals = program.folder / "own" / "referrals.yaml"
    head, name, rest = re.split(r"\n  - id: (lead-licence)\n", referrals.read_text(encoding="utf-8"))
    referrals.write_text(head + "\n  - id: " + rest.partition("\n  - id: ")[2], encoding="utf-8")
    document = tried(quick, program, "--whole", "--case", IRON, "--json")
    assert document.status == FINE, document.err
    (case,) = document.json["differing"]
    assert [(part["kind"], part["id"], part["change"]) for part in case["changed"]] == [("referral", name, "goes")]


# What a case expects


@pytest.fixture(scope="module")
def advice(shipped: RuleBase) -> Advice:
    return advice_of(shipped)


@pytest.fixture(scope="module")
def diagnosis(diagnosing: RuleBase) -> Diagnosis:
    return build_diagnosis(conclude(diagnosing, answers_of(diagnosing, {**PYRITIC, **MATT_BEAD})))


def test_each_broken_expectation_of_an_advice_is_named(advice: Advice) -> None:
    kept = ExpectedAdvice(
        route=advice.route,
        collector=advice.collector,
        outcome=advice.outcome,
        hazards=[advice.hazards[0].id],
        without_hazards=["none-such"],
        steps=[advice.steps[0].id],
        amounts={"litharge": f"{advice.amounts['litharge'].likely_g} g"} if "litharge" in advice.amounts else {},
    )
    assert unmet(kept, advice) == []
    for changed, says in (
        ({"route": "stop"}, "route stop"),
        ({"collector": "silver"}, "collector silver"),
        ({"outcome": "stop"}, "outcome stop"),
        ({"first": ["none-such"]}, "preparation none-such"),
        ({"hazards": ["none-such"]}, "hazard none-such"),
        ({"without_hazards": [advice.hazards[0].id]}, f"no hazard {advice.hazards[0].id}"),
        ({"steps": ["none-such"]}, "step none-such"),
        ({"without_steps": [advice.steps[0].id]}, f"no step {advice.steps[0].id}"),
        ({"amounts": {"soda_ash": "1 to 2 g"}}, "soda_ash 1 to 2 g"),
        ({"because": ["none-such"]}, "argument none-such"),
    ):
        assert unmet(kept.model_copy(update=changed), advice) == [says]
    assert unmet(kept, None) == ["it can be decided"]


def test_each_broken_expectation_of_a_diagnosis_is_named(diagnosis: Diagnosis) -> None:
    taken = [cause.id for cause in diagnosis.causes if cause.taken]
    assert taken
    kept = ExpectedDiagnosis(
        causes=taken[:1], not_causes=["none_such"], remedy=diagnosis.remedy.chosen, outcome=diagnosis.outcome
    )
    assert unmet(kept, diagnosis) == []
    for changed, says in (
        ({"causes": [*taken[:1], "none_such"]}, "cause none_such"),
        ({"not_causes": taken[:1]}, f"not cause {taken[0]}"),
        ({"remedy": "none_such"}, "remedy none_such"),
        ({"outcome": "stop"}, "outcome stop"),
        ({"first": ["none_such"]}, "preparation none_such"),
        ({"figures": {"none_such": "1 g"}}, "none_such 1 g"),
        ({"hazards": ["none-such"]}, "hazard none-such"),
        ({"because": ["none-such"]}, "sign none-such"),
    ):
        assert unmet(kept.model_copy(update=changed), diagnosis) == [says]


def test_an_advice_differs_from_itself_in_nothing_and_from_another_in_what_was_changed(advice: Advice) -> None:
    assert changed_parts(advice, advice) == ()
    hazard = advice.hazards[0]
    milder = replace(hazard, controls=hazard.controls[1:])
    other = replace(advice, hazards=(milder, *advice.hazards[2:]))
    differs, goes = changed_parts(advice, other)
    assert (differs.kind, differs.id, differs.change) == ("hazard", hazard.id, "differs")
    assert hazard.controls[0].do in str(differs.before)
    assert hazard.controls[0].do not in str(differs.after)
    assert (goes.id, goes.change, goes.after) == (advice.hazards[1].id, "goes", None)
    assert {part.change for part in changed_parts(other, advice)} == {"differs", "comes"}


def test_without_the_search_for_changes_an_advice_is_otherwise_the_same(shipped: RuleBase) -> None:
    conclusions = conclude(shipped, answers_of(shipped, PYRITIC))
    whole, quick = build_advice(conclusions), build_advice(conclusions, look_for_changes=False)
    assert quick.changes == ()
    assert replace(whole, changes=(), hazard_changes=()) == quick
