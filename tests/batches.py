"""A batch with nothing special about it, which tests change one answer at a time. Invented."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from advisor.advice.batches.answers import read_answer
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.engine.conclude import Conclusions, conclude
from advisor.engine.state import Answers
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import read_document

ROOT = Path(__file__).resolve().parent.parent


def usual(folder: str, name: str) -> dict[str, Any]:
    """What a shipped room or lot answers, as it is written."""
    data = read_document(ROOT / "cases" / folder / f"{name}.yaml").data
    under = usual(folder, data["like"]) if "like" in data else {}
    return {fact: value for fact, value in under.items() if fact not in data.get("unanswered", ())} | data["answers"]


PYRITIC: dict[str, Any] = {
    **usual("rooms", "licensed-lead"),
    **usual("lots", "ordinary"),
    "people_near": "workers",
    "extraction": "working",
    "arsenic_capture": "no",
    "top_temperature": "1250 C",
    "reagents": ["borax_anhydrous", "soda_ash", "silica", "litharge", "lead", "iron", "flour"],
    "fineness_wanted": "800 permille",
    "time_available": "5 h",
    "gold_grain": "medium",
    "gold_share": "5 %",
    "sulphide_share": "25 %",
    "quartz_share": "10 %",
    "clean_part_share": "0 %",
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
    "hollow_look": "smooth",
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
