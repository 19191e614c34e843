"""The plan for an ore of the book is the charge that the book prints for it."""

from __future__ import annotations

import pytest

from tests.metallurgy.published_charges import NEAR, PRINTED, Printed

_ROWS = [pytest.param(row, reagent, id=f"{row.name}: {reagent}") for row in PRINTED for reagent in row.weighed_g]


@pytest.mark.parametrize(("row", "reagent"), _ROWS)
def test_each_reagent_lies_beside_the_printed_figure(row: Printed, reagent: str) -> None:
    assert row.off(reagent) <= row.bound(reagent), f"{row.planned_g(reagent):.1f} g beside {row.weighed_g[reagent]}"


@pytest.mark.parametrize("row", [pytest.param(row, id=row.name) for row in PRINTED if row.differs])
def test_a_bound_is_no_wider_than_its_reason(row: Printed) -> None:
    for reagent, (bound, why) in row.differs.items():
        assert why
        assert NEAR < row.off(reagent) <= bound <= row.off(reagent) + 0.05, reagent


def test_at_least_twelve_charges_are_compared_and_every_method_among_them() -> None:
    assert len({row.name for row in PRINTED}) == len(PRINTED) >= 12
    assert {row.method for row in PRINTED} == {"flux", "roast", "iron", "nitre"}


@pytest.mark.parametrize("row", [pytest.param(row, id=row.name) for row in PRINTED])
def test_nitre_and_a_reducing_agent_are_never_weighed_for_one_pot(row: Printed) -> None:
    assert not (row.planned_g("nitre") and any(row.planned_g(name) for name in ("flour", "charcoal", "tartar")))
