"""The smelting charge: what it melts to, what to weigh, which vessels.

For others: ``plan`` (plan or judge a charge), ``iron`` (which minerals burn), ``weights`` (what is wished for),
``melt`` (a charge and what becomes of it), ``tables``, ``trial`` (what a trial fusion tells of a concentrate),
and ``calculator`` for its inputs and results. Corrections also use single rules of ``slag`` and ``reducing``.
"""

__all__ = ["calculator", "iron", "melt", "plan", "tables", "trial", "weights"]
