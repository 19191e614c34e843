"""The figures a roast plan is made from, as typed rows of ``rules/metallurgy/roasting.yaml``."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.rows import (
    Note,
    Row,
    Rows,
    SourcedRange,
    from_row,
    keyed,
    range_of,
    sourced,
    sourced_by,
    text,
)
from advisor.metallurgy.common.tables import Tables
from advisor.units import Range
from advisor.words import tr

STAGES = ("start", "burn", "finish")
ANY = "any"


@frozen
class RoastProduct:
    """What one element becomes.

    Attributes:
        element: Symbol of the element.
        product: Formula of the substance it becomes.
        goes: ``residue`` stays in the dish; ``gas`` and ``fume`` leave it.
        is_likely: Whether this is the likely product; the others only widen the range.
        vapour: Formula of the molecule in the hot gas; the product itself for a residue.
        title: What a gas or smoke is called; the formula for a residue.
        source: Where it comes from.
    """

    element: str
    product: str
    goes: str
    is_likely: bool
    vapour: str
    title: str
    source: str

    @classmethod
    def from_rows(cls, rows: Rows) -> tuple[RoastProduct, ...]:
        """From ``roast_products``.

        Raises:
            InputError: If an element has not exactly one likely product.
        """
        made = tuple(cls._from_row(row) for row in rows)
        for element in {product.element for product in made}:
            if sum(product.is_likely for product in made if product.element == element) != 1:
                raise InputError(
                    tr(
                        "there is not exactly one likely product of {element}; write  when: likely  in one of its rows",
                        element=element,
                    )
                )
        return made

    @classmethod
    def _from_row(cls, row: Row) -> RoastProduct:
        product = text(row, "product")
        vapour, title = (text(row, column) if column in row else product for column in ("vapour", "title"))
        return from_row(cls, row, is_likely=text(row, "when") == "likely", vapour=vapour, title=title)


@frozen
class RoastStop:
    """An element that stops a roast.

    Attributes:
        element: Symbol of the element.
        title: Its name for people.
        reason: Why, for people.
        lifted_by: What would lift the stop.
        source: Where it comes from.
    """

    element: str
    title: str
    reason: str
    lifted_by: str
    source: str


@frozen
class StageWork:
    """What a stage is for.

    Attributes:
        stage: ``start``, ``burn`` or ``finish``.
        title: Its name for people.
        air: ``little`` or ``plenty``.
        watch: What to see and do.
        minutes: How long, in minutes, for a dish.
        source: Where it comes from.
    """

    stage: str
    title: str
    air: str
    watch: str
    minutes: Range
    source: str


@frozen
class EndTest:
    """A test for the end of the roast.

    Attributes:
        test: What to do.
        right: What is seen when it is done.
        wrong: What is seen when it is not.
        source: Where it comes from.
    """

    test: str
    right: str
    wrong: str
    source: str


@frozen
class RoastingTables:
    """All figures of a roast plan, each from the table of that name.

    Attributes:
        products: What each element becomes.
        stops: Elements that stop a roast, by symbol.
        cautions: What to know when an element is there, by symbol.
        stage_heat: Temperatures in °C by mineral (or ``any``) and stage.
        stage_work: What each stage is for.
        end_tests: How to tell that it is done.
        oxygen_in_air: Share of oxygen in dry air by volume.
        air_excess: Air to give, in times the least.
        notes: Sentences for people by key.
    """

    products: tuple[RoastProduct, ...]
    stops: Mapping[str, RoastStop]
    cautions: Mapping[str, Note]
    stage_heat: Mapping[tuple[str, str], SourcedRange]
    stage_work: Mapping[str, StageWork]
    end_tests: tuple[EndTest, ...]
    oxygen_in_air: SourcedRange
    air_excess: SourcedRange
    notes: Mapping[str, Note]

    @classmethod
    def from_tables(cls, tables: Mapping[str, Rows]) -> RoastingTables:
        """From the rows of the tables in ``rules/metallurgy/roasting.yaml``, by table name.

        Raises:
            InputError: If an element has not exactly one likely product.
        """
        air = sourced_by(tables["roast_air"], "name")
        return cls(
            products=RoastProduct.from_rows(tables["roast_products"]),
            stops=keyed(RoastStop, tables["roast_stops"], "element"),
            cautions=keyed(Note, tables["roast_cautions"], "element", "key"),
            stage_heat={(text(r, "mineral"), text(r, "stage")): sourced(r) for r in tables["roast_stages"]},
            stage_work={
                text(r, "stage"): from_row(StageWork, r, minutes=range_of(r, "_min"))
                for r in tables["roast_stage_work"]
            },
            end_tests=tuple(from_row(EndTest, r) for r in tables["roast_end_tests"]),
            oxygen_in_air=air["oxygen_in_air_by_volume"],
            air_excess=air["times_the_least"],
            notes=keyed(Note, tables["roast_notes"], "key"),
        )


def roasting_tables(tables: Tables) -> RoastingTables:
    """Figures of the roast."""
    return RoastingTables.from_tables(tables.by_name)
