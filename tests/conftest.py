"""Fixtures shared by all tests: the shipped rule base, loaded once, and a home of its own for every test."""

from __future__ import annotations

import gc
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from advisor.rulebase.model import RuleBase
from tests.shipped import piece_rules, route_rules

ROOT = Path(__file__).resolve().parent.parent

# How quickly and how directly examples are drawn depends on chance and on the machine; what they show does not.
settings.register_profile(
    "here", deadline=None, max_examples=50, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
settings.load_profile("here")

# As in the program itself: rules are many small objects that stay, and to look through them again and again costs more
# than the tests that use them.
gc.set_threshold(100_000)


BEGIN_WITH = ("test_packaging.py", "test_shipped_proof.py", "test_broken_rules.py")
"""What takes long to make ready, or long in one test: at the end it would be made twice, or leave a worker idle."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the longest tests first, where one worker has them all."""
    items.sort(key=lambda item: item.path.name not in BEGIN_WITH)
    # What is loaded by now stays to the end.
    gc.freeze()


@pytest.fixture(scope="session")
def shipped() -> RuleBase:
    """The shipped rule base, freshly compiled."""
    return route_rules()


@pytest.fixture(scope="session")
def diagnosing() -> RuleBase:
    """The shipped rule base with the rules of the diagnosis, freshly compiled."""
    return piece_rules()


@pytest.fixture(scope="session")
def warm_cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cache that all runs of all workers share, since it must never change what comes out."""
    own = tmp_path_factory.getbasetemp()
    return (own.parent if os.environ.get("PYTEST_XDIST_WORKER") else own) / "cache"


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, warm_cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Settings and unfinished consultations of a test stay in its own folder."""
    monkeypatch.setenv("ADVISOR_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("ADVISOR_CACHE", str(warm_cache))


@pytest.fixture
def cold_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty cache for a test that is about the cache."""
    monkeypatch.setenv("ADVISOR_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"
