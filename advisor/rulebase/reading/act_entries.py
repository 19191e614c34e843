"""What may stand in a rule file about acts: what is done with a material, and the kinds of material there are."""

from __future__ import annotations

from advisor.rulebase.reading.entries import Condition, Name, RuleEntry, Text


class ActEntry(RuleEntry):
    """Something that is done with a material; hazards and preparations name the acts that bring them.

    Attributes:
        title: What is done, after "is", such as "melted".
        of: Acts that this one stands for, such as all work with fire. No step does it; it only gathers them.
    """

    title: Text
    of: list[Name] = []


class KindEntry(RuleEntry):
    """A thing in hand that no plan weighs out, or a kind of material.

    Attributes:
        title: What it is, before "is".
        of: Materials and things that belong to it; hazards and preparations name the kind, steps name what they take.
        stands_for: Materials that it is in a plan, each while a condition holds; a step may name it.
        weighed: Whether it is all that the plan weighs out; a step may name it.
        gone_with_the_batch: Whether it is there no more when a piece that came out is corrected.
    """

    title: Text
    gone_with_the_batch: bool = False
    of: list[Name] = []
    stands_for: dict[Name, Condition] = {}
    weighed: bool = False
