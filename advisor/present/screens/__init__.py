"""What a person reads at once: the first screen of a document, and the work one phase a screen. Lines only; they are
printed elsewhere."""

__all__ = ["common", "diagnosis", "first", "layout", "phases"]
