"""What a question is."""

from __future__ import annotations

from advisor.frozen import frozen


@frozen
class Question:
    """A question that can still change the advice.

    Attributes:
        fact: Name of the fact to ask for.
        purpose: ``stop`` (can stop the work), the name of a decision, or ``details`` (hazards, steps, weights).
        score: How much it is expected to decide for what it costs; greater is better.
    """

    fact: str
    purpose: str
    score: float
