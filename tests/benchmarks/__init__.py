"""What a user waits for, as ratios: ``python -m tests.benchmarks.measure``.

Times are processor time, which on an idle machine is what a person waits; each ratio is taken within one run, both
sides in turn. A line whose goal is missed says by how much and why. What makes the program quick, and what that
costs:

- The compiled rule base is kept (``rulebase.image``), so that a start neither parses nor validates nor compiles, and
  loads none of the models that do. What explains the rules is read when the first of them is explained, texts when the
  first one is shown; at 10,000 rules that leaves out half of what would be read.
- What an image holds by the thousand has no slots (``frozen.kept``), so that it is read without a call in Python.
- Of the commands only the one that is typed is built.
- Documents are not validated when made (``document``); frozen classes share their methods (``frozen``).
- Schemas of pydantic are built when first used, and it looks for no plugins.
- Conditions are compiled when first asked for; equal ones, equal tests and equal sources are kept once.
- No search for circles of garbage while a run lasts, which alone took a fifth of a run.
- What is not needed is not imported: rich where the output is no terminal, the conversation where answers come from a
  file, statistics without a journal.
"""
