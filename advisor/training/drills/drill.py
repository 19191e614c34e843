"""A drill: what the learner is told and asked. The right answer does not stand in it; the engine finds it."""

from __future__ import annotations

from dataclasses import field

from advisor.engine import Answers
from advisor.frozen import frozen
from advisor.rulebase.model import RuleBase
from advisor.units import Range

MOST_CHOICES = 6
MOST_TOLD = 9


@frozen
class DrillLine:
    """One thing the learner is told: what it is about, and how it is."""

    label: str
    value: str


@frozen
class Choice:
    """One answer that is offered.

    Attributes:
        id: What it stands for: an option, a hazard, a control, a cause.
        label: A few words.
        means: A sentence more, for those who ask; may be empty.
    """

    id: str
    label: str
    means: str = ""


@frozen
class Drill:
    """One drill.

    Attributes:
        kind: What kind it is.
        topic: What it is about, so that it comes back until it is known; never shown before the answer.
        base: The rules it is examined by: ``route`` or ``pieces``.
        answers: The facts of the batch or piece, as a consultation would have them.
        subject: What is asked about: a decision, a hazard, a material or a fact.
        ask: The question.
        told: What matters.
        rest: What is as usual, for those who ask.
        choices: The answers offered, in the order of the rules; none where an amount is asked for.
        several: Whether any number of them may be right.
        pictures: Names of drawings that are shown.
        shown: Lines that are shown as they are: a piece of a page.
        hint: Help for those who ask; may be empty.
        case: The worked case it was taken from, or nothing.
    """

    kind: str
    topic: str
    base: str
    answers: Answers
    subject: str
    ask: str
    told: tuple[DrillLine, ...] = ()
    rest: tuple[DrillLine, ...] = ()
    choices: tuple[Choice, ...] = ()
    several: bool = False
    pictures: tuple[str, ...] = ()
    shown: tuple[str, ...] = ()
    hint: str = ""
    case: str = ""

    @property
    def item(self) -> str:
        """What the spacing keeps apart: the kind and the topic."""
        return f"{self.kind}:{self.topic}"

    @property
    def text(self) -> str:
        """Everything the learner may read before the answer, besides the choices."""
        told = (f"{line.label}: {line.value}" for line in (*self.told, *self.rest))
        return "\n".join((self.ask, *told, self.hint))


@frozen
class Key:
    """What the engine says to a drill.

    Attributes:
        right: The choices that are right: any one of them, or all of them where several may be right.
        amount: The range of the plan, in g, where an amount is asked for.
    """

    right: frozenset[str] = field(default_factory=frozenset)
    amount: Range | None = None


def reveals(drill: Drill, right: frozenset[str]) -> bool:
    """Whether the text before the answer holds the words of a right choice and of no wrong one."""
    text = drill.text.lower()
    said = {choice.id for choice in drill.choices if choice.label.lower() in text}
    return bool(said & right) and said <= right


def picture_words(rule_base: RuleBase, names: tuple[str, ...]) -> str:
    """The words of the key that is shown under pictures: what each fill stands for."""
    from advisor.rulebase.drawings.fills import LOOKS

    return "; ".join(
        dict.fromkeys(LOOKS[shape.fill].means for name in names for shape in rule_base.drawings[name].shapes)
    )
