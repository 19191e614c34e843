"""From entries to the compiled rule base: names resolved, conditions compiled, everything cross-checked."""

__all__ = ["inherited_constraints", "sources"]
