"""The computations as commands: inputs from a file or written out, figures on the screen or as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.calculators import COMPUTATIONS, run_computation
from advisor.metallurgy.common.inputs import from_words
from advisor.metallurgy.common.tables import Tables
from advisor.present.text.calculation import print_calculation
from advisor.present.text.page import Page
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import Document, parse_yaml, read_document
from advisor.terminal.exit_codes import ADVICE, STOP
from advisor.terminal.output import read_standard_input, screen, write_json
from advisor.terminal.setup import rule_base_for
from advisor.words import tr


@frozen
class ReckoningOptions:
    """What the command line asks of a computation.

    Attributes:
        words: Inputs written out as ``NAME=VALUE``.
        file: The file of inputs; ``-`` is standard input.
        json_output: Whether the result is given as JSON.
        explain: Whether it is shown how each figure was reached.
        rules: Folders of rules, instead of the configured ones.
    """

    words: Sequence[str] = ()
    file: Path | None = None
    json_output: bool = False
    explain: bool = False
    rules: Sequence[Path] | None = None


def run_calculation(name: str, options: ReckoningOptions) -> int:
    """Run one computation and show it; with no inputs, show what it takes.

    Returns:
        The exit status.

    Raises:
        InputError: If the inputs cannot be used.
    """
    rule_base = rule_base_for(options.rules)
    if not options.words and options.file is None:
        _print_inputs(name, rule_base)
        return ADVICE
    calculation = run_computation(name, _document(options.words, options.file), rule_base)
    if options.json_output:
        write_json(calculation)
    else:
        print_calculation(Page(screen(), explain=options.explain), calculation)
    return STOP if calculation.stop else ADVICE


def _document(words: Sequence[str], file: Path | None) -> Document:
    if file is None:
        return Document(tr("command line"), from_words(words), {(): 0})
    if words:
        raise InputError(tr("inputs are given in a file and on the command line; give them one way"))
    if str(file) == "-":
        return parse_yaml(read_standard_input(), tr("standard input"))
    return read_document(file)


def _print_inputs(name: str, rule_base: RuleBase) -> None:
    """What a computation takes, for someone who typed only its name."""
    page = Page(screen())
    page.say(tr("'advisor {name}' takes inputs as  name=value  or from a file:  advisor {name} --file FILE", name=name))
    for one in COMPUTATIONS[name].inputs(Tables(rule_base)):
        need = tr(" (needed)") if one.required else ""
        page.say(f"{one.title}{need}", indent=2, mark=f"{one.example}   ")
        if one.kind in ("choice", "words") and one.options:
            page.say(tr("one of: {options}", options=", ".join(one.options)), indent=6)
    page.say(
        tr("Amounts may be ranges, for example  20 to 30 %.  In a file write  name: value  lines, parts indented.")
    )
