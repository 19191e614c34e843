"""Promises about acts are proved of corrections too: what a correction does cannot lack its hazard or its need."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from advisor.errors import FaultyFile
from advisor.proof.prove import prove
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from tests.conftest import ROOT

_ROLLED = "acts: [weigh litharge, weigh a_reducer, weigh borax_anhydrous, mix litharge,"


def changed(folder: Path, file: str, after: str, old: str, new: str) -> RuleBase:
    """The shipped rules of the diagnosis with one place of one file changed."""
    copy = folder / "rules"
    shutil.copytree(ROOT / "rules", copy)
    text = (copy / file).read_text(encoding="utf-8")
    start = text.index(old, text.index(after))
    (copy / file).write_text(text[:start] + new + text[start + len(old) :], encoding="utf-8")
    return load_rule_base(use_cache=False, diagnosis=True, promises=True, base=copy)


def test_a_correction_that_weighs_litharge_and_does_not_say_so_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FaultyFile) as caught:
        changed(
            tmp_path,
            "diagnosis/steps/melts.yaml",
            "id: rerun-weigh-lead",
            _ROLLED,
            "acts: [weigh a_reducer, weigh borax_anhydrous,",
        )
    (fault,) = caught.value.faults
    assert fault.file.endswith("melts.yaml")
    assert fault.where == "steps rerun-weigh-lead, acts"
    assert fault.wrong == "this uses litharge, and no act says what is done with it"


def test_a_mould_that_no_pour_wants_breaks_the_promise_of_routes_and_corrections(tmp_path: Path) -> None:
    rules = changed(tmp_path, "preparations/fire.yaml", "get_a_mould:", "comes_with: [pour]", "comes_with: [roast]")
    one = "whatever-is-poured-has-its-mould"
    kept = replace(rules, invariants={one: rules.invariants[one]})
    (verdict,) = prove(kept, only=("safe",))[0].verdicts
    assert [failure.subject for failure in verdict.failures] == [one]
