"""What was measured, against named limits: air at work, lead in blood, a leach test of waste.

For others: ``calculator`` for its inputs and results.
"""

__all__ = ["air", "blood", "leach"]
