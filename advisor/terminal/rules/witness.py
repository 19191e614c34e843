"""``advisor rules show ID --witness``: answers with which a rule acts, and such with which it does not."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from advisor.advice.batches.batch_file import batch_text
from advisor.engine import Answers
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.present.text.page import Page
from advisor.proof.search.prover import Prover
from advisor.proof.space.logic import solver_module
from advisor.proof.witness import SECTIONS, Witness, witness_of
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import RuleBase
from advisor.terminal.output import screen
from advisor.terminal.rules.prove import answer_lines, command_again, file_name
from advisor.terminal.settings import configured_rules
from advisor.terminal.setup import rule_base_for
from advisor.terminal.writing import ANSWERS, write_into
from advisor.words import tr


def show_witness(rule_id: str, rules: Sequence[Path] | None, output: Path | None, *, force: bool) -> None:
    """Show the witness of every rule with this id, or write it into files.

    Args:
        rule_id: The id.
        rules: The shop's own folders.
        output: A folder for the answers.
        force: Whether files of answers that are there may be written over.

    Raises:
        SolverMissingError: If the solver is not installed.
        InputError: If there is no such rule, or a file must stay.
    """
    solver_module()
    rule_base = rule_base_for(rules, promises=True)
    if not _sections_of(rule_base, rule_id):
        rule_base = rule_base_for(rules, diagnosis=True, promises=True)
    sections = _sections_of(rule_base, rule_id)
    if not sections:
        known = [name for section in SECTIONS for name in getattr(rule_base, section)]
        what = ", ".join(SECTIONS)
        raise InputError(
            tr(
                "no rule '{rule_id}' acts by itself{closest}; only these do: {what}",
                rule_id=rule_id,
                closest=closest(rule_id, known),
                what=what,
            )
        )
    page, prover = Page(screen()), Prover(rule_base)
    folders = tuple(rules) if rules else tuple(configured_rules())
    for section in sections:
        page.say(f"{section}: {rule_id}", style="bold")
        page.say(tr("when {words}", words=getattr(rule_base, section)[rule_id].condition.words), indent=2)
        found = witness_of(prover, section, rule_id)
        _say_kept(page, rule_base, f"{section}.{rule_id}")
        _Shown(page, rule_base, f"{section}.{rule_id}", folders, output, force).show(found)


def _sections_of(rule_base: RuleBase, rule_id: str) -> list[str]:
    return [section for section in SECTIONS if rule_id in getattr(rule_base, section)]


def _say_kept(page: Page, rule_base: RuleBase, subject: str) -> None:
    for kept in rule_base.kept.values():
        if subject in kept.rules:
            page.say(tr("It is kept on purpose ({id}): {reason}", id=kept.id, reason=kept.reason), indent=2)


@frozen
class _Shown:
    """Shows the witness of one rule.

    Attributes:
        page: Where it is said.
        rule_base: The rules.
        subject: Section and id of the rule.
        folders: The shop's own folders, for the command that runs the answers again.
        output: A folder for the answers; otherwise they are printed.
        force: Whether files of answers that are there may be written over.
    """

    page: Page
    rule_base: RuleBase
    subject: str
    folders: tuple[Path, ...]
    output: Path | None
    force: bool

    def show(self, found: Witness) -> None:
        """Say with what the rule acts and with what not."""
        if found.acts is None:
            self.page.say(tr("It never acts: no answers are such that it changes anything by itself."), indent=2)
        else:
            doubtful = tr("It acts, only because something is not known, with these answers and no fewer:")
            says = tr("It acts, with these answers and no fewer:") if found.for_certain else doubtful
            self._answers("acts", says, found.acts)
        if found.rests is None:
            self.page.say(tr("It acts whatever is answered."), indent=2)
        elif found.changed is not None:
            label = self.rule_base.facts[found.changed].label
            only = {found.changed: found.rests[found.changed]} if self.output is None else found.rests
            self._answers(
                "rests", tr("It does not act with another answer about {label}:", label=label), found.rests, only
            )
        else:
            self._answers("rests", tr("It does not act with these answers, the fewest:"), found.rests)

    def _answers(self, name: str, says: str, answers: Answers, only: Answers | None = None) -> None:
        self.page.say(says, indent=2)
        if self.output is None:
            for line in answer_lines(batch_text(None, answers if only is None else only, self.rule_base)):
                self.page.verbatim(f"    {line}")
            return
        at_work = tr("Shows at work: {name}", name=self.subject)
        title = at_work if name == "acts" else tr("Shows at rest: {name}", name=self.subject)
        file = f"{file_name(self.subject)}-{name}.yaml"
        path = write_into(self.output, file, batch_text(title, answers, self.rule_base), ANSWERS, force=self.force)
        self.page.verbatim(f"    {command_again(self.rule_base, path, self.folders)}")
