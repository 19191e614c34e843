"""A batch with nothing special about it, which tests change one answer at a time. Invented."""

from __future__ import annotations

from typing import Any

from advisor.advice.batches.answers import read_answer
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.engine.conclude import Conclusions, conclude
from advisor.engine.state import Answers
from advisor.rulebase.model import RuleBase

PYRITIC: dict[str, Any] = {
    "mercury_history": "never",
    "mercury_signs": "no",
    "arsenic_signs": "no",
    "dwelling": "no",
    "people_near": "workers",
    "operator": "trained",
    "dryness": "dry",
    "batch_mass": "100 g",
    "gold_look": "bright",
    "gold_grain": "medium",
    "gold_share": "5 %",
    "sulphide_share": "25 %",
    "black_sand_share": "10 %",
    "quartz_share": "10 %",
    "tramp_iron": "none",
    "magnetics_out": "yes",
    "carbonate": "no",
    "sulphide_minerals": ["pyrite"],
    "weathering": "fresh",
    "foreign_matter": [],
    "panning_helps": "no",
    "clean_part_share": "0 %",
    "place": "open_shed",
    "extraction": "working",
    "lead_rules": "permitted",
    "arsenic_capture": "no",
    "second_person": "yes",
    "floor": "dry_sand_or_tray",
    "heat_sources": ["pot_furnace", "muffle"],
    "top_temperature": "1250 C",
    "crucible_kind": "clay",
    "crucible_volume": "1000 ml",
    "crucible_count": "3",
    "cupels": ["bone_ash"],
    "cupels_dry": "yes",
    "mould": "cone",
    "scale_step": "0.01 g",
    "protective_gear": ["face_shield", "heat_gloves", "plain_clothing", "closed_boots", "fume_mask"],
    "tongs": "yes",
    "pyrometer": "yes",
    "reagents": ["borax_anhydrous", "soda_ash", "silica", "litharge", "lead", "iron", "flour"],
    "aim": "bead_for_sale",
    "fineness_wanted": "800 permille",
    "time_available": "5 h",
    "send_out_possible": "no",
    "cost_wanted": "no",
}
"""A quarter pyrite, lead at hand and allowed: the ordinary iron smelt."""

MATT_BEAD: dict[str, Any] = {
    "look_at": "bead",
    "bead_surface": "matt",
    "bead_underside": "clean",
    "bead_colour": "pale_yellow",
    "bead_shape": "round",
    "bead_cut": "same",
    "bead_hammer": "flattens",
    "bead_magnet": "no",
    "cupel_hollow": "smooth",
    "cupel_stain": "yellow",
    "bead_weighed": "12 g",
}
"""A matt bead, looked at from all sides. Invented."""


def answers_of(rule_base: RuleBase, written: dict[str, Any], **changed: Any) -> Answers:
    """Written answers as the program understands them, some of them changed; None leaves one out."""
    merged = {**written, **changed}
    return {name: read_answer(rule_base.facts[name], value) for name, value in merged.items() if value is not None}


def conclusions_of(rule_base: RuleBase, **changed: Any) -> Conclusions:
    """What follows from the ordinary batch with some answers changed."""
    return conclude(rule_base, answers_of(rule_base, PYRITIC, **changed))


def advice_of(rule_base: RuleBase, **changed: Any) -> Advice:
    """The advice for the ordinary batch with some answers changed."""
    return build_advice(conclusions_of(rule_base, **changed))
