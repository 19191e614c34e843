"""The school of the shipped rules, made once."""

from __future__ import annotations

import pytest

from advisor.rulebase.model import RuleBase
from advisor.training.school import School


@pytest.fixture(scope="session")
def school(shipped: RuleBase, diagnosing: RuleBase) -> School:
    """Both rule bases with their syllabus."""
    return School(shipped, diagnosing)
