"""Figures for correcting what came out wrong, as typed rows of ``rules/metallurgy/corrections.yaml``.

Each takes the mass of this very piece as a range and returns figures. A mass that is not known comes as a wide
range; every gram then is a wide range too. Grams grow in step with the piece.
"""

from __future__ import annotations

from collections.abc import Mapping

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import ZERO, cited
from advisor.metallurgy.common.rows import (
    Curve,
    Note,
    Notes,
    Row,
    Rows,
    SourcedRange,
    curve,
    from_row,
    in_words,
    keyed,
    number,
    source_of,
    sourced,
    sourced_by,
    text,
)
from advisor.metallurgy.common.tables import Tables
from advisor.units import Range
from advisor.units.substances import Reaction
from advisor.words import tr

MOST_G = 1e6
HOTTEST_C = 2000.0
LONGEST_MIN = 10_000.0
_COLDEST_C = -60.0

_PARTS = {
    "correction_bead_looks": "look",
    "correction_cupel_stains": "stain",
    "correction_frozen": "frozen",
    "correction_matte_fire": "matte",
    "correction_slag_looks": "slag",
    "correction_slag_clean": "shot",
    "correction_brittle": "brittle",
    "correction_borax_clean": "clean",
    "correction_lost_gold": "lost",
    "correction_copper": "copper",
    "correction_reheat": "reheat",
}
"""Tables of one shape, and the topic under which ``CorrectionTables.at`` finds their rows."""


@frozen
class MatteKind:
    """A kind of matte and what iron does to it.

    Attributes:
        kind: iron, copper or lead.
        formula: The sulphide it is treated as.
        metal: Symbol of the metal that iron may set free; empty for none.
        least: Equation with the least iron.
        likely: Equation to compute with.
        most: Equation with the most iron.
        roast: Whether the roast comes first because iron does not help.
        source: Where the equations come from.
    """

    kind: str
    formula: str
    metal: str
    least: Reaction
    likely: Reaction
    most: Reaction
    roast: bool
    source: str

    @classmethod
    def from_rows(cls, rows: Rows) -> dict[str, MatteKind]:
        """From the table ``correction_matte``, by kind."""
        return {text(row, "case"): cls._from_row(row) for row in rows}

    @classmethod
    def _from_row(cls, row: Row) -> MatteKind:
        metal = text(row, "metal").replace("none", "")
        return from_row(cls, row, kind=text(row, "case"), metal=metal, roast=number(row, "roast") > 0)

    def made_per_g(self, product: str) -> Range:
        """Grams of a substance that leave the pot for 1 g of matte."""
        made = [reaction.made_per_gram(product, self.formula) for reaction in self._reactions()]
        return Range(min(made), made[1], max(made))

    @property
    def iron_per_g(self) -> Range:
        """Iron that 1 g of matte takes up, in g."""
        return Range(*(max(0.0, -_iron(reaction, self.formula)) for reaction in self._reactions()))

    def _reactions(self) -> tuple[Reaction, Reaction, Reaction]:
        return self.least, self.likely, self.most


def _iron(reaction: Reaction, formula: str) -> float:
    return reaction.grams_per_gram("Fe", formula) if "Fe" in reaction.left else 0.0


@frozen
class CorrectionTables:
    """All figures of the corrections.

    Attributes:
        parts: Ranges by topic, case and figure.
        mattes: What iron does to a matte, by kind.
        reheat_factor: How much longer a charge takes, by its mass in g.
        reheat_factor_source: Where that comes from.
        notes: Sentences for people by key.
        assumed: What is reckoned with where nobody measured it.
    """

    parts: Mapping[tuple[str, str, str], SourcedRange]
    mattes: Mapping[str, MatteKind]
    reheat_factor: Curve
    reheat_factor_source: str
    notes: Notes
    assumed: Mapping[str, SourcedRange]

    @classmethod
    def from_tables(cls, tables: Mapping[str, Rows]) -> CorrectionTables:
        """From the rows of the tables in ``rules/metallurgy/corrections.yaml``, by table name."""
        parts = {
            (topic, text(row, "case"), text(row, "what")): sourced(row)
            for name, topic in _PARTS.items()
            for row in tables[name]
        }
        sizes = tables["correction_reheat_size"]
        return cls(
            parts=parts,
            mattes=MatteKind.from_rows(tables["correction_matte"]),
            reheat_factor=curve((number(r, "charge_g"), Range.exact(number(r, "factor"))) for r in sizes),
            reheat_factor_source=cited(*(source_of(row) for row in sizes)),
            notes=keyed(Note, tables["correction_notes"], "key"),
            assumed=sourced_by(tables["not_measured"], "what"),
        )

    def at(self, topic: str, case: str, what: str) -> SourcedRange:
        """One range.

        Args:
            topic: look, stain, frozen, matte, slag, shot, brittle, clean, lost, copper or reheat.
            case: The case, as in the column ``case``.
            what: The figure, as in the column ``what``.
        """
        return self.parts[topic, case, what]

    def or_none(self, topic: str, case: str, what: str) -> SourcedRange:
        """One range, or exactly 0 where the table leaves it out because nothing of it is wanted."""
        return self.parts.get((topic, case, what), SourcedRange(ZERO, "practice"))

    def cases(self, topic: str) -> tuple[str, ...]:
        """The cases of a topic, in the order of the table, without ``any``."""
        return tuple(dict.fromkeys(case for found, case, _ in self.parts if found == topic and case != "any"))

    def case(self, topic: str, case: str, what_it_is: str) -> str:
        """The case, if the topic knows it.

        Raises:
            InputError: If it does not.
        """
        known = self.cases(topic)
        if case not in known:
            raise InputError(
                tr(
                    "'{case}' is not {what_it_is} known here; known are {cases}",
                    case=case[:40],
                    what_it_is=what_it_is,
                    cases=", ".join(known),
                )
            )
        return case


def piece_g(what: str, mass_g: Range) -> Range:
    """The mass of a piece, if it can be one.

    Args:
        what: The piece as the start of a sentence: ``The bead``.
        mass_g: Its mass in g.

    Raises:
        InputError: If it is negative, more than a tonne, or nothing at all.
    """
    range_within(tr("{what}: the mass", what=what), mass_g, "g", 0.0, MOST_G)
    if mass_g.high <= 0.0:
        raise InputError(tr("{what} weighs 0 g; give its weight, or say that it is not known", what=what))
    return mass_g


def some_g(what: str, mass_g: Range) -> Range:
    """A mass that may be nothing, if it can be one.

    Raises:
        InputError: If it is negative or more than a tonne.
    """
    range_within(tr("{what}: the mass", what=what), mass_g, "g", 0.0, MOST_G)
    return mass_g


def heat_c(what: str, temperature_c: Range) -> Range:
    """A temperature in °C, if a furnace can have it.

    Raises:
        InputError: If it lies outside -60 to 2000 °C.
    """
    range_within(tr("{what}: the temperature", what=what), temperature_c, "C", _COLDEST_C, HOTTEST_C)
    return temperature_c


def fraction(what: str, part: Range) -> Range:
    """A share between 0 and 1, if it is one.

    Raises:
        InputError: If it is not.
    """
    range_within(what, part, "", 0.0, 1.0)
    return part


def figure(name: str, title: str, amount: Range, unit: str, how: str, *sources: str) -> Figure:
    """A figure whose sources may be given one by one."""
    return Figure(name, title, amount, unit, how, cited(*sources))


def part_of(name: str, title: str, piece: Range, part: SourcedRange, of: str, note: str = "") -> Figure:
    """Grams as a part of the piece.

    Args:
        name: Name of the figure.
        title: What it is.
        piece: The piece, in g.
        part: Grams to 1 g of it.
        of: The piece in words: ``slag``.
        note: What to say beside it.
    """
    how = tr("{grams} of {what} x {part} to 1 g", grams=in_words(piece, "g"), what=of, part=in_words(part.amount, "g"))
    return figure(name, title, piece * part.amount, "g", f"{how}; {note}" if note else how, part.source)


def plain(name: str, title: str, found: SourcedRange, unit: str, note: str = "") -> Figure:
    """A figure taken from a table as it stands."""
    return figure(
        name, title, found.amount, unit, tr("table; {note}", note=note) if note else tr("table"), found.source
    )


def correction_tables(tables: Tables) -> CorrectionTables:
    """Figures of the corrections."""
    return CorrectionTables.from_tables(tables.by_name)
