"""The guide to a new cause does what it says: the worked diagnosis comes out with it, its remedy and its figure.

The guide says to run ``rules check --prove`` afterwards. The whole proof takes minutes; here only the promises of the
diagnosis are proved, with the argument that they ask of the new remedy and without it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from advisor.proof.prove import prove
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.reading.yaml_reader import read_document
from tests.guides.guide import Copy, copied, guide

SNIPPETS = guide("A cause")
CASE = "cases/diagnosis/chilled.yaml"


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    """A copy of the program in which the guide was performed."""
    return copied(tmp_path_factory.mktemp("cause") / "copy", SNIPPETS)


def test_the_guide_touches_one_new_file_the_decisions_and_a_case() -> None:
    new = [snippet.file for snippet in SNIPPETS if snippet.new]
    assert new == ["rules/diagnosis/matte-chilled.yaml", CASE]
    assert {snippet.file for snippet in SNIPPETS} - set(new) == {"rules/diagnosis/decisions.yaml"}


def test_the_rules_with_the_cause_have_no_faults(copy: Copy) -> None:
    assert copy.without_faults()


@pytest.fixture(scope="module")
def diagnosis(copy: Copy) -> Any:
    """What comes out of the worked case of the guide."""
    return copy.read("diagnose", "--observations", CASE)


def test_the_worked_diagnosis_comes_out_as_the_guide_says(copy: Copy, diagnosis: Any) -> None:
    expected = read_document(copy.folder / CASE).data["diagnosis"]
    assert (
        [cause["id"] for cause in diagnosis["causes"] if cause["taken"]][:1] == expected["causes"] == ["matte_chilled"]
    )
    assert diagnosis["remedy"]["chosen"] == expected["remedy"] == "nails_on_matte"
    assert {"matte-chilled-1"} == {note["id"] for note in diagnosis["causes"][0]["speaks_for"]}


def test_the_step_of_the_remedy_shows_the_figure_of_its_correction(diagnosis: Any) -> None:
    # 40 g of lead matte: 55.8 g of iron to 239.3 g of lead sulphide take its sulphur.
    assert diagnosis["figures"]["iron_in_nails"]["likely"] == pytest.approx(40 * 55.8 / 239.3, rel=0.01)
    (step,) = [step for step in diagnosis["steps"] if step["id"] == "nails-weigh"]
    assert "9.34 g" in step["do"] or "9.3 g" in step["do"]


def test_a_new_remedy_counts_as_fire_with_its_gear_and_its_hazards(diagnosis: Any) -> None:
    assert {"fix-gear-and-air", "fix-lead-mask", "fix-weigh-after"} <= {step["id"] for step in diagnosis["steps"]}
    assert {"molten-splash", "lead-fume"} <= {hazard["id"] for hazard in diagnosis["hazards"]}


def broken_promises(copy: Copy, *names: str) -> list[str]:
    """The promises of the diagnosis that the rules of the copy do not keep, of all or of those named."""
    rules = load_rule_base(use_cache=False, diagnosis=True, promises=True, base=copy.folder / "rules")
    if names:
        rules = replace(rules, invariants={name: rules.invariants[name] for name in names})
    proof, _ = prove(rules, only=("safe",))
    return [failure.subject for verdict in proof.verdicts for failure in verdict.failures]


def test_the_remedy_keeps_every_promise_because_of_the_argument_of_the_guide(copy: Copy) -> None:
    assert broken_promises(copy) == []
    path = copy.folder / SNIPPETS[0].file
    whole = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"^arguments:.*\n(?: .*\n)+", "", whole, flags=re.MULTILINE), encoding="utf-8")
    assert broken_promises(copy, "speiss-stays-cold") == ["speiss-stays-cold"]
    path.write_text(whole, encoding="utf-8")
