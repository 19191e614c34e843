"""Drills: drawn from the rules and the worked cases, examined by the engine, spaced, and kept for each learner."""

__all__ = ["drills", "examining", "lesson", "readiness", "reasons", "records", "spacing", "syllabus", "training_rules"]
