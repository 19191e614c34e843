"""A diagnosis of a batch in the journal: its plan is not asked again, and what comes out is recorded."""

from __future__ import annotations

from typing import Any

from tests.conftest import ROOT
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, flat

CASE = ROOT / "cases" / "iron-smelt-trade-check-weights.yaml"
SEEN: dict[str, Any] = {
    "look_at": "cold_mould",
    "mould_layers": "matte_between",
    "matte_rod": "eaten_through",
    "matte_kind": "iron",
    "matte_weighed": "30 g",
}
BAD_INPUT = 2


def started(quick: Preloaded, program: Program) -> None:
    result = quick.run("journal", "start", "--answers", CASE, "--by", "Ana", at=program)
    assert result.status == 0, result.err


def entries(quick: Preloaded, program: Program) -> list[dict[str, Any]]:
    shown: Any = quick.run("journal", "show", "1", "--json", at=program).json
    return [entry for entry in shown["entries"] if entry["kind"] in ("diagnosis", "correction")]


def test_the_plan_comes_from_the_journal_and_the_diagnosis_goes_into_it(quick: Preloaded, program: Program) -> None:
    started(quick, program)
    seen = program.write("seen.json", {"answers": SEEN})
    result = quick.run("diagnose", "--batch", "1", "--observations", seen, "--by", "Juan", "--json", at=program)
    document: Any = result.json
    assert {"fact": "batch_mass", "label": "batch mass", "value": "100 g", "origin": "given"} in document["answers"]
    iron = [line for line in document["next_batch"] if line["id"] == "iron"]
    assert iron
    assert iron[0]["was_g"]["likely"] < iron[0]["becomes_g"]["likely"]
    diagnosis, correction = entries(quick, program)
    assert diagnosis["document"] == document
    assert (diagnosis["who"], correction["who"]) == ("Juan", "Juan")
    assert correction["text"] == document["remedy"]["title"]


def test_a_batch_that_does_not_exist_is_refused_with_a_sentence(quick: Preloaded, program: Program) -> None:
    started(quick, program)
    seen = program.write("seen.json", {"answers": SEEN})
    result = quick.run("diagnose", "--batch", "7", "--observations", seen, at=program)
    assert result.status == BAD_INPUT
    assert "there is no batch '7'" in flat(result.err)
    assert entries(quick, program) == []


def test_a_plan_from_the_journal_and_one_from_a_file_are_not_mixed(quick: Preloaded, program: Program) -> None:
    started(quick, program)
    result = quick.run("diagnose", "--batch", "1", "--plan", CASE, at=program)
    assert result.status == BAD_INPUT
    assert "give one" in result.err


def test_a_diagnosis_that_cannot_be_recorded_is_shown_all_the_same(quick: Preloaded, program: Program) -> None:
    started(quick, program)
    seen = program.write("seen.json", {"answers": SEEN})
    blocked = program.home / "journal.sqlite"
    blocked.chmod(0o400)
    program.home.chmod(0o500)
    try:
        result = quick.run("diagnose", "--batch", "1", "--observations", seen, at=program)
    finally:
        program.home.chmod(0o700)
        blocked.chmod(0o600)
    assert "CAUSE Matte: the iron was used up too early" in flat(result.out)
    if result.status == BAD_INPUT:
        assert "is not in the journal" in flat(result.err)
    else:
        # Someone with every right on this computer writes all the same.
        assert len(entries(quick, program)) == 2
