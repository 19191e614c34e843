"""Turns the short references in rules into full ones, and refuses those that name no place in a text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import Source
from advisor.words import tr

if TYPE_CHECKING:
    from advisor.rulebase.reading.entries import SourceEntry

PLAIN_SOURCES = {
    "practice": tr("common practice, no source"),
    "memory": tr("from memory, not checked against a text"),
    "calculation": tr("calculation"),
}
"""Sources that name no text, in words."""


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
                    f"there is no source '{name}'",
                    "declare it under sources, or write practice or memory" + closest(name, entries),
                )
            )
        elif entry.kind == "published" and not place:
            problems.append(
                (
                    f"'{name}' is named without a place in it",
                    "add the page, table or section, for example  beringer-1904, p. 93",
                )
            )
        else:
            sources.append(Source(name, entry.kind, _full_text(entry, place)))
    return tuple(sources), problems


def _full_text(entry: SourceEntry, place: str) -> str:
    if entry.kind != "published":
        plain = PLAIN_SOURCES[entry.kind]
        return f"{plain} ({place})" if place else plain
    named = f"{entry.author}, {entry.title}" if entry.author else f"{entry.title}"
    return f"{named} ({published_when(entry)}), {place}"


def published_when(entry: SourceEntry) -> str:
    """The year of a published source, and what the text that was read does not show."""
    missing = " and ".join(entry.not_shown or ())
    return ", ".join(part for part in (entry.year, f"{missing} not shown" if missing else None) if part)
