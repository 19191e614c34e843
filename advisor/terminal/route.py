"""``advisor route``: from a file or by asking, to the advice on the screen or as JSON."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path

from rich.text import Text

from advisor.cases.batch_file import Batch, read_batch
from advisor.errors import InputError
from advisor.inference.answers import ContradictionError
from advisor.inference.conclusions import Conclusions, conclude
from advisor.knowledge.loading import load_rule_base
from advisor.knowledge.rulebase import RuleBase
from advisor.planning.advice import Advice
from advisor.planning.building import build_advice
from advisor.terminal.exit_codes import ADVICE, LEFT, STOP
from advisor.terminal.output import notices, read_standard_input, screen, tame, typed_line, write_document
from advisor.terminal.settings import configured_rules, last_file, unfinished_file


def rule_base_for(rules: Sequence[Path] | None) -> RuleBase:
    """The rule base with the folders named on the command line, or else the configured ones."""
    return load_rule_base(tuple(rules) if rules else configured_rules())


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
        asked = _asked(rule_base, resume, save, title, json_output)
        if asked is None:
            return LEFT
        conclusions, name = asked
        advice = build_advice(conclusions, name, beside)
        show_advice(advice, json_output, explain)
        if not json_output and not advice.stop:
            _offer_beside(conclusions, advice, save or last_file())
        elif not json_output:
            notices().print(Text(tame(f"The STOP sheet for the wall: {sheet_command(save)}")), soft_wrap=True)
    return STOP if advice.stop else ADVICE


def given(path: Path, rule_base: RuleBase) -> Batch:
    """The batch in a file, or on standard input for ``-``."""
    if str(path) != "-":
        return read_batch(path, rule_base)
    return read_batch(Path("standard input"), rule_base, read_standard_input())


def advised(rule_base: RuleBase, batch: Batch, title: str | None, beside: tuple[str, ...]) -> Advice:
    """The advice for a batch from a file; what cannot be is refused with the name of the file."""
    try:
        conclusions = conclude(rule_base, batch.answers)
    except ContradictionError as problem:
        raise InputError(f"{batch.name}: {problem}") from None
    advice = build_advice(conclusions, title or batch.title, beside)
    if advice.warnings:
        raise InputError("\n".join(f"{batch.name}: {warning}" for warning in advice.warnings))
    return advice


def _asked(
    rule_base: RuleBase, resume: bool, save: Path | None, title: str | None, json_output: bool
) -> tuple[Conclusions, str | None] | None:
    """The conclusions of a conversation and the name of the batch; None when the person left."""
    from advisor.terminal.consultation import Consultation, LeftError

    kept = save or unfinished_file()
    before = Batch(title, {})
    if resume:
        if not kept.is_file():
            raise InputError(f"there is no unfinished consultation in {kept}; start one with  advisor route")
        before = read_batch(kept, rule_base)
    elif save is not None and save.exists():
        raise InputError(f"{save} exists already; add --resume to go on with it, or name another file")
    console = notices() if json_output else screen()
    consultation = Consultation(rule_base, console, kept, title or before.title, dict(before.answers))
    if save is None and not resume and kept.is_file():
        consultation.put_aside = _place_aside(kept)
    try:
        conclusions = consultation.run()
    except LeftError:
        consultation.say_left()
        return None
    finished = kept if save is not None else last_file()
    kept_there = consultation.can_keep if save is not None else consultation.move_to(finished)
    if kept_there:
        again = f"advisor route --answers {shlex.quote(str(finished))}"
        words = f"Your answers are in {finished}; show this advice again with: {again}"
        notices().print(Text(tame(words)), soft_wrap=True)
    return conclusions, title or before.title


def _place_aside(unfinished: Path) -> Path:
    """Where an unfinished consultation goes when the first answer of a new one is kept; says so."""
    places = (unfinished.with_name(f"{unfinished.stem}-{number}.yaml") for number in range(2, 10_000))
    aside = next(place for place in places if not place.exists())
    notices().print(Text("An unfinished consultation is there. Once you answer here, go on with it by:"))
    notices().print(Text(tame(f"advisor route --save {shlex.quote(str(aside))} --resume")), soft_wrap=True)
    return aside


def sheet_command(save: Path | None) -> str:
    """The command that writes the sheet of the consultation that has just ended."""
    return "advisor sheet" + (f" --answers {shlex.quote(str(save))}" if save is not None else "")


def _offer_beside(conclusions: Conclusions, advice: Advice, answers: Path) -> None:
    """Write the sheet, or lay other routes beside the advised one, as long as the person asks for it."""
    from advisor.planning.comparing import side_by_side
    from advisor.planning.working import work_out
    from advisor.reckoning.book import Book
    from advisor.terminal.computed_view import print_side_by_side
    from advisor.terminal.page import Page
    from advisor.terminal.sheet_command import write_offered

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
        if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= len(others):
            wanted = others[int(typed) - 1].id
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
    from advisor.terminal.advice_view import print_advice

    print_advice(screen(), advice, explain)
