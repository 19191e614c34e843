"""The advisor: which way to refine tonight's gold concentrate without mercury.

The way of one answer through the rooms:

1. ``terminal.consult.conversation`` shows a question and reads what was typed; ``rulebase.values.read_value``
   makes a value of it. The answers so far are concluded once, and what follows is kept until the next answer.
2. ``engine.state`` makes the state: the domain of each variable, with what follows from other answers
   (``implied``).
3. ``engine.conclude`` takes the decisions in order. ``engine.decide`` tallies the arguments: an open constraint
   strikes, an open argument against counts, an open one for does not. So no danger is left out for want of an
   answer.
4. ``engine.ask`` gives the next question; bounds alone say that a decision is settled.
5. ``advice.build_advice`` makes the one frozen document from which every view draws. A diagnosis goes the same
   way: its causes are a decision for several options, its remedy an ordinary one (``advice.build_diagnosis``).
"""

__version__ = "0.1.0"
