"""How the journal looks on the screen."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from advisor.advice.documents.common import Span
from advisor.advice.experience import FEWEST, SOURCE, Experience, in_words, learned, ratio_interval, shop_ratio
from advisor.journal import Batch, Entry
from advisor.journal.accounts import Account
from advisor.journal.balance_document import OneBalance
from advisor.journal.plans import PlanNote
from advisor.journal.rows import day_of
from advisor.journal.vocabulary import OUTCOMES, RESULTS, TEXTS, UNDONE, WORKS, amount_words, step_done
from advisor.present.text.page import Page, between
from advisor.terminal.journal.chart import print_chart
from advisor.terminal.output import screen
from advisor.units import Range
from advisor.units.measures import give_or_take
from advisor.words import said_as, tr

__all__ = [
    "list_row",
    "local_time",
    "print_amended",
    "print_balance",
    "print_chart",
    "print_experience",
    "print_list",
    "print_names",
    "print_recorded",
    "print_started",
    "print_timeline",
    "value_words",
]

_LAST = 30
_STATES = {"not known": tr("not known"), "withdrawn": tr("withdrawn")}


def local_time(at: str) -> str:
    """A recorded time as the clock on the wall shows it, with its offset from UTC."""
    return datetime.fromisoformat(at).astimezone().strftime("%Y-%m-%d %H:%M %z")


def value_words(entry: Entry) -> str:
    """What an entry says."""
    if entry.state != "given":
        return _STATES[entry.state]
    if entry.amount is not None:
        return amount_words(entry.kind, entry.name, entry.amount)
    step = step_done(entry.text) if entry.name in WORKS else None
    return entry.text if step is None else tr("done to step {step}", step=step)


def _why(entry: Entry) -> str:
    """Why an entry stands for another."""
    return tr("undone") if entry.why == UNDONE else str(entry.why)


def _about(entry: Entry) -> str:
    if entry.kind == "weighed":
        return tr("weighed out: {name}", name=entry.name)
    return tr("time of {name}", name=entry.name) if entry.kind == "time" else entry.name


def print_names() -> None:
    """Under which names to record."""
    page = Page(screen())
    page.say(tr("Write  advisor journal add BATCH NAME=VALUE ...  with these names:"))
    for name, result in RESULTS.items():
        page.say(
            tr("{title}, for example  {example}", title=result.title, example=result.example),
            indent=2,
            mark=f"{name:<15}",
        )
    page.say(tr("any material weighed out, for example  weighed.litharge=20g"), indent=2, mark=f"{'weighed.NAME':<15}")
    page.say(tr("the time that a step took, for example  time.cupel=40min"), indent=2, mark=f"{'time.STEP':<15}")
    for name in TEXTS:
        page.say(tr("a text, for example  {name}='...'", name=name), indent=2, mark=f"{name:<15}")
    page.say(
        tr(
            "The outcome is one of: {items}.",
            items=", ".join((f"{name} ({means})" for name, means in OUTCOMES.items())),
        )
    )
    page.say(tr("A second bead, pot or cupel: bead.2=3.1g. Not known: u. A range: '880 to 900 permille'."))


def print_started(batch: Batch, plan: PlanNote | None, fresh: bool) -> None:
    """What was opened and what to do next."""
    page = Page(screen())
    if fresh:
        page.say(tr("A new journal was made, for your eyes only where the system knows such rights."))
    page.say(
        tr("Batch {number} opened: {name}. Recorded by {who}.", number=batch.number, name=batch.name, who=batch.who),
        style="bold",
    )
    _plan(page, plan)
    page.say(tr("When you weigh out or something comes out:  advisor journal add {number}", number=batch.number))


def _plan(page: Page, plan: PlanNote | None) -> None:
    if plan is None:
        return
    way = [plan.route_title]
    way += [tr("collector {collector}", collector=said_as(plan.collector))] if plan.collector != "none" else []
    way += [tr("cupel {cupel}", cupel=said_as(plan.cupel))] if plan.cupel != "none" else []
    words = f"{'; '.join(way)}."
    if plan.outcome == "find_out":
        words = tr("FIND OUT FIRST. The route hangs on what is not known yet; nothing is lit before.")
    elif plan.outcome == "first":
        words += f" {tr('What stands under FIRST comes before.')}"
    page.say(tr("STOP. {words}", words=words) if plan.stop else words, indent=2, mark=tr("Plan: "))
    if plan.bead_g is not None:
        page.say(f"{between(plan.bead_g.low, plan.bead_g.high)} g", indent=2, mark=tr("Bead expected: "))


def print_recorded(batch: Batch, entries: Sequence[Entry], remarks: Sequence[str | None]) -> None:
    """What was recorded, each with what speaks against it."""
    page = Page(screen())
    page.say(tr("Batch {number}, {name}:", number=batch.number, name=batch.name))
    for entry, remark in zip(entries, remarks, strict=True):
        page.say(f"{_about(entry)}: {value_words(entry)}", indent=2, mark=tr("entry {number}  ", number=entry.number))
        if remark:
            page.say(tr("{remark} A slip? Take it back, and add the right one:", remark=remark), indent=4, mark="! ")
            page.verbatim(f"    advisor journal amend {entry.number} --withdraw --why slip")


def print_amended(old: Entry, new: Entry) -> None:
    """What superseded what."""
    page = Page(screen())
    page.say(tr("Entry {number} now stands for entry {number_2}:", number=new.number, number_2=old.number))
    page.say(f"{_about(old)}: {value_words(old)}", indent=2, mark=tr("before  "))
    page.say(f"{_about(new)}: {value_words(new)}", indent=2, mark=tr("now     "))
    page.say(
        tr("{why} ({who}). Entry {number} stays readable.", why=_why(new), who=new.who, number=old.number),
        indent=2,
        mark=tr("why     "),
    )


def list_row(account: Account) -> dict[str, Any]:
    """One line of the list."""
    plan, bead = account.plan, account.bead_g
    return {
        "batch": account.batch.number,
        "name": account.batch.name,
        "at": account.batch.at,
        "day": day_of(account.batch),
        "who": account.batch.who,
        "route": None if plan is None else plan.route,
        "collector": None if plan is None else plan.collector,
        "bead_g": None if bead is None else bead.likely,
        "state": account.outcome or ("done" if account.done else "open"),
    }


def print_list(found: Sequence[Account], everything: bool) -> None:
    """The batches, the last first."""
    page = Page(screen())
    rows = [list_row(account) for account in reversed(found)]
    shown = rows if everything else rows[:_LAST]
    if not rows:
        page.say(tr("No batch yet. Open one with  advisor journal start"))
        return
    page.verbatim(
        f"{tr('no'):>4}  {tr('opened'):<10}  {tr('state'):<8}  {tr('bead'):>9}  {tr('route'):<12}  {tr('name')}"
    )
    states = {"done": tr("done"), "open": tr("open")}
    for row in shown:
        state = states.get(row["state"], row["state"])
        bead = "" if row["bead_g"] is None else f"{row['bead_g']:.2f} g"
        day, route = row["day"], (row["route"] or "")[:12]
        head = f"{row['batch']:>4}  {day}  {state:<8}  {bead:>9}  {route:<12}  "
        room = max(12, page.console.width - len(head) - 1)
        name = row["name"].replace("\n", " ")
        page.verbatim(head + (name if len(name) <= room else name[: room - 3] + "..."))
    if len(shown) < len(rows):
        page.say(tr("{count} older ones are not shown; add --all to see them.", count=len(rows) - len(shown)))


def print_timeline(batch: Batch, entries: tuple[Entry, ...], account: Account, gold: str | None) -> None:
    """One batch as it went, with what its balance tells."""
    page = Page(screen())
    page.say(tr("Batch {number}: {name}", number=batch.number, name=batch.name), style="bold")
    opened = tr("opened {time} by {who}", time=local_time(batch.at), who=batch.who)
    page.say(tr("{opened} for the work of {day}", opened=opened, day=batch.day) if batch.day else opened, indent=2)
    _plan(page, account.plan)
    page.heading(tr("As it went"))
    later = {entry.supersedes: entry for entry in entries if entry.supersedes}
    for entry in entries:
        _timeline_line(page, entry, later)
    if gold is not None:
        page.heading(tr("Gold"))
        page.say(gold)
    elif account.why_not:
        page.gap()
        page.say(tr("No gold balance yet: {why_not}", why_not=account.why_not))


def _timeline_line(page: Page, entry: Entry, later: dict[str, Entry]) -> None:
    words = f"{_about(entry)}: {value_words(entry)}"
    if entry.kind == "plan":
        words = tr("plan: {text}", text=entry.text)
    if entry.kind == "advice":
        words = tr("advice: kept whole; --json shows it")
    elif entry.document is not None and entry.kind != "plan":
        words = tr(
            "{entry} (with a document: {document}, version {version})",
            entry=words,
            document=entry.document.get("document"),
            version=entry.document.get("version"),
        )
    if entry.day:
        words = tr("{entry} (of {day})", entry=words, day=entry.day)
    page.say(f"{words}  [{entry.who}]", mark=f"{local_time(entry.at)}  #{entry.number:<4} ")
    if entry.uid in later:
        new = later[entry.uid]
        page.say(
            tr("no longer stands: entry {number} by {who}: {why}", number=new.number, who=new.who, why=_why(new)),
            indent=4,
            mark="~ ",
        )
    elif entry.supersedes is not None:
        page.say(tr("because: {why}", why=_why(entry)), indent=4, mark="~ ")


def print_balance(document: OneBalance) -> None:
    """The gold of one batch, in and out."""
    page = Page(screen())
    page.say(tr("Batch {batch}: {name}", batch=document.batch, name=document.name), style="bold")
    width = max(len(title) for title in (tr("not accounted for"), *(line.title for line in document.lines)))
    for line in document.lines:
        page.say(line.how, indent=2, mark=f"{line.title:<{width}}  {_known_g(line.gold_g)}   ")
    page.say("", indent=2, mark=f"{tr('not accounted for'):<{width}}  {_known_g(document.unaccounted_g)}   ")
    page.gap()
    page.say(document.says, style="reverse bold" if document.signal else "bold")
    for note in document.notes:
        page.say(note, mark="- ")
    page.say(tr("Source: {source}", source=document.source), mark="- ")


def _known_g(gold: Span) -> str:
    """Gold as far as it is known, with its error, set in a column."""
    return f"{give_or_take(gold.likely, max(gold.high - gold.likely, gold.likely - gold.low), 'g'):<24}"


def print_experience(experience: Experience) -> None:
    """What the shop's batches say, by way of working."""
    page = Page(screen())
    if not experience.ways:
        page.say(tr("No finished batch with a plan and a bead yet; the next plan is by the rules alone."))
        return
    for way, evidence in experience.ways.items():
        page.heading(", ".join(map(said_as, (way.route, way.collector, way.cupel))))
        for name, one in learned(evidence).items():
            times = between(one.factor.low, one.factor.high, one.factor.likely)
            page.say(
                tr("Next time {times} times what the rules plan. {why}.", times=times, why=one.why),
                mark=f"{said_as(name)}: ",
            )
        interval = ratio_interval(evidence)
        if interval is None:
            page.say(
                tr(
                    "{batches} of {fewest} batches that an expected bead takes; so far it is by the rules.",
                    batches=evidence.batches,
                    fewest=FEWEST,
                )
            )
            continue
        page.say(
            tr(
                "Bead found for each gram expected: {times}. {evidence}",
                times=_times(interval),
                evidence=in_words(evidence),
            )
        )
        ratio = shop_ratio(evidence)
        if ratio is not None:
            page.say(tr("Bismuth that was enough for 1 g of metal: {ratio} g.", ratio=between(ratio.low, ratio.high)))
        if evidence.losses:
            mean = sum(evidence.losses) / len(evidence.losses)
            page.say(tr("Gold not accounted for: {mean:.1%} on average, where the feed was assayed.", mean=mean))
    page.gap()
    page.say(tr("Source: {source}", source=SOURCE))


def _times(ratio: Range) -> str:
    return tr("{likely:.3f} ({low:.3f} to {high:.3f})", likely=ratio.likely, low=ratio.low, high=ratio.high)
