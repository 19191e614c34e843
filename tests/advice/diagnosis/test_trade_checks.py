"""Facts of the trade as check values; common practice, no source, except where one is named."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.advice.build_diagnosis import build_diagnosis
from advisor.engine.conclude import Conclusions, conclude
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import CAUSE, REMEDY
from tests.batches import PYRITIC, answers_of


def seen(diagnosing: RuleBase, **observed: Any) -> Conclusions:
    """What follows from observations of a piece of the ordinary batch, with bismuth at hand."""
    shelf = ["bismuth", "borax_anhydrous", "soda_ash", "iron", "flour"]
    return conclude(diagnosing, answers_of(diagnosing, PYRITIC, reagents=shelf, time_available="8 h", **observed))


def taken(conclusions: Conclusions) -> list[str]:
    return conclusions.several[CAUSE].taken


@pytest.mark.parametrize("surface", ["matt"])
def test_a_discoloured_or_matt_bead_needs_a_little_more_bismuth(diagnosing: RuleBase, surface: str) -> None:
    conclusions = seen(
        diagnosing,
        look_at="bead",
        work_done="cupel_direct",
        collector_used="bismuth",
        cupel_used="bone_ash",
        bead_surface=surface,
        bead_shape="round",
        bead_underside="clean",
        bead_weighed="10 g",
    )
    assert "collector_left" in taken(conclusions)
    assert conclusions.outcomes[REMEDY].chosen == "recupel_bismuth"
    figures = build_diagnosis(conclusions, look_for_changes=False).figures
    bismuth = [figure for name, figure in figures.items() if "bismuth" in name and figure.unit == "g"]
    assert bismuth
    # "A little more" is less than the bead itself weighs, whatever the look.
    assert all(0 < figure.likely <= 10 for figure in bismuth)


def test_a_clean_shiny_underside_that_parts_easily_means_that_base_metals_are_out(diagnosing: RuleBase) -> None:
    conclusions = seen(
        diagnosing,
        look_at="bead",
        bead_underside="clean",
        bead_grip="drops_off",
        bead_surface="bright",
        bead_shape="round",
        bead_hammer="flattens",
        bead_magnet="no",
    )
    assert "all_well_bead" in taken(conclusions)
    assert not {"base_metal_left", "collector_left", "copper_left"} & set(taken(conclusions))


def test_debris_beneath_means_that_base_metal_is_left(diagnosing: RuleBase) -> None:
    conclusions = seen(diagnosing, look_at="bead", bead_underside="dark_debris", bead_surface="matt")
    assert "base_metal_left" in taken(conclusions)
    assert "all_well_bead" not in taken(conclusions)


def test_no_matte_on_the_button_means_that_the_sulphides_were_decomposed(diagnosing: RuleBase) -> None:
    conclusions = seen(
        diagnosing,
        look_at="cold_mould",
        mould_layers="slag_over_metal",
        button_hammer="flattens",
        button_skin="clean",
        button_size="as_planned",
    )
    assert "all_well_cold_mould" in taken(conclusions)
    assert not [name for name in taken(conclusions) if name.startswith("matte_")]


@pytest.mark.parametrize(("rod", "cause"), [("eaten_through", "used_up"), ("hardly_touched", "out_too_soon")])
@pytest.mark.parametrize(("kind", "blamed"), [("iron", True), ("lead", True), ("antimony", True), ("copper", False)])
def test_iron_takes_sulphur_from_antimony_as_from_lead_but_not_from_copper(
    diagnosing: RuleBase, kind: str, blamed: bool, rod: str, cause: str
) -> None:
    # C. and J. J. Beringer, A Text-book of Assaying, 1904, p. 226: antimony ore is assayed with iron as galena is, with
    # about 40 % of its weight. C. H. Aaron, about 1881, paragraph 197: iron takes very little copper from its sulphide.
    conclusions = seen(
        diagnosing,
        look_at="cold_mould",
        work_done="smelt_iron",
        mould_layers="matte_between",
        matte_kind=kind,
        matte_rod=rod,
        matte_depth="layer",
        matte_soda="twice",
        matte_again=False,
        send_out_possible=True,
    )
    assert (f"matte_iron_{cause}" in taken(conclusions)) is blamed
    # What iron sets free of antimony goes into the button and the air, so no more of it is advised all the same.
    if kind == "antimony":
        assert taken(conclusions)[0] == "matte_antimony"
        assert conclusions.outcomes[REMEDY].chosen == "send_out"
        assert {line.because for line in build_diagnosis(conclusions, look_for_changes=False).next_batch} == {
            diagnosing.causes["matte_antimony"].entry.title
        }


def test_mostly_gold_yellow_means_little_silver(diagnosing: RuleBase) -> None:
    conclusions = seen(diagnosing, look_at="bead", bead_colour="gold_yellow", bead_surface="bright")
    assert "little_silver" in taken(conclusions)
    assert "much_silver" not in taken(conclusions)


def test_half_gold_may_still_look_white(diagnosing: RuleBase) -> None:
    """C. and J. J. Beringer, A Text-book of Assaying, gold chapter: 50 % of gold may still look white."""
    conclusions = seen(diagnosing, look_at="bead", bead_colour="white", bead_surface="bright")
    supports = conclusions.several[CAUSE].supports
    assert supports["half_gold"].now >= supports["little_silver"].now
