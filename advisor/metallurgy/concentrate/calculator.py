"""``concentrate``: what is in the concentrate, from an estimate by eye, displaced water, or an assay."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from advisor.errors import InputError
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.document import Remark, Result
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.rows import range_of
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.metallurgy.concentrate.composition import (
    Concentrate,
    by_assay,
    by_displaced_water,
    by_masses,
    by_volume_shares,
)
from advisor.metallurgy.concentrate.minerals import Mineral, band_table, mineral_table, seen_by_eye
from advisor.units import Range
from advisor.words import each_of, tr

_WAYS = ("volume_shares", "mineral_masses", "displaced_water", "density", "assay")
_PARTED = ("displaced_water", "density")
_LEAST_DENSITY, _MOST_DENSITY = 0.5, 25.0


def concentrate_inputs(tables: Tables) -> tuple[Input, ...]:
    """The inputs that say what a concentrate is made of; shared by all computations that need one."""
    minerals = tuple(tables.once(mineral_table))
    return (
        Input("dry_mass", tr("dry mass of the concentrate"), "amount", "dry_mass=250g", unit="g"),
        Input(
            "volume_shares",
            tr("share of each mineral by volume, by eye, as per cent or in words"),
            "amounts",
            "volume_shares.pyrite=20%",
            unit="%",
            options=minerals,
            bands=tuple(tables.once(band_table)),
        ),
        Input("counted", tr("whether the shares were counted on a grid and not judged by eye"), "yes_no", "counted=no"),
        Input(
            "mineral_masses",
            tr("mass of each mineral"),
            "amounts",
            "mineral_masses.pyrite=50g",
            unit="g",
            options=minerals,
        ),
        Input(
            "displaced_water",
            tr("water that the dry concentrate displaces"),
            "amount",
            "displaced_water=60ml",
            unit="ml",
        ),
        Input("density", tr("or: its density, of the grains without air"), "amount", "density=3g/ml", unit="g/ml"),
        Input(
            "heavy",
            tr("with displaced_water or density: the heavier mineral"),
            "choice",
            "heavy=pyrite",
            options=minerals,
        ),
        Input(
            "light",
            tr("with displaced_water or density: the lighter mineral"),
            "choice",
            "light=quartz",
            options=minerals,
        ),
        Input(
            "picked_out",
            tr("with displaced_water or density: masses known otherwise"),
            "amounts",
            "picked_out.gold=12g",
            unit="g",
            options=minerals,
        ),
        Input(
            "densities",
            tr("densities of minerals that you measured"),
            "amounts",
            "densities.pyrite=5.1g/ml",
            unit="g/ml",
            options=minerals,
        ),
        Input("assay", tr("assay by element, share by weight"), "amounts", "assay.S=12%", unit="%"),
    )


def concentrate_of(tables: Tables, inputs: Inputs) -> Concentrate:
    """The concentrate that the inputs describe.

    Raises:
        InputError: If it is described in no way or in two ways, or cannot be.
    """
    ways = [name for name in _WAYS if inputs.has(name)]
    if len(ways) != 1:
        found = each_of(ways) or tr("none of them")
        raise InputError(
            tr(
                "say in one way what the concentrate is made of: {ways}; given is {given}",
                ways=", ".join(_WAYS),
                given=found,
            )
        )
    way, minerals = ways[0], _minerals(tables, inputs)
    if way == "mineral_masses":
        return by_masses(minerals, inputs.amounts(way))
    if not inputs.has("dry_mass"):
        raise InputError(tr("'{way}' needs the dry mass; add it, for example  dry_mass=250g", way=way))
    mass = inputs.amount("dry_mass")
    if way == "volume_shares":
        return by_volume_shares(minerals, _volume_shares(tables, inputs), mass)
    if way in _PARTED:
        if not (inputs.has("heavy") and inputs.has("light")):
            raise InputError(
                tr("'{way}' needs the names of the heavier and the lighter mineral; add  heavy=... light=...", way=way)
            )
        heavy, light = inputs.word("heavy"), inputs.word("light")
        if way == "density":
            range_within(
                tr("The density of the concentrate"), inputs.amount(way), "g/ml", _LEAST_DENSITY, _MOST_DENSITY
            )
        displaced_ml = mass / inputs.amount(way) if way == "density" else inputs.amount(way)
        return by_displaced_water(minerals, heavy, light, mass, displaced_ml, inputs.amounts("picked_out"))
    return by_assay(minerals, tables.rows("assay_minerals"), inputs.amounts("assay"), mass)


def _minerals(tables: Tables, inputs: Inputs) -> Mapping[str, Mineral]:
    """The minerals, with the densities that were measured in place of those of the table."""
    minerals = dict(tables.once(mineral_table))
    for name, density in inputs.amounts("densities").items():
        range_within(tr("The density of {name}", name=name), density, "g/ml", _LEAST_DENSITY, _MOST_DENSITY)
        minerals[name] = replace(minerals[name], density=density, source="as measured")
    return minerals


def _volume_shares(tables: Tables, inputs: Inputs) -> Mapping[str, Range]:
    error = range_of(tables.rows("eye_error")[0])
    shares: dict[str, Range] = {}
    for name, value in inputs.amounts("volume_shares").items():
        if isinstance(value, str):
            shares[name] = tables.once(band_table)[value].share
        elif value.is_exact and not inputs.yes("counted"):
            shares[name] = seen_by_eye(value.likely, error)
        else:
            shares[name] = value
    return shares


def concentrate_result(concentrate: Concentrate) -> Result:
    """The minerals of a concentrate."""
    rest = concentrate.unaccounted_g()
    figures = [*concentrate.figures()]
    if rest.likely > 0.005 * concentrate.dry_mass_g.likely:
        figures.append(
            Figure(
                "unaccounted_g",
                tr("not accounted for by these minerals"),
                rest,
                "g",
                tr("dry mass less the minerals"),
                "calculation",
            )
        )
    return Result(title=tr("What is in the concentrate"), figures=tuple(figures))


def calculate_concentrate(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """The minerals of a concentrate by mass.

    Raises:
        InputError: If the inputs do not fit.
    """
    concentrate = concentrate_of(tables, inputs)
    sulphides = concentrate.kind_g("sulphide", "arsenide", "telluride")
    sums = (
        Figure("sulphides_g", tr("all sulphides, arsenides and tellurides"), sulphides, "g", tr("sum"), "calculation"),
        Figure("oxides_g", tr("iron and other oxides"), concentrate.kind_g("oxide"), "g", tr("sum"), "calculation"),
        Figure("gold_g", tr("gold"), concentrate.mass_g("gold"), "g", tr("as given"), "calculation"),
    )
    note = Remark(kind="note", text=tables.notes["eye_is_wide"].said())
    return (
        concentrate_result(concentrate),
        Result(title=tr("Sums"), figures=tuple(f for f in sums if f.amount.high > 0), said=(note,)),
    )


COMPUTATION = Computation("concentrate", tr("What is in the concentrate"), concentrate_inputs, calculate_concentrate)
