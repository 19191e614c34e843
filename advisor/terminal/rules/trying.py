"""``advisor rules try``: which worked cases come out differently with other rules, and how."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

from advisor import __version__
from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.build_diagnosis import build_diagnosis
from advisor.advice.comparing import Document, changed_parts, unmet
from advisor.advice.documents.trial import Trial, TriedCase
from advisor.advice.next_batch import Plan, planned_answers
from advisor.advice.notes.common import rules_note
from advisor.api import concluded
from advisor.document import json_text
from advisor.engine import conclude
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.present.text.page import Page
from advisor.present.text.trial import print_case, print_trial
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.locations import shipped
from advisor.rulebase.model import RuleBase
from advisor.terminal.consult.consulting import status_of
from advisor.terminal.exit_codes import ADVICE, BAD_INPUT
from advisor.terminal.output import screen, write_document
from advisor.terminal.progress import Progress, progress_bar
from advisor.terminal.rules.commands import checked
from advisor.terminal.settings import configured_rules
from advisor.words import tr

_QUIET_S = 2.0


@frozen
class CaseOutcome:
    """How one case comes out under one set of rules.

    Attributes:
        batch: The case as read; none where the rules cannot read it.
        document: The advice or the diagnosis; none where there is none.
        refused: Why there is none.
    """

    batch: BatchFile | None
    document: Document | None
    refused: str | None = None

    @property
    def status(self) -> int:
        """The exit status of the consultation."""
        if self.document is None:
            return BAD_INPUT
        return status_of(self.document)

    @property
    def unmet(self) -> list[str]:
        """What the case expects and does not get."""
        expected = self.batch and (self.batch.expected or self.batch.diagnosis)
        return unmet(expected, self.document) if expected else []


class Judge:
    """Decides worked cases by one set of rules.

    Attributes:
        of_route: The rules of the route consultation.
        of_diagnosis: The rules with those of the diagnosis.
    """

    def __init__(self, of_route: RuleBase, of_diagnosis: RuleBase) -> None:
        self.of_route = of_route
        self.of_diagnosis = of_diagnosis
        self._planned: Callable[[Path], Plan] = cache(self._plan)

    def outcome(self, path: Path) -> CaseOutcome:
        """How a case comes out."""
        batch = None
        try:
            batch = self.read(path)
            return CaseOutcome(batch, self.document(path, batch))
        except InputError as problem:
            return CaseOutcome(batch, None, str(problem).splitlines()[0])

    def read(self, path: Path) -> BatchFile:
        """A case, with the rules of its consultation.

        Raises:
            InputError: If it cannot be read.
        """
        return read_batch(path, self.of_diagnosis if _is_diagnosis(path) else self.of_route)

    def document(self, path: Path, batch: BatchFile) -> Document:
        """The advice or diagnosis for a case that is already read; a piece also has what its plan answers.

        Raises:
            InputError: If answers contradict each other, or the plan cannot be read.
        """
        if not _is_diagnosis(path):
            return build_advice(concluded(self.of_route, batch), batch.title, look_for_changes=False)
        plan = self._planned(path.parent / batch.plan) if batch.plan is not None else None
        known = BatchFile(batch.title, {**planned_answers(plan, self.of_diagnosis), **batch.answers}, name=batch.name)
        return build_diagnosis(concluded(self.of_diagnosis, known), batch.title, plan, look_for_changes=False)

    def _plan(self, path: Path) -> Plan:
        batch = read_batch(path, self.of_route)
        conclusions = concluded(self.of_route, batch)
        return Plan(conclusions, build_advice(conclusions, batch.title, look_for_changes=False))


def _is_diagnosis(path: Path) -> bool:
    return path.parent.name == "diagnosis"


def case_files() -> dict[str, Path]:
    """The worked cases by name, those of the route first."""
    cases = shipped("cases")
    return {path.stem: path for path in (*sorted(cases.glob("*.yaml")), *sorted(cases.glob("diagnosis/*.yaml")))}


def try_rules(
    folder: Path, rules: Sequence[Path] | None, case: str | None, *, whole: bool = False, json_output: bool = False
) -> int:
    """Decide the worked cases by the rules as they are and with a folder, and show what differs.

    Args:
        folder: The rules to try.
        rules: The shop's own folders that lie below.
        case: One case to show in full.
        whole: Whether the folder is a whole rule base and takes the place of the shipped one.
        json_output: Whether to give everything as one document.

    Returns:
        The exit status: bad input for faulty rules, else that the cases were decided, whatever differs.

    Raises:
        InputError: If there is no such case, or a folder cannot be read.
    """
    files = case_files()
    if case is not None and case not in files:
        raise InputError(
            tr(
                "there is no case '{case}'{closest}; choose one of the folder cases",
                case=case,
                closest=closest(case, list(files)),
            )
        )
    used = list(rules or configured_rules())
    others = [one for one in used if one.resolve() != folder.resolve()]
    now = checked((), base=folder) if whole else checked((*used, folder) if others == used else tuple(used))
    was = checked(tuple(others))
    if now is None or was is None:
        return BAD_INPUT
    chosen = files if case is None else {case: files[case]}
    with progress_bar(tr("Deciding the cases"), _QUIET_S) as progress:
        trial = tried(Judge(*was), Judge(*now), chosen, progress)
    if json_output:
        write_document(json_text(trial) + "\n")
    elif case is not None:
        print_case(Page(screen()), case, trial.differing)
    else:
        print_trial(Page(screen()), trial, folder)
    return ADVICE


def tried(before: Judge, after: Judge, cases: dict[str, Path], progress: Progress | None = None) -> Trial:
    """What differs in some cases between two sets of rules."""
    differing = []
    for number, (name, path) in enumerate(cases.items(), 1):
        found = _tried_case(name, path, before.outcome(path), after.outcome(path))
        if found is not None:
            differing.append(found)
        if progress is not None:
            progress(number, len(cases))
    notes = [rules_note(conclude(judge.of_diagnosis, {})) for judge in (before, after)]
    program = f"advisor {__version__}"
    return Trial(program=program, before=notes[0], after=notes[1], tried=len(cases), differing=tuple(differing))


def _tried_case(name: str, path: Path, was: CaseOutcome, now: CaseOutcome) -> TriedCase | None:
    changed = changed_parts(was.document, now.document) if was.document and now.document else ()
    broken = [what for what in now.unmet if what not in was.unmet]
    if not (changed or broken or was.status != now.status or was.refused != now.refused):
        return None
    batch = now.batch or was.batch
    return TriedCase(
        case=name,
        consultation="diagnose" if _is_diagnosis(path) else "route",
        title=batch.title if batch else None,
        status_before=was.status,
        status_after=now.status,
        refused=now.refused,
        broken=tuple(broken),
        changed=changed,
    )
