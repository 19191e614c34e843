"""The rule base as typed objects: reads the YAML, checks it, compiles the conditions. Knows nothing of gold.

- A decision may be tested by rules of later decisions, by hazards, steps, amounts, expectations and referrals.
- There is no "is known" test in the grammar: it would let an answer un-settle a decision.
- Nothing in a rule is run as code: a closed grammar (``language.grammar``) makes trees, unknown words are faults.
- The YAML reader takes no anchors, aliases, tags, duplicate keys, ``no``-as-false, octal or sexagesimal numbers.
- Tables say what their rows are, and what the program reads by name stands in ``rules/needs.yaml``; both are
  checked when rules are compiled. A shop's row replaces the row of its key.
- Words stand apart from logic. A text is known by the place where it stands (``facts.gas_hose_tested.ask``), and what a
  test says by such places and amounts (``language.words``); the type of a field says whether it is a text for people or
  the same in every language (``reading.entries``), a column of a table by ``text`` or ``name``. The texts are read when
  the first one is shown, in the language of the run. ``loading.load_texts`` lists them for translators.
- Loading always hands out the form that an image gives (``image``, ``entry``), whether it comes from the cache or is
  compiled anew. The cache stands under a hash of the rules and of the program; deleting it is always harmless. A cache
  that this account did not make alone is not believed (``cache``).
- A file of ``rules/diagnosis`` begins with ``consultation: diagnose``; the route consultation never parses it. A
  cause is written in one place; ``reading.expand_causes`` makes an option and arguments of it. A remedy takes
  over the constraints of the work it is like, seen with the piece (``compiling.inherited_constraints``).
"""

__all__ = ["compiling", "drawings", "entry", "language", "loading", "locations", "model", "reading", "values"]
