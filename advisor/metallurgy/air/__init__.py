"""What may be in the air, against named limits.

For others: ``fume`` (the screen), ``exposure`` (agents, limits, masks), and ``calculator`` for its inputs and results.
"""

__all__ = ["calculator", "exposure", "fume"]
