"""What all computations share.

For all: ``figure`` and ``rows`` (figures and typed rows of tables, each with its source), ``inputs`` (what a
computation is told), ``document`` (its results and what is shown of them). For the computations only: ``bounds``,
``range_sums`` and ``gas_law``.
"""

__all__ = ["document", "figure", "inputs", "rows", "tables"]
