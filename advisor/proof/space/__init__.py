"""All sets of answers at once, as bits for the solver."""

__all__ = ["logic"]
