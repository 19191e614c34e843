"""``advisor diagnose``: from what is seen to causes, to the correction in grams, to the next batch."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.advice.batches.batch_file import BatchFile, Taught
from advisor.advice.build_advice import build_advice
from advisor.advice.build_diagnosis import build_diagnosis, causes_taken
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.experience import Experience
from advisor.advice.next_batch import Plan, answers_now, planned_answers, room_answers, taught_by, without_tonight
from advisor.api import concluded
from advisor.engine import Answers, Conclusions
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.present.screens.diagnosis import first_screen
from advisor.present.screens.layout import WIDTH, Line, folded
from advisor.present.text.diagnosis import PARTS, print_diagnosis, print_next_batch
from advisor.present.text.page import Page
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import LOOKED_AT
from advisor.terminal.consult.consulting import Consulting, Options, asked, consult, status_of
from advisor.terminal.consult.keeping import hours_since
from advisor.terminal.consult.keys import NEXT, rest_line
from advisor.terminal.exit_codes import LEFT
from advisor.terminal.kinds import DIAGNOSE, ROUTE, LeftError
from advisor.terminal.output import notices, page_screen, screen, typed_line
from advisor.terminal.setup import given, rule_base_for, shop_experience
from advisor.words import tr

if TYPE_CHECKING:
    from advisor.terminal.consult.conversation import Consultation
    from advisor.terminal.consult.diagnose_journal import Recorded


@frozen
class BatchOfJournal:
    """The batch of the journal that is diagnosed.

    Attributes:
        wanted: Its number or name.
        journal: The file of the journal; without one the configured one.
        by: Who looks.
    """

    wanted: str
    journal: Path | None = None
    by: str | None = None


def run_diagnose(
    options: Options,
    *,
    plan: Path | None = None,
    batch: BatchOfJournal | None = None,
    looked_at: str | None = None,
) -> int:
    """Run a diagnosis and show it; for a batch of the journal, record it there.

    Args:
        options: What the command line asks.
        plan: The answers the batch was planned with.
        batch: The batch of the journal to take the plan from.
        looked_at: What is looked at, where the command says it; then no plan is offered.

    Returns:
        The exit status.

    Raises:
        InputError: If a file or an answer cannot be used.
    """
    if batch is not None and plan is not None:
        raise InputError(tr("--batch takes the plan from the journal and --plan from a file; give one"))
    return consult(DiagnoseConsulting(options, plan, batch, looked_at))


class DiagnoseConsulting(Consulting[Diagnosis]):
    """The consultation about what went wrong.

    Attributes:
        plan_file: The answers the batch was planned with, where they were named.
        batch: The batch of the journal, where one was named.
        looked_at: What is looked at, where the command said it.
        planned: The plan the batch was worked by, once the consultation has started.
    """

    kind = DIAGNOSE
    diagnosis = True

    def __init__(
        self, options: Options, plan: Path | None, batch: BatchOfJournal | None, looked_at: str | None = None
    ) -> None:
        super().__init__(options)
        self.looked_at = looked_at
        self.plan_file = plan
        self.batch = batch
        self.recorded: Recorded | None = None
        self.planned: Plan | None = None

    def beginning(self, rule_base: RuleBase, batch: BatchFile) -> BatchFile:
        rules, title = self.options.rules, self.options.title or batch.title
        if self.looked_at is not None:
            return replace(batch, title=title, answers={LOOKED_AT: self.looked_at}, carried=1)
        file: Path | None = None
        if self.batch is not None:
            # Most diagnoses look at no journal.
            from advisor.terminal.consult.diagnose_journal import recorded_batch

            self.recorded = recorded_batch(self.batch.wanted, self.batch.journal, rules)
            self.planned = self.recorded.plan
        else:
            file = self._plan_of(batch)
            self.planned = None if file is None else _plan(file, rules)
        known = planned_answers(self.planned, rule_base)
        if self.recorded is not None:
            known |= self.recorded.seen(rule_base)
        if self.options.asks and self._of_another_night(file, rule_base):
            known = without_tonight(known, rule_base)
        if self.options.asks and self.planned is not None:
            title = title or self.planned.advice.title
        plan = None if file is None else file.absolute()
        return replace(batch, title=title, answers={**known, **batch.answers}, plan=plan, carried=len(known))

    def _of_another_night(self, plan: Path | None, rule_base: RuleBase) -> bool:
        """Whether the plan was made too long ago to say how it is at the fire now."""
        lasts = None if rule_base.opening is None else rule_base.opening.tonight_hours
        made = hours_since(plan) if self.recorded is None else self.recorded.hours
        return lasts is not None and made >= lasts

    def _plan_of(self, batch: BatchFile) -> Path | None:
        """The file of the plan: the one named, else the one the observations name, else the last if it is the one."""
        if self.plan_file is not None:
            return self.plan_file
        if self.options.file is not None:
            return plan_beside(self.options.file, batch.plan)
        if batch.plan is not None or self.options.resume:
            return batch.plan
        return _offered(ROUTE.last_file, to_standard_error=self.options.json_output)

    def document(self, conclusions: Conclusions, batch: BatchFile) -> Diagnosis:
        # What is recorded is whole.
        changes = self.shows_changes or self.batch is not None
        return build_diagnosis(conclusions, batch.title, self.planned, look_for_changes=changes)

    def record(self, document: Diagnosis) -> InputError | None:
        if self.recorded is None or self.batch is None:
            return None
        from advisor.terminal.consult.diagnose_journal import record

        try:
            record(self.recorded, document, self.batch.by)
        except InputError as problem:
            return problem
        return None

    @property
    def parts(self) -> Mapping[str, Callable[[Page, Diagnosis], None]]:
        return PARTS

    def first_screen(self, document: Diagnosis, width: int, ending: Sequence[Line]) -> list[Line]:
        return first_screen(document, width, ending)

    def whole(self, page: Page, document: Diagnosis) -> None:
        print_diagnosis(page, document)

    def offers_next(self, document: Diagnosis) -> bool:
        changed = document.wrong_route or document.changed_plan is not None
        return changed or (self.planned is not None and bool(document.next_batch))

    def work(self, consultation: Consultation, document: Diagnosis) -> None:  # noqa: ARG002 - a correction rests on the piece alone
        from advisor.terminal.consult.work import Logbook, Work
        from advisor.terminal.journal.commands import who_writes

        book, by = self.recorded, None if self.batch is None else self.batch.by
        Work(document, None if book is None else Logbook(book.journal, book.batch, who_writes(by))).run()

    def own_key(self, page: Page, consultation: Consultation, document: Diagnosis, typed: str) -> int | None:
        """Choose the route: for this lot again where it was wrong, else for the next batch, the lot asked anew."""
        if typed != NEXT or not self.offers_next(document):
            return None
        plan = self.planned
        page.say(
            tr("The route itself was wrong: it is chosen again for this lot, with what is known now.")
            if document.wrong_route
            else tr("The next batch: your gold room is taken over, and the lot is asked anew."),
            style="bold",
        )
        rule_base = plan.rule_base if plan else rule_base_for(self.options.rules)
        known = _known_now(consultation.conclusions, plan, rule_base)
        answers = known if document.wrong_route else room_answers(known, rule_base)
        return _route_again(rule_base, answers, document, self._learned(document))

    def _learned(self, diagnosis: Diagnosis) -> Taught:
        """The weights that this diagnosis changes, for the way in which its batch was worked."""
        if self.planned is None:
            return {}
        batch = self.recorded.batch if self.recorded is not None else None
        source = (
            tr("batch {number}", number=batch.number)
            if batch is not None
            else diagnosis.title or tr("the batch before")
        )
        return taught_by(diagnosis, self.planned, source)


def plan_beside(observations: Path, plan: Path | None) -> Path | None:
    """The plan that a file of observations names, seen from the folder of that file."""
    if plan is None or plan.is_absolute() or str(observations) == "-":
        return plan
    beside = observations.parent / plan
    # A file called - is not standard input.
    return beside if str(beside) != "-" else beside.absolute()


def _plan(path: Path, rules: Sequence[Path] | None) -> Plan:
    """The plan in a file of route answers."""
    rule_base = rule_base_for(rules)
    batch = given(path, rule_base)
    conclusions = concluded(rule_base, batch)
    learned = Experience().with_lessons(batch.learned)
    return Plan(conclusions, build_advice(conclusions, batch.title, experience=learned, look_for_changes=False))


def _offered(last: Path, *, to_standard_error: bool) -> Path | None:
    """The last plan, if the person says that the piece comes from it.

    Raises:
        LeftError: If they leave.
    """
    if not last.is_file():
        return None
    console = notices() if to_standard_error else screen()
    page = Page(console)
    page.verbatim(tr("The answers of your last route consultation are in {last}.", last=last))
    page.say(tr("Does what you look at come from that batch?  1 = yes   2 = no"))
    while True:
        typed = typed_line(console)
        if typed is None:
            raise LeftError
        if typed.lower() in ("2", "n", "no"):
            return None
        if typed.lower() in ("1", "y", "yes"):
            return last
        page.say(tr("Type 1 for yes or 2 for no."))


def _known_now(conclusions: Conclusions, plan: Plan | None, rule_base: RuleBase) -> Answers:
    """What is known of room and lot: by the plan, by what the causes teach, and by what was seen."""
    answers = answers_now(plan, causes_taken(conclusions), rule_base)
    for name, value in conclusions.answers.items():
        if name in rule_base.facts:
            answers.setdefault(name, value)
    return without_tonight(answers, rule_base)


def _route_again(rule_base: RuleBase, answers: Answers, diagnosis: Diagnosis, learned: Taught) -> int:
    # Most diagnoses end before a route.
    from advisor.present.screens.first import first_screen as route_screen
    from advisor.present.text.advice import PARTS as ADVICE_PARTS

    title = tr("next after {title}", title=diagnosis.title) if diagnosis.title else tr("next batch")
    before = BatchFile(title, answers, carried=len(answers), learned=learned)
    try:
        consultation = asked(ROUTE, rule_base, before, Options())
    except LeftError:
        return LEFT
    advice = build_advice(consultation.conclusions, before.title, experience=shop_experience(before))
    page = Page(page_screen())
    page.lines(route_screen(advice, min(page.columns, WIDTH), folded(rest_line(ADVICE_PARTS), WIDTH)))
    print_next_batch(Page(screen()), diagnosis)
    return status_of(advice)
