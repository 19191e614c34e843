"""The shape of a batch file; its JSON Schema helps an editor."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

from advisor.advice.documents.common import OutcomeKind
from advisor.words import tr

Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]


def _a_day(written: str) -> str:
    try:
        return date.fromisoformat(written).isoformat()
    except ValueError:
        raise ValueError(tr("'{written}' is not a day; write it like 2026-11-29", written=written[:30])) from None


Day = Annotated[str, AfterValidator(_a_day), Field(json_schema_extra={"format": "date"})]


class _Entry(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", coerce_numbers_to_str=True, defer_build=True)


class ExpectedAdvice(_Entry):
    """What must come out of a worked case.

    Attributes:
        route: The route.
        collector: The collector.
        cupel: The kind of cupel, where the case is about it.
        borax: The form of borax, where the case is about it.
        outcome: Work; first, work after preparations; find_out, find out first; or stop.
        first: Preparations that must stand under FIRST, by name.
        without_first: Preparations that must not stand there.
        hazards: Hazards that must be attached.
        without_hazards: Hazards that must not be attached.
        steps: Steps that must be in the plan.
        without_steps: Steps that must not be in the plan.
        amounts: For a material the range in which the weight must lie that is printed, for example ``480 to 520 g``.
        because: Arguments that must hold.
    """

    route: Text
    collector: Text | None = None
    cupel: Text | None = None
    borax: Text | None = None
    outcome: OutcomeKind = "work"
    first: list[Text] = []
    without_first: list[Text] = []
    hazards: list[Text] = []
    without_hazards: list[Text] = []
    steps: list[Text] = []
    without_steps: list[Text] = []
    amounts: dict[str, Text] = {}
    because: list[Text] = []


class ExpectedDiagnosis(_Entry):
    """What must come out of a worked case of a diagnosis.

    Attributes:
        causes: Causes that must be acted on; the first is the best supported.
        not_causes: Causes that must not be acted on.
        remedy: What to do with the piece.
        outcome: Work; first, work after preparations; find_out, find out first; or stop.
        first: Preparations that must stand under FIRST, by name.
        without_first: Preparations that must not stand there.
        figures: For a figure of the correction the range its likely value must lie in, for example ``1 to 3 g``.
        hazards: Hazards that must be attached.
        without_hazards: Hazards that must not be attached.
        because: Signs that must hold.
    """

    causes: list[Text] = []
    not_causes: list[Text] = []
    remedy: Text
    outcome: OutcomeKind = "work"
    first: list[Text] = []
    without_first: list[Text] = []
    figures: dict[str, Text] = {}
    hazards: list[Text] = []
    without_hazards: list[Text] = []
    because: list[Text] = []


class UsualFile(_Entry):
    """A gold room with its people, gear and law, or an ordinary lot: answers for the files that name it.

    Attributes:
        title: What it is called.
        description: What it is like.
        date: The day on which it was last said to be so; of a gold room.
        invented: Whether it was made up for training and tests.
        like: Another of its kind, whose answers count where this one has none.
        answers: Its answers, by fact.
        unanswered: Facts whose answer is not taken from the one it is like.
    """

    title: Text
    description: Text | None = None
    date: Day | None = None
    invented: bool = False
    like: Text | None = None
    answers: dict[str, Any]
    unanswered: list[Text] = []


class FactorEntry(_Entry):
    """How many times the weight that the rules alone plan: low, likely and high."""

    low: Annotated[float, Field(ge=0)]
    likely: Annotated[float, Field(ge=0)]
    high: Annotated[float, Field(ge=0, le=1000)]


class LearnedEntry(_Entry):
    """A weight that the diagnosis of an earlier batch changed.

    Attributes:
        material: What is weighed.
        route: The route on which it was learned; on another it says nothing.
        collector: The collector it was learned with.
        cupel: The kind of cupel it was learned with.
        factor: The weight to take over what the rules alone plan.
        source: The batch that taught it, in words.
        because: The cause that the diagnosis found.
    """

    material: Text
    route: Text
    collector: Text
    cupel: Text
    factor: FactorEntry
    source: Text
    because: Text


class CaseFile(_Entry):
    """A batch file: answers, and for a worked case what must come out and why.

    A file of observations may name a ``plan``, the file of the answers that the batch was planned with. A ``room`` is
    a name, or a file whose name ends in .yaml; a ``lot`` is a name. A file that names them starts from their answers;
    its own count before them, and ``unanswered`` takes away those of the facts it names. ``learned`` holds weights that
    an earlier batch changed.
    """

    title: Text | None = None
    description: Text | None = None
    invented: Text | None = None
    plan: Text | None = None
    room: Text | None = None
    lot: Text | None = None
    answers: dict[str, Any]
    unanswered: list[Text] = []
    learned: list[LearnedEntry] = []
    advice: ExpectedAdvice | None = None
    diagnosis: ExpectedDiagnosis | None = None
    why: Text | None = None
    checked_against: Annotated[list[Text], Field()] = []
