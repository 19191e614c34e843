"""Which question can still change the advice, and which to ask next.

A decision is settled by bounds alone; every question that bounds leave open is asked until they settle it. What was
answered as not known counts as it does in the advice (``engine.unsure``), so nobody who knows little is asked what
can no longer matter. ``contested`` says what can still turn a decision, ``details`` what hazards, steps and weights
hang on, ``cause_questions`` what parts the causes of a diagnosis. ``questions`` puts the kinds in order: what can
stop the work, what bears on each decision in turn, details; a later kind only when the earlier ones are used up.

Drawn completions only order the questions (``order``). A completion gives a value to every fact that was not asked;
512 are drawn, the same every time, most of them such that work can go on (``completions``), and worked out side by
side, one bit each of a long integer (``blocks``, ``winners``). A question comes first when one of them shows that
its answer turns the decision (``sample``), the dangers before all, then by what it tells for the questions it adds
(``scoring``); one of the group asked about last counts double. Trying an answer sums only what it changes. With more
than 600 arguments about one decision bounds give the order, and the answers of few facts are tried.
"""
