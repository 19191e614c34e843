"""Drills: drawn from the rules and the worked cases, examined by the engine, spaced, and kept for each learner."""
