"""What the commands of the journal do."""

from __future__ import annotations

import getpass
import json
import sys
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

from advisor.advice.batches.answers import written_answer
from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.advice.documents.advice import Advice
from advisor.document import plain, read_json
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.journal import Batch, Contents, Draft, Entry, Journal
from advisor.journal.accounts import account_of, accounts
from advisor.journal.balance_document import balance_of_all, balance_of_one
from advisor.journal.exchange.exporting import as_json
from advisor.journal.gathering import LOOK_BACK, experience_in
from advisor.journal.plans import plan_drafts, plan_of
from advisor.journal.plausibility import doubts
from advisor.journal.rows import plain_document
from advisor.journal.vocabulary import TEXTS, TIME, UNDONE, WEIGHED, plain_text, read_pair, read_value
from advisor.metallurgy.common.rows import Notes
from advisor.present.text.page import Page
from advisor.rulebase.reading.yaml_reader import read_text
from advisor.terminal.exit_codes import ADVICE, LEFT
from advisor.terminal.journal import view as view
from advisor.terminal.journal.files import open_journal
from advisor.terminal.journal.shelf import changed_g, take_from_shelf, weighed_g
from advisor.terminal.output import notices, screen, somebody_types, typed_line, write_document, write_json
from advisor.terminal.settings import configured_operator
from advisor.words import tr


@frozen
class Writing:
    """Into which journal something is written, and by whom.

    Attributes:
        journal: The file of the journal; without one the configured one.
        by: Who writes; without a name the configured one, or the account of the computer.
        day: The day of the work, where it is not today.
    """

    journal: Path | None = None
    by: str | None = None
    day: str | None = None

    def on_day(self, now: datetime) -> str | None:
        """The day that was given.

        Args:
            now: The present moment.

        Raises:
            InputError: If it is no day, or has not come yet.
        """
        if self.day is None:
            return None
        today = now.astimezone().date()
        try:
            day = date.fromisoformat(self.day)
        except ValueError:
            raise InputError(
                tr(
                    "'{day}' is not a day; write it like  --day {isoformat}",
                    day=self.day[:30],
                    isoformat=today.isoformat(),
                )
            ) from None
        if day > today:
            raise InputError(
                tr(
                    "{isoformat} has not come yet; give the day of the work, until {isoformat_2}",
                    isoformat=day.isoformat(),
                    isoformat_2=today.isoformat(),
                )
            )
        return day.isoformat()

    def opened(self) -> tuple[Journal, str]:
        """The journal, and the name of who writes."""
        return open_journal(self.journal), who_writes(self.by)


@frozen
class PlanSource:
    """Where the plan of a new batch comes from.

    Attributes:
        answers: The file of answers; without one those of the last consultation.
        plan: A saved advice, instead of answers.
        rules: Folders of rules for the answers, instead of the configured ones.
    """

    answers: Path | None = None
    plan: Path | None = None
    rules: Sequence[Path] | None = None

    def read(self) -> tuple[Advice, dict[str, Any] | None]:
        """The advice, and the answers it rests on as they are written.

        Raises:
            InputError: If two sources are named, or the one that is cannot be used.
        """
        if self.plan is None:
            return _advised(self.answers, self.rules)
        if self.answers is not None:
            raise InputError(tr("--answers and --plan both name the plan; give one"))
        return _saved_plan(self.plan), None


def start_batch(source: PlanSource, name: str | None, writing: Writing) -> int:
    """Open a batch with the advice for it."""
    advice, written = source.read()
    journal, who = writing.opened()
    drafts = plan_drafts(advice, written)
    fresh = not journal.exists()
    called = name_of(name or advice.title, journal)
    if name is None:
        _refuse_again(journal, drafts[0], advice.title)
    batch, entries = journal.start(called, who, drafts, writing.on_day(journal.now()))
    view.print_started(batch, plan_of(entries), fresh)
    return ADVICE


def name_of(given: str | None, journal: Journal) -> str:
    """What a new batch is called: as it is given, or else after the moment.

    Raises:
        InputError: If nothing of the name can be kept.
    """
    called = plain_text(given or tr("Batch of {astimezone:%Y-%m-%d %H:%M}", astimezone=journal.now().astimezone()))
    if not called:
        raise InputError(tr("the name of the batch is empty; give one with --name"))
    return called


def add_entries(words: list[str], document: Path | None, writing: Writing) -> int:
    """Record entries of a batch, given or asked for."""
    wanted = words[0] if words and "=" not in words[0] else None
    drafts = [read_pair(word) for word in (words if wanted is None else words[1:])]
    drafts = _with_document(drafts, document)
    _refuse_twins(drafts)
    journal, who = writing.opened()
    day = writing.on_day(journal.now())
    batch = batch_named(journal, wanted)
    entries = journal.entries_of(batch)
    if not drafts:
        if not sys.stdin or not sys.stdin.isatty():
            raise InputError(
                tr("nothing is given; write  advisor journal add {number} bead=12.31g", number=batch.number)
            )
        from advisor.terminal.journal.asking import ask_results

        return ask_results(journal, batch, entries, (who, day))
    remarks = doubts(drafts, plan_of(entries), entries)
    if not _meant(remarks):
        return LEFT
    recorded = journal.add(batch, who, drafts, day)
    view.print_recorded(batch, recorded, remarks)
    take_from_shelf(Page(screen()), weighed_g(recorded), (*entries, *recorded))
    return ADVICE


def _meant(remarks: Sequence[str | None]) -> bool:
    """Whether the person stays with what can hardly be true; asked once, and only where somebody types."""
    said = [remark for remark in remarks if remark]
    if not said or not somebody_types():
        return True
    page = Page(screen())
    for remark in said:
        page.say(remark, mark="! ")
    page.say(tr("Is it right?  Enter = yes, record it   n = no, record nothing"))
    typed = typed_line(screen())
    if typed is not None and typed.lower() in ("", "y", "yes", "1"):
        return True
    page.say(tr("Nothing was recorded. Type the command again with the right weight."))
    return False


def undo_last(writing: Writing) -> int:
    """Take the last entry back by an amendment: it stays readable, and what it replaced stands again."""
    journal, who = writing.opened()
    last = journal.last_entry()
    if last is None:
        raise InputError(tr("there is no entry yet; open a batch with  advisor journal start"))
    if last.kind in ("plan", "advice"):
        raise InputError(
            tr(
                "entry {number} is the plan as it was given; note what you did instead with  note=...",
                number=last.number,
            )
        )
    if last.state == "withdrawn" or last.why == UNDONE:
        raise InputError(
            tr(
                "entry {number} took something back already; add what is right, or amend another entry",
                number=last.number,
            )
        )
    batch = next(one for one in journal.batches() if one.uid == last.batch)
    before = next((one for one in journal.entries_of(batch) if one.uid == last.supersedes), None)
    draft = Draft(last.kind, last.name, "withdrawn", state="withdrawn")
    if before is not None:
        draft = Draft(before.kind, before.name, before.text, before.amount, before.unit, before.document, before.state)
    return _superseded(journal, last, journal.amend(last.number, who, UNDONE, draft))


def amend_entry(number: int, value: str | None, why: str | None, writing: Writing, *, withdraw: bool) -> int:
    """Supersede an entry by another."""
    journal, who = writing.opened()
    old = journal.entry(number)
    if withdraw == (value is not None):
        raise InputError(tr("say what entry {number} should be, or take it back with --withdraw", number=number))
    draft = _amended(old, value)
    reason = plain_text(why if why is not None else _asked_why(number))
    if not reason:
        raise InputError(tr("an amendment says why; add  --why 'read the scale wrong'"))
    return _superseded(journal, old, journal.amend(number, who, reason, draft))


def _superseded(journal: Journal, old: Entry, new: Entry) -> int:
    """Say what superseded what; what was weighed goes back to the shelf or leaves it."""
    view.print_amended(old, new)
    if change := changed_g(old, new):
        batch = next(one for one in journal.batches() if one.uid == new.batch)
        take_from_shelf(Page(screen()), change, journal.entries_of(batch))
    return ADVICE


def list_all(everything: bool, json_output: bool, named: Path | None) -> int:
    """List the batches."""
    found = accounts(open_journal(named).look())
    if json_output:
        rows = [view.list_row(account) for account in found]
        write_document(json.dumps({"document": "journal-list", "version": 1, "batches": rows}, indent=2) + "\n")
    else:
        view.print_list(found, everything)
    return ADVICE


def show_batch(wanted: str, json_output: bool, named: Path | None) -> int:
    """Show one batch as it went."""
    journal = open_journal(named)
    batch = batch_named(journal, wanted)
    entries = journal.entries_of(batch)
    if json_output:
        write_document(as_json(Contents((batch,), entries)))
    else:
        account = account_of(batch, entries)
        gold = None if account.balance is None else account.balance.told(_notes())
        view.print_timeline(batch, entries, account, gold)
    return ADVICE


def show_balance(wanted: str | None, json_output: bool, named: Path | None) -> int:
    """Show the balance of one batch, or of all over time."""
    journal = open_journal(named)
    if wanted is not None:
        batch = batch_named(journal, wanted)
        one = balance_of_one(account_of(batch, journal.entries_of(batch)), _notes())
        _given(one, json_output, view.print_balance)
    else:
        _given(balance_of_all(accounts(journal.look())), json_output, view.print_chart)
    return ADVICE


def _notes() -> Notes:
    """What the rules say beside figures."""
    from advisor.metallurgy.common.tables import Tables
    from advisor.terminal.setup import rule_base_for

    return Tables(rule_base_for(None)).notes


def show_experience(named: Path | None) -> int:
    """Show what the shop's batches say."""
    view.print_experience(experience_in(open_journal(named).look_back(LOOK_BACK)))
    return ADVICE


def batch_named(journal: Journal, wanted: str | None) -> Batch:
    """The batch with a number or name; without one, the only one that is open.

    Raises:
        InputError: If it cannot be told which.
    """
    batches = journal.batches()
    if not batches:
        raise InputError(tr("there is no batch yet; open one with  advisor journal start"))
    if wanted is None:
        return _only_open(journal.look_back(LOOK_BACK))
    plain = wanted.strip().lstrip("#")
    by_number = [batch for batch in batches if plain.isascii() and plain == str(batch.number)]
    by_name = [batch for batch in batches if batch.name.casefold() == wanted.strip().casefold()]
    found = by_number or by_name
    if len(found) == 1:
        return found[0]
    if found:
        numbers = ", ".join(str(batch.number) for batch in found)
        raise InputError(tr("several batches have this name, {numbers}; give the number", numbers=numbers))
    raise InputError(tr("there is no batch '{wanted}'; 'advisor journal list' shows what there is", wanted=wanted[:60]))


def _only_open(contents: Contents) -> Batch:
    still_open = [account.batch for account in accounts(contents) if not account.done]
    if len(still_open) == 1:
        return still_open[0]
    if not still_open:
        raise InputError(tr("no batch is open; name one, for example  advisor journal add 3 note='...'"))
    numbers = ", ".join(f"{batch.number} ({batch.name[:30]})" for batch in still_open[-6:])
    raise InputError(
        tr("several batches are open: {numbers}; name one, for example  advisor journal add 3", numbers=numbers)
    )


def who_writes(by: str | None) -> str:
    """Who records: the name given, else the one in the settings, else the account of the computer."""
    name = plain_text(by or configured_operator() or "")
    if name:
        return name
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return "unknown"


def _advised(answers: Path | None, rules: Sequence[Path] | None) -> tuple[Advice, dict[str, Any]]:
    """The advice for a file of answers, and the answers as they are written."""
    # What advice needs is loaded where advice is asked for.
    from advisor.terminal.kinds import ROUTE
    from advisor.terminal.setup import advised, rule_base_for

    path = answers or ROUTE.last_file
    if answers is None and not path.is_file():
        raise InputError(
            tr(
                "there is no finished consultation in {path}; run  advisor route,  or name one with --answers FILE",
                path=path,
            )
        )
    rule_base = rule_base_for(rules)
    answered: BatchFile = read_batch(path, rule_base)
    written = {name: written_answer(rule_base.facts[name], value) for name, value in answered.answers.items()}
    return advised(rule_base, answered), written


def _saved_plan(path: Path) -> Advice:
    try:
        return read_json(Advice, read_text(path))
    except ValueError:
        raise InputError(
            tr("{path} is not advice saved by this program; make one with  advisor route --json", path=path)
        ) from None


def _refuse_again(journal: Journal, plan: Draft, title: str | None) -> None:
    """The same answers and weights twice, under the same name, are more often a slip than two batches."""
    if plan.document is None or plan.document.get("answers") is None or not journal.exists():
        return
    contents, weights = journal.look(), plan.document["weights"]
    for batch in contents.batches:
        there = plan_of(contents.of(batch))
        same = there is not None and there.answers == plan.document["answers"] and plain(there)["weights"] == weights
        if same and title in (None, batch.name):
            raise InputError(
                tr(
                    "batch {number} ({name}) was opened with these very answers; add to it, or open another"
                    " with  --name NAME",
                    number=batch.number,
                    name=batch.name,
                )
            )


def _with_document(drafts: list[Draft], path: Path | None) -> list[Draft]:
    """The drafts, with the document on the diagnosis or correction among them."""
    if path is None:
        return drafts
    carriers = [draft for draft in drafts if draft.kind in ("diagnosis", "correction")]
    if len(carriers) != 1:
        raise InputError(tr("--document goes with one  diagnosis=...  or  correction=...;  give one"))
    carrier = carriers[0]
    try:
        data = json.loads(read_text(path))
    except (ValueError, RecursionError) as problem:
        raise InputError(tr("{path} holds no JSON ({problem}); name a JSON file", path=path, problem=problem)) from None
    if not isinstance(data, dict) or not isinstance(data.get("document"), str) or "version" not in data:
        data = {"document": carrier.kind, "version": 1, "content": data}
    try:
        plain_document(data)
    except ValueError as problem:
        raise InputError(tr("{path}: {problem}; write a plain JSON document", path=path, problem=problem)) from None
    with_it = Draft(carrier.kind, carrier.name, carrier.text, document=data)
    return [with_it if draft is carrier else draft for draft in drafts]


def _refuse_twins(drafts: list[Draft]) -> None:
    seen: set[tuple[str, str]] = set()
    for draft in drafts:
        if draft.kind not in TEXTS and (draft.kind, draft.name) in seen:
            raise InputError(tr("{name} is given twice; give a second one as  {name}.2=...", name=draft.name))
        seen.add((draft.kind, draft.name))


_BEFORE = {"weighed": WEIGHED, "time": TIME}


def _amended(old: Entry, value: str | None) -> Draft:
    if old.kind in ("plan", "advice"):
        raise InputError(
            tr(
                "entry {number} is the plan as it was given; note what you did instead with  note=...",
                number=old.number,
            )
        )
    if value is None:
        return Draft(old.kind, old.name, "withdrawn", state="withdrawn")
    full = f"{_BEFORE.get(old.kind, '')}{old.name}"
    return read_value(full, value.removeprefix(f"{full}=") if value.startswith(f"{full}=") else value)


def _asked_why(number: int) -> str:
    if not sys.stdin or not sys.stdin.isatty():
        return ""
    Page(notices()).say(tr("Why is entry {number} corrected?", number=number))
    return typed_line(notices()) or ""


def _given(document: Any, json_output: bool, shown: Any) -> None:
    if json_output:
        write_json(document)
    else:
        shown(document)
