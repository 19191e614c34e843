"""What the rules say about training: the distribution of batches, the kinds of drills, marks, and when one is ready."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from advisor.advice.batches.answers import read_answer
from advisor.advice.batches.rooms import NamedIn, usual_answers
from advisor.engine import NotKnown
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.rulebase.model import Fact, RuleBase, Table, Value
from advisor.rulebase.reading.yaml_reader import Document
from advisor.rulebase.values import ValueFault
from advisor.words import tr

KINDS = (
    "route",
    "collector",
    "first",
    "phase",
    "danger",
    "control",
    "weigh",
    "screen",
    "fault",
    "picture",
    "cause",
    "remedy",
)
MARKS = ("right", "nearly", "incomplete", "not_known", "wrong", "unsafe")
_PART = re.compile(r"(\d+(?:\.\d+)?) of (.+)")

Pick = tuple[float, Value | NotKnown]
"""A weight and what is drawn with it."""


@frozen
class DrillKind:
    """One kind of drill.

    Attributes:
        name: Its name.
        title: What the learner does in it.
        weight: How often it is drawn.
        retention: Chance of a right answer at which a drill comes back.
        thin: The right answer for which only half of the drills are kept.
    """

    name: str
    title: str
    weight: float
    retention: float
    thin: str


@frozen
class Archetype:
    """One kind of concentrate, of place, or of the work a piece came from.

    Attributes:
        name: Its name.
        title: Its name in words.
        weight: How often it is drawn.
    """

    name: str
    title: str
    weight: float


@frozen
class MarkRule:
    """What an answer counts.

    Attributes:
        lost: Points lost.
        rating: What the spacing is told.
        times: How often it is told.
    """

    lost: int
    rating: str
    times: int


@frozen
class ReadyRule:
    """When somebody is ready for a piece of work.

    Attributes:
        work: Its name.
        title: Its name in words.
        kinds: The kinds of drills that show it.
        last: How many of the last answers are looked at.
        most_lost: Most points lost in them.
        most_unsafe: Most unsafe answers in them.
        least_items: Fewest different things answered right in them.
        after: Work that comes first.
    """

    work: str
    title: str
    kinds: tuple[str, ...]
    last: int
    most_lost: int
    most_unsafe: int
    least_items: int
    after: tuple[str, ...]


@frozen
class Syllabus:
    """Everything the rules say about training.

    Attributes:
        usual: What is as it should be, by fact.
        concentrates: Kinds of concentrate.
        places: Kinds of places.
        works: Kinds of work that a piece came from.
        draws: For each kind of batch and each fact what is drawn.
        far: For each subject of hazards the subjects whose controls do nothing against them.
        kinds: Kinds of drills by name.
        marks: What an answer counts, by mark.
        ready: When somebody is ready, by work.
    """

    usual: Mapping[str, Value | NotKnown]
    concentrates: tuple[Archetype, ...]
    places: tuple[Archetype, ...]
    works: tuple[Archetype, ...]
    draws: Mapping[str, Mapping[str, tuple[Pick, ...]]]
    far: Mapping[str, tuple[str, ...]]
    kinds: Mapping[str, DrillKind]
    marks: Mapping[str, MarkRule]
    ready: Mapping[str, ReadyRule]


def syllabus_of(rule_base: RuleBase) -> Syllabus:
    """What a rule base says about training.

    Raises:
        InputError: If a table is missing or a row cannot be used.
    """
    usual = _usual(rule_base)
    draws: dict[str, dict[str, tuple[Pick, ...]]] = {}
    for fact, row, table in _fact_rows(rule_base, "training_draws"):
        draws.setdefault(str(row["batch"]), {})[fact.name] = tuple(_picks(fact, str(row["draw"]), table))
    batches = _table(rule_base, "training_batches")
    parts: dict[str, list[Archetype]] = {"concentrate": [], "place": [], "work": []}
    for row in batches.rows:
        name, part = str(row["batch"]), str(row["part"])
        if part not in parts or name not in draws:
            raise _fault(
                batches,
                tr("'{name}' is not a kind of batch", name=name),
                tr("name a part, and say in training_draws how it differs"),
            )
        parts[part].append(Archetype(name, str(row["title"]), _positive(batches, row, "weight")))
    if not all(parts.values()):
        raise _fault(batches, tr("a part has no kinds"), tr("name at least one concentrate, one place and one work"))
    return Syllabus(
        usual=usual,
        concentrates=tuple(parts["concentrate"]),
        places=tuple(parts["place"]),
        works=tuple(parts["work"]),
        draws=draws,
        far={str(row["subject"]): _words(row, "far") for row in _table(rule_base, "training_far").rows},
        kinds=_kinds(rule_base),
        marks=_marks(rule_base),
        ready=_ready(rule_base),
    )


def _usual(rule_base: RuleBase) -> dict[str, Value | NotKnown]:
    """What the room and the lot of the drills answer, with what the rules change in it, in the order of the facts."""
    table = _table(rule_base, "training_room")
    named_in = NamedIn(Document(table.origin.file, {}, {(): table.origin.line}), None, invented=True)
    usual: dict[str, Value | NotKnown] = {}
    for row in table.rows:
        usual |= usual_answers("room", str(row["room"]), named_in, rule_base)
        usual |= usual_answers("lot", str(row["lot"]), named_in, rule_base)
    for fact, changed, changes in _fact_rows(rule_base, "training_usual"):
        usual[fact.name] = _answer(fact, str(changed["value"]), changes)
    return {name: usual[name] for name in rule_base.facts if name in usual}


def _table(rule_base: RuleBase, name: str) -> Table:
    found = rule_base.tables.get(name)
    if found is None:
        raise InputError(tr("the table '{name}' is missing from the rules; put it back under  tables:", name=name))
    return found


def _fault(table: Table, wrong: str, right: str) -> InputError:
    origin = table.origin
    return InputError(
        tr(
            "{file}:{line}: tables {name}: {wrong}; {right}",
            file=origin.file,
            line=origin.line,
            name=table.name,
            wrong=wrong,
            right=right,
        )
    )


def _fact_rows(rule_base: RuleBase, name: str) -> Iterator[tuple[Fact, Mapping[str, float | str], Table]]:
    table = _table(rule_base, name)
    for row in table.rows:
        fact = rule_base.facts.get(str(row.get("fact")))
        if fact is None:
            raise _fault(table, tr("'{row}' is not a fact", row=row.get("fact")), tr("name a fact of the rule base"))
        yield fact, row, table


def _answer(fact: Fact, written: str, table: Table) -> Value | NotKnown:
    try:
        return read_answer(fact, written)
    except ValueFault as problem:
        raise _fault(table, f"{fact.name}: {problem}", tr("write a value of this fact")) from None


def _picks(fact: Fact, written: str, table: Table) -> Iterator[Pick]:
    for part in written.split(","):
        match = _PART.fullmatch(part.strip())
        if match is None:
            raise _fault(
                table,
                tr("{name}: '{part}' cannot be read", name=fact.name, part=part.strip()),
                tr("write it as  8 of dry, 2 of damp"),
            )
        yield float(match[1]), _answer(fact, match[2], table)


def _positive(table: Table, row: Mapping[str, float | str], column: str) -> float:
    value = row.get(column)
    if not isinstance(value, int | float) or value <= 0:
        raise _fault(table, tr("'{column}' is {value}", column=column, value=value), tr("write a number above zero"))
    return float(value)


def _whole(table: Table, row: Mapping[str, float | str], column: str) -> int:
    value = row.get(column)
    if not isinstance(value, int | float) or value < 0 or value != int(value):
        raise _fault(table, tr("'{column}' is {value}", column=column, value=value), tr("write a whole number"))
    return int(value)


def _kinds(rule_base: RuleBase) -> dict[str, DrillKind]:
    table = _table(rule_base, "training_kinds")
    kinds = {}
    for row in table.rows:
        name, retention = str(row["kind"]), _positive(table, row, "retention")
        if name not in KINDS or not 0.5 <= retention < 1:
            raise _fault(
                table,
                tr("the row of '{name}' cannot be used", name=name),
                tr("kinds are {kinds}; retention 0.5 to 0.99", kinds=", ".join(KINDS)),
            )
        kinds[name] = DrillKind(name, str(row["title"]), _positive(table, row, "weight"), retention, str(row["thin"]))
    if not kinds:
        raise _fault(table, tr("there are no kinds"), tr("name some of {kinds}", kinds=", ".join(KINDS)))
    return kinds


def _marks(rule_base: RuleBase) -> dict[str, MarkRule]:
    table = _table(rule_base, "training_marks")
    marks = {
        str(row["mark"]): MarkRule(_whole(table, row, "lost"), str(row["rating"]), max(1, _whole(table, row, "times")))
        for row in table.rows
    }
    if set(marks) != set(MARKS) or any(rule.rating not in ("again", "hard", "good", "easy") for rule in marks.values()):
        right = tr("give one row to each of {marks}, with a rating again, hard, good or easy", marks=", ".join(MARKS))
        raise _fault(table, tr("the marks cannot be used"), right)
    return marks


def _ready(rule_base: RuleBase) -> dict[str, ReadyRule]:
    table = _table(rule_base, "training_ready")
    found: dict[str, ReadyRule] = {}
    for row in table.rows:
        kinds, after = _words(row, "kinds"), tuple(word for word in _words(row, "after") if word != "none")
        if not set(kinds) <= set(KINDS) or not set(after) <= set(found):
            raise _fault(
                table,
                tr("the row of '{work}' names what is not there", work=row["work"]),
                tr("name kinds, and work of earlier rows"),
            )
        numbers = {name: _whole(table, row, name) for name in ("last", "most_lost", "most_unsafe", "least_items")}
        found[str(row["work"])] = ReadyRule(str(row["work"]), str(row["title"]), kinds, **numbers, after=after)
    return found


def _words(row: Mapping[str, float | str], column: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in str(row[column]).split(",") if word.strip())
