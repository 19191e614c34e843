"""Figures of law and of heat that stand in sentences are those of the tables; none stands there unaccounted for."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from typing import Any

import pytest

from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import parse_yaml
from tests.conftest import ROOT

RULES = ROOT / "rules"
Rows = Mapping[str, list[dict[str, Any]]]
Figures = Callable[[Rows], tuple[float, ...]]
NO_WORDS = {"source", "sources", "formula", "when", "rows", "id"}


@dataclass(frozen=True)
class Told:
    """Words of the rules with figures in them, wherever they stand.

    Attributes:
        words: A pattern; each group is a figure.
        figures: The same from the tables.
        where: What the place has to end with, so that a limit is held against the right substance; anywhere if empty.
    """

    words: str
    figures: Figures
    where: str = ""


def row(rows: Rows, table: str, **key: object) -> dict[str, Any]:
    """The one row of a table with these values."""
    (found,) = (one for one in rows[table] if all(one.get(name) == value for name, value in key.items()))
    return found


def air(agent: str, *kinds: str, body: str = "OSHA, United States", times: float = 1.0) -> Figures:
    """Limits of one body for one agent; ``times`` turns milligrams into micrograms."""
    return lambda rows: tuple(row(rows, "air_limits", agent=agent, body=body, kind=k)["value"] * times for k in kinds)


def threshold(name: str) -> Figures:
    """A threshold, rounded as people say it."""
    return lambda rows: (float(round(row(rows, "thresholds", name=name)["value"])),)


def above_the_bead(rows: Rows) -> tuple[float, ...]:
    """What the mint went above the melting point of its bead."""
    found = row(rows, "finish_heat_above_bead", gold_percent=28.6)
    return found["low"], found["high"]


def mint_and_gold(rows: Rows) -> tuple[float, ...]:
    """The rule of the mint on gold."""
    (gold,) = threshold("melting_temperature_gold")(rows)
    return tuple(gold + more for more in above_the_bead(rows))


def roasting(stage: str) -> Figures:
    """The highest heat of chalcopyrite in a stage of a roast."""
    return lambda rows: (row(rows, "roast_stages", mineral="chalcopyrite", stage=stage)["high"],)


def silver(rows: Rows) -> tuple[float, ...]:
    """The melting point of silver as people say it."""
    return (float(int(row(rows, "bead_melting", gold_percent=0)["liquidus_c"] + 0.5)),)


_NIOSH = "NIOSH, United States"
_GOLD = threshold("melting_temperature_gold")
TOLD = (
    Told(r"limit is (\d+) micrograms per cubic metre over 8 hours, action at (\d+)",
         air("lead", "shift", "action", times=1e3), "lead-fume.authority"),
    Told(r"all above the United States limit of (\d+)", air("lead", "shift", times=1e3)),
    Told(r"limit is (\d+) micrograms per cubic metre over 8 hours, action at (\d+)",
         air("arsenic", "shift", "action", times=1e3), "arsenic-fume.authority"),
    Told(r"allows (?:about )?([\d.]+) mg (?:of arsenic )?in a cubic metre", air("arsenic", "shift")),
    Told(r"dangerous to life at once \(([\d.]+) milligrams per cubic metre\)", air("arsenic", "danger", body=_NIOSH)),
    Told(r"(\d+) parts per million over 8 hours \(OSHA\)", air("sulphur_dioxide", "shift")),
    Told(r"parts per million over 8 hours \(OSHA\), (\d+) advised \(NIOSH\)",
         air("sulphur_dioxide", "shift", body=_NIOSH)),
    Told(r"in 30 cubic metres makes (\d+) parts per million", air("sulphur_dioxide", "danger", body=_NIOSH)),
    Told(r"([\d.]+) milligrams per cubic metre over the shift", air("antimony", "shift"), "antimony-fume.authority"),
    Told(r"(\d+) milligrams of zinc oxide fume per cubic metre", air("zinc_oxide", "shift")),
    Told(r"leach test is (\d+) milligrams of lead", lambda rows: (row(rows, "leach_limits", element="lead")["value"],)),
    Told(r"leach test is (\d+) milligrams of arsenic",
         lambda rows: (row(rows, "leach_limits", element="arsenic")["value"],)),
    Told(r"removes people at (\d+) micrograms per decilitre, or a mean of (\d+)",
         lambda rows: tuple(row(rows, "blood_lead_limits", rule=rule)["value"] for rule in ("one", "mean"))),
    Told(r"[Gg]old (?:melts|sets|freezes) at (?:about )?(\d+)", _GOLD),
    Told(r"grain of gold at (\d+) °C", _GOLD),
    Told(r"above (1\d\d\d) °C", _GOLD),
    Told(r"[Ss]ilver melts at (\d+)", silver),
    Told(r"melting silver \((\d+) °C\)", silver),
    Told(r"(\d+) to (\d+) °C above the melting\s+point", above_the_bead),
    Told(r"The sum is (\d+) to (\d+) °C", mint_and_gold),
    Told(r"(?:litharge|takes nothing up|takes up litharge) (?:only )?(?:from|below) about (\d+) °C",
         lambda rows: (row(rows, "cupel_heat", collector="lead", material="any", stage="drive")["low"],)),
    Told(r"with chalcopyrite in it not above (\d+) °C", roasting("start"), "roast-start-low.do"),
    Told(r"with chalcopyrite in it not above (\d+) °C", roasting("burn"), "roast-burn-off.do"),
    Told(r"(?:[Nn]ear|at about) (\d+) °C(?: soda|, a cherry red| until the gas|, lid)",
         lambda rows: (row(rows, "gas_heat", stage="late")["heat"],)),
    Told(r"[Aa] standard (?:for small samples )?works at (\d+) to (\d+) °C",
         lambda rows: tuple(row(rows, "cupel_heat", collector="lead", material="magnesia", stage="drive")[end]
                            for end in ("likely", "high"))),
)  # fmt: skip

COUNTED = re.compile(r"\d[\d,.]*(?: (?:to|or) \d[\d,.]*)? (?:micrograms|milligrams|mg|parts per million)\b")
"""Figures that a table, or the words below, have to account for."""

WITHOUT_A_TABLE = (
    "13 to 65 micrograms per decilitre",
    "50 micrograms of fine crystalline silica per cubic metre over the shift, action at 25",
    "5 milligrams per cubic metre for the hydrate and 1 for dry borax",
    "110 to 850 micrograms per cubic metre",
    "13,000 micrograms per cubic metre over 38 minutes",
    "1,400 micrograms per cubic metre, pouring pots at 80",
    "0.1 milligrams per cubic metre over the shift",
    "33 milligrams per cubic metre, three times the level",
    "never above 5 parts per million (OSHA)",
    "35 parts per million over the shift and never above 200",
    "5 micrograms per cubic metre over the shift (1992)",
    "3 parts per million of hydrogen fluoride over the shift",
    "from 5 micrograms per decilitre of blood",
    "10 to 19 micrograms per decilitre and for six",
    "above 30 micrograms per decilitre, or two of 20 or more",
    "4 g up to 200 mg",
    "6 g for 201 to 300 mg",
    "up to 300 mg only",
    "Of 35.72 mg lost in 13 cupellations 34.56 mg",
    "47 micrograms in the cubic metre",
    "5.2 mg in the cubic metre",
)
"""Figures of substances without a table here, and of what was measured; their sources stand in their rules."""


def texts_of(value: object, place: str) -> Iterator[tuple[str, str]]:
    """Every text of the rules with its place; a rule is named by its id."""
    if isinstance(value, dict):
        for key, one in value.items():
            if key not in NO_WORDS:
                yield from texts_of(one, f"{place}.{key}")
    elif isinstance(value, list):
        for number, one in enumerate(value):
            yield from texts_of(one, f"{place}.{one['id'] if isinstance(one, dict) and 'id' in one else number}")
    elif isinstance(value, str):
        yield place, " ".join(value.split())


@cache
def shipped_texts() -> dict[str, str]:
    """The texts of all rules, by their places."""
    texts: dict[str, str] = {}
    for path in sorted(RULES.rglob("*.yaml")):
        if not {"drawings", "sources"} & set(path.parts):
            name = str(path.relative_to(RULES))
            texts |= texts_of(parse_yaml(path.read_text(encoding="utf-8"), name).data, name)
    return texts


@pytest.fixture(scope="module")
def rows(shipped: RuleBase) -> Rows:
    found: dict[str, list[dict[str, Any]]] = {
        name: [dict(one) for one in table] for name, table in Tables(shipped).by_name.items()
    }
    amounts = {name: one.amount.likely for name, one in shipped.thresholds.items()}
    return {**found, "thresholds": [{"name": name, "value": value} for name, value in amounts.items()]}


@cache
def matches(words: str, said: str) -> tuple[tuple[str, tuple[float, ...]], ...]:
    """Where a pattern is found in a text, with its figures; most texts are looked at again and again."""
    found = re.finditer(words, said)
    return tuple((one[0], tuple(float(figure.replace(",", "")) for figure in one.groups())) for one in found)


@cache
def counted(said: str) -> tuple[str, ...]:
    """The figures of a text that have to be accounted for."""
    return tuple(COUNTED.findall(said))


@cache
def accounted(said: str) -> tuple[str, ...]:
    """The words of a text that account for figures without a table."""
    return tuple(words for words in WITHOUT_A_TABLE if words in said)


def faults(texts: Mapping[str, str], rows: Rows) -> list[str]:
    """Sentences whose figures are not those of the tables, and figures that nothing accounts for."""
    found, covered, met = [], dict.fromkeys(texts, ""), set[Told]()
    for told in TOLD:
        wanted = told.figures(rows)
        for place, said in texts.items():
            for match, figures in matches(told.words, said) if place.endswith(told.where) else ():
                met.add(told)
                covered[place] += f" {match}"
                if figures != pytest.approx(wanted):
                    found.append(f"{place}: {match!r}, and the tables say {wanted}")
    found += [f"nothing says any more: {told.words}" for told in TOLD if told not in met]
    kept = {words for said in texts.values() for words in accounted(said)}
    found += [f"nothing says any more: {words}" for words in WITHOUT_A_TABLE if words not in kept]
    for place, said in texts.items():
        known = covered[place] + " ".join(accounted(said))
        found += [f"{place}: {one!r} is in no table" for one in counted(said) if one not in known]
    return found


def test_every_figure_in_a_sentence_is_that_of_its_table(rows: Rows) -> None:
    assert faults(shipped_texts(), rows) == []


@pytest.mark.parametrize(
    ("ends", "old", "new"),
    [
        ("lead-fume.authority", "50 micrograms", "500 micrograms"),
        ("lead-fume.authority", "action at 30", "action at 40"),
        ("lead-fume.controls.3.do", "limit of 50", "limit of 150"),
        ("arsenic-fume.authority", "10 micrograms", "100 micrograms"),
        ("arsenic-fume.authority", "action at 5", "action at 15"),
        ("arsenic-stays-cold-here.reason", "0.01 mg", "0.1 mg"),
        ("arsenic-fume.controls.1.do", "5 milligrams", "50 milligrams"),
        ("sulphur-dioxide.authority", "5 parts per million", "15 parts per million"),
        ("sulphur-dioxide.authority", "2 advised", "3 advised"),
        ("sulphur-dioxide.controls.0.do", "100 parts", "1000 parts"),
        ("antimony-fume.authority", "0.5 milligrams", "5 milligrams"),
        ("zinc-fume.authority", "5 milligrams", "8 milligrams"),
        ("spent-lead-cupels.controls.1.do", "5 milligrams", "50 milligrams"),
        ("lead-builds-up-unseen.authority", "60 micrograms", "80 micrograms"),
        ("lead-builds-up-unseen.authority", "a mean of 50", "a mean of 60"),
        ("silica-dust.authority", "50 micrograms", "500 micrograms"),
        ("carbon-monoxide.authority", "35 parts", "350 parts"),
        ("get_a_fire.done_when", "1064", "1046"),
        ("roast-burn-off.do", "650 °C", "750 °C"),
        ("cupel-finish-hot.reason", "120 to 130 °C", "20 to 30 °C"),
    ],
)
def test_another_figure_in_a_sentence_is_found(rows: Rows, ends: str, old: str, new: str) -> None:
    (place,) = (one for one in shipped_texts() if one.endswith(ends))
    said = shipped_texts()[place]
    assert old in said
    assert faults({**shipped_texts(), place: said.replace(old, new, 1)}, rows) != []


@pytest.mark.parametrize(
    ("table", "key", "column"),
    [
        ("air_limits", {"agent": "lead", "body": "OSHA, United States", "kind": "action"}, "value"),
        ("air_limits", {"agent": "sulphur_dioxide", "body": "NIOSH, United States", "kind": "danger"}, "value"),
        ("leach_limits", {"element": "arsenic"}, "value"),
        ("blood_lead_limits", {"rule": "mean"}, "value"),
        ("cupel_heat", {"collector": "lead", "material": "any", "stage": "drive"}, "low"),
        ("gas_heat", {"stage": "late"}, "heat"),
        ("thresholds", {"name": "melting_temperature_gold"}, "value"),
    ],
)
def test_another_figure_in_a_table_is_found(rows: Rows, table: str, key: dict[str, str], column: str) -> None:
    other = deepcopy(rows)
    row(other, table, **key)[column] *= 1.1
    assert faults(shipped_texts(), other) != []
