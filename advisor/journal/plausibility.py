"""What can hardly be true of a weight: held against the plan, and against what was weighed before in the same batch."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from advisor.journal.accounts import total_g
from advisor.journal.plans import PlanNote
from advisor.journal.rows import Draft, Entry, standing
from advisor.journal.vocabulary import RESULTS, amount_words
from advisor.units import Range, format_measure, unit_named
from advisor.words import tr

_SLACK = 1.1
"""A weight this much beyond a plan's range is not worth a question (practice)."""

_GRAMS = unit_named("g")
_COMES_OUT = ("button", "slag", "matte", "speiss", "rod_left", "cupel_gain", "bead", "sweepings")
"""Each is part of what went in, so that it cannot weigh more."""


def doubt(draft: Draft, plan: PlanNote | None, entries: Sequence[Entry]) -> str | None:
    """Why a weight can hardly be true, in a sentence; None where nothing speaks against it.

    Args:
        draft: What someone wants to record.
        plan: The plan of the batch, if there is one.
        entries: All that is recorded of the batch.
    """
    if draft.amount is None or draft.unit != "g":
        return None
    there = [entry for entry in standing(tuple(entries)) if (entry.kind, entry.name) != (draft.kind, draft.name)]
    sentences = (_beside_plan(draft, plan), _beside_before(draft, plan, there))
    return next((sentence for sentence in sentences if sentence), None)


def doubts(drafts: Sequence[Draft], plan: PlanNote | None, entries: Sequence[Entry]) -> list[str | None]:
    """The doubt about each of several drafts that are recorded together, each also held against the others."""
    return [doubt(one, plan, [*entries, *_as_entries(drafts, one)]) for one in drafts]


def _as_entries(drafts: Iterable[Draft], but: Draft) -> list[Entry]:
    """Drafts as if they were recorded already."""
    found = []
    for place, one in enumerate(drafts):
        if one is not but and one.amount is not None:
            ends = {"low": one.amount.low, "likely": one.amount.likely, "high": one.amount.high, "unit": one.unit}
            head = {
                "number": 1,
                "uid": tr("draft {place}", place=place),
                "batch": "-",
                "at": "2000-01-01T00:00:00+00:00",
                "who": "-",
            }
            found.append(Entry(kind=one.kind, name=one.name, text=one.text, **ends, **head))  # type: ignore[arg-type]
    return found


def _beside_plan(draft: Draft, plan: PlanNote | None) -> str | None:
    assert draft.amount is not None
    base = draft.name.partition(".")[0]
    # A second pot or bead is part of a whole that the plan speaks of.
    if plan is None or base != draft.name or base == "rod_left":
        return None
    if draft.kind == "weighed":
        weight = plan.weights.get(base)
        if weight is None:
            return tr("The plan asks for none of this.") if draft.amount.high > 0 else None
        asked = Range(weight.mass_g.low, weight.mass_g.likely, weight.mass_g.high)
        return None if draft.amount.high <= 0 else _outside(draft.amount, asked, tr("The plan asks for"))
    if base == "feed":
        planned = plan.dry_mass_g
        return None if planned is None else _outside(draft.amount, _range(planned), tr("The plan is for"))
    found = plan.expected_of(base)
    # Of the rest only far too much is a slip; too little may be what went wrong.
    if found is None or (base != "bead" and draft.amount.low <= 2 * found.high):
        return None
    return _outside(draft.amount, _range(found), tr("The plan expects"))


def _range(span: object) -> Range:
    return Range(span.low, span.likely, span.high)  # type: ignore[attr-defined]


def _outside(amount: Range, asked: Range, words: str) -> str | None:
    if asked.low / _SLACK <= amount.high and amount.low <= asked.high * _SLACK:
        return None
    return f"{words} {format_measure(asked, _GRAMS)}."


def _beside_before(draft: Draft, plan: PlanNote | None, entries: Sequence[Entry]) -> str | None:
    """A product that weighs more than what it came from."""
    assert draft.amount is not None
    base = draft.name.partition(".")[0]
    if draft.kind != "result" or base not in _COMES_OUT:
        return None
    results = {entry.name: entry for entry in entries if entry.kind == "result"}
    weighed = {entry.name: entry for entry in entries if entry.kind == "weighed"}
    if base == "rod_left":
        rod = total_g(weighed, "iron")
        return _more(draft, rod, tr("the rod that went in")) if rod is not None else None
    button = total_g(results, "button") if base == "bead" and not _part_goes_straight(plan) else None
    if button is not None and button.high > 0:
        return _more(draft, button, tr("the button"))
    went_in = _went_in_g(plan, results, weighed)
    return None if went_in is None else _more(draft, went_in, tr("all that went in"))


def _part_goes_straight(plan: PlanNote | None) -> bool:
    """Whether some gold goes to the cupel without ever being in the button."""
    return plan is not None and "clean_bead" in plan.expected_g


def _went_in_g(plan: PlanNote | None, results: dict[str, Entry], weighed: dict[str, Entry]) -> Range | None:
    """All that went in, so far as it was weighed, and else as planned; None where nobody knows the feed."""
    feed = total_g(results, "feed")
    if feed is None and plan is not None and plan.dry_mass_g is not None:
        feed = _range(plan.dry_mass_g)
    if feed is None:
        return None
    whole = feed
    planned = {} if plan is None else plan.weights
    for name in dict.fromkeys((*planned, *(key.partition(".")[0] for key in weighed))):
        taken = total_g(weighed, name)
        if taken is None and name in planned:
            taken = _range(planned[name].mass_g)
        whole = whole + (taken or Range.exact(0.0))
    return whole


def _more(draft: Draft, whole: Range, words: str) -> str | None:
    assert draft.amount is not None
    if draft.amount.low <= whole.high:
        return None
    title = RESULTS[draft.name.partition(".")[0]].title
    shown = amount_words(draft.kind, draft.name, draft.amount)
    return tr(
        "{shown} of {title} is more than {words} ({whole}).",
        shown=shown,
        title=title,
        words=words,
        whole=format_measure(whole, _GRAMS),
    )
