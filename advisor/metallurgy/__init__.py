"""The computation by subject: pure functions, every figure from a table of the rules with its source.

Packages use each other in one direction only: ``common``, then ``concentrate``, then ``charge``, ``cupellation``,
``roasting``, ``bead``, ``air`` and ``balance`` side by side, then ``correction``. ``commands`` names the computations
that are commands without loading one, ``calculators`` holds all computations by name, ``check`` finds what only they
can find wrong in rules. Packages re-export nothing, so that whoever wants a table loads no computation.
"""

__all__ = [
    "air",
    "balance",
    "calculators",
    "charge",
    "check",
    "commands",
    "common",
    "concentrate",
    "cupellation",
    "roasting",
]
