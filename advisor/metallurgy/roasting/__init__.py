"""The roast: stages, air, gases, what is left.

For others: ``plan`` (a roast, or its refusal), ``tables``, and ``calculator`` for its inputs and results.
``chemistry``, ``gases`` and ``heat`` are its own.
"""

__all__ = ["calculator", "plan", "tables"]
