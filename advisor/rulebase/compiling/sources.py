"""Turns the short references in rules into full ones, and refuses those that name no place in a text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import Source
from advisor.words import tr

if TYPE_CHECKING:
    from advisor.rulebase.reading.entries import SourceEntry


def resolve_sources(
    given: str | list[str] | None, entries: Mapping[str, SourceEntry]
) -> tuple[tuple[Source, ...], list[tuple[str, str]]]:
    """The sources a rule names.

    Args:
        given: ``name, place`` or a list of them; the place (page, table, section) is needed for published sources.
        entries: All declared sources.

    Returns:
        The sources, and for each fault what is wrong and what would be right.
    """
    sources: list[Source] = []
    problems: list[tuple[str, str]] = []
    for reference in [given] if isinstance(given, str) else given or []:
        name, _, place = (part.strip() for part in reference.partition(","))
        entry = entries.get(name)
        if entry is None:
            problems.append(
                (
                    tr("there is no source '{name}'", name=name),
                    tr("declare it under sources, or write practice or memory") + closest(name, entries),
                )
            )
        elif entry.kind == "published" and not place:
            problems.append(
                (
                    tr("'{name}' is named without a place in it", name=name),
                    tr("add the page, table or section, for example  beringer-1904, p. 93"),
                )
            )
        else:
            sources.append(source_of(name, entry, place))
    return tuple(sources), problems


def source_of(name: str, entry: SourceEntry, place: str = "") -> Source:
    """The reference to a place in a source."""
    cited = ", ".join(part for part in (entry.author, entry.title) if part)
    return Source(name, entry.kind, place, cited, entry.year, tuple(entry.not_shown or ()))
