"""Bead and bar: density, fineness, worth.

For others: ``calculator`` for its inputs and results; ``fineness`` and ``worth`` for the tables they read.
"""
