"""The language of rules: the closed grammar, and compiled conditions and formulas."""

__all__ = ["conditions", "formulas", "grammar", "results", "words"]
