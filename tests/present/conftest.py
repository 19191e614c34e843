"""The advice of every worked case, made once."""

from __future__ import annotations

import pytest

from advisor.advice.documents.advice import Advice
from advisor.present.pages.fitting import Fitted, fitted_sheet
from advisor.present.pages.paper import PAPERS
from tests.shipped import CASES as WORKED
from tests.shipped import ROOT, advice_of_case

CASES = [path.stem for path in WORKED]


class Advices:
    """The advice of each case by its name, made when it is first asked for."""

    def __init__(self) -> None:
        self.sheets: dict[str, Fitted] = {}

    def __getitem__(self, name: str) -> Advice:
        return advice_of_case(ROOT / "cases" / f"{name}.yaml")

    def fitted(self, name: str) -> Fitted:
        """The sheet of a case on A4."""
        if name not in self.sheets:
            self.sheets[name] = fitted_sheet(self[name], PAPERS["a4"], f"advisor route --answers cases/{name}.yaml")
        return self.sheets[name]


@pytest.fixture(scope="session")
def advices() -> Advices:
    """The advice of each case."""
    return Advices()
