"""What a lump is: found by cold looks in a few questions, never named by colour alone, and never brought to a fire."""

from __future__ import annotations

from typing import Any

import periodictable
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.build_diagnosis import build_diagnosis
from advisor.engine import Conclusions, conclude, open_questions
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.concentrate.minerals import mineral_table
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import CAUSE, LOOKED_AT, REMEDY
from advisor.units import Range
from tests.batches import answers_of
from tests.conftest import ROOT

LUMPS: dict[str, dict[str, str]] = yaml.safe_load(
    (ROOT / "tests" / "advice" / "diagnosis" / "lumps.yaml").read_text(encoding="utf-8")
)
POISONS = ("lump_amalgam", "lump_arsenic")
NAMED = sorted(set(LUMPS) - set(POISONS))
MOST_QUESTIONS = 9

# Densities of the elements in the package periodictable, which takes them from the CRC Handbook and the ILL Neutron
# Data Booklet; those of minerals stand in the rules with their sources.
PURE = {"gold": "Au", "silver": "Ag", "copper": "Cu", "lead": "Pb", "tin": "Sn", "bismuth": "Bi", "antimony": "Sb"} | {
    "iron": "Fe",
    "platinum": "Pt",
}
MINERALS = ("pyrite", "chalcopyrite", "pyrrhotite", "arsenopyrite", "galena", "stibnite", "magnetite", "ilmenite")


def told(seen: dict[str, str]) -> dict[str, Any]:
    return {LOOKED_AT: "lump", **{f"lump_{name}": value for name, value in seen.items()}}


def looked(rules: RuleBase, answers: dict[str, Any]) -> Conclusions:
    return conclude(rules, answers_of(rules, answers))


def asked_truthfully(rules: RuleBase, seen: dict[str, str]) -> tuple[list[str], Conclusions]:
    """The questions in their order, each answered by what is so, and what follows."""
    truth, answers, asked = told(seen), told({}), []
    while questions := open_questions(looked(rules, answers)):
        asked.append(questions[0].fact)
        answers[asked[-1]] = truth[asked[-1]]
    return asked, looked(rules, answers)


@pytest.mark.parametrize("name", LUMPS)
def test_a_lump_is_found_in_a_few_questions_the_poisons_first(diagnosing: RuleBase, name: str) -> None:
    asked, found = asked_truthfully(diagnosing, LUMPS[name])
    assert found.several[CAUSE].taken == [name]
    assert found.outcomes[REMEDY].chosen == ("seal_it" if name in POISONS else "keep_named")
    assert ["lump_smear", "lump_garlic"][: len(asked)] == asked[:2]
    assert len(asked) <= MOST_QUESTIONS


def test_six_questions_are_enough_for_most(diagnosing: RuleBase) -> None:
    counts = sorted(len(asked_truthfully(diagnosing, seen)[0]) for seen in LUMPS.values())
    assert counts[len(counts) // 2] <= 6


@pytest.mark.parametrize("name", NAMED)
def test_all_looks_together_name_it_alone_and_say_what_parts_it_and_what_to_do(diagnosing: RuleBase, name: str) -> None:
    conclusions = looked(diagnosing, told(LUMPS[name]))
    assert conclusions.several[CAUSE].taken == [name]
    diagnosis = build_diagnosis(conclusions, look_for_changes=False)
    assert diagnosis.outcome == "work"
    assert any(step.id == f"{name.replace('_', '-')}-now" for step in diagnosis.steps)
    assert not any(step.stage in ("heat", "charge", "cupel", "roast", "pour") for step in diagnosis.steps)
    weighed = [one for one in diagnosis.answers if one.origin == "worked out"]
    assert [one.fact for one in weighed] == ["lump_density"]


def _density_says(rules: RuleBase, name: str, density: Range) -> int:
    """What a density alone says for or against a material."""
    support = conclude(rules, {LOOKED_AT: "lump", "lump_density": density}).several[CAUSE].supports[name]
    return support.now


@pytest.mark.parametrize("metal", PURE)
def test_a_pure_metal_has_the_density_of_a_published_table(diagnosing: RuleBase, metal: str) -> None:
    density = getattr(periodictable, PURE[metal]).density
    assert _density_says(diagnosing, f"lump_{metal}", Range.exact(density)) > 0
    assert _density_says(diagnosing, f"lump_{metal}", Range.exact(0.55 * density)) < 0
    assert _density_says(diagnosing, f"lump_{metal}", Range.between(0.5 * density, 1.2 * density)) == 0


@pytest.mark.parametrize("mineral", MINERALS)
def test_a_mineral_has_the_density_of_its_table(diagnosing: RuleBase, mineral: str) -> None:
    density = Tables(diagnosing).once(mineral_table)[mineral].density
    for value in (density.low, density.likely, density.high):
        assert _density_says(diagnosing, f"lump_{mineral}", Range.exact(value)) > 0
    assert _density_says(diagnosing, f"lump_{mineral}", Range.exact(2.6)) < 0


def test_the_density_is_as_unsure_as_the_scale(diagnosing: RuleBase) -> None:
    """Beringer 1904, p. 84: mispickel of 3.2170 g that loses 0.5120 g has 6.28."""
    seen = told({"in_air": "3.217 g", "loss": "0.512 g"})
    spans = {}
    for step in ("0.0001 g", "0.01 g"):
        answers = looked(diagnosing, {**seen, "lump_step": step})
        (weighed,) = (
            one for one in build_diagnosis(answers, look_for_changes=False).answers if one.origin == "worked out"
        )
        low, high = (float(word) for word in weighed.value.removesuffix(" g/ml").split(" to "))
        assert low <= 6.28 <= high
        spans[step] = high - low
    assert spans["0.0001 g"] < 0.02
    assert spans["0.01 g"] == pytest.approx(3.217 / 0.492 - 3.217 / 0.532, abs=0.02)


_FREE = [f"lump_{name}" for name in ("found", "magnet", "colour", "hammer", "file", "streak", "trial")]


@given(st.data())
@settings(max_examples=40, deadline=None)
def test_whatever_else_is_seen_a_smear_or_garlic_is_sealed_and_no_lump_is_heated(
    diagnosing: RuleBase, data: st.DataObject
) -> None:
    answers: dict[str, Any] = {LOOKED_AT: "lump"}
    for name in _FREE:
        options = [None, *diagnosing.facts[name].entry.options]
        if (drawn := data.draw(st.sampled_from(options))) is not None:
            answers[name] = drawn
    poison = data.draw(st.sampled_from(["lump_smear", "lump_garlic", None]))
    chosen = looked(diagnosing, {**answers, **({poison: "yes"} if poison else {})}).outcomes[REMEDY].chosen
    assert chosen == "seal_it" if poison else chosen in ("keep_named", "set_aside")


@pytest.mark.parametrize("colour", ["yellow", "white", "grey", "bluish", "brass", "black"])
def test_one_colour_names_nothing(diagnosing: RuleBase, colour: str) -> None:
    assert not looked(diagnosing, told({"colour": colour})).several[CAUSE].taken


def test_a_grey_lump_that_spreads_is_no_platinum_before_it_is_weighed_or_tried(diagnosing: RuleBase) -> None:
    seen = {"colour": "grey", "hammer": "spreads", "file": "filed", "magnet": "weak", "streak": "metal_white"}
    assert "lump_platinum" not in looked(diagnosing, told(seen)).several[CAUSE].taken
    trial = looked(diagnosing, told({**seen, "trial": "grey_bead"}))
    assert trial.several[CAUSE].taken == ["lump_platinum"]


def test_the_splinter_with_lead_is_tried_only_where_its_dangers_are_answered(diagnosing: RuleBase) -> None:
    ask_if = diagnosing.facts["lump_trial"].ask_if
    assert ask_if is not None
    room = {"reagents": ["lead"], "lead_rules": "permitted", "place": "outdoors", "protective_gear": ["fume_mask"]} | {
        "heat_sources": ["torch"],
        "mercury_history": "never",
        "mercury_signs": "no",
        "foreign_matter": [],
        "arsenic_signs": "no",
        "sulphide_minerals": [],
        "weathering": "fresh",
        "arsenic_test": "not_done",
        "dwelling": "no",
        "people_near": "nobody",
        "open_ground": "yes",
    }
    clean = told({"smear": "no", "garlic": "no"})
    assert looked(diagnosing, {**clean, **room}).truth(ask_if) == 2
    for lacking in ("lead_rules", "protective_gear", "mercury_history", "arsenic_signs", "lump_smear", "lump_garlic"):
        some = {name: value for name, value in {**clean, **room}.items() if name != lacking}
        assert looked(diagnosing, some).truth(ask_if) != 2, lacking
