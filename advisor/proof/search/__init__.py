"""Asking the solver, and checking what it finds with the inference itself."""

__all__ = ["prover"]
