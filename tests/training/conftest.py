"""The training of the shipped rules, made once."""

from __future__ import annotations

import pytest

from advisor.rulebase.model import RuleBase
from advisor.training.training_rules import TrainingRules


@pytest.fixture(scope="session")
def training(shipped: RuleBase, diagnosing: RuleBase) -> TrainingRules:
    """Both rule bases with their syllabus."""
    return TrainingRules(shipped, diagnosing)
