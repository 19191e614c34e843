"""The document of one computation: typed, frozen, the same for the screen and for JSON."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from advisor.document import part
from advisor.frozen import frozen
from advisor.metallurgy.common.figure import Figure
from advisor.rulebase.compiling.sources import resolve_sources
from advisor.units.measures import format_number


@part
class FigureNote:
    """One computed figure with its range, unit, the way it was reached and its source."""

    name: str
    title: str
    low: float
    likely: float
    high: float
    unit: str
    how: str
    source: str


@part
class Remark:
    """Something to know beside the figures."""

    kind: Literal["verdict", "limit", "note", "warning", "step", "sign"]
    text: str
    do: str | None = None
    source: str | None = None


@part
class Line:
    """One line of a table of figures, such as one limit."""

    title: str
    figures: Annotated[tuple[FigureNote | None, ...], Field(description="One for each column, or null.")]
    word: Annotated[str, Field(description="What is said of the line in a word or two.")]
    source: str


@part
class Table:
    """Figures of one kind for several things, laid out line by line."""

    columns: tuple[str, ...]
    lines: tuple[Line, ...]


@part
class Group:
    """Figures that belong together."""

    title: str
    figures: tuple[FigureNote, ...] = ()
    said: tuple[Remark, ...] = ()
    table: Table | None = None


@frozen
class ResultLine:
    """One line of a table as a computation gives it.

    Attributes:
        title: What the line is about.
        figures: One for each column; None where one does not apply.
        word: What is said of it in a word or two.
        source: Where what is compared with comes from.
    """

    title: str
    figures: tuple[Figure | None, ...]
    word: str
    source: str


@frozen
class Result:
    """Figures that belong together as a computation gives them: not rounded yet, sources by their short names.

    Attributes:
        title: What they are about.
        figures: The figures; None where one does not apply.
        said: What is to be known beside them.
        columns: Titles of the columns of its table.
        lines: Lines of its table.
        stop: Whether the work must not be done.
    """

    title: str
    figures: tuple[Figure | None, ...] = ()
    said: tuple[Remark, ...] = ()
    columns: tuple[str, ...] = ()
    lines: tuple[ResultLine, ...] = ()
    stop: bool = False


@part
class Calculation:
    """What one computation gives."""

    document: Literal["calculation"] = "calculation"
    version: Literal[1] = 1
    program: str
    command: str
    title: str
    rules_fingerprint: str
    inputs: Annotated[dict[str, str], Field(description="The inputs as they were understood.")]
    stop: Annotated[bool, Field(description="Whether the work must not be done.")] = False
    groups: tuple[Group, ...]

    def figure(self, name: str) -> FigureNote:
        """One figure by its name.

        Raises:
            KeyError: If there is none.
        """
        for group in self.groups:
            for figure in group.figures:
                if figure.name == name:
                    return figure
        raise KeyError(name)


if TYPE_CHECKING:
    from advisor.rulebase.reading.entries import SourceEntry

_REFERENCE = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+, [^;]+")


class Citer:
    """Writes the sources of figures in full."""

    def __init__(self, sources: Mapping[str, SourceEntry]) -> None:
        self.sources = sources

    def full(self, text: str) -> str:
        """A source text in which every short reference is written out."""
        parts = [self._part(part.strip()) for part in text.split(";") if part.strip()]
        return "; ".join(dict.fromkeys(parts))

    def _part(self, part: str) -> str:
        name = part.partition(",")[0].strip()
        if name in self.sources and (
            part == name or _REFERENCE.fullmatch(part) or self.sources[name].kind != "published"
        ):
            found, _ = resolve_sources(part, self.sources)
            if found:
                return found[0].text
        return part

    def note(self, figure: Figure) -> FigureNote:
        """A figure as a part of the document, rounded to four figures."""
        low, likely, high = (
            float(format_number(value, 4)) for value in (figure.amount.low, figure.amount.likely, figure.amount.high)
        )
        return FigureNote(
            name=figure.name,
            title=figure.title,
            low=low,
            likely=likely,
            high=high,
            unit=figure.unit,
            how=figure.how,
            source=self.full(figure.source),
        )

    def group(self, result: Result) -> Group:
        """A result as a part of the document."""
        said = tuple(self._cited(one) for one in result.said)
        table = Table(columns=result.columns, lines=tuple(map(self._line, result.lines))) if result.lines else None
        return Group(title=result.title, figures=self.notes(result.figures), said=said, table=table)

    def _line(self, line: ResultLine) -> Line:
        figures = tuple(None if figure is None else self.note(figure) for figure in line.figures)
        return Line(title=line.title, figures=figures, word=line.word, source=self.full(line.source))

    def _cited(self, said: Remark) -> Remark:
        if said.source is None:
            return said
        return Remark(kind=said.kind, text=said.text, do=said.do, source=self.full(said.source))

    def notes(self, figures: Iterable[Figure | None]) -> tuple[FigureNote, ...]:
        """Several figures; what is None is left out."""
        return tuple(self.note(figure) for figure in figures if figure is not None)
