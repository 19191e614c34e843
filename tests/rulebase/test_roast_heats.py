"""The heats and times of the roast stand in one table; every step that roasts tells the same."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from advisor.rulebase.reading.yaml_reader import read_document

RULES = Path(__file__).resolve().parents[2] / "rules"
ROASTING = read_document(RULES / "metallurgy" / "roasting.yaml").data["tables"]
HEATS = {(row["mineral"], row["stage"]): (row["low"], row["high"]) for row in ROASTING["roast_stages"]["rows"]}
TIMES = {row["stage"]: (row["low_min"], row["high_min"]) for row in ROASTING["roast_stage_work"]["rows"]}
STEPS: dict[str, Any] = {
    step["id"]: step
    for file in ("steps/roast.yaml", "diagnosis/steps/melts.yaml")
    for step in read_document(RULES / file).data["steps"]
}


def ends(written: str) -> tuple[float, float]:
    """The two figures of a range as a step writes it."""
    low, high = (float(figure) for figure in re.findall(r"\d+", written))
    return low, high


@pytest.mark.parametrize(
    ("step", "mineral", "stage"),
    [
        ("roast-start-low", "pyrite", "start"),
        ("roast-burn-off", "pyrite", "burn"),
        ("roast-finish-hot", "pyrite", "finish"),
        ("roast-matte-low", "pyrrhotite", "start"),
        ("roast-matte-full", "pyrrhotite", "finish"),
    ],
)
def test_a_step_of_the_roast_has_the_heat_of_the_table(step: str, mineral: str, stage: str) -> None:
    assert ends(STEPS[step]["temperature"]) == HEATS[mineral, stage]


@pytest.mark.parametrize(
    ("step", "stage"), [("roast-start-low", "start"), ("roast-burn-off", "burn"), ("roast-finish-hot", "finish")]
)
def test_a_step_of_the_roast_takes_the_time_of_the_table(step: str, stage: str) -> None:
    assert ends(STEPS[step]["time"]) == TIMES[stage]


@pytest.mark.parametrize(("step", "stage"), [("roast-start-low", "start"), ("roast-burn-off", "burn")])
def test_where_chalcopyrite_wants_less_heat_the_step_says_so(step: str, stage: str) -> None:
    assert HEATS["chalcopyrite", stage][1] < HEATS["pyrite", stage][1]
    told = re.search(r"chalcopyrite in it not above (\d+) °C", " ".join(STEPS[step]["do"].split()))
    assert told is not None
    assert float(told[1]) == HEATS["chalcopyrite", stage][1]


def test_no_other_step_of_these_files_roasts() -> None:
    assert {name for name, step in STEPS.items() if step["stage"] == "roast" and "temperature" in step} == {
        "roast-start-low",
        "roast-burn-off",
        "roast-finish-hot",
        "roast-matte-low",
        "roast-matte-full",
    }
