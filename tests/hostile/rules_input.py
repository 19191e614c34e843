"""Hostile rule files, conditions, formulas, amounts and drawings."""

from __future__ import annotations

import functools
import random
from pathlib import Path
from typing import Any

from advisor.advice.plan.weighing import Weigher, weight_words
from advisor.engine.ask.questions import next_question
from advisor.engine.conclude import conclude
from advisor.engine.state import NOT_KNOWN, ContradictionError, NotKnown
from advisor.errors import AdvisorError, Fault, FaultyFile
from advisor.present.drawing import side_by_side, svg_text
from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.drawings import Drawing
from advisor.rulebase.drawings.entries import DrawingEntry
from advisor.rulebase.language.grammar import GrammarError, parse_condition, parse_formula
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import Fact, RuleBase, Value
from advisor.rulebase.reading.layers import merge
from advisor.rulebase.reading.yaml_reader import decode, parse_yaml
from advisor.rulebase.values import ValueFault, read_value
from advisor.units import format_measure, parse_measure, unit_named
from tests.hostile import grammar, mutate
from tests.rulebase.small_base import BASE

_SMALL: dict[str, Any] = parse_yaml(BASE, "base.yaml").data
_ROOT = Path(__file__).resolve().parent.parent.parent


def _piece(r: random.Random) -> Any:
    """Something to put into a rule: a condition, a formula, or anything."""
    kind = r.randrange(4)
    if kind == 0:
        return grammar.condition(r)
    if kind == 1:
        return grammar.mass(r) if r.random() < 0.5 else grammar.formula(r)
    return mutate.word(r)


def _entry(r: random.Random) -> tuple[str, Any]:
    """One more entry that would be right if its condition and formula are."""
    name = f"own_{r.randrange(4)}"
    kind = r.randrange(6)
    if kind == 0:
        return "findings", {name: {"means": "invented", "when": _with_findings(r)}}
    if kind == 1:
        return "quantities", {
            name: {"title": "t", "unit": "g", "formula": grammar.mass(r), "reason": "r", "source": "practice"}
        }
    if kind == 2:
        fact = {
            **_SMALL["facts"]["wet"],
            "implied": [{"when": grammar.condition(r, 1), "value": r.choice(("yes", "no"))}],
        }
        return "facts", {r.choice((name, "wet")): fact}
    common = {"when": _with_findings(r), "source": "practice", "reason": "r"}
    number = r.randrange(10**6)
    if kind == 3:
        about = r.choice(("route.melt", "route.roast", "vessel.pot", ["route.melt", "route.roast"]))
        says = r.choice(("for", "against", "require", "rule_out"))
        more = {"strength": r.choice(("slight", "strong"))} if says in ("for", "against") else {}
        return "arguments", [{"id": f"own-{number}", "about": about, "says": says, **more, **common}]
    if kind == 4:
        parts = {"low": r.choice((0, 1)), "likely": 2, "high": r.choice((3, 1000))}
        amount = {"id": f"own-{number}", "material": "lead", "of": grammar.mass(r), "parts": parts, **common}
        return "amounts", [amount]
    step = {"stage": "fire", "order": 1, "do": f"Weigh {{{r.choice(('soda', 'lead', 'dry_mass', 'own_1', 'x'))}}}"}
    return "steps", [{"id": f"own-{number}", **step, **common}]


def _with_findings(r: random.Random) -> str:
    text = grammar.condition(r, 3)
    return f"{text} and own_{r.randrange(4)}" if r.random() < 0.05 else text


def _extended(r: random.Random) -> dict[str, Any]:
    data = {key: (dict(value) if isinstance(value, dict) else list(value)) for key, value in _SMALL.items()}
    for _ in range(r.randrange(5)):
        section, entry = _entry(r)
        if isinstance(entry, dict):
            data[section] = {**data[section], **entry}
        else:
            data[section] = [*data[section], *entry]
    return data


def any_value(r: random.Random, fact: Fact) -> Value | NotKnown:
    """An answer to a fact, most often a right one."""
    entry = fact.entry
    kind = entry.kind
    if r.random() < 0.2:
        return NOT_KNOWN
    if kind == "quantity":
        ends = sorted(fact.least + (fact.most - fact.least) * r.choice((0, 1, r.random())) for _ in range(2))
        written: Any = f"{ends[0]!r} to {ends[1]!r}" if fact.unit is None else None
        if fact.unit is not None:
            shown = sorted(fact.unit.shown(end) for end in ends)
            written = f"{shown[0]:.9g} to {shown[1]:.9g} {fact.unit.symbol}"
    elif kind == "yes_no":
        written = r.choice(("yes", "no"))
    elif kind == "choice":
        written = r.choice(list(entry.options))
    else:
        written = [option + r.choice(("", "?")) for option in entry.options if r.random() < 0.4]
    try:
        return read_value(fact, written)
    except ValueFault:
        return NOT_KNOWN


def use(r: random.Random, rule_base: RuleBase) -> None:
    """Work with a rule base that was accepted: conclude, ask, weigh."""
    answers: dict[str, Value | NotKnown] = {}
    for fact in rule_base.facts.values():
        if r.random() < 0.6:
            answers[fact.name] = any_value(r, fact)
    for _ in range(2):
        try:
            conclusions = conclude(rule_base, answers)
        except ContradictionError:
            return
        question = next_question(conclusions)
        weigher = Weigher(conclusions)
        for name in (*rule_base.quantities, *rule_base.materials):
            weight_words(weigher[name])
        for check in rule_base.checks.values():
            weigher.formula(check.formula)
        for expectation in rule_base.expectations.values():
            if expectation.formula is not None:
                weigher.formula(expectation.formula)
        if question is None:
            return
        answers[question.fact] = any_value(r, rule_base.facts[question.fact])


def rules(r: random.Random, work: Path) -> None:  # noqa: ARG001
    """A whole small rule base, spoiled as data, as text or as bytes."""
    data = mutate.spoiled(r, _extended(r), _piece, 2) if r.random() < 0.6 else _extended(r)
    text = mutate.written(r, data)
    if r.random() < 0.2:
        text = mutate.spoiled_text(r, text)
    raw = mutate.encoded(text)
    if r.random() < 0.1:
        raw = mutate.spoiled_bytes(r, raw)
    document = parse_yaml(decode(raw, "rules.yaml"), "rules.yaml")
    use(r, compile_rule_base(merge([("small", [document])])))


@functools.cache
def _shipped_files() -> tuple[tuple[str, Any], ...]:
    found = []
    for path in sorted((_ROOT / "rules").rglob("*.yaml")):
        data = parse_yaml(path.read_text(encoding="utf-8"), path.name).data
        if isinstance(data, dict):
            found.append((path.name, data))
    return tuple(found)


def overlay(r: random.Random, work: Path) -> None:
    """A shop's own folder over the shipped rules: part of a shipped file, spoiled; then a whole advice by it."""
    from tests.hostile.answers_input import advise

    folder = work / "own"
    folder.mkdir(exist_ok=True)
    (folder / "own.yaml").write_bytes(own_file(r))
    rule_base = load_rule_base((folder,), use_cache=False, diagnosis=r.random() < 0.5)
    advise(r, rule_base)


def own_file(r: random.Random) -> bytes:
    """Part of a shipped file, spoiled."""
    _, data = r.choice(_shipped_files())
    section = r.choice([key for key in data if key not in ("consultation",)])
    held = data[section]
    if isinstance(held, dict):
        part: Any = {key: held[key] for key in r.sample(list(held), min(len(held), r.randint(1, 2)))}
    else:
        part = r.sample(held, min(len(held), 2)) if isinstance(held, list) else held
    kept = {"consultation": data["consultation"]} if "consultation" in data else {}
    return mutate.encoded(mutate.written(r, {**kept, section: mutate.spoiled(r, part, _piece, 2)}))


def conditions(r: random.Random, work: Path) -> None:  # noqa: ARG001
    """A condition and a formula by themselves."""
    try:
        parse_condition(grammar.condition(r, 6))
        parse_formula(grammar.formula(r, 6))
    except GrammarError as problem:
        raise AdvisorError(str(problem)) from None


def amounts(r: random.Random, work: Path) -> None:  # noqa: ARG001
    """Amounts as people write them, and as nobody would."""
    units = ("g", "%", "C", "min", "ml", "pieces", "money/kg", "permille", "g/ml")
    unit = unit_named(r.choice(units))
    text = r.choice((*mutate.AMOUNTS, *mutate.NUMBERS))
    if r.random() < 0.7:
        text = r.choice(
            (text, f"{text} to {r.choice(mutate.NUMBERS)} {r.choice(mutate.WORDS)}", f"{text} {unit.symbol}")
        )
    if r.random() < 0.5:
        text = mutate.spoiled_text(r, text, 2)
    amount = parse_measure(text, unit)
    format_measure(amount, unit, 6)
    weight_words(amount)


@functools.cache
def _drawings() -> tuple[Any, ...]:
    return tuple(entry for _, data in _shipped_files() for entry in data.get("drawings", {}).values())


def drawings(r: random.Random, work: Path) -> None:  # noqa: ARG001
    """A drawing with absurd parts, drawn on a terminal and as SVG."""
    from pydantic import ValidationError

    numbers = (-1, 0, 0.001, 1, 199, 200, 201, 1e9, 96, 48, True, "5", "nan")
    data = mutate.spoiled(r, r.choice(_drawings()), lambda s: s.choice(numbers) if s.random() < 0.7 else mutate.word(s))
    try:
        drawing = Drawing("own", DrawingEntry.model_validate(data))
    except ValidationError:
        raise FaultyFile([Fault("own.yaml", 1, "", "this is no drawing", "mend it")]) from None
    side_by_side([(drawing.title, drawing)], r.choice((40, 76, 200)), r.random() < 0.5)
    svg_text(drawing)
