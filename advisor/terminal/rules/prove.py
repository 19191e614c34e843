"""``advisor rules check --prove``: proves the promises of the rules over all sets of answers."""

from __future__ import annotations

import os
import re
import shlex
import signal
import sys
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from advisor.advice.batches.batch_file import batch_text
from advisor.engine import Answers
from advisor.present.text.page import Page
from advisor.proof.prove import prove
from advisor.proof.report import Failure, PromiseVerdict, Proof
from advisor.proof.space.logic import solver_module
from advisor.rulebase.model import RuleBase
from advisor.terminal.exit_codes import ADVICE, BAD_INPUT, LEFT
from advisor.terminal.output import say_fault, screen
from advisor.terminal.writing import ANSWERS, check_folder, write_into
from advisor.words import tr, tr_many

_STOPPED = tr("The proof was stopped before its end; only what is said above is decided.")
_BEGINS = {
    "route": tr("Proof of the route consultation, over all sets of answers:"),
    "diagnosis": tr("Proof of the diagnosis consultation, over all sets of answers:"),
}
"""By what stands in the names of files."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be written where.

    Attributes:
        counterexamples: A folder for answers that show a promise broken; otherwise they are printed.
        witnesses: A folder for answers that show each rule at work.
        rules: The shop's own folders, as they must stand in a command that runs such answers again.
        force: Whether files of answers that are there may be written over.
    """

    counterexamples: Path | None = None
    witnesses: Path | None = None
    rules: tuple[Path, ...] = ()
    force: bool = False


def run_proof(of_route: RuleBase, of_diagnosis: RuleBase, wanted: Wanted) -> int:
    """Prove the rules of both consultations, which have no faults.

    Args:
        of_route: The rules of the route consultation.
        of_diagnosis: The rules with those of the diagnosis.
        wanted: What is to be written where.

    Returns:
        The exit status.

    Raises:
        SolverMissingError: If the solver is not installed.
        InputError: If a folder holds files that must stay.
    """
    solver_module()
    for folder in (wanted.counterexamples, wanted.witnesses):
        if folder is not None:
            check_folder(folder, force=wanted.force)
    page = Page(screen())
    try:
        with _interrupts_end_it():
            proved = _prove_one(page, "route", of_route, wanted)
            if any(decision.of_diagnosis for decision in of_diagnosis.agenda.values()):
                page.gap()
                proved &= _prove_one(page, "diagnosis", of_diagnosis, wanted)
    except KeyboardInterrupt:  # The solver was at work and has heard of it.
        say_fault(_STOPPED)
        return LEFT
    page.gap()
    if proved:
        page.say(tr("Proved: these rules keep every promise, whatever is answered."))
        return ADVICE
    page.say(tr("NOT proved. Correct the rules named above, and run  advisor rules check --prove  again."))
    if wanted.counterexamples is None:
        page.say(tr("With  --counterexamples FOLDER  each set of answers is written to a file that you can run."))
    return BAD_INPUT


@contextmanager
def _interrupts_end_it() -> Iterator[None]:
    """End the program at once when the person interrupts.

    Raised as an exception, an interrupt inside the wrapper of the solver becomes a fault of that wrapper. Nothing is
    lost: files are written whole or not at all.
    """

    def end(*_: object) -> None:
        with suppress(RuntimeError):  # It may have come in the middle of a line.
            sys.stdout.flush()
            say_fault(_STOPPED)
        os._exit(LEFT)

    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, end)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _prove_one(page: Page, title: str, rule_base: RuleBase, wanted: Wanted) -> bool:
    page.say(_BEGINS[title])
    proof, shown = prove(rule_base, notify=lambda verdict: _say(page, verdict))
    _say_size(page, proof)
    for number, (verdict, failure) in enumerate(proof.failures(), 1):
        if failure.answers is not None:
            _show_answers(page, rule_base, f"{title}-{number:02}-{verdict.name}", failure, wanted)
    if wanted.witnesses is not None:
        _write_witnesses(rule_base, shown, wanted.witnesses / title, force=wanted.force)
        page.say(
            tr_many(
                "Each rule is shown at work in {witnesses} ({count} file).",
                "Each rule is shown at work in {witnesses} ({count} files).",
                len(shown),
                witnesses=wanted.witnesses / title,
            )
        )
    return proof.proved


def _say(page: Page, verdict: PromiseVerdict) -> None:
    result = tr("proved") if verdict.proved else tr("NOT proved, {count} found", count=len(verdict.failures))
    if not verdict.declared:
        page.say(tr("{name}: no rule declares anything to prove here.", name=verdict.name))
        return
    promise = verdict.promise if verdict.proved else tr("It should be so: {promise}", promise=verdict.promise)
    asked = tr_many("{count} question", "{count} questions", verdict.checked)
    page.say(f"{verdict.name}: {result} ({asked}, {verdict.seconds:.1f} s). {promise}")
    for line in verdict.lines:
        page.say(line, indent=2)
    for failure in verdict.failures:  # Those with answers come in full at the end.
        shown = failure.subject if failure.answers is not None else f"{failure.subject}: {failure.says}"
        page.say(shown, indent=2, mark="- ")


def _say_size(page: Page, proof: Proof) -> None:
    page.say(
        tr(
            "Decided over all sets of answers: {count} full ones (the product of all cells, "
            "{consistent_sets} without contradiction) and {partial_sets} with things not "
            "known. It took {seconds:.0f} s{memory}.",
            count=_count(proof.full_sets),
            consistent_sets=_count(proof.consistent_sets),
            partial_sets=_count(proof.partial_sets),
            seconds=proof.seconds,
            memory=_memory(),
        )
    )


def _count(number: int) -> str:
    """A large number in words a person can compare."""
    if number < 1_000_000:
        return f"{number:,}"
    digits = len(str(number)) - 1
    return f"{number / 10**digits:.1f} x 10^{digits}"


def _memory() -> str:
    try:
        import resource
    except ImportError:  # Not on Windows.
        return ""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return tr(" and {peak:.0f} MB", peak=peak / (1024 * 1024 if sys.platform == "darwin" else 1024))


def _show_answers(page: Page, rule_base: RuleBase, name: str, failure: Failure, wanted: Wanted) -> None:
    """Print the answers that show a failure, or write them and say how to run them."""
    page.gap()
    page.say(f"{failure.subject}: {failure.says}")
    stem = f"{name}-{file_name(failure.subject)}"
    heading = tr("The answers:") if failure.before is None else tr("The answers with:")
    both = (
        (f"{stem}-before.yaml", tr("The answers before:"), failure.before),
        (f"{stem}.yaml", heading, failure.answers),
    )
    for file, says, answers in both:
        if answers is None:
            continue
        text = batch_text(f"{failure.subject}: {failure.says}", answers, rule_base)
        if wanted.counterexamples is None:
            page.say(says, indent=2)
            for line in answer_lines(text):
                page.verbatim(f"    {line}")
        else:
            write_into(wanted.counterexamples, file, text, ANSWERS, force=wanted.force)
            page.verbatim("  " + command_again(rule_base, wanted.counterexamples / file, wanted.rules))


def answer_lines(text: str) -> list[str]:
    """The answers of a batch file, without its title."""
    _, _, answers = text.partition("answers:\n")
    return [line.strip() for line in answers.splitlines()] or [tr("nothing is known")]


def command_again(rule_base: RuleBase, file: Path, rules: tuple[Path, ...]) -> str:
    """The command that runs answers again with the same rules."""
    diagnosis = any(decision.of_diagnosis for decision in rule_base.agenda.values())
    words = ["advisor", *(("diagnose", "--observations") if diagnosis else ("route", "--answers")), str(file)]
    for folder in rules:
        words += ["--rules", str(folder)]
    return shlex.join(words)


def _write_witnesses(rule_base: RuleBase, shown: Mapping[str, Answers], folder: Path, *, force: bool) -> None:
    for name, answers in shown.items():
        text = batch_text(tr("Shows at work: {name}", name=name), answers, rule_base)
        write_into(folder, f"{file_name(name)}.yaml", text, ANSWERS, force=force)


def file_name(words: str) -> str:
    return re.sub(r"[^a-z0-9.]+", "-", words.lower()).strip("-")[:80]
