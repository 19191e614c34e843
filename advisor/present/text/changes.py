"""What would change the advice, as text: the route, the collector, and then the hazards in short."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import Change
from advisor.present.text.page import Page
from advisor.words import each_of, one_of, tr

_LONG_ANSWER = 30


def print_changes(page: Page, advice: Advice, explain: bool) -> None:
    """What answers would have changed the advice."""
    page.heading(tr("What answer would have changed this advice"))
    page.say(tr("This is about what is there, not about what is typed: change the thing, then answer again."))
    if not advice.changes:
        page.say(tr("No single different answer would change the route or the collector."))
    for name, title in (("route", tr("Would change the route")), ("collector", tr("Would change the collector only"))):
        single = [change for change in advice.changes if change.decision == name]
        if single:
            page.say(f"{title}:", style="bold")
            _single(page, single)
    _hazards(page, advice.hazard_changes, explain)


def print_diagnosis_changes(page: Page, changes: tuple[Change, ...], explain: bool) -> None:
    """What seen otherwise would have changed a diagnosis; causes that would come in only when explained."""
    page.heading(tr("What would change this diagnosis"))
    remedy = [change for change in changes if change.effect is None]
    if not remedy:
        page.say(tr("No single thing seen otherwise would change what to do with this piece."))
    for title, found in (
        (tr("Would change what to do"), remedy),
        (tr("Would take a cause away"), [change for change in changes if change.effect == "disappears"]),
        (tr("Would bring a cause in"), [change for change in changes if explain and change.effect == "appears"]),
    ):
        if found:
            page.say(f"{title}:", style="bold")
            _single(page, found)


def _single(page: Page, changes: Iterable[Change]) -> None:
    grouped: dict[tuple[str, str, str], list[str]] = {}
    for change in changes:
        grouped.setdefault((change.label, change.was, change.to_title), []).append(change.answer)
    for (label, was, to), words in grouped.items():
        page.say(f"{label}: {one_of(words, ',')}{_now(was)} -> {to}", mark="- ")


def _now(was: str) -> str:
    return tr(" (now: {was})", was=was) if len(was) < _LONG_ANSWER else ""


def _hazards(page: Page, changes: Iterable[Change], explain: bool) -> None:
    """The hazards that answers take away or bring; only the worst hazards unless explained."""
    grouped: dict[str, dict[str, list[str]]] = {}
    for change in changes:
        if explain or change.severity != "moderate":
            effects = grouped.setdefault(f"{change.label}: {change.answer}", {})
            effects.setdefault(change.effect or "", []).append(_hazard_title(change))
    if grouped:
        page.say(tr("Would take away or bring a hazard, with the same work:"), style="bold")
    for words, effects in grouped.items():
        told = [f"{verb} {'; '.join(effects[effect])}" for effect, verb in _VERBS.items() if effect in effects]
        page.say(f"{words} -> {each_of(told, ',')}", mark="- ")
    page.say(tr("Another route or collector takes away hazards and brings others; answer again to see which."))


_VERBS = {"disappears": tr("takes away"), "appears": tr("brings")}


def _hazard_title(change: Change) -> str:
    return change.to_title.removesuffix(f" {change.to}")
