"""The rule base as typed objects: reads the YAML, checks it, compiles the conditions. Knows nothing of gold.

- A decision may be tested by rules of later decisions, by hazards, steps, amounts, expectations and referrals.
- There is no "is known" test in the grammar: it would let an answer un-settle a decision.
- Nothing in a rule is run as code: a closed grammar (``language.grammar``) makes trees, unknown words are faults.
- The YAML reader takes no anchors, aliases, tags, duplicate keys, ``no``-as-false, octal or sexagesimal numbers.
- Tables say what their rows are, and what the program reads by name stands in ``rules/needs.yaml``; both are
  checked when rules are compiled. A shop's row replaces the row of its key.
- The compiled rule base is cached under a hash of the rules and of the program; deleting the cache is always
  harmless. A cache that this account did not make alone is not believed (``cache``).
- A file of ``rules/diagnosis`` begins with ``consultation: diagnose``; the route consultation never parses it. A
  cause is written in one place; ``reading.expand_causes`` makes an option and arguments of it. A remedy takes
  over the constraints of the work it is like, seen with the piece (``compiling.inherited_constraints``).
"""

__all__ = ["compiling", "drawings", "entry", "language", "loading", "locations", "model", "reading", "values"]
