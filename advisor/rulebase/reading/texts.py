"""Placeholders in the texts of rules: ``{soda_ash}`` stands for the weighed amount."""

from __future__ import annotations

import re
from collections.abc import Callable

_PLACEHOLDER = re.compile(r"\{([a-z][a-z0-9_]*)\}")


def placeholder_names(text: str) -> list[str]:
    """The names between braces in a text."""
    return _PLACEHOLDER.findall(text)


def fill(text: str, value_of: Callable[[str], str]) -> str:
    """The text with every placeholder replaced."""
    return _PLACEHOLDER.sub(lambda match: value_of(match[1]), text)
