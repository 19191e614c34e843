"""Proof over all sets of answers: does the rule base keep what it promises, for everybody who may ask?

A rule base is finite: each variable lies in one of a few cells, or, where something is not known, in a set of them.
So each promise is a sentence of propositional logic, and a solver decides it for all sets of answers at once.
Nothing here is imported unless a proof is asked for; the solver is an optional dependency (``proof``).

``space`` holds the answers and all that follows from them. ``space.logic`` alone knows the solver: a *bit* is True,
False or an expression; constants fold at once and every compound bit gets a name, so that formulas stay shallow.
Answers are *full* (each variable in one cell) or *partial* (what a person can say). A condition has two bits,
*holds for certain* and *may hold*, with the same splitting as the inference.

``promises`` holds the seven: *complete*, *decided* and *consistent* (``decided``), *alive*, *safe* (``invariants``),
and two that lay two worlds beside each other: *mendable*, where the second lacks nothing of one preparation (work
that stops in the first stops in the second too), and *monotone*, where one answer is worse in the second. What is
worked out before deciding (computed facts) is free in a proof: every amount that it may be is looked at, with every
other answer. What is to be proved is data: ``rules/invariants.yaml``, ``rules/worse.yaml`` (orders of danger),
``rules/kept.yaml`` (a second net that changes nothing once all is answered), and the same for the diagnosis.

``search`` finds the fewest answers that break a promise; ``search.oracle`` asks the inference itself whether they
do. A shop's own rules may replace or switch off what a promise names: the proof says what is missing, and that is
no fault of the file. In the diagnosis *alive* shows that an argument strikes or weighs, not that it decides alone,
and no order of danger is declared.

Why to believe it: ``tests/proof`` compares solver and inference line for line on drawn answers, and with going
through every set of answers on made-up bases; seeded faults and a million random sets are commands of their own.
"""

__all__ = ["prove", "report", "search", "space", "witness"]
