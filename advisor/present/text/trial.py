"""What other rules do to the worked cases, as text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from advisor.advice.documents.trial import Trial, TriedCase, TriedPart
from advisor.present.text.page import Page

_STATUS = {0: "advice given", 2: "cannot be decided", 3: "no work: find out first, or STOP"}
_BY_NAME = ("outcome", "decision", "cause")
"""What is named for every case; of the rest the short form counts."""
_PLURALS = {
    "weight": "weights",
    "preparation": "preparations",
    "look": "looks",
    "figure": "figures",
    "hazard": "hazards",
    "step": "steps",
    "expectation": "expectations",
    "referral": "referrals",
    "next_batch": "lines for the next batch",
    "next_plan": "next plans",
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
    page.say(
        f"{len(trial.differing)} of {trial.tried} cases come out differently"
        + (f", and {broken} of them no longer give what the case expects." if broken else ".")
    )
    if trial.differing:
        page.say("One of them in full:")
        page.verbatim(f"  advisor rules try {folder} --case {trial.differing[0].case}")


def print_case(page: Page, name: str, differing: Iterable[TriedCase]) -> None:
    """Everything that differs in one case."""
    for case in differing:
        _print_head(page, case)
        for part in case.changed:
            page.say(f"{part.kind.replace('_', ' ')} {part.id}, {part.change}: {part.title}", indent=2, mark="- ")
            for mark, words in (("was: ", part.before), ("is:  ", part.after)):
                if words is not None:
                    page.say(words, indent=6, mark=mark)
        return
    page.say(f"The case {name} comes out the same.")


def _print_head(page: Page, case: TriedCase) -> None:
    page.say(f"{case.case} ({case.consultation})", style="bold")
    if case.broken:
        page.say(f"BREAKS what the case expects: {', '.join(case.broken)}", indent=2, style="reverse bold")
    if case.refused is not None:
        page.say(f"cannot be decided: {case.refused}", indent=2)
    elif case.status_before != case.status_after:
        page.say(f"{_STATUS[case.status_before]} -> {_STATUS[case.status_after]}", indent=2)


def _short_lines(case: TriedCase) -> Iterator[str]:
    for part in case.changed:
        if part.kind in ("outcome", "decision"):
            yield f"{part.title}: {_arrow(part)}"
        elif part.kind == "cause":
            yield f"cause {part.title}: {_arrow(part)}"
    weights = [part for part in case.changed if part.kind == "weight"]
    if weights:
        more = f" and {len(weights) - _NAMED_WEIGHTS} more" if len(weights) > _NAMED_WEIGHTS else ""
        yield "weights: " + "; ".join(f"{part.title} {_arrow(part)}" for part in weights[:_NAMED_WEIGHTS]) + more
    counted = [kind for kind in _PLURALS if kind != "weight"]
    counts = [line for kind in counted if (line := _count(kind, case.changed))]
    if counts:
        yield "; ".join(counts)


def _arrow(part: TriedPart) -> str:
    return f"{part.before or 'none'} -> {part.after or 'none'}"


def _count(kind: str, changed: Iterable[TriedPart]) -> str:
    """How many parts of a kind come, go and differ."""
    ways = [part.change for part in changed if part.kind == kind]
    words = {"comes": "new", "goes": "gone", "differs": "changed"}
    counts = [f"{ways.count(way)} {word}" for way, word in words.items() if way in ways]
    return f"{_PLURALS[kind]}: {', '.join(counts)}" if counts else ""
