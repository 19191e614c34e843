"""``advisor route``: from a file or by asking, to the advice on the screen or as JSON."""

from __future__ import annotations

import shlex
from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.advice.batches.batch_file import BatchFile
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import OptionNote
from advisor.advice.plan.planned_batch import work_out
from advisor.advice.plan.side_by_side import side_by_side
from advisor.engine import Conclusions
from advisor.metallurgy.common.tables import Tables
from advisor.present.text.advice import print_advice
from advisor.present.text.computed import print_side_by_side
from advisor.present.text.page import Page
from advisor.rulebase.model import RuleBase
from advisor.terminal.consult.consulting import Consulting, Options, change_answer, consult, status_of
from advisor.terminal.kinds import ROUTE
from advisor.terminal.output import notice, number_typed, screen, typed_line
from advisor.terminal.setup import say_doubts, shop_experience

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
        advice = build_advice(conclusions, batch.title, self.beside, shop_experience())
        if not self.options.asks:
            say_doubts(advice, batch)
        return advice

    def show(self, page: Page, document: Advice) -> None:
        print_advice(page, document)

    def go_on(self, consultation: Consultation, document: Advice) -> int | None:
        """Write the sheet, lay other routes beside the advised one, or change an answer, as long as the person asks."""
        # Whoever takes the answers from a file is offered nothing.
        from advisor.terminal.consult.sheet import write_offered

        page, keeper = Page(screen()), consultation.keeper
        ends = document.outcome in ("stop", "find_out")
        if ends and keeper.works:
            named = "" if self.options.save is None else f" --answers {shlex.quote(str(keeper.file))}"
            what = "STOP sheet" if document.stop else "sheet of what to find out"
            notice(f"The {what} for the wall: advisor sheet{named}")
        others = [] if ends else [one for one in document.decisions[0].options if one.id != document.route]
        _say_offer(page, others, document.trial)
        while True:
            typed = typed_line(screen())
            if not typed:
                return status_of(document)
            chosen = number_typed(typed, len(others))
            if chosen is not None:
                _lay_beside(page, consultation.conclusions, document, others[chosen - 1].id)
            elif typed.lower() in ("c", "change"):
                if change_answer(consultation):
                    return None
                _say_offer(page, others, document.trial)
            elif typed.lower() == "t" and document.trial:
                if change_answer(consultation, document.trial):
                    return None
                _say_offer(page, others, document.trial)
            elif typed.lower() == "s" and others:
                page.say(write_offered(document, keeper.file))
            else:
                _say_keys(page, others)


def _lay_beside(page: Page, conclusions: Conclusions, advice: Advice, wanted: str) -> None:
    tables = Tables(conclusions.rule_base)
    sides = side_by_side(work_out(conclusions, tables), tables, (wanted,))
    print_side_by_side(page, tuple(side for side in sides if side.route in (advice.route, wanted)))


def _say_keys(page: Page, others: list[OptionNote]) -> None:
    beside = f"a number from 1 to {len(others)}, s for the wall, " if others else ""
    page.say(f"Type {beside}c to change an answer, or just Enter to end.")


def _say_offer(page: Page, others: list[OptionNote], trial: str | None) -> None:
    page.gap()
    if not others:
        page.say("Is an answer wrong? Type c to change it, or just Enter to end.")
        return
    page.say("Another route beside this one, in figures? Type its number, or just Enter to end.")
    for number, option in enumerate(others, 1):
        page.say(f"{option.title} ({option.state.replace('_', ' ')})", mark=f"  {number}  ")
    page.say("One or two pages for the wall beside the furnace", mark="  s  ")
    if trial:
        page.say("Tell what the button of the trial weighed, for narrower weights", mark="  t  ")
    page.say("Change an answer", mark="  c  ")
