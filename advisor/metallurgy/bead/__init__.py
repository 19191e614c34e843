"""Bead and bar: density, fineness, worth."""
