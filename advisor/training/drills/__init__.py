"""Drills drawn up from rules and worked cases."""

__all__ = ["drawing_up", "drill"]
