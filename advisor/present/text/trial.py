"""What other rules do to the worked cases, as text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from advisor.advice.documents.trial import Trial, TriedCase, TriedPart
from advisor.present.text.page import Page
from advisor.words import tr

_STATUS = {0: tr("advice given"), 2: tr("cannot be decided"), 3: tr("no work: find out first, or STOP")}
_KINDS = {
    "outcome": tr("outcome"),
    "preparation": tr("preparation"),
    "look": tr("look"),
    "decision": tr("decision"),
    "cause": tr("cause"),
    "weight": tr("weight"),
    "figure": tr("figure"),
    "hazard": tr("hazard"),
    "step": tr("step"),
    "expectation": tr("expectation"),
    "referral": tr("referral"),
    "next_batch": tr("next batch"),
    "next_plan": tr("next plan"),
}
_CHANGES = {"comes": tr("new"), "goes": tr("gone"), "differs": tr("changed")}
_PLURALS = {
    "weight": tr("weights"),
    "preparation": tr("preparations"),
    "look": tr("looks"),
    "figure": tr("figures"),
    "hazard": tr("hazards"),
    "step": tr("steps"),
    "expectation": tr("expectations"),
    "referral": tr("referrals"),
    "next_batch": tr("lines for the next batch"),
    "next_plan": tr("next plans"),
}
_NAMED_WEIGHTS = 3


def print_trial(page: Page, trial: Trial, folder: Path) -> None:
    """A few lines for each case that differs, and how many there are."""
    for case in trial.differing:
        _print_head(page, case)
        for line in _short_lines(case):
            page.say(line, indent=2)
    if trial.differing:
        page.gap()
    broken = sum(bool(case.broken) for case in trial.differing)
    count, tried = len(trial.differing), trial.tried
    page.say(
        tr(
            "{count} of {tried} cases come out differently, and {broken} of them no longer give what the case expects.",
            count=count,
            tried=tried,
            broken=broken,
        )
        if broken
        else tr("{count} of {tried} cases come out differently.", count=count, tried=tried)
    )
    if trial.differing:
        page.say(tr("One of them in full:"))
        page.verbatim(f"  advisor rules try {folder} --case {trial.differing[0].case}")


def print_case(page: Page, name: str, differing: Iterable[TriedCase]) -> None:
    """Everything that differs in one case."""
    for case in differing:
        _print_head(page, case)
        for part in case.changed:
            page.say(f"{_KINDS[part.kind]} {part.id}, {_CHANGES[part.change]}: {part.title}", indent=2, mark="- ")
            for mark, words in ((tr("was: "), part.before), (tr("is:  "), part.after)):
                if words is not None:
                    page.say(words, indent=6, mark=mark)
        return
    page.say(tr("The case {name} comes out the same.", name=name))


def _print_head(page: Page, case: TriedCase) -> None:
    page.say(f"{case.case} ({case.consultation})", style="bold")
    if case.broken:
        page.say(
            tr("BREAKS what the case expects: {broken}", broken=", ".join(case.broken)), indent=2, style="reverse bold"
        )
    if case.refused is not None:
        page.say(tr("cannot be decided: {refused}", refused=case.refused), indent=2)
    elif case.status_before != case.status_after:
        page.say(f"{_STATUS[case.status_before]} -> {_STATUS[case.status_after]}", indent=2)


def _short_lines(case: TriedCase) -> Iterator[str]:
    for part in case.changed:
        if part.kind in ("outcome", "decision"):
            yield f"{part.title}: {_arrow(part)}"
        elif part.kind == "cause":
            yield tr("cause {title}: {arrow}", title=part.title, arrow=_arrow(part))
    weights = [part for part in case.changed if part.kind == "weight"]
    if weights:
        named = "; ".join(f"{part.title} {_arrow(part)}" for part in weights[:_NAMED_WEIGHTS])
        if len(weights) > _NAMED_WEIGHTS:
            named = tr("{weights} and {count} more", weights=named, count=len(weights) - _NAMED_WEIGHTS)
        yield tr("weights: {weights}", weights=named)
    counted = [kind for kind in _PLURALS if kind != "weight"]
    counts = [line for kind in counted if (line := _count(kind, case.changed))]
    if counts:
        yield "; ".join(counts)


def _arrow(part: TriedPart) -> str:
    return f"{part.before or tr('none')} -> {part.after or tr('none')}"


def _count(kind: str, changed: Iterable[TriedPart]) -> str:
    """How many parts of a kind come, go and differ."""
    ways = [part.change for part in changed if part.kind == kind]
    counts = [f"{ways.count(way)} {word}" for way, word in _CHANGES.items() if way in ways]
    return f"{_PLURALS[kind]}: {', '.join(counts)}" if counts else ""
