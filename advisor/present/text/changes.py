"""What would change the advice, as text: the route, the collector, and then the hazards in short."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import Change, OtherAnswerNote
from advisor.present.text.page import Page

_LONG_ANSWER = 30
_MOST_SETS = 2
"""So many sets of several answers are shown for one target unless everything is to be explained."""


def print_changes(page: Page, advice: Advice, explain: bool) -> None:
    """What answers would have changed the advice."""
    page.heading("What answer would have changed this advice")
    page.say("This is about what is there, not about what is typed: change the thing, then answer anew.")
    if not advice.changes:
        most = "No single different answer" if advice.changes_together else "No change of up to three answers"
        page.say(f"{most} would change the route or the collector.")
    for name, title in (("route", "Would change the route"), ("collector", "Would change the collector only")):
        single = [change for change in advice.changes if change.decision == name]
        together = [change for change in advice.changes_together if change.decision == name]
        if single or together:
            page.say(f"{title}:", style="bold")
            _single(page, single)
            _together(page, together, explain)
    _hazards(page, advice.hazard_changes, explain)
    if not advice.changes_complete:
        page.say("So many answers bear on each other here that the search was broken off. Some changes may be missing.")


def print_diagnosis_changes(page: Page, changes: tuple[Change, ...], explain: bool) -> None:
    """What seen otherwise would have changed a diagnosis; causes that would come in only when explained."""
    page.heading("What would change this diagnosis")
    remedy = [change for change in changes if change.effect is None]
    if not remedy:
        page.say("No single thing seen otherwise would change what to do with this piece.")
    for title, found in (
        ("Would change what to do", remedy),
        ("Would take a cause away", [change for change in changes if change.effect == "disappears"]),
        ("Would bring a cause in", [change for change in changes if explain and change.effect == "appears"]),
    ):
        if found:
            page.say(f"{title}:", style="bold")
            _single(page, found)


def _single(page: Page, changes: Iterable[Change]) -> None:
    grouped: dict[tuple[str, str, str], list[str]] = {}
    for change in changes:
        grouped.setdefault((change.label, change.was, change.to_title), []).append(change.answer)
    for (label, was, to), words in grouped.items():
        page.say(f"{label}: {', or '.join(words)}{_now(was)} -> {to}", mark="- ")


def _now(was: str) -> str:
    return f" (now: {was})" if len(was) < _LONG_ANSWER else ""


def _together(page: Page, changes: Iterable[Change], explain: bool) -> None:
    by_target: dict[str, list[Change]] = {}
    for change in changes:
        by_target.setdefault(change.to_title, []).append(change)
    for to, found in by_target.items():
        shown = found if explain else found[:_MOST_SETS]
        for change in shown:
            page.say(f"{_words(change)} -> {to}", mark="- ")
        left = len(found) - len(shown) + found[-1].more
        if left:
            size = ("pair", "set of three")[len(found[0].also) - 1]
            page.say(f"and {left} more, each a {size}, that lead to '{to}'", indent=2)


def _words(change: Change) -> str:
    """The answers of a change: one, or several together."""
    notes: list[Change | OtherAnswerNote] = [change, *change.also]
    answers = [f"{note.label}: {note.answer}" for note in notes]
    if len(answers) == 1:
        return answers[0]
    return f"{'; and '.join(answers)}; together"


def _hazards(page: Page, changes: Iterable[Change], explain: bool) -> None:
    """The hazards that answers take away or bring; only single answers and the worst hazards unless explained."""
    grouped: dict[str, dict[str, list[str]]] = {}
    for change in changes:
        if explain or (change.severity != "moderate" and not change.also):
            effects = grouped.setdefault(_words(change), {})
            effects.setdefault(change.effect or "", []).append(_hazard_title(change))
    if grouped:
        page.say("Would take away or bring a hazard, with the same work:", style="bold")
    for words, effects in grouped.items():
        told = [f"{verb} {'; '.join(effects[effect])}" for effect, verb in _VERBS.items() if effect in effects]
        page.say(f"{words} -> {', and '.join(told)}", mark="- ")
    page.say("Another route or collector takes away hazards and brings others; answer anew to see which.")


_VERBS = {"disappears": "takes away", "appears": "brings"}


def _hazard_title(change: Change) -> str:
    return change.to_title.removesuffix(f" {change.to}")
