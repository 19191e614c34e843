"""The laws of the document and of its screens on drawn batches and pieces; each law of the document can be broken."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.diagnosis import Diagnosis, Rival, Tied
from tests.advice import piece_laws
from tests.advice.document_laws import LAWS, breaches
from tests.advice.printed import printed, rules
from tests.present.screens.screen_laws import LAWS as SCREENS


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_every_law_of_the_document_holds(first: int) -> None:
    found = {seed: said for seed in range(first, first + 50) if (said := breaches(seed, SCREENS))}
    assert found == {}


@pytest.fixture(scope="module")
def smelted() -> Advice:
    """A smelt with iron that cupels, weighs a collector oxide and has something speaking against it."""
    for seed in range(1, 400, 2):
        advice = printed(seed)
        spoken = any(n.says == "against" and n.truth == "holds" for n in advice.decisions[1].options[0].arguments)
        oxide = {"litharge", "bismuth_oxide"} & set(advice.amounts)
        if advice.route == "smelt_iron" and "cupel_mass" in advice.quantities and oxide and spoken and advice.hours:
            return advice
    raise AssertionError("no smelt among the drawn batches")


def broken(law: str, advice: Advice) -> list[str]:
    (found,) = [one for one in LAWS if one.__name__ == law]
    return list(found(advice))


def with_figure(advice: Advice, name: str, likely: float) -> Advice:
    assert advice.computed is not None
    groups = tuple(
        replace(g, figures=tuple(replace(f, likely=likely) if f.name == name else f for f in g.figures))
        for g in advice.computed.groups
    )
    return replace(advice, computed=replace(advice.computed, groups=groups))


def answered(advice: Advice, fact: str, value: str) -> Advice:
    answers = tuple(replace(a, value=value, origin="given") if a.fact == fact else a for a in advice.answers)
    return replace(advice, answers=answers, first=())


def test_each_law_finds_its_breach(smelted: Advice) -> None:
    advice = smelted
    assert [said for law in LAWS for said in law(advice)] == []
    soda = advice.amounts["soda_ash"]
    others = {name: amount for name, amount in advice.amounts.items() if name != "soda_ash"}
    weigh = next(s for s in advice.steps if s.uses == ("soda_ash",) and s.stage == "weigh_out")
    said_otherwise = replace(weigh, do="Weigh 0 g of soda ash.")
    steps = tuple(said_otherwise if s is weigh else s for s in advice.steps)
    twice = {**others, "soda_ash": replace(soda, likely_g=2 * soda.likely_g)}
    nothing = {**others, "soda_ash": replace(soda, likely_g=0.0)}
    fuel = {**advice.amounts, "nitre": soda, "flour": soda}
    first = next(note for note in advice.expectations if note.id in ("lead-button", "bismuth-button"))
    assert first.mass_g is not None
    more = replace(first, mass_g=replace(first.mass_g, likely=3 * first.mass_g.likely))
    option = advice.decisions[0].options[0]
    failing = replace(option, arguments=(replace(option.arguments[0], truth="fails"),))
    untrue = replace(advice.decisions[0], options=(failing,))
    hot = next(s for s in advice.steps if rules().steps[s.id].heat)
    assert hot.temperature_c is not None
    assert advice.hours is not None
    hotter = replace(hot, temperature_c=replace(hot.temperature_c, likely=2000.0))
    collector = f"{advice.collector}_in_all_g"
    seeded = {
        "every_weighed_material_has_a_step": replace(advice, steps=()),
        "no_step_uses_what_is_not_weighed": replace(advice, amounts=others),
        "no_step_says_nought": replace(advice, steps=steps),
        "a_weight_is_the_same_in_list_and_step": replace(advice, steps=steps),
        "weights_are_what_the_scale_can_show": replace(advice, amounts=nothing),
        "what_is_weighed_brings_its_dangers": replace(advice, hazards=()),
        "an_act_brings_its_dangers": replace(advice, hazards=()),
        "no_step_needs_gear_that_is_lacking": answered(advice, "tongs", "no"),
        "what_is_not_on_the_shelf_is_marked_or_first": answered(advice, "reagents", "salt"),
        "a_reason_that_is_shown_is_true": replace(advice, decisions=(untrue,)),
        "what_cools_is_made_ready_before_its_use": replace(advice, steps=advice.steps[::-1]),
        "what_speaks_against_the_way_has_its_cure": replace(advice, steps=(), hazards=(), first=(), expectations=()),
        "masses_balance_in_the_pot": replace(advice, amounts=twice),
        "masses_balance_on_the_cupel": with_figure(advice, collector, 1e5),
        "what_is_expected_is_what_is_computed": replace(advice, expectations=(more,)),
        "the_gold_is_one_figure": with_figure(advice, "gold_g", 1e5),
        "soda_that_is_bound_is_not_called_free": with_figure(advice, "free_soda_g", 1e5),
        "nitre_stays_within_its_limit_and_without_fuel": replace(advice, amounts=fuel),
        "figures_of_heat_agree": replace(advice, steps=tuple(hotter if s is hot else s for s in advice.steps)),
        "hours_are_the_sum_of_the_plan": replace(advice, hours=replace(advice.hours, likely=0.1)),
        "what_comes_out_is_told": replace(advice, expectations=()),
        "what_is_weighed_as_collector_comes_down": with_figure(advice, "collector_metal_g", 0.0),
    }
    for law, name in (
        ("one_button", "button_mass"),
        ("the_cupel_drinks_the_button", "cupel_mass"),
        ("a_limit_holds_beside_its_figure", "charge_volume"),
    ):
        told = {**advice.quantities, name: replace(advice.quantities[name], likely=1e5)}
        seeded[law] = replace(advice, quantities=told)
    assert set(seeded) == {law.__name__ for law in LAWS}
    assert [law for law, wrong in seeded.items() if not broken(law, wrong)] == []


def test_the_limit_of_nitre_is_looked_at_by_itself(smelted: Advice) -> None:
    much = replace(smelted.amounts["soda_ash"], likely_g=1e5)
    without_fuel = {name: a for name, a in smelted.amounts.items() if name not in ("flour", "charcoal")}
    breach = broken(
        "nitre_stays_within_its_limit_and_without_fuel", replace(smelted, amounts={**without_fuel, "nitre": much})
    )
    assert any("of sulphide" in said for said in breach)


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_every_law_of_the_pieces_holds(first: int) -> None:
    found = {seed: said for seed in range(first, first + 50) if (said := piece_laws.breaches(seed))}
    assert found == {}


def piece_broken(law: str, diagnosis: Diagnosis) -> list[str]:
    (found,) = [one for one in piece_laws.LAWS if one.__name__ == law]
    return list(found(diagnosis))


def test_each_law_of_the_pieces_finds_its_breach() -> None:
    drawn = (piece_laws.printed(seed) for seed in range(200))
    diagnosis = next(d for d in drawn if d.figures and any(s.temperature_c for s in d.steps))
    weigh = replace(diagnosis.steps[0], stage="weigh_out", do="Weigh 12 g of dry nitre.")
    heat = replace(diagnosis.steps[0], stage="heat", do="Add the nitre.", look_for=None)
    name, figure = next(iter(diagnosis.figures.items()))
    fault = replace(diagnosis.causes[0], taken=True, harmless=False, sure="likely", seen=True)
    hint = replace(fault, taken=False, sure="possible", support_now=3)
    rival = Rival("one", "One", "remedy", "Remedy", "", ())
    hotless = tuple(h for h in diagnosis.hazards if h.id not in ("molten-splash", "heat-and-glare", "hot-looks-cold"))
    seeded = {
        "nothing_is_weighed_as_nought": replace(diagnosis, steps=(replace(weigh, do="Weigh 0 g of dry nitre."),)),
        "figures_are_numbers_that_rise": replace(diagnosis, figures={name: replace(figure, low=1e12)}),
        "what_is_weighed_is_used": replace(diagnosis, steps=(weigh,)),
        "what_is_used_is_weighed": replace(diagnosis, steps=(replace(weigh, do="Weigh 12 g of dry borax."), heat)),
        "hazards_of_heat_are_there": replace(diagnosis, hazards=hotless),
        "what_it_points_toward_was_seen": replace(diagnosis, causes=(replace(hint, seen=False), replace(hint, id="b"))),
        "nothing_is_fine_beside_a_fault": replace(diagnosis, causes=(fault, replace(fault, id="all_well_bead"))),
        "causes_as_likely_have_both_corrections": replace(diagnosis, tied=Tied((rival,), "", "", "")),
        "no_heat_while_a_danger_is_open": replace(diagnosis, no_heat_before=("mercury history",)),
    }
    assert set(seeded) == {law.__name__ for law in piece_laws.LAWS}
    assert [law for law, wrong in seeded.items() if not piece_broken(law, wrong)] == []
