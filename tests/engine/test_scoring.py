"""What an answer tells, in bits."""

from __future__ import annotations

import pytest

from advisor.engine import conclude
from advisor.engine.ask.blocks import Block, MaskBook
from advisor.engine.ask.contested import contested_of
from advisor.engine.ask.sample import sample_of
from advisor.engine.ask.scoring import information, score_of
from tests.rulebase.small_base import compiled

EIGHT = 0b1111_1111


def block_with(column: tuple[tuple[int, int], ...]) -> Block:
    return Block(MaskBook(), [0b11], {0: column}, EIGHT)


@pytest.mark.parametrize(
    ("parts", "bits"),
    [
        ([0b0000_1111, 0b1111_0000], 1.0),
        ([0b0101_0101, 0b1010_1010], 0.0),
        ([EIGHT], 0.0),
        ([0b0000_0011, 0b1111_1100], 0.311),
    ],
    ids=["tells all", "tells nothing", "nothing to tell", "tells some"],
)
def test_an_answer_tells_as_much_as_it_parts_the_outcomes(parts: list[int], bits: float) -> None:
    block = block_with(((0b01, 0b0000_1111), (0b10, 0b1111_0000)))
    assert information(parts, block, 0) == pytest.approx(bits, abs=0.001)


def test_a_variable_that_is_the_same_everywhere_tells_nothing() -> None:
    assert information([0b0000_1111, 0b1111_0000], block_with(((0b01, EIGHT),)), 0) == 0.0


def test_what_will_have_to_be_asked_anyway_costs_less() -> None:
    rules = compiled()
    conclusions = conclude(rules, {"wet": False})
    score = score_of(conclusions, sample_of(rules, contested_of(conclusions, conclusions.outcomes["route"])))
    # The mass enters a weight of melting; nothing needs the pots. Neither tells anything about the route.
    assert score("mass", ()) > score("pots", ()) > 0
    assert score("share", rules.facts["share"].variables) > score("mass", ())
