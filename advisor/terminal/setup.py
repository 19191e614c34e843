"""What commands begin with: the rules, a batch in a file, and what follows from it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path

from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.advice.experience import Experience
from advisor.api import concluded, load_rules
from advisor.errors import InputError
from advisor.rulebase.model import RuleBase
from advisor.terminal.output import notice, read_standard_input, say_fault
from advisor.terminal.settings import configured_rules, journal_file
from advisor.words import tr


def rule_base_for(rules: Sequence[Path] | None, *, diagnosis: bool = False, promises: bool = False) -> RuleBase:
    """The rule base with the folders named on the command line, or else the configured ones.

    Raises:
        FaultyFile: With every fault in the files.
        InputError: If a folder or file cannot be read.
    """
    folders = tuple(rules) if rules else tuple(configured_rules())
    return load_rules(*folders, diagnosis=diagnosis, promises=promises, notify=say_once)


@cache
def say_once(sentence: str) -> None:
    """A sentence on standard error, however often the program comes upon it."""
    say_fault(sentence)


def given(path: Path, rule_base: RuleBase) -> BatchFile:
    """The batch in a file, or on standard input where the file is called ``-``."""
    if str(path) != "-":
        return read_batch(path, rule_base)
    return read_batch(Path("standard input"), rule_base, read_standard_input())


def advised(rule_base: RuleBase, batch: BatchFile) -> Advice:
    """The advice for a batch from a file.

    Raises:
        InputError: If the answers contradict each other or add up to something impossible; it names the file.
    """
    advice = build_advice(concluded(rule_base, batch), batch.title, experience=shop_experience(batch))
    say_doubts(advice, batch)
    return advice


def say_doubts(advice: Advice, batch: BatchFile) -> None:
    """Say what in a file can hardly be true; the advice goes by it all the same."""
    for warning in advice.warnings:
        notice(tr("{name}: is this right? {warning}", name=batch.name, warning=warning))


def shop_experience(batch: BatchFile) -> Experience | None:
    """What the journal says of earlier batches, and what the file of a batch says it learned; None where neither does.

    Advice is given without the journal too.
    """
    told = _told_by_journal()
    return (told or Experience()).with_lessons(batch.learned) if batch.learned else told


def _told_by_journal() -> Experience | None:
    try:
        path = journal_file()
        if not path.exists():
            return None
        # Most shops that only ask for a route keep no journal.
        from advisor.journal import Journal
        from advisor.journal.gathering import experience

        return experience(Journal(path))
    except InputError as problem:
        say_fault(tr("{problem}. The plan goes by the rules alone.", problem=problem))
        return None
