"""The advisor for other programs: load the rules, ask, advise, diagnose, compute.

Answers are given as they stand in an answer file: ``{"batch_mass": "250 g", "sulphide_minerals": ["pyrite?"]}``. What
is not known or not answered counts as dangerous, as it does on the screen. What comes back is the frozen document that
the commands draw from; ``as_json`` gives it as they print it. A document is whole: whoever shows its weights shows its
hazards too, and nothing of it where its ``outcome`` is ``stop`` or ``find_out``.

Nothing here reads or writes settings, the gold room or the journal, and nothing is printed. Compiled rules are kept in
the cache of the program. What cannot be used raises an ``InputError``, whose text is a sentence for people.

    >>> rules = load_rules()
    >>> advice = advise(rules, {"mercury_history": "now"})
    >>> advice.outcome
    'stop'
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor import engine
from advisor.advice.batches.answers import written_answer
from advisor.advice.batches.batch_file import BatchFile, batch_of, read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.checking import impossible
from advisor.advice.documents.advice import Advice
from advisor.document import json_text as as_json
from advisor.engine import Conclusions, ContradictionError, Question
from advisor.errors import Fault, InputError
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import Document
from advisor.words import fault, tr

if TYPE_CHECKING:
    from advisor.advice.documents.diagnosis import Diagnosis
    from advisor.advice.next_batch import Plan
    from advisor.metallurgy.common.document import Calculation

__all__ = [
    "Written",
    "advise",
    "answers_in",
    "as_json",
    "compute",
    "diagnose",
    "load_rules",
    "next_question",
    "plan_of",
]

Written = Mapping[str, Any]
"""Answers, observations or inputs by name: text, numbers, yes or no, lists, as in a file."""

_GIVEN = tr("the answers given")


def load_rules(
    *own_folders: Path, diagnosis: bool = False, promises: bool = False, notify: Callable[[str], None] = lambda _: None
) -> RuleBase:
    """The shipped rules with a shop's own folders laid over them.

    Args:
        own_folders: Folders of rule files; later ones lie on top.
        diagnosis: Whether to take the rules of the diagnosis too; only ``diagnose`` needs them.
        promises: Whether to keep what only a proof reads.
        notify: Called with a sentence when there is a cache that cannot be believed.

    Raises:
        FaultyFile: With every fault in the files; it is an ``InputError``.
        InputError: If a folder or file cannot be read, or the catalogue of another language cannot be used.

    >>> load_rules().facts["batch_mass"].entry.unit
    'g'
    """
    if fault():
        raise InputError(fault())
    return load_rule_base(own_folders, diagnosis=diagnosis, promises=promises, check=computed_faults, notify=notify)


def computed_faults(rule_base: RuleBase) -> list[Fault]:
    """What the computations find wrong in a rule base; they are loaded only when one is compiled."""
    from advisor.metallurgy.check import faults_of

    return faults_of(rule_base)


def answers_in(rules: RuleBase, path: Path) -> dict[str, Any]:
    """The answers in a YAML or JSON file, with those of the room and the lot that it names.

    Raises:
        FaultyFile: With every fault of the file; it is an ``InputError``.
        InputError: If the file cannot be read.
    """
    answers = read_batch(path, rules).answers
    return {name: written_answer(rules.facts[name], answer) for name, answer in answers.items()}


def concluded(rules: RuleBase, batch: BatchFile) -> Conclusions:
    """What follows from a batch that is already read; what is refused is named after its file.

    Raises:
        InputError: If answers contradict each other, or add up to something impossible.
    """
    try:
        conclusions = engine.conclude(rules, batch.answers)
    except ContradictionError as problem:
        raise InputError(f"{batch.name}: {problem}") from None
    if broken := impossible(conclusions):
        raise InputError("\n".join(f"{batch.name}: {check.entry.say}" for check in broken))
    return conclusions


def next_question(rules: RuleBase, answers: Written) -> Question | None:
    """The question to ask next; None when no answer can change the advice.

    It names the fact and what it may decide (``stop``, a decision, ``details``). Words, unit and options of a fact
    stand in ``rules.facts[question.fact].entry``. "not known" is an answer.

    Raises:
        InputError: If an answer cannot be used or contradicts another.

    >>> rules = load_rules()
    >>> question = next_question(rules, {})
    >>> question.fact, question.purpose
    ('mercury_history', 'stop')
    >>> rules.facts[question.fact].entry.ask
    'Has mercury been used here, or on this ore or its tailings?'
    """
    return engine.next_question(_follows(rules, answers))


def advise(rules: RuleBase, answers: Written, *, title: str | None = None) -> Advice:
    """The advice: route, collector, weights, plan and hazards, with every reason and source.

    Args:
        rules: The rules.
        answers: What is known of batch, gold room and people.
        title: What the batch is called.

    Raises:
        InputError: If an answer cannot be used, contradicts another, or adds up to something impossible.

    >>> rules = load_rules()
    >>> advise(rules, {"mercury_history": "never"}).outcome
    'find_out'
    >>> advise(rules, {"batch_mass": "250 ells"})  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    advisor.errors.FaultyFile: the answers given: batch_mass: 'ells' is not a unit known here; known are g, ...
    """
    return build_advice(_follows(rules, answers), title)


def plan_of(rules: RuleBase, answers: Written) -> Plan:
    """The plan that a batch was worked by, for ``diagnose``.

    Args:
        rules: The rules of the route, loaded without the diagnosis.
        answers: The answers that it was planned with.

    Raises:
        InputError: As ``advise``.
    """
    from advisor.advice.next_batch import Plan

    conclusions = _follows(rules, answers)
    return Plan(conclusions, build_advice(conclusions, look_for_changes=False))


def diagnose(rules: RuleBase, seen: Written, *, plan: Plan | None = None, title: str | None = None) -> Diagnosis:
    """What went wrong with a piece, what puts it right, and what changes in the next batch.

    Args:
        rules: The rules, loaded with ``diagnosis=True``.
        seen: What was seen and tried.
        plan: The plan the batch was worked by; what it answers need not be told again.
        title: What the batch is called.

    Raises:
        InputError: If something seen cannot be used or contradicts another.

    >>> rules = load_rules(diagnosis=True)
    >>> seen = {"look_at": "cold_mould", "work_done": "smelt_iron", "mould_layers": "matte_between"}
    >>> diagnose(rules, seen).document
    'diagnosis'
    """
    from advisor.advice.build_diagnosis import build_diagnosis
    from advisor.advice.next_batch import planned_answers

    given = batch_of(_document(seen), rules).answers
    batch = BatchFile(title, {**planned_answers(plan, rules), **given}, name=_GIVEN)
    return build_diagnosis(concluded(rules, batch), title, plan)


def compute(rules: RuleBase, name: str, inputs: Written) -> Calculation:
    """One computation: figures with range, unit, the way they were reached and their source.

    Args:
        rules: The rules with their tables.
        name: The name of its command, such as ``fineness`` or ``charge``.
        inputs: Its inputs by name.

    Raises:
        InputError: If there is no such computation, or an input cannot be used.

    >>> found = compute(load_rules(), "fineness", {"in_air": "31.10 g", "in_water": "29.35 g", "scale_step": "0.01 g"})
    >>> density = found.groups[0].figures[0]
    >>> density.name, round(density.low, 1), round(density.high, 1), density.unit
    ('bead_density_g_ml', 17.5, 17.9, 'g/ml')
    """
    from advisor.metallurgy.calculators import COMPUTATIONS, run_computation

    if name not in COMPUTATIONS:
        raise InputError(
            tr(
                "there is no computation '{name}'; use one of {computations}",
                name=name[:40],
                computations=", ".join(COMPUTATIONS),
            )
        )
    return run_computation(name, _document(inputs, tr("the inputs given")), rules)


def _follows(rules: RuleBase, answers: Written) -> Conclusions:
    read = batch_of(_document(answers), rules).answers if answers else {}
    return concluded(rules, BatchFile(None, read, name=_GIVEN))


def _document(written: Written, name: str = _GIVEN) -> Document:
    return Document(name, dict(written), {(): 0})
