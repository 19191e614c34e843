"""The laws of the screens on every worked case, and on drawn batches of which little is known.

On drawn batches and pieces of which all is known they are looked at with the laws of the document.
"""

from __future__ import annotations

from tests.present.conftest import CASES, Advices
from tests.present.screens.screen_laws import LAWS, breaches


def test_every_law_of_the_screens_holds_for_every_worked_case(advices: Advices) -> None:
    found = {name: [f"{law.__name__}: {said}" for law in LAWS for said in law(advices[name])] for name in CASES}
    assert {name: said for name, said in found.items() if said} == {}


def test_every_law_of_the_screens_holds_where_little_is_known() -> None:
    found = {seed: said for seed in range(100) if seed % 3 and (said := breaches(seed))}
    assert found == {}
