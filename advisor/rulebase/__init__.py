"""The rule base as typed objects: reads the YAML, checks it, compiles the conditions. Knows nothing of gold."""

__all__ = ["compiling", "drawings", "language", "loading", "locations", "model", "reading", "values"]
