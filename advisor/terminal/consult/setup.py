"""What every consultation shares: where its answers are kept, how it is resumed, and what is said at its end."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from functools import cache
from pathlib import Path

from advisor.advice.batches.batch_file import Batch, read_batch
from advisor.engine.conclude import Conclusions, conclude, to_act_on
from advisor.engine.state import ContradictionError
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from advisor.terminal.output import notices, read_standard_input, say_fault, screen, tame
from advisor.terminal.settings import configured_rules, home_folder


@frozen
class Kind:
    """One kind of consultation.

    Attributes:
        command: The command that runs it.
        document: What it gives, in a word.
        option: The option that takes its answers from a file.
    """

    command: str
    document: str
    option: str

    @property
    def unfinished_file(self) -> Path:
        """Where a consultation is kept while it runs."""
        return home_folder() / f"unfinished-{self.command}.yaml"

    @property
    def last_file(self) -> Path:
        """Where the answers of the last finished consultation are kept."""
        return home_folder() / f"last-{self.command}.yaml"


ROUTE = Kind("route", "advice", "--answers")
DIAGNOSE = Kind("diagnose", "diagnosis", "--observations")


def rule_base_for(rules: Sequence[Path] | None, *, diagnosis: bool = False, promises: bool = False) -> RuleBase:
    """The rule base with the folders named on the command line, or else the configured ones."""
    folders = tuple(rules) if rules else configured_rules()
    return load_rule_base(folders, diagnosis=diagnosis, promises=promises, told=say_once)


@cache
def say_once(sentence: str) -> None:
    """A sentence on standard error, however often the program comes upon it."""
    say_fault(sentence)


def given(path: Path, rule_base: RuleBase) -> Batch:
    """The batch in a file, or on standard input where the file is called ``-``."""
    if str(path) != "-":
        return read_batch(path, rule_base)
    return read_batch(Path("standard input"), rule_base, read_standard_input())


def concluded(rule_base: RuleBase, batch: Batch) -> Conclusions:
    """What follows from a batch; answers that contradict each other are refused with the name of the file.

    Raises:
        InputError: If answers contradict each other.
    """
    try:
        return to_act_on(conclude(rule_base, batch.answers))
    except ContradictionError as problem:
        raise InputError(f"{batch.name}: {problem}") from None


def kept_before(kind: Kind, rule_base: RuleBase, resume: bool, save: Path | None) -> Batch:
    """What was kept of a consultation that is to be gone on with; nothing when it is new.

    Raises:
        InputError: If there is nothing to resume, or a new one would overwrite a file.
    """
    kept = save or kind.unfinished_file
    if resume:
        if not kept.is_file():
            raise InputError(f"there is no unfinished consultation in {kept}; start one with  advisor {kind.command}")
        return read_batch(kept, rule_base)
    if save is not None and save.exists():
        raise InputError(f"{save} exists already; add --resume to go on with it, or name another file")
    return Batch(None, {})


def asked(
    kind: Kind, rule_base: RuleBase, before: Batch, *, resume: bool, save: Path | None, to_standard_error: bool
) -> Conclusions | None:
    """The conclusions of a conversation; None when the person left.

    Args:
        kind: What kind of consultation.
        rule_base: The rules.
        before: Title and answers to begin with; its plan is kept with the answers.
        resume: Whether an unfinished one is gone on with.
        save: The file to keep the answers in, instead of the program's own.
        to_standard_error: Whether the conversation is kept off standard output.
    """
    kept = save or kind.unfinished_file
    # Loaded here: whoever gives the answers in a file is not asked.
    from advisor.terminal.consult.conversation import Consultation, LeftError

    console = notices() if to_standard_error else screen()
    consultation = Consultation(rule_base, console, kept, kind, before, resumed=resume)
    if save is None and not resume and kept.is_file():
        consultation.put_aside = _place_aside(kind, kept)
    try:
        conclusions = consultation.run()
    except LeftError:
        consultation.say_left()
        return None
    finished = kept if save is not None else kind.last_file
    if consultation.can_keep if save is not None else consultation.move_to(finished):
        again = f"advisor {kind.command} {kind.option} {shlex.quote(str(finished))}"
        words = f"Your answers are in {finished}; show this {kind.document} again with: {again}"
        _notice(words)
    return conclusions


def _place_aside(kind: Kind, unfinished: Path) -> Path:
    """Where an unfinished consultation goes when the first answer of a new one is kept; says so."""
    places = (unfinished.with_name(f"{unfinished.stem}-{number}.yaml") for number in range(2, 10_000))
    aside = next(place for place in places if not place.exists())
    _notice("An unfinished consultation is there. Once you answer here, go on with it by:")
    command = f"advisor {kind.command} --save {shlex.quote(str(aside))} --resume"
    _notice(command)
    return aside


def _notice(words: str) -> None:
    from rich.text import Text

    notices().print(Text(tame(words)), soft_wrap=True)
