"""Drills: drawn from the rules and the worked cases, examined by the engine, spaced, and kept for each learner.

A drill holds no answer. It holds facts, and ``examining`` asks the engine anew each time. Draws use
``Random.random`` alone, which gives the same numbers in every version of Python. Drills come back by the
published algorithm FSRS, from its maintained library, without random fuzz, so that a record has one future.
"""

__all__ = ["drills", "examining", "lesson", "readiness", "reasons", "records", "spacing", "syllabus", "training_rules"]
