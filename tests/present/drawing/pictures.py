"""The shipped pictures by family, read as they are written, and a short way to make one for a test."""

from __future__ import annotations

from typing import Any

from advisor.rulebase.drawings import Drawing
from advisor.rulebase.drawings.entries import DrawingEntry
from advisor.rulebase.locations import shipped
from advisor.rulebase.reading.yaml_reader import read_document

FAMILIES: dict[str, dict[str, Drawing]] = {
    path.stem: {
        name: Drawing(name, DrawingEntry.model_validate(entry))
        for name, entry in read_document(path).data["drawings"].items()
    }
    for path in sorted((shipped("rules") / "drawings").glob("*.yaml"))
}
"""File name without its ending -> name -> picture."""

PICTURES: dict[str, Drawing] = {name: picture for family in FAMILIES.values() for name, picture in family.items()}


def rect(fill: str, x: float = 10, y: float = 10, wide: float = 40, high: float = 40, **more: Any) -> dict[str, Any]:
    return {"kind": "rect", "fill": fill, "at": [x, y], "size": [wide, high], **more}


def entry(*shapes: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"title": "A trial", "caption": "Something is seen.", "shapes": list(shapes)} | more


def picture(*shapes: dict[str, Any], name: str = "a_trial", **more: Any) -> Drawing:
    return Drawing(name, DrawingEntry.model_validate(entry(*shapes, **more)))
