"""Drills drawn up from rules and worked cases."""
