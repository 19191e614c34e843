"""``advisor route``: from a file or by asking, to the advice on the screen or as JSON."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.advice.batches.answers import written_answer
from advisor.advice.batches.batch_file import BatchFile
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.advice.plan.planned_batch import work_out
from advisor.advice.plan.side_by_side import side_by_side
from advisor.engine import Conclusions
from advisor.metallurgy.common.tables import Tables
from advisor.present.screens.first import first_screen
from advisor.present.screens.layout import Line
from advisor.present.text.advice import PARTS, print_advice
from advisor.present.text.computed import STATES, print_side_by_side
from advisor.present.text.page import Page
from advisor.rulebase.model import RuleBase
from advisor.terminal.consult.consulting import Consulting, Options, consult
from advisor.terminal.consult.keys import SHEET
from advisor.terminal.kinds import ROUTE
from advisor.terminal.output import number_typed, screen, typed_line
from advisor.terminal.setup import say_doubts, shop_experience
from advisor.words import tr

if TYPE_CHECKING:
    from advisor.terminal.consult.conversation import Consultation


def run_route(options: Options, *, beside: tuple[str, ...] = ()) -> int:
    """Run a route consultation and show its advice.

    Args:
        options: What the command line asks.
        beside: Routes to lay beside the advised one.

    Returns:
        The exit status.

    Raises:
        InputError: If a file or an answer cannot be used.
    """
    return consult(RouteConsulting(options, beside))


class RouteConsulting(Consulting[Advice]):
    """The consultation about the route."""

    kind = ROUTE

    def __init__(self, options: Options, beside: tuple[str, ...]) -> None:
        super().__init__(options)
        self.beside = beside

    def beginning(self, rule_base: RuleBase, batch: BatchFile) -> BatchFile:  # noqa: ARG002 - a route needs only the answers
        return replace(batch, title=self.options.title or batch.title)

    def document(self, conclusions: Conclusions, batch: BatchFile) -> Advice:
        experience, changes = shop_experience(batch), self.shows_changes
        advice = build_advice(conclusions, batch.title, self.beside, experience, look_for_changes=changes)
        if not self.options.asks:
            say_doubts(advice, batch)
        return advice

    @property
    def parts(self) -> Mapping[str, Callable[[Page, Advice], None]]:
        return PARTS

    def first_screen(self, document: Advice, width: int, ending: Sequence[Line]) -> list[Line]:
        return first_screen(document, width, ending)

    def whole(self, page: Page, document: Advice) -> None:
        print_advice(page, document)

    def work(self, consultation: Consultation, document: Advice) -> None:
        # Most consultations that end at a file lead through no work.
        from advisor.terminal.consult.lead import lead
        from advisor.terminal.journal.commands import who_writes
        from advisor.terminal.journal.files import open_journal

        facts = consultation.keeper.rule_base.facts
        written = {name: written_answer(facts[name], value) for name, value in consultation.answers.items()}
        lead(document, written, open_journal(None), who_writes(None))

    def trial(self, document: Advice) -> str | None:
        return document.trial

    def other_ways(self, page: Page, consultation: Consultation, document: Advice) -> None:
        if document.outcome in ("stop", "find_out"):
            return
        others = [one for one in document.decisions[0].options if one.id != document.route]
        page.say(tr("Another route beside this one, in figures? Type its number, or just Enter to go back."))
        for number, option in enumerate(others, 1):
            page.say(f"{option.title} ({STATES[option.state]})", mark=f"  {number}  ")
        while typed := typed_line(screen()):
            chosen = number_typed(typed, len(others))
            if chosen is None:
                page.say(tr("Type a number from 1 to {count}, or just Enter to go back.", count=len(others)))
                continue
            _lay_beside(page, consultation.conclusions, document, others[chosen - 1].id)

    def own_key(self, page: Page, consultation: Consultation, document: Advice, typed: str) -> int | None:
        if typed == SHEET:
            # Whoever takes the answers from a file is offered nothing.
            from advisor.terminal.consult.sheet import write_offered

            page.say(write_offered(document, consultation.keeper.file))
        return None


def _lay_beside(page: Page, conclusions: Conclusions, advice: Advice, wanted: str) -> None:
    tables = Tables(conclusions.rule_base)
    sides = side_by_side(work_out(conclusions, tables), tables, (wanted,))
    print_side_by_side(page, tuple(side for side in sides if side.route in (advice.route, wanted)))
