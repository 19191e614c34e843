"""What a drawing in a rule file is made of. How it is drawn stands in ``advisor.present.drawing``."""

from advisor.rulebase.drawings.model import Drawing, DrawingEntry, ShapeEntry, drawing_of

__all__ = ["Drawing", "DrawingEntry", "ShapeEntry", "drawing_of", "fills", "model"]
