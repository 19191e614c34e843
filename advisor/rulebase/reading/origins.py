"""Where an entry stands, and what it replaced."""

from __future__ import annotations

from advisor.frozen import kept
from advisor.words import tr

SHIPPED_LAYER = "shipped rules"
"""The title of the lowest layer."""


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
    """A rule of a lower layer that a higher one replaced or switched off.

    Attributes:
        section: Its section.
        id: Its id.
        layer: Title of the higher layer.
        how: ``replaced``, ``replaced whole`` (a table) or ``switched off``.
        reason: Why it was switched off.
    """

    section: str
    id: str
    layer: str
    how: str
    reason: str


def layer_words(title: str) -> str:
    """How a layer is called: a folder by its path, the lowest layer in words."""
    return tr("shipped rules") if title == SHIPPED_LAYER else title
