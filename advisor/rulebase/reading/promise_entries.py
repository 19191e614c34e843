"""What may stand in a rule file about the promises of a rule base: what a proof must show for every set of answers."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from advisor.rulebase.reading.entries import Bringing, Condition, Id, Name, RuleEntry, Sources, Text, Written
from advisor.words import tr


class PromisedControlEntry(RuleEntry):
    """A control that must be in the advice.

    Attributes:
        hazard: The hazard it belongs to.
        says: Words that stand in its text.
    """

    hazard: Id
    says: Written


class InvariantEntry(RuleEntry):
    """What must be so whenever a condition holds, whatever else is answered.

    With full answers: where ``when`` holds, everything below it is so. With partial answers an open danger counts as
    present: unless ``when`` fails, everything below it is so for certain, under the cautious choice of every decision.

    Attributes:
        means: The promise in one sentence.
        acts: The acts with which it is made, whatever work does them: it is proved of the route and of corrections.
        when: The condition under which it is made.
        then: A condition that must hold.
        hazards: Hazards that must be attached.
        without_hazards: Hazards that must not be attached.
        steps: Steps that must be in the plan.
        without_steps: Steps that must not be in the plan.
        controls: Controls that must be shown.
        answers: ``all`` sets of answers, or only ``full`` ones where an unknown may leave it open.
        reason: Why, in plain words.
        source: Where it comes from.
    """

    id: Id
    means: Text
    acts: list[Bringing] = []
    when: Condition | None = None
    then: Condition | None = None
    hazards: list[Id] = []
    without_hazards: list[Id] = []
    steps: list[Id] = []
    without_steps: list[Id] = []
    controls: list[PromisedControlEntry] = []
    answers: Literal["all", "full"] = "all"
    reason: Text
    source: Sources

    @model_validator(mode="after")
    def _promises_something(self) -> InvariantEntry:
        lists = (self.hazards, self.without_hazards, self.steps, self.without_steps, self.controls)
        if self.then is None and not any(lists):
            raise ValueError(tr("an invariant needs then, hazards, steps, controls, or one of the two withouts"))
        if self.when is None and not self.acts:
            raise ValueError(tr("an invariant needs a condition under when, or acts"))
        return self


class WorseEntry(RuleEntry):
    """A fact whose values have an order of danger.

    When only this answer gets worse, no hazard that hangs on answers alone is dropped; as long as every decision
    stays the same, no hazard and no control is dropped; and none of ``never_adds`` begins to hold.

    Attributes:
        fact: The fact.
        order: Its values from harmless to worst; ``more`` or ``less`` where more or less of it is worse.
        items: For a list, the items meant; all if none are named.
        never_adds: Conditions that a worse value may not make true.
        reason: Why this order.
        source: Where it comes from.
    """

    id: Id
    fact: Name
    order: Annotated[list[Name], Field(min_length=2)] | Literal["more", "less"]
    items: list[Name] = []
    never_adds: list[Condition] = []
    reason: Text
    source: Sources


class KeptEntry(RuleEntry):
    """Rules that change nothing once everything is answered, and are kept as a second safety net.

    Attributes:
        rules: Each as ``section.id``; a control as ``controls.HAZARD.CONDITION``.
        reason: Why they are kept.
        source: Where the reason comes from.
    """

    id: Id
    rules: Annotated[list[Written], Field(min_length=1)]
    reason: Text
    source: Sources
