"""The computations as commands: inputs from a file or written out, figures on the screen or as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from advisor.errors import InputError
from advisor.metallurgy.calculators import COMPUTATIONS, run_computation
from advisor.metallurgy.common.document import FigureNote, Group, Reckoning, Said
from advisor.metallurgy.common.inputs import from_words
from advisor.metallurgy.tables import Book
from advisor.present.text.page import Page, between
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import Document, parse_yaml, read_document
from advisor.terminal.consult.setup import rule_base_for
from advisor.terminal.exit_codes import ADVICE, STOP
from advisor.terminal.output import read_standard_input, screen, write_document

_MARKS = {"verdict": "= ", "warning": "! ", "limit": "~ ", "step": "> ", "sign": "? ", "note": "- "}
_STYLES = {"verdict": "bold", "warning": "bold red"}


def run_reckoning(
    name: str, words: Sequence[str], file: Path | None, json_output: bool, explain: bool, rules: Sequence[Path] | None
) -> int:
    """Run one computation and show it; with no inputs, show what it takes.

    Returns:
        The exit status.

    Raises:
        InputError: If the inputs cannot be used.
    """
    rule_base = rule_base_for(rules)
    if not words and file is None:
        _print_inputs(name, rule_base)
        return ADVICE
    reckoning = run_computation(name, _document(words, file), rule_base)
    if json_output:
        write_document(reckoning.model_dump_json(indent=2) + "\n")
    else:
        print_reckoning(Page(screen()), reckoning, explain)
    return STOP if reckoning.stop else ADVICE


def _document(words: Sequence[str], file: Path | None) -> Document:
    if file is None:
        return Document("command line", from_words(words), {(): 0})
    if words:
        raise InputError("inputs are given in a file and on the command line; give them one way")
    if str(file) == "-":
        return parse_yaml(read_standard_input(), "standard input")
    return read_document(file)


def _print_inputs(name: str, rule_base: RuleBase) -> None:
    """What a computation takes, for someone who typed only its name."""
    page = Page(screen())
    page.say(f"'advisor {name}' takes inputs as  name=value  or from a file:  advisor {name} --file FILE")
    for one in COMPUTATIONS[name].inputs(Book(rule_base)):
        need = " (needed)" if one.required else ""
        page.say(f"{one.title}{need}", indent=2, mark=f"{one.example}   ")
        if one.kind in ("choice", "words") and one.options:
            page.say(f"one of: {', '.join(one.options)}", indent=6)
    page.say("Amounts may be ranges, for example  20 to 30 %.  In a file write  name: value  lines, parts indented.")


def print_reckoning(page: Page, reckoning: Reckoning, explain: bool) -> None:
    """A computation as text."""
    page.gap()
    page.say(reckoning.title, style="bold")
    for name, value in reckoning.inputs.items():
        page.say(f"{name.replace('_', ' ')}: {value}", indent=2, mark="given ")
    for group in reckoning.groups:
        print_group(page, group, explain)


def print_group(page: Page, group: Group, explain: bool) -> None:
    """One group of figures with what is said about them."""
    page.heading(group.title)
    width = min(44, max((len(figure.title) for figure in group.figures), default=0))
    for figure in group.figures:
        _print_figure(page, figure, width, explain)
    for said in group.said:
        _print_said(page, said, explain)


def _print_figure(page: Page, figure: FigureNote, width: int, explain: bool) -> None:
    unit = {"C": "°C", "permille": "‰"}.get(figure.unit, figure.unit)
    likely = "" if figure.low == figure.high else f"  (likely {between(figure.likely, figure.likely)})"
    page.say(f"{between(figure.low, figure.high)} {unit}".rstrip() + likely, mark=f"{figure.title:<{width}}  ")
    if explain:
        page.say(f"How: {figure.how}", indent=4)
        page.say(f"Source: {figure.source}", indent=4)


def _print_said(page: Page, said: Said, explain: bool) -> None:
    page.say(said.text, mark=_MARKS[said.kind], style=_STYLES.get(said.kind, ""))
    if said.do:
        page.say(f"Do: {said.do}", indent=2)
    if explain and said.source:
        page.say(f"Source: {said.source}", indent=2)
