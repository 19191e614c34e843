"""The cupellation: collector, cupel, heat, time, losses.

For others: ``plan`` (one cupellation), ``metals`` (what lies on the cupel), ``tables``, and ``calculator`` for its
inputs and results. Corrections also use single rules of ``cupel``, ``heat``, ``lead`` and ``losses``.
"""

__all__ = ["calculator", "metals", "plan", "tables"]
