"""The seeded faults still fit the rule files, and the table in DEVELOPERS.md holds each of them."""

from __future__ import annotations

from tests.conftest import ROOT
from tests.proof.mutate import RULES
from tests.proof.mutations import MUTATIONS


def test_every_seeded_fault_changes_its_file() -> None:
    for mutation in MUTATIONS:
        assert mutation.text() != (RULES / mutation.file).read_text(encoding="utf-8"), mutation.what
    assert len({mutation.text() for mutation in MUTATIONS}) == len(MUTATIONS) >= 40


def test_the_table_says_what_catches_each_seeded_fault() -> None:
    table = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for number, mutation in enumerate(MUTATIONS, 1):
        (line,) = (line for line in table.splitlines() if line.startswith(f"| {number} | {mutation.what} | "))
        assert any(word in line for word in ("proof ", "case ", "harmless", "rules check")), line
    assert "NOT CAUGHT" not in table
