"""What is in the concentrate.

For others: ``composition`` (a concentrate, from shares, masses, displaced water or an assay), ``minerals``, and
``calculator`` for its inputs and its result. ``mixtures`` is its own.
"""

__all__ = ["calculator", "composition", "minerals"]
