"""Runs a consultation of either kind: answers from a file or a conversation, what follows, and what is shown of it."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Generic, TypeVar

from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.api import concluded
from advisor.engine import Conclusions
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.present.screens.layout import WIDTH, Line, folded, in_sight
from advisor.present.text.page import Page
from advisor.rulebase.model import RuleBase
from advisor.terminal.consult.keeping import Keeper, kept_before, remember
from advisor.terminal.consult.keys import ANSWERS, LEAVE, PARTS_OF_KEY, WAYS, WHOLE, keys_line, rest_line
from advisor.terminal.exit_codes import ADVICE, LEFT, STOP
from advisor.terminal.kinds import ROUTE, ConsultationKind, LeftError
from advisor.terminal.output import (
    close_output,
    notice,
    notices,
    page_screen,
    screen,
    show_paged,
    somebody_types,
    typed_line,
    write_json,
)
from advisor.terminal.setup import given, rule_base_for
from advisor.words import tr, tr_many

if TYPE_CHECKING:
    from advisor.terminal.consult.conversation import Consultation

D = TypeVar("D", Advice, Diagnosis)


@frozen
class Options:
    """What the command line asks of a consultation, whatever its kind.

    Attributes:
        file: The file of answers; without one the person is asked. ``-`` is standard input.
        json_output: Whether the document is given as JSON.
        explain: Whether every argument is shown with its tests and source.
        parts: The parts that are shown instead of the first screen.
        whole: Whether all of it is shown.
        resume: Whether an unfinished consultation is gone on with.
        save: The file to keep the answers in, instead of the program's own.
        title: What the batch is called.
        rules: Folders of rules, instead of the configured ones.
    """

    file: Path | None = None
    json_output: bool = False
    explain: bool = False
    parts: Sequence[str] = ()
    whole: bool = False
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

    @property
    @abstractmethod
    def parts(self) -> Mapping[str, Callable[[Page, D], None]]:
        """What prints each part of the document, by the name a person gives it."""

    @abstractmethod
    def first_screen(self, document: D, width: int, ending: Sequence[Line]) -> list[Line]:
        """The document on one screen."""

    @abstractmethod
    def whole(self, page: Page, document: D) -> None:
        """Print all of a document."""

    def ending(self, document: D) -> str:
        """The last line of the first screen: how to see the rest, or the keys where somebody types."""
        if not self.options.asks:
            return rest_line(self.parts)
        return keys_line(document, next_batch=self.offers_next(document))

    @property
    def shows_changes(self) -> bool:
        """Whether what would change the document may be shown; looking for it takes most of the time."""
        options = self.options
        return options.asks or options.json_output or options.explain or options.whole or "change" in options.parts

    def show(self, page: Page, document: D) -> None:
        """Print the first screen of a document, or the parts of it that were asked for."""
        options = self.options
        if options.parts:
            for name in options.parts:
                self.parts[name](page, document)
        elif options.whole or options.explain:
            self.whole(page, document)
        else:
            width = min(page.columns, WIDTH)
            ending = folded(self.ending(document), width, style="bold")
            lines = self.first_screen(document, width, ending)
            page.lines(in_sight(lines, len(ending), screen().height) if screen().is_terminal else lines)

    def offers_next(self, document: D) -> bool:  # noqa: ARG002 - for those that lead to another
        """Whether a next batch can be planned from here."""
        return False

    def go_on(self, consultation: Consultation, document: D) -> int | None:
        """Show the parts and lead into the work, as long as the person asks.

        Returns:
            The exit status; None when an answer was changed, and the document is to be given anew.

        Raises:
            LeftError: If the person leaves in the middle of it.
        """
        page = Page(screen())
        while True:
            typed = typed_line(screen())
            if typed is None or typed == LEAVE or (typed == "" and not document.phases):
                return status_of(document)
            if typed == "":
                self.work(consultation, document)
            elif typed == ANSWERS:
                self._show_parts(typed, document)
                page.say(tr("Is one wrong? c changes it. Just Enter goes back."))
                if (typed_line(screen()) or "").lower() in ("c", "change") and self._changed(consultation, document):
                    return None
            elif typed in PARTS_OF_KEY:
                self._show_parts(typed, document)
                if typed == WAYS:
                    self.other_ways(page, consultation, document)
            elif typed == WHOLE:
                show_paged(lambda paged: self.whole(paged, document))
            elif typed.lower() in ("c", "change"):
                if self._changed(consultation, document):
                    return None
            elif (status := self.own_key(page, consultation, document, typed)) is not None:
                return status
            page.lines(folded(self.ending(document), min(page.columns, WIDTH), style="bold"))

    def _show_parts(self, key: str, document: D) -> None:
        def parts(page: Page) -> None:
            for name in PARTS_OF_KEY[key]:
                self.parts[name](page, document)

        show_paged(parts)

    def trial(self, document: D) -> str | None:  # noqa: ARG002 - for those that plan a trial
        """The fact that a trial of the document would answer, to be told beside the answers given."""
        return None

    def _changed(self, consultation: Consultation, document: D) -> bool:
        return change_answer(consultation, self.trial(document))

    def work(self, consultation: Consultation, document: D) -> None:
        """Lead through the work."""

    def other_ways(self, page: Page, consultation: Consultation, document: D) -> None:
        """Lay another way beside the advised one, where that can be computed."""

    def own_key(self, page: Page, consultation: Consultation, document: D, typed: str) -> int | None:  # noqa: ARG002 - for those that have keys of their own
        """What another key does; the exit status where that ends the consultation."""
        return None


def consult(consulting: Consulting[D]) -> int:
    """Run a consultation and show what it gives.

    Returns:
        The exit status.

    Raises:
        InputError: If a file or an answer cannot be used.
    """
    options, kind = consulting.options, consulting.kind
    for name in options.parts:
        if name not in consulting.parts:
            raise InputError(
                tr(
                    "--show: there is no part '{name}'; use one of {parts}",
                    name=name,
                    parts=", ".join(consulting.parts),
                )
            )
    if not options.asks and (options.resume or options.save is not None):
        raise InputError(
            tr("{option} asks nothing, so --resume and --save do not go with it; leave them out", option=kind.option)
        )
    rule_base = rule_base_for(options.rules, diagnosis=consulting.diagnosis)
    if options.file is not None:
        batch = consulting.beginning(rule_base, given(options.file, rule_base))
        document = _give(consulting, concluded(rule_base, batch), batch)
        if somebody_types() and not options.json_output:
            remember(kind, rule_base, batch)
        return status_of(document)
    try:
        options = consulting.options = _resumed_if_wanted(kind, rule_base, options)
        batch = consulting.beginning(rule_base, kept_before(kind, rule_base, options.resume, options.save))
        consultation = asked(kind, rule_base, batch, options)
        while True:
            document = _give(consulting, consultation.conclusions, batch)
            status = status_of(document) if options.json_output else consulting.go_on(consultation, document)
            if status is not None:
                return status
            say_kept(consultation, kind, options)
    except LeftError:
        return LEFT


def _give(consulting: Consulting[D], conclusions: Conclusions, batch: BatchFile) -> D:
    """Give what follows, recorded and shown.

    Raises:
        InputError: If it cannot be, or could not be recorded.
    """
    options = consulting.options
    document = consulting.document(conclusions, batch)
    # It is recorded first, so that it stands there even if nobody reads to the end of the page.
    not_recorded = consulting.record(document)
    try:
        if options.json_output:
            write_json(document)
        else:
            consulting.show(Page(page_screen(), explain=options.explain), document)
    except BrokenPipeError:
        # Whoever reads only the beginning has what they wanted; the status says the rest.
        close_output()
    if not_recorded is not None:
        raise not_recorded
    return document


def _resumed_if_wanted(kind: ConsultationKind, rule_base: RuleBase, options: Options) -> Options:
    """The options, with ``resume`` where an unfinished consultation is there and the person wants to go on with it.

    Raises:
        LeftError: If the person leaves.
    """
    if options.resume or options.save is not None or not somebody_types() or not kind.unfinished_file.is_file():
        return options
    try:
        answers = len(read_batch(kind.unfinished_file, rule_base).answers)
    except InputError:
        # What cannot be read is spared like any other.
        return options
    console = notices() if options.json_output else screen()
    page = Page(console)
    page.say(
        tr_many(
            "There is a consultation that was left after {count} answer.",
            "There is a consultation that was left after {count} answers.",
            answers,
        )
    )
    page.say(tr("Go on where you left?  Enter = yes   n = a new one"))
    while True:
        typed = typed_line(console)
        if typed is None or typed.lower() in ("q", "quit"):
            raise LeftError
        if typed.lower() in ("", "y", "yes", "1"):
            return replace(options, resume=True)
        if typed.lower() in ("n", "no", "2"):
            return options
        page.say(tr("Just Enter goes on with it; n begins a new one and keeps the other."))


def status_of(document: Advice | Diagnosis) -> int:
    """The exit status of a document that was shown."""
    return STOP if document.outcome in ("stop", "find_out") else ADVICE


def asked(kind: ConsultationKind, rule_base: RuleBase, before: BatchFile, options: Options) -> Consultation:
    """A conversation that came to its end, with what follows from it.

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
    try:
        try:
            room.begin(keeper, resumed=options.resume)
        finally:
            # Whoever leaves there has answered something all the same.
            consultation = Consultation(console, keeper)
        consultation.run(resumed=options.resume)
    except LeftError:
        consultation.say_left()
        raise
    if kind is ROUTE:
        room.offer_to_keep(consultation.answers)
    say_kept(consultation, kind, options)
    return consultation


def say_kept(consultation: Consultation, kind: ConsultationKind, options: Options) -> None:
    """Keep the answers of a consultation that is at its end, and say where."""
    keeper = consultation.keeper
    if consultation.end(kind.last_file if options.save is None else None):
        notice(
            tr("Kept. This {document} again: {show_command}", document=kind.document, show_command=keeper.show_command)
        )


def change_answer(consultation: Consultation, also: str | None = None) -> bool:
    """Let the person change an answer, or give one beside them, after the end; returns whether anything changed.

    Raises:
        LeftError: If the person leaves; where the answers are was said.
    """
    try:
        return consultation.change(also)
    except LeftError:
        consultation.say_left()
        raise
