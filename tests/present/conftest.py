"""The advice of every worked case, made once."""

from __future__ import annotations

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.engine.conclude import conclude
from advisor.present.pages.fitting import Fitted, fitted_sheet
from advisor.present.pages.paper import PAPERS
from advisor.rulebase.model import RuleBase
from tests.conftest import ROOT

CASES = sorted(path.stem for path in (ROOT / "cases").glob("*.yaml"))


class Advices:
    """The advice of each case by its name, made when it is first asked for."""

    def __init__(self, rule_base: RuleBase) -> None:
        self.rule_base = rule_base
        self.made: dict[str, Advice] = {}
        self.sheets: dict[str, Fitted] = {}

    def __getitem__(self, name: str) -> Advice:
        if name not in self.made:
            batch = read_batch(ROOT / "cases" / f"{name}.yaml", self.rule_base)
            self.made[name] = build_advice(conclude(self.rule_base, batch.answers), batch.title, look_for_changes=False)
        return self.made[name]

    def fitted(self, name: str) -> Fitted:
        """The sheet of a case on A4."""
        if name not in self.sheets:
            self.sheets[name] = fitted_sheet(self[name], PAPERS["a4"], f"advisor route --answers cases/{name}.yaml")
        return self.sheets[name]


@pytest.fixture(scope="session")
def advices(shipped: RuleBase) -> Advices:
    """The advice of each case."""
    return Advices(shipped)
