"""What a drawing in a rule file is made of. How it is drawn stands in ``advisor.present.drawing``."""

from advisor.rulebase.drawings.model import Drawing

__all__ = ["Drawing", "entries", "fills", "model"]
