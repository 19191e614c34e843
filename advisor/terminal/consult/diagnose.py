"""``advisor diagnose``: from what is seen to causes, to the correction in grams, to the next batch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from rich.text import Text

from advisor.advice.batches.batch_file import Batch
from advisor.advice.build_advice import build_advice
from advisor.advice.build_diagnosis import build_diagnosis, causes_taken
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.next_batch import Plan, answers_now
from advisor.advice.plan.weighing import Weigher
from advisor.engine.conclude import Conclusions
from advisor.engine.state import Answers, ContradictionError, NotKnown
from advisor.errors import InputError
from advisor.present.text.letters import tame
from advisor.rulebase.model import RuleBase, Value
from advisor.terminal.consult.conversation import LeftError
from advisor.terminal.consult.setup import DIAGNOSE, ROUTE, asked, concluded, given, kept_before, rule_base_for
from advisor.terminal.exit_codes import ADVICE, LEFT, STOP
from advisor.terminal.output import notices, screen, typed_line, write_document

if TYPE_CHECKING:
    from advisor.terminal.consult.diagnose_journal import Recorded


def run_diagnose(
    observations: Path | None,
    plan: Path | None,
    json_output: bool,
    explain: bool,
    resume: bool,
    save: Path | None,
    title: str | None,
    rules: Sequence[Path] | None,
    batch_wanted: str | None = None,
    journal: Path | None = None,
    by: str | None = None,
) -> int:
    """Run a diagnosis and show it; for a batch of the journal, record it there.

    Returns:
        The exit status.

    Raises:
        InputError: If a file or an answer cannot be used.
    """
    if observations is not None and (resume or save is not None):
        raise InputError("--observations asks nothing, so --resume and --save do not go with it; leave them out")
    if batch_wanted is not None and plan is not None:
        raise InputError("--batch takes the plan from the journal and --plan from a file; give one")
    rule_base = rule_base_for(rules, diagnosis=True)
    recorded = _recorded(batch_wanted, journal, rules)
    if observations is not None:
        batch = given(observations, rule_base)
        planned = recorded.plan if recorded else _plan(plan or _beside(observations, batch.plan), rules)
        known = replace(batch, answers={**planned_answers(planned, rule_base), **batch.answers})
        conclusions = concluded(rule_base, known)
    else:
        batch = kept_before(DIAGNOSE, rule_base, resume, save)
        planned_file = None if recorded else plan or batch.plan
        if planned_file is None and recorded is None and not resume:
            try:
                planned_file = _offered(ROUTE.last_file, json_output)
            except LeftError:
                return LEFT
        planned = recorded.plan if recorded else _plan(planned_file, rules)
        known = replace(
            batch,
            title=title or batch.title or (planned.advice.title if planned else None),
            answers={**planned_answers(planned, rule_base), **batch.answers},
            plan=None if planned_file is None else planned_file.absolute(),
        )
        told = asked(DIAGNOSE, rule_base, known, resume=resume, save=save, to_standard_error=json_output)
        if told is None:
            return LEFT
        conclusions = told
    diagnosis = build_diagnosis(conclusions, title or known.title, planned)
    # It goes into the journal first, so that it stands there even if nobody reads to the end of the page.
    not_recorded = _record(recorded, diagnosis, by)
    show_diagnosis(diagnosis, json_output, explain)
    if not_recorded is not None:
        raise not_recorded
    if observations is None and not json_output:
        return _go_on(conclusions, diagnosis, planned, rules)
    return STOP if diagnosis.stop else ADVICE


def _recorded(wanted: str | None, named: Path | None, rules: Sequence[Path] | None) -> Recorded | None:
    """The batch of the journal that is diagnosed, if one is named."""
    if wanted is None:
        return None
    from advisor.terminal.consult.diagnose_journal import recorded_batch

    return recorded_batch(wanted, named, rules)


def _record(recorded: Recorded | None, diagnosis: Diagnosis, by: str | None) -> InputError | None:
    """Put a diagnosis into the journal; what hinders it is given back, so that the diagnosis is shown all the same."""
    if recorded is None:
        return None
    from advisor.terminal.consult.diagnose_journal import record

    try:
        record(recorded, diagnosis, by)
    except InputError as problem:
        return problem
    return None


def _beside(observations: Path, plan: Path | None) -> Path | None:
    """The plan that a file of observations names, seen from the folder of that file."""
    if plan is None or plan.is_absolute() or str(observations) == "-":
        return plan
    beside = observations.parent / plan
    # A file called - is not standard input.
    return beside if str(beside) != "-" else beside.absolute()


def _plan(path: Path | None, rules: Sequence[Path] | None) -> Plan | None:
    """The plan in a file of route answers."""
    if path is None:
        return None
    rule_base = rule_base_for(rules)
    batch = given(path, rule_base)
    conclusions = concluded(rule_base, batch)
    return Plan(rule_base, batch.answers, build_advice(conclusions, batch.title))


def planned_answers(plan: Plan | None, rule_base: RuleBase) -> dict[str, Value | NotKnown]:
    """What a plan answers: its own facts, and what it decided and reckoned."""
    if plan is None:
        return {}
    answers: dict[str, Value | NotKnown] = dict(plan.answers)
    conclusions = concluded(plan.rule_base, Batch(None, plan.answers))
    weigher = Weigher(conclusions)
    for fact in rule_base.facts.values():
        kind, _, name = (fact.entry.from_plan or "").partition(".")
        if kind == "decision" and name in conclusions.rulings:
            chosen = conclusions.rulings[name].chosen
            if chosen in fact.entry.options:
                answers[fact.name] = chosen
        elif kind == "quantity" and name in plan.rule_base.quantities:
            answers[fact.name] = weigher[name]
    return answers


def _offered(last: Path, to_standard_error: bool) -> Path | None:
    """The last plan, if the person says that the piece comes from it."""
    if not last.is_file():
        return None
    console = notices() if to_standard_error else screen()
    console.print(Text(tame(f"The answers of your last route consultation are in {last}.")), soft_wrap=True)
    console.print(Text("Does what you look at come from that batch?  1 = yes   2 = no"))
    while True:
        typed = typed_line(console)
        if typed is None:
            raise LeftError
        if typed.lower() in ("2", "n", "no"):
            return None
        if typed.lower() in ("1", "y", "yes"):
            return last
        console.print(Text("Type 1 for yes or 2 for no."))


def show_diagnosis(diagnosis: Diagnosis, json_output: bool, explain: bool) -> None:
    """The diagnosis on the screen, or as JSON."""
    if json_output:
        write_document(diagnosis.model_dump_json(indent=2) + "\n")
        return
    from advisor.present.text.diagnosis import print_diagnosis

    print_diagnosis(screen(), diagnosis, explain)


def _go_on(conclusions: Conclusions, diagnosis: Diagnosis, plan: Plan | None, rules: Sequence[Path] | None) -> int:
    """Offer the changed plan, which leads into the route consultation with what is known now."""
    status = STOP if diagnosis.stop else ADVICE
    if not (diagnosis.wrong_route or diagnosis.changed_plan or (plan is not None and diagnosis.next_batch)):
        return status
    rule_base = plan.rule_base if plan else rule_base_for(rules)
    answers = answers_now(plan, causes_taken(conclusions), rule_base)
    for name, value in conclusions.answers.items():
        if name in rule_base.facts:
            answers.setdefault(name, value)
    console = screen()
    console.print()
    if diagnosis.wrong_route:
        console.print(Text("The route itself was wrong. Choose it again with what is known now?", style="bold"))
    else:
        console.print(Text("See the plan of the next batch, with what is known now?", style="bold"))
    console.print(Text("1 = yes   Enter = end"))
    if (typed_line(console) or "").lower() not in ("1", "y", "yes"):
        return status
    return _route_again(rule_base, answers, diagnosis)


def _route_again(rule_base: RuleBase, answers: Answers, diagnosis: Diagnosis) -> int:
    from advisor.present.text.diagnosis import print_next_batch
    from advisor.present.text.page import Page
    from advisor.terminal.consult.route import show_advice

    before = Batch(f"next after {diagnosis.title}" if diagnosis.title else "next batch", answers)
    try:
        conclusions = asked(ROUTE, rule_base, before, resume=False, save=None, to_standard_error=False)
    except ContradictionError as problem:
        raise InputError(f"the plan of the next batch cannot be made: {problem}") from None
    if conclusions is None:
        return LEFT
    advice = build_advice(conclusions, before.title)
    show_advice(advice, json_output=False, explain=False)
    print_next_batch(Page(screen()), diagnosis, explain=False)
    return STOP if advice.stop else ADVICE
