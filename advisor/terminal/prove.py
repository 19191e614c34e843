"""``advisor rules check --prove``: proves the promises of the rules over all sets of answers."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from advisor.cases.batch_file import batch_text, replace_file
from advisor.inference.answers import Answers
from advisor.knowledge.rulebase import RuleBase
from advisor.proving.proof import CHECKS, prove
from advisor.proving.report import Failure, Proof, Verdict
from advisor.terminal.exit_codes import ADVICE, BAD_INPUT
from advisor.terminal.output import screen
from advisor.terminal.page import Page


def run_proof(of_route: RuleBase, of_diagnosis: RuleBase, counterexamples: Path | None, witnesses: Path | None) -> int:
    """Prove the rules of both consultations, which have no faults.

    Args:
        of_route: The rules of the route consultation.
        of_diagnosis: The rules with those of the diagnosis.
        counterexamples: A folder for answers that show a promise broken; otherwise they are printed.
        witnesses: A folder for answers that show each rule at work.

    Returns:
        The exit status.
    """
    proved = _prove_one("route", of_route, counterexamples, witnesses)
    if any(decision.of_diagnosis for decision in of_diagnosis.agenda.values()):
        proved &= _prove_one("diagnosis", of_diagnosis, counterexamples, None)
    return ADVICE if proved else BAD_INPUT


def _prove_one(
    title: str, rule_base: RuleBase, only: tuple[str, ...], counterexamples: Path | None, witnesses: Path | None
) -> bool:
    page = Page(screen())
    page.say(f"Proof of the {title} consultation, over all sets of answers:")
    proof, shown = prove(rule_base, only, told=lambda verdict: _say(page, verdict))
    _say_size(page, proof)
    for number, (verdict, failure) in enumerate(proof.failures(), 1):
        _show_failure(page, rule_base, f"{title}-{number:02}-{verdict.name}", failure, counterexamples)
    if witnesses is not None:
        _write_witnesses(rule_base, shown, witnesses)
        page.say(f"{len(shown)} files in {witnesses} show each rule at work.")
    return proof.proved


def _say(page: Page, verdict: Verdict) -> None:
    result = "proved" if verdict.proved else f"NOT proved, {len(verdict.failures)} found"
    if not verdict.declared:
        page.say(f"{verdict.name}: no rule declares anything to prove here.")
        return
    page.say(f"{verdict.name}: {result} ({verdict.checked} questions, {verdict.seconds:.1f} s). {verdict.promise}")
    for line in verdict.lines:
        page.say(line, indent=2)
    for failure in verdict.failures:
        page.say(f"{failure.subject}: {failure.says}", indent=2, mark="- ")


def _say_size(page: Page, proof: Proof) -> None:
    consistent = "" if proof.consistent_sets is None else f", {_count(proof.consistent_sets)} without contradiction"
    page.say(
        f"Decided over all sets of answers: {_count(proof.full_sets)} full ones (the product of all cells{consistent}) "
        f"and {_count(proof.partial_sets)} with things not known. It took {proof.seconds:.0f} s{_memory()}."
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
    import sys

    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return f" and {peak / (1024 * 1024 if sys.platform == 'darwin' else 1024):.0f} MB"


def _show_failure(page: Page, rule_base: RuleBase, name: str, failure: Failure, folder: Path | None) -> None:
    stem = f"{name}-{_file_name(failure.subject)}"
    files: list[tuple[str, Answers]] = []
    if failure.before is not None:
        files.append((f"{stem}-before.yaml", failure.before))
    if failure.answers is not None:
        files.append((f"{stem}.yaml", failure.answers))
    for file, answers in files:
        text = batch_text(f"{failure.subject}: {failure.says}", answers, rule_base)
        if folder is None:
            page.say(f"{failure.subject}: {failure.says}")
            screen().print(text, markup=False, highlight=False, soft_wrap=True)
        else:
            replace_file(folder / file, text)
            page.say(f"{failure.subject}: advisor route --answers {folder / file}")


def _write_witnesses(rule_base: RuleBase, shown: Mapping[str, Answers], folder: Path) -> None:
    for name, answers in shown.items():
        replace_file(folder / f"{_file_name(name)}.yaml", batch_text(f"Shows at work: {name}", answers, rule_base))


def _file_name(words: str) -> str:
    return re.sub(r"[^a-z0-9.]+", "-", words.lower()).strip("-")[:80]
