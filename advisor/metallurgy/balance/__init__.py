"""Where the gold went.

For others: ``gold`` (balances) and ``calculator`` for its inputs and results.
"""

__all__ = ["gold"]
