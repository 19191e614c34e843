"""Hostile answers, observations, worked cases and inputs of computations."""

from __future__ import annotations

import functools
import io
import random
from pathlib import Path
from typing import Any

from rich.console import Console

from advisor.advice.batches.batch_file import batch_of
from advisor.advice.build_advice import build_advice
from advisor.advice.build_diagnosis import build_diagnosis
from advisor.api import concluded
from advisor.document import json_text
from advisor.engine.conclude import conclude
from advisor.engine.state import NOT_KNOWN, Answers, ContradictionError, NotKnown
from advisor.metallurgy.calculators import COMPUTATIONS, run_computation
from advisor.metallurgy.common.inputs import from_words
from advisor.metallurgy.common.tables import Tables
from advisor.present.text.advice import print_advice
from advisor.present.text.calculation import print_calculation
from advisor.present.text.diagnosis import print_diagnosis
from advisor.present.text.page import Page
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase, Value
from advisor.rulebase.reading.yaml_reader import Document, decode, parse_json, parse_yaml
from tests.batches import usual
from tests.hostile import mutate

_ROOT = Path(__file__).resolve().parent.parent.parent


@functools.cache
def shipped(diagnosis: bool = False) -> RuleBase:
    """The shipped rule base."""
    return load_rule_base(use_cache=False, diagnosis=diagnosis)


@functools.cache
def cases(diagnosis: bool) -> tuple[dict[str, Any], ...]:
    """The shipped cases as data: as they stand, and with the answers of their rooms and lots written out."""
    folder = _ROOT / "cases" / "diagnosis" if diagnosis else _ROOT / "cases"
    standing = [parse_yaml(path.read_text(encoding="utf-8"), path.name).data for path in sorted(folder.glob("*.yaml"))]
    return (*standing, *(_in_full(data) for data in standing if "room" in data))


def _in_full(data: dict[str, Any]) -> dict[str, Any]:
    answers = {**usual("rooms", data["room"]), **usual("lots", data["lot"]), **data["answers"]}
    left = {fact: value for fact, value in answers.items() if fact not in data.get("unanswered", ())}
    return {key: value for key, value in data.items() if key not in ("room", "lot", "unanswered")} | {"answers": left}


class TerminalOrderError(Exception):
    """What was shown holds something that a terminal would obey."""


def shown(text: str) -> None:
    """Check what would reach the terminal."""
    from advisor.present.text.letters import tame

    if tame(text) != text:
        odd = next(letter for letter in text if tame(letter) != letter)
        raise TerminalOrderError(f"{odd!r} is shown")


def _screen() -> tuple[Console, io.StringIO]:
    out = io.StringIO()
    return Console(file=out, width=80, highlight=False, markup=False, emoji=False, no_color=True), out


def _instead(rule_base: RuleBase) -> Any:
    def one(r: random.Random) -> Any:
        kind = r.randrange(4)
        if kind == 0:
            fact = r.choice(list(rule_base.facts.values()))
            return r.choice(list(fact.entry.options)) if fact.entry.options else "5 %"
        if kind == 1:
            return r.choice(list(rule_base.facts))
        return r.choice(mutate.AMOUNTS) if kind == 2 else mutate.word(r)

    return one


def _document(r: random.Random, data: Any, name: str) -> Document:
    as_json = r.random() < 0.4
    text = mutate.written(r, data)
    if r.random() < 0.3:
        text = mutate.spoiled_text(r, text)
    raw = mutate.encoded(text)
    if r.random() < 0.1:
        raw = mutate.spoiled_bytes(r, raw)
    return (parse_json if as_json else parse_yaml)(decode(raw, name), name)


def advise(r: random.Random, rule_base: RuleBase, answers: Answers | None = None) -> None:
    """An advice by these rules, on the screen and as JSON."""
    from tests.hostile.rules_input import any_value

    if answers is None:
        made: dict[str, Value | NotKnown] = {}
        for fact in rule_base.facts.values():
            if not fact.name.startswith("price") and r.random() < 0.8:
                made[fact.name] = any_value(r, fact) if r.random() < 0.3 else NOT_KNOWN
        answers = made
    try:
        conclusions = conclude(rule_base, answers)
    except ContradictionError:
        return
    screen, out = _screen()
    if conclusions.several:
        diagnosis = build_diagnosis(conclusions, "invented")
        json_text(diagnosis)
        print_diagnosis(Page(screen, explain=r.random() < 0.5), diagnosis)
    else:
        advice = build_advice(conclusions, "invented")
        json_text(advice)
        print_advice(Page(screen, explain=r.random() < 0.5), advice)
    shown(out.getvalue())


def _answers(r: random.Random, rule_base: RuleBase, diagnosis: bool) -> None:
    data = r.choice(cases(diagnosis))
    if r.random() < 0.3:
        data = data["answers"]
    if r.random() < 0.9:
        data = mutate.spoiled(r, data, _instead(rule_base), 4)
    batch = batch_of(_document(r, data, "batch.yaml"), rule_base)
    concluded(rule_base, batch)
    advise(r, rule_base, batch.answers)


def answers(r: random.Random, work: Path) -> None:  # noqa: ARG001
    """A file of answers or a worked case, and the advice for it."""
    _answers(r, shipped(), diagnosis=False)


def observations(r: random.Random, work: Path) -> None:  # noqa: ARG001
    """A file of observations, and the diagnosis."""
    _answers(r, shipped(True), diagnosis=True)


def inputs(r: random.Random, work: Path) -> None:  # noqa: ARG001
    """Inputs of a computation, written out or in a file."""
    rule_base = shipped()
    name = r.choice(list(COMPUTATIONS))
    known = COMPUTATIONS[name].inputs(Tables(rule_base))
    words = []
    for one in known:
        if one.required or r.random() < 0.6:
            example = one.example
            if r.random() < 0.06:
                example = mutate.spoiled_text(r, example, 2)
            elif r.random() < 0.06:
                wrong = mutate.word(r)
                example = f"{one.name}={wrong if isinstance(wrong, str) else r.choice(mutate.AMOUNTS)}"
            words.append(example)
    if r.random() < 0.6:
        document = Document("command line", from_words(words), {(): 0})
    else:
        data = mutate.spoiled(r, dict(word.partition("=")[::2] for word in words), _instead(rule_base))
        document = _document(r, data, "inputs.yaml")
    calculation = run_computation(name, document, rule_base)
    json_text(calculation)
    screen, out = _screen()
    print_calculation(Page(screen, explain=True), calculation)
    shown(out.getvalue())
