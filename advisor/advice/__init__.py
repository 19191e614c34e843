"""From conclusions to documents: weighed amounts, a numbered plan, hazards with controls, what went wrong and why.

``build_advice`` and ``build_diagnosis`` make the two documents, ``documents`` says what these hold, ``batches`` reads
and writes files of answers, ``plan`` weighs and computes for one batch, ``notes`` words single rules, ``experience``
says what earlier batches teach, and ``next_batch`` what a diagnosis changes. Nothing is loaded before it is named.
"""

__all__ = [
    "batches",
    "build_advice",
    "build_diagnosis",
    "checking",
    "comparing",
    "documents",
    "experience",
    "next_batch",
    "notes",
    "plan",
    "two_lots",
]
