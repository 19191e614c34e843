"""The computation by subject: pure functions, every figure from a table of the rules with its source.

Packages use each other in one direction only: ``common``, then ``concentrate``, then ``charge``, ``cupellation``,
``roasting``, ``bead``, ``air`` and ``balance`` side by side, then ``correction``. ``tables`` holds the typed tables of
one rule base; ``calculators`` all computations by name; ``named_computations`` checks what rule files name of them.
Each package says which of its modules are for others. Packages re-export nothing, so that whoever wants a table loads
no computation.
"""
