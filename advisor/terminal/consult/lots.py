"""``advisor route --answers A --beside-lot B``: two lots side by side."""

from __future__ import annotations

from pathlib import Path

from advisor.advice.two_lots import Lot, two_lots
from advisor.api import concluded
from advisor.errors import InputError
from advisor.present.text.lots import print_lots
from advisor.present.text.page import Page
from advisor.rulebase.model import RuleBase
from advisor.terminal.consult.consulting import Options
from advisor.terminal.exit_codes import ADVICE, STOP
from advisor.terminal.output import page_screen, write_json
from advisor.terminal.setup import given, rule_base_for
from advisor.words import tr


def run_lots(options: Options, other: Path) -> int:
    """Lay two lots side by side.

    Returns:
        The exit status: 3 where neither of the two can be worked.

    Raises:
        InputError: If a file cannot be used, or the first lot is not named.
    """
    if options.file is None:
        raise InputError(tr("--beside-lot lays a lot beside another; name the first with --answers FILE"))
    if options.resume or options.save is not None or options.explain:
        raise InputError(tr("--beside-lot gives a table alone; leave out --resume, --save and --explain"))
    if str(options.file) == "-" and str(other) == "-":
        raise InputError(tr("standard input holds one lot only; name a file for the other"))
    rule_base = rule_base_for(options.rules)
    document = two_lots(_lot(options.file, rule_base), _lot(other, rule_base))
    if options.json_output:
        write_json(document)
    else:
        print_lots(Page(page_screen()), document)
    return ADVICE if any(lot.outcome in ("work", "first") for lot in document.lots) else STOP


def _lot(path: Path, rule_base: RuleBase) -> Lot:
    batch = given(path, rule_base)
    return batch.title or path.stem, concluded(rule_base, batch)
