"""Data, invented concentrates and strategies for the tests of minerals and of the smelting charge."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import periodictable
from hypothesis import strategies as st

from advisor.metallurgy.charge.tables import ChargeData
from advisor.metallurgy.common.rows import Note, Notes, keyed
from advisor.metallurgy.concentrate.composition import Concentrate, by_masses
from advisor.metallurgy.concentrate.minerals import Mineral
from advisor.rulebase.reading.yaml_reader import read_document
from advisor.units import Range

_RULES = Path(__file__).parents[2] / "rules" / "metallurgy"

COLLECTORS = ("litharge", "red_lead", "lead", "bismuth_oxide", "bismuth", "none")
METHODS = ("iron", "nitre", "roast", "flux")
RAW_MINERALS = (
    "pyrite",
    "pyrrhotite",
    "arsenopyrite",
    "chalcopyrite",
    "galena",
    "sphalerite",
    "stibnite",
    "calaverite",
    "magnetite",
    "hematite",
    "ilmenite",
    "quartz",
    "calcite",
    "gold",
    "iron",
    "cassiterite",
)
SULPHIDES = RAW_MINERALS[:8]


@cache
def document(name: str) -> dict[str, Any]:
    """One file of rules/metallurgy."""
    data: dict[str, Any] = read_document(_RULES / name).data
    return data


def rows(name: str, table: str) -> list[dict[str, Any]]:
    """The rows of one table."""
    found: list[dict[str, Any]] = document(name)["tables"][table]["rows"]
    return found


@cache
def minerals() -> dict[str, Mineral]:
    """All minerals."""
    return Mineral.from_entries(document("minerals.yaml")["minerals"])


@cache
def notes() -> Notes:
    """What the computations say beside their figures."""
    return keyed(Note, rows("notes.yaml", "reckoning_notes"), "key")


@cache
def charge_data() -> ChargeData:
    """All tables of the charge."""
    tables = document("charge.yaml")["tables"] | document("notes.yaml")["tables"]
    return ChargeData.from_tables(minerals(), {name: table["rows"] for name, table in tables.items()})


def exact(value: float) -> Range:
    """A range of one value."""
    return Range.exact(float(value))


def concentrate(**grams: float) -> Concentrate:
    """A concentrate of known masses."""
    return by_masses(minerals(), {name: exact(mass) for name, mass in grams.items()})


def reagents(**grams: float) -> dict[str, Range]:
    """Reagents as weighed."""
    return {name: exact(mass) for name, mass in grams.items()}


def typical() -> Concentrate:
    """An invented table concentrate: half pyrite, with magnetite and quartz."""
    return concentrate(pyrite=50, magnetite=20, quartz=24, arsenopyrite=2, chalcopyrite=2, gold=2)


def elements(grams: dict[str, float]) -> dict[str, float]:
    """Moles of each element in substances given in g, by another library than the program's."""
    moles: dict[str, float] = {}
    for formula, mass in grams.items():
        parsed = by_periodictable(formula)
        for element, count in parsed.atoms.items():
            moles[element.symbol] = moles.get(element.symbol, 0.0) + mass / parsed.mass * count
    return moles


@cache
def by_periodictable(formula: str) -> Any:
    """A formula as the periodictable library reads it; crystal water is added apart."""
    body, _, water = formula.partition(".")
    parsed = periodictable.formula(body)
    if water:
        parsed = parsed + int(water.removesuffix("H2O")) * periodictable.formula("H2O")
    return parsed


@st.composite
def concentrates(draw: st.DrawFn, *names: str, uncertain: bool = False) -> Concentrate:
    """Concentrates of one to six minerals with 0.1 to 1000 g of each."""
    chosen = draw(st.lists(st.sampled_from(names or RAW_MINERALS), min_size=1, max_size=6, unique=True))
    masses = {}
    for name in chosen:
        likely = draw(st.floats(0.1, 1000.0))
        spread = draw(st.floats(0.0, 0.9)) if uncertain else 0.0
        masses[name] = Range(likely * (1 - spread), likely, likely * (1 + spread))
    return by_masses(minerals(), masses)
