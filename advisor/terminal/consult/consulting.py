"""Runs a consultation of either kind: answers from a file or a conversation, what follows, and what is shown of it."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar, Generic, TypeVar

from advisor.advice.batches.batch_file import BatchFile
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.engine import Conclusions
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.present.text.page import Page
from advisor.rulebase.model import RuleBase
from advisor.terminal.consult.keeping import Keeper, kept_before
from advisor.terminal.exit_codes import ADVICE, LEFT, STOP
from advisor.terminal.kinds import ROUTE, ConsultationKind, LeftError
from advisor.terminal.output import notice, notices, page_screen, screen, write_json
from advisor.terminal.setup import concluded, given, rule_base_for

D = TypeVar("D", Advice, Diagnosis)


@frozen
class Options:
    """What the command line asks of a consultation, whatever its kind.

    Attributes:
        file: The file of answers; without one the person is asked. ``-`` is standard input.
        json_output: Whether the document is given as JSON.
        explain: Whether every argument is shown with its tests and source.
        resume: Whether an unfinished consultation is gone on with.
        save: The file to keep the answers in, instead of the program's own.
        title: What the batch is called.
        rules: Folders of rules, instead of the configured ones.
    """

    file: Path | None = None
    json_output: bool = False
    explain: bool = False
    resume: bool = False
    save: Path | None = None
    title: str | None = None
    rules: Sequence[Path] | None = None

    @property
    def asks(self) -> bool:
        """Whether the person is asked."""
        return self.file is None


class Consulting(ABC, Generic[D]):
    """One kind of consultation, by what it does differently from the others."""

    kind: ClassVar[ConsultationKind]
    diagnosis: ClassVar[bool] = False

    def __init__(self, options: Options) -> None:
        self.options = options

    def beginning(self, rule_base: RuleBase, batch: BatchFile) -> BatchFile:  # noqa: ARG002 - for those that need the rules
        """The batch as the consultation begins with it: its name, and what is known of it from elsewhere.

        Raises:
            LeftError: If the person is asked for something and leaves.
            InputError: If what is known from elsewhere cannot be used.
        """
        return batch

    @abstractmethod
    def document(self, conclusions: Conclusions, batch: BatchFile) -> D:
        """What follows, as a document.

        Raises:
            InputError: If what a file says cannot be.
        """

    def record(self, document: D) -> InputError | None:  # noqa: ARG002 - for those that record
        """Record a document before it is shown; what hinders it is given back, so that it is shown all the same."""
        return None

    @abstractmethod
    def show(self, page: Page, document: D) -> None:
        """Print a document."""

    @abstractmethod
    def go_on(self, conclusions: Conclusions, document: D) -> int:
        """What is offered to the person after a conversation; returns the exit status."""


def consult(consulting: Consulting[D]) -> int:
    """Run a consultation and show what it gives.

    Returns:
        The exit status.

    Raises:
        InputError: If a file or an answer cannot be used.
    """
    options, kind = consulting.options, consulting.kind
    if not options.asks and (options.resume or options.save is not None):
        raise InputError(f"{kind.option} asks nothing, so --resume and --save do not go with it; leave them out")
    rule_base = rule_base_for(options.rules, diagnosis=consulting.diagnosis)
    batch = _given_or_kept(kind, rule_base, options)
    try:
        batch = consulting.beginning(rule_base, batch)
        conclusions = asked(kind, rule_base, batch, options) if options.asks else concluded(rule_base, batch)
    except LeftError:
        return LEFT
    document = consulting.document(conclusions, batch)
    # It is recorded first, so that it stands there even if nobody reads to the end of the page.
    not_recorded = consulting.record(document)
    if options.json_output:
        write_json(document)
    else:
        consulting.show(Page(page_screen(), explain=options.explain), document)
    if not_recorded is not None:
        raise not_recorded
    if options.asks and not options.json_output:
        return consulting.go_on(conclusions, document)
    return status_of(document)


def status_of(document: Advice | Diagnosis) -> int:
    """The exit status of a document that was shown."""
    return STOP if document.outcome in ("stop", "find_out") else ADVICE


def _given_or_kept(kind: ConsultationKind, rule_base: RuleBase, options: Options) -> BatchFile:
    if options.file is not None:
        return given(options.file, rule_base)
    return kept_before(kind, rule_base, options.resume, options.save)


def asked(kind: ConsultationKind, rule_base: RuleBase, before: BatchFile, options: Options) -> Conclusions:
    """The conclusions of a conversation.

    Args:
        kind: What kind of consultation.
        rule_base: The rules.
        before: Title and answers to begin with; its plan is kept with the answers.
        options: Whether one is gone on with, and where answers are kept. With JSON output the conversation is kept
            off standard output.

    Raises:
        LeftError: If the person leaves; where the answers are was said.
    """
    # Whoever gives the answers in a file is not asked, and need not wait for what asks.
    from advisor.terminal.consult.conversation import Consultation
    from advisor.terminal.consult.gold_room import GoldRoom

    keeper = Keeper(kind, rule_base, before, options.save or kind.unfinished_file)
    if options.save is None and not options.resume:
        keeper.spare_unfinished()
    console = notices() if options.json_output else screen()
    room = GoldRoom(console, rule_base)
    asked_before = 0
    try:
        try:
            asked_before = room.begin(keeper, resumed=options.resume)
        finally:
            # Whoever leaves there has answered something all the same.
            consultation = Consultation(console, keeper)
        consultation.first -= asked_before
        conclusions = consultation.run(resumed=options.resume)
    except LeftError:
        consultation.say_left()
        raise
    if kind is ROUTE:
        room.offer_to_keep(consultation.answers)
    if consultation.end(kind.last_file if options.save is None else None):
        notice(f"Your answers are in {keeper.file}; show this {kind.document} again with: {keeper.show_command}")
    return conclusions
