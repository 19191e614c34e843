"""The gold room of whoever uses the program, answered once: one file with its date, of the shape of any room.

    title: Our gold room
    date: 2026-11-29               # when it was last said to be so
    answers:
      place: open_shed
      reagents: [borax_anhydrous, soda_ash, litharge]

It holds nothing that can differ from night to night, and nothing of a lot. It is written whole, and only over what was
read: what somebody else changed meanwhile stays.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from advisor.advice.batches.answers import written_answer
from advisor.advice.batches.batch_file import replace_file
from advisor.advice.batches.rooms import NamedIn, answers_of, chain_from
from advisor.document import comment, json_of
from advisor.engine import Answers, ContradictionError, conclude, state_of
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.locations import shipped
from advisor.rulebase.model import Fact, RuleBase
from advisor.rulebase.reading.yaml_reader import read_text
from advisor.words import tr

FIRST_LINE = comment(tr("Your gold room. 'advisor room' shows it, 'advisor room change FACT VALUE' changes it."))
USUAL_TITLE = tr("Our gold room")
_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9_ ./%°³‰-]*")
_WHOLE = re.compile(r"\b([0-9]+)\.0\b")
_ITEM = re.compile(r"[a-z][a-z0-9_]*\??")


@frozen
class OwnRoom:
    """A gold room as it is kept.

    Attributes:
        title: What it is called.
        answers: What it answers, by fact.
        date: The day on which it was last said to be so; None if the file does not say.
        description: What the person wrote about it.
        text: The file as it was read; None for a room that has none yet.
    """

    title: str
    answers: Answers
    date: str | None = None
    description: str | None = None
    text: str | None = None


def facts_of_room(rule_base: RuleBase, belongs_to: str = "room") -> dict[str, Fact]:
    """The facts of the room (or of tonight), in the order in which they are asked."""
    groups = list(rule_base.groups)
    found = [fact for fact in rule_base.facts.values() if fact.entry.belongs_to == belongs_to]
    return {fact.name: fact for fact in sorted(found, key=lambda fact: groups.index(fact.entry.group))}


def facts_of_dangers(rule_base: RuleBase) -> frozenset[str]:
    """The facts of the room on which a hazard, or a ban for danger, hangs."""
    conditions = [
        *(one.condition for one in rule_base.arguments.values() if one.entry.kind == "danger"),
        *(one.condition for one in rule_base.hazards.values()),
    ]
    tested = {name for condition in conditions for name in condition.variables}
    return frozenset(name for name, fact in facts_of_room(rule_base).items() if tested & {*fact.variables})


def read_own_room(path: Path, rule_base: RuleBase) -> OwnRoom:
    """The gold room in a file.

    Raises:
        FaultyFile: With every fault, each with its line.
        InputError: If it cannot be read, is invented, or contradicts itself.
    """
    text = read_text(path)
    chain = chain_from("room", path, shipped("cases") / "rooms", rule_base)
    document, entry = chain[0]
    if any(one.invented for _, one in chain):
        raise InputError(tr("{name}: this gold room is invented for training; answer for your own", name=document.name))
    answers = answers_of("room", chain, NamedIn(document, path.parent, invented=False), rule_base)
    in_order = {name: answers[name] for name in facts_of_room(rule_base) if name in answers}
    room = OwnRoom(entry.title, in_order, entry.date, entry.description, text)
    _refuse_contradiction(room, rule_base, document.name)
    return room


def _refuse_contradiction(room: OwnRoom, rule_base: RuleBase, where: str) -> None:
    try:
        conclude(rule_base, room.answers)
    except ContradictionError as problem:
        raise InputError(tr("{where}: {problem}; correct one of the two", where=where, problem=problem)) from None


def changed_room(room: OwnRoom, rule_base: RuleBase, answers: Answers) -> OwnRoom:
    """A room with other answers beside those it has; what they make idle goes (the stock of what is not there).

    Raises:
        InputError: If they contradict each other.
    """
    together, facts = {**room.answers, **answers}, facts_of_room(rule_base)
    changed = replace(room, answers={name: together[name] for name in facts if name in together})
    _refuse_contradiction(changed, rule_base, tr("the gold room"))
    state = state_of(rule_base, changed.answers)

    def idle(fact: Fact) -> bool:
        return fact.name not in answers and fact.ask_if is not None and fact.ask_if.truth(state) == FAILS

    return replace(changed, answers={name: one for name, one in changed.answers.items() if not idle(facts[name])})


def keep_own_room(path: Path, room: OwnRoom, rule_base: RuleBase, today: str) -> OwnRoom:
    """Write a room with today's date over what was read of it; returns it as it stands there now.

    Raises:
        InputError: If the file was changed meanwhile, or cannot be written.
    """
    if (read_text(path) if path.exists() else None) != room.text:
        raise InputError(
            tr("{path} was changed meanwhile, so it is left as it is; look at it with  advisor room", path=path)
        )
    dated = replace(room, date=today)
    text = own_room_text(dated, rule_base)
    replace_file(path, text, tr("see that its folder can be written"))
    return replace(dated, text=text)


def own_room_text(room: OwnRoom, rule_base: RuleBase) -> str:
    """A room as the text of its file, one group after another."""
    lines = [FIRST_LINE, f"title: {json_of(room.title)}"]
    if room.description is not None:
        lines.append(f"description: {json_of(room.description)}")
    if room.date is not None:
        lines.append(f"date: {room.date}")
    if not room.answers:
        return "\n".join([*lines, "answers: {}", ""])
    return "\n".join([*lines, "answers:", *_answer_lines(room.answers, rule_base), ""])


def _answer_lines(answers: Answers, rule_base: RuleBase) -> Iterator[str]:
    for title, group in by_group(answers, rule_base).items():
        yield f"  {comment(title)}"
        for name, fact in group.items():
            written = written_answer(fact, answers[name])
            if fact.entry.kind == "quantity":
                written = _WHOLE.sub(r"\1", written)
            yield f"  {name}: {_written(written)}"


def by_group(names: Mapping[str, object], rule_base: RuleBase) -> dict[str, dict[str, Fact]]:
    """Facts by the title of their group, in order."""
    found: dict[str, dict[str, Fact]] = {}
    for name, fact in facts_of_room(rule_base).items():
        if name in names:
            found.setdefault(rule_base.groups[fact.entry.group], {})[name] = fact
    return found


def _written(value: object) -> str:
    """A value as YAML: plain where that is read back as the same text, else as JSON, which YAML reads too."""
    if isinstance(value, list) and all(_ITEM.fullmatch(one) for one in value):
        return f"[{', '.join(value)}]"
    plain = isinstance(value, str) and _PLAIN.fullmatch(value) and value == value.strip()
    return str(value) if plain else json_of(value)
