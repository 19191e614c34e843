"""Minerals as data, and the words and errors of an estimate by eye."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from advisor.frozen import frozen
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.range_sums import cited
from advisor.metallurgy.common.rows import keyed
from advisor.metallurgy.common.tables import Tables
from advisor.units import Range, parse_measure, unit_named
from advisor.units.substances import atoms
from advisor.words import tr

if TYPE_CHECKING:
    from advisor.rulebase.reading.entries import RangeEntry


@frozen
class Mineral:
    """A mineral of concentrates.

    Attributes:
        name: Its key, for example ``pyrite``.
        title: Its name for people.
        formula: Chemical formula.
        density: Density of sound grains, g/ml.
        kind: metal, sulphide, arsenide, telluride, oxide, silicate, carbonate or other.
        source: Where the density comes from.
    """

    name: str
    title: str
    formula: str
    density: Range
    kind: str
    source: str

    @classmethod
    def from_entries(cls, entries: Mapping[str, Mapping[str, object]]) -> dict[str, Mineral]:
        """From the section ``minerals`` of the rule base, by name.

        Raises:
            InputError: If a formula or density cannot be read.
        """
        return {name: cls._from_entry(name, entry) for name, entry in entries.items()}

    @classmethod
    def _from_entry(cls, name: str, entry: Mapping[str, object]) -> Mineral:
        formula = str(entry["formula"])
        atoms(formula)
        written = entry["source"]
        sources = [str(part) for part in written] if isinstance(written, list | tuple) else [str(written)]
        density = _density(entry["density"])
        return cls(name, str(entry["title"]), formula, density, str(entry["kind"]), cited(*sources))


def _density(written: object) -> Range:
    unit = unit_named("g/ml")
    if isinstance(written, Mapping):
        ends = [parse_measure(str(written[end]), unit).likely for end in ("low", "likely", "high")]
        return Range(*ends)
    return parse_measure(str(written), unit)


@frozen
class Band:
    """A share as people say it.

    Attributes:
        name: The word, for example ``some``.
        share: Share by volume, 0 to 1.
        source: Where it comes from.
    """

    name: str
    share: Range
    source: str


def seen_by_eye(share: float, error: Range) -> Range:
    """The range in which a share lies that was estimated by eye.

    Args:
        share: Estimated share by volume, 0 to 1.
        error: Factors of the table ``eye_error``.

    Returns:
        Share by volume, 0 to 1.

    Raises:
        InputError: If the share is not between 0 and 1.

    Example:
        >>> seen_by_eye(0.5, Range(0.6, 1.0, 1.6)).high
        0.8
    """
    range_within(tr("The share by volume"), Range.exact(share), "", 0.0, 1.0)
    return Range(share * error.low, share, max(share, min(1.0, share * error.high)))


def mineral_table(tables: Tables) -> dict[str, Mineral]:
    """Minerals by name."""
    return Mineral.from_entries(
        {
            name: {
                "title": record.entry.title,
                "formula": record.entry.formula,
                "kind": record.entry.kind,
                "density": _written(record.entry.density),
                "source": "; ".join(source.text for source in record.sources),
            }
            for name, record in tables.rule_base.minerals.items()
        }
    )


def _written(density: str | RangeEntry) -> object:
    if isinstance(density, str):
        return density
    return {"low": density.low, "likely": density.likely, "high": density.high}


def band_table(tables: Tables) -> dict[str, Band]:
    """Shares said in words."""
    return keyed(Band, tables.rows("pan_bands"), "band", "name")
