"""The computation by subject: pure functions, every figure from a table of the rules with its source.

Packages use each other in one direction only: ``common``, then ``concentrate``, then ``charge``, ``cupellation``,
``roasting``, ``bead``, ``air`` and ``balance`` side by side, ``limits`` above ``air``, then ``correction``.
``commands`` names the computations that are commands without loading one, ``calculators`` holds all computations by
name, ``check`` finds what only they can find wrong in rules. Packages re-export nothing, so that whoever wants a
table loads no computation.

A result is a ``Figure``: low, likely, high, unit, how, source. Sources that disagree stand side by side in the
tables; where one figure is needed, the cautious one is taken. Other people's losses are ranges and never
corrections. Bismuth has no published ratio: its amounts are practice, and a shop's own results will set it. The
fume screen never says that a place is free of danger. In a consultation ``advice.plan`` works all of this out once
for a route and says where the computation and the rule of thumb lie apart.
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
    "limits",
    "roasting",
]
