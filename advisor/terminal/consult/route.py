"""``advisor route``: from a file or by asking, to the advice on the screen or as JSON."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from advisor.advice.batches.batch_file import Batch
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.advice.experience import Experience
from advisor.engine.conclude import Conclusions
from advisor.errors import InputError
from advisor.present.text.letters import tame
from advisor.present.text.page import Page
from advisor.rulebase.model import RuleBase
from advisor.terminal.consult.setup import ROUTE, asked, concluded, given, kept_before, rule_base_for
from advisor.terminal.exit_codes import ADVICE, LEFT, STOP
from advisor.terminal.output import (
    notices,
    number_typed,
    page_screen,
    say_fault,
    screen,
    typed_line,
    write_document,
)
from advisor.terminal.settings import journal_file


def shop_experience() -> Experience | None:
    """What the journal says of earlier batches; advice is given without it too."""
    try:
        path = journal_file()
        if not path.exists():
            return None
        from advisor.journal import Journal
        from advisor.journal.gathering import experience

        return experience(Journal(path))
    except InputError as problem:
        say_fault(f"{problem}. The plan goes by the rules alone.")
        return None


def run_route(
    answers: Path | None,
    json_output: bool,
    explain: bool,
    resume: bool,
    save: Path | None,
    title: str | None,
    rules: Sequence[Path] | None,
    beside: tuple[str, ...] = (),
) -> int:
    """Run a route consultation and show its advice.

    Returns:
        The exit status.

    Raises:
        InputError: If a file or an answer cannot be used.
    """
    if answers is not None and (resume or save is not None):
        raise InputError("--answers asks nothing, so --resume and --save do not go with it; leave them out")
    rule_base = rule_base_for(rules)
    if answers is not None:
        batch = given(answers, rule_base)
        advice = advised(rule_base, batch, title, beside)
        show_advice(advice, json_output, explain)
    else:
        before = kept_before(ROUTE, rule_base, resume, save)
        before = replace(before, title=title or before.title)
        conclusions = asked(ROUTE, rule_base, before, resume=resume, save=save, to_standard_error=json_output)
        if conclusions is None:
            return LEFT
        advice = build_advice(conclusions, before.title, beside, shop_experience())
        show_advice(advice, json_output, explain)
        if not json_output and not advice.stop:
            _offer_beside(conclusions, advice, save or ROUTE.last_file)
        elif not json_output:
            from rich.text import Text

            notices().print(Text(tame(f"The STOP sheet for the wall: {sheet_command(save)}")), soft_wrap=True)
    return STOP if advice.stop else ADVICE


def advised(rule_base: RuleBase, batch: Batch, title: str | None, beside: tuple[str, ...]) -> Advice:
    """The advice for a batch from a file; what cannot be is refused with the name of the file."""
    advice = build_advice(concluded(rule_base, batch), title or batch.title, beside, shop_experience())
    if advice.warnings:
        raise InputError("\n".join(f"{batch.name}: {warning}" for warning in advice.warnings))
    return advice


def sheet_command(save: Path | None) -> str:
    """The command that writes the sheet of the consultation that has just ended."""
    return "advisor sheet" + (f" --answers {shlex.quote(str(save))}" if save is not None else "")


def _offer_beside(conclusions: Conclusions, advice: Advice, answers: Path) -> None:
    """Write the sheet, or lay other routes beside the advised one, as long as the person asks for it."""
    from advisor.advice.plan.planned_batch import work_out
    from advisor.advice.plan.side_by_side import side_by_side
    from advisor.metallurgy.tables import Book
    from advisor.present.text.computed import print_side_by_side
    from advisor.terminal.consult.sheet import write_offered

    page = Page(screen())
    book = Book(conclusions.rule_base)
    worked = work_out(conclusions, book)
    decision = advice.decisions[0]
    others = [option for option in decision.options if option.id != advice.route]
    page.gap()
    page.say("Another route beside this one, in figures? Type its number, or just Enter to end.")
    for number, option in enumerate(others, 1):
        page.say(f"{option.title} ({option.state.replace('_', ' ')})", mark=f"  {number}  ")
    page.say("One or two pages for the wall beside the furnace", mark="  s  ")
    while True:
        typed = typed_line(screen())
        if not typed:
            return
        chosen = number_typed(typed, len(others))
        if chosen is not None:
            wanted = others[chosen - 1].id
            sides = side_by_side(worked, book, (wanted,))
            print_side_by_side(page, tuple(side for side in sides if side.route in (advice.route, wanted)))
        elif typed.lower() == "s":
            page.say(write_offered(advice, answers))
        else:
            page.say(f"Type a number from 1 to {len(others)}, s for the wall, or just Enter to end.")


def show_advice(advice: Advice, json_output: bool, explain: bool) -> None:
    """The advice on the screen, or as JSON."""
    if json_output:
        write_document(advice.model_dump_json(indent=2) + "\n")
        return
    from advisor.present.text.advice import print_advice

    print_advice(Page(page_screen()), advice, explain)
