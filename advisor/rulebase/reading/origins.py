"""Where an entry stands, and what it replaced."""

from __future__ import annotations

from advisor.frozen import kept


@kept
class Origin:
    """Where an entry stands.

    Attributes:
        file: The file, as it is shown to the user.
        line: Its line.
        layer: Title of the layer: the shipped rules or a shop's own folder.
    """

    file: str
    line: int
    layer: str


@kept
class Override:
    """A rule of a lower layer that a higher one replaced or switched off."""

    section: str
    id: str
    layer: str
    how: str
    reason: str
