"""``advisor form``: an empty form of all facts, to be filled in away from the program."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from advisor.errors import InputError
from advisor.present.text.form import form_text, room_form_text
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import RuleBase
from advisor.terminal.kinds import DIAGNOSE, ROUTE
from advisor.terminal.output import notice, write_document
from advisor.terminal.setup import rule_base_for
from advisor.terminal.writing import FORM, write_new
from advisor.words import tr

ROOM = "room"
KINDS = {**{kind.command: kind for kind in (ROUTE, DIAGNOSE)}, ROOM: None}
"""What a form can be filled in for: a consultation, or the gold room."""


def run_form(consultation: str, output: Path | None, rules: Sequence[Path] | None, *, force: bool) -> None:
    """Print the form, or write it to a file.

    Raises:
        InputError: If there is no such consultation, or something is there that must stay.
    """
    if consultation not in KINDS:
        near = closest(consultation, list(KINDS))
        raise InputError(
            tr(
                "there is no form for '{consultation}'; choose one of {kinds}{near}",
                consultation=consultation,
                kinds=", ".join(KINDS),
                near=near,
            )
        )
    text = form_for(consultation, rule_base_for(rules, diagnosis=KINDS[consultation] is DIAGNOSE))
    if output is None or str(output) == "-":
        write_document(text)
        return
    write_new(output, text, FORM, force=force)
    notice(tr("The form is in {output}; fill it in with any editor.", output=output))


def form_for(consultation: str, rule_base: RuleBase) -> str:
    """The empty form for one of ``KINDS``."""
    kind = KINDS[consultation]
    if kind is None:
        return room_form_text(rule_base, "advisor room new --answers")
    return form_text(rule_base, f"advisor {kind.command} {kind.option}")
