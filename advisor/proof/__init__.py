"""Proof over all sets of answers: does the rule base keep what it promises, for everybody who may ask?

A rule base is finite: each variable lies in one of a few cells, or, where something is not known, in a set of
them. So each promise is a sentence of propositional logic, and a solver decides it for all answer sets at once.
Nothing here is imported unless a proof is asked for; the solver is an optional dependency (``proof``).
"""

__all__ = ["prove", "report", "search", "space", "witness"]
