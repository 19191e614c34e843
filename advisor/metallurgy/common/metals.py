"""The metals that tables and figures name, in words."""

from __future__ import annotations

from advisor.words import tr

_WORDS = {
    "antimony": tr("antimony"),
    "arsenic": tr("arsenic"),
    "bismuth": tr("bismuth"),
    "copper": tr("copper"),
    "gold": tr("gold"),
    "iron": tr("iron"),
    "lead": tr("lead"),
    "nickel": tr("nickel"),
    "silver": tr("silver"),
    "tellurium": tr("tellurium"),
    "tin": tr("tin"),
    "zinc": tr("zinc"),
}


def metal_word(name: str) -> str:
    """A metal in words; one that only a shop's own tables know is called as they call it."""
    return _WORDS.get(name, name)
