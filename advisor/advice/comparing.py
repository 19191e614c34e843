"""Sets two advices or two diagnoses of the same case beside each other, and each beside what the case expects."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from advisor.advice.batches.entries import ExpectedAdvice, ExpectedDiagnosis
from advisor.advice.documents.advice import Advice, MaterialAmount
from advisor.advice.documents.common import HazardNote, ReferralNote, StepNote
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.documents.trial import Kind, TriedPart
from advisor.advice.plan.weighing import weight_words
from advisor.document import is_part
from advisor.frozen import frozen
from advisor.metallurgy.common.document import FigureNote
from advisor.units import Range, parse_measure, unit_named
from advisor.words import tr

Document = Advice | Diagnosis
_NOT_COMPARED = frozenset({"id", "title", "number", "sources", "stage"})
"""Where a part stands and who says so is no other advice."""


@frozen
class Compared:
    """One part of a document as it is compared.

    Attributes:
        kind: What it is.
        id: Its id.
        title: Its title.
        says: Everything it says, by name.
    """

    kind: Kind
    id: str
    title: str
    says: dict[str, str]

    @property
    def words(self) -> str:
        """All it says in one line."""
        return "; ".join(text if name == "is" else f"{name}: {text}" for name, text in self.says.items())


def changed_parts(before: Document | None, after: Document | None) -> tuple[TriedPart, ...]:
    """Every part that comes, goes or differs, in the order of the document; nothing is taken for an empty one."""
    was = {(line.kind, line.id): line for line in _lines(before)}
    now = {(line.kind, line.id): line for line in _lines(after)}
    found = (_changed(was.get(key), now.get(key)) for key in (was | now))
    return tuple(part for part in found if part is not None)


def _changed(was: Compared | None, now: Compared | None) -> TriedPart | None:
    line = now or was
    assert line is not None
    common: Any = {"kind": line.kind, "id": line.id, "title": line.title}
    if was is None:
        return TriedPart(**common, change="comes", before=None, after=line.words)
    if now is None:
        return TriedPart(**common, change="goes", before=line.words, after=None)
    apart = [name for name in was.says | now.says if was.says.get(name) != now.says.get(name)]
    if not apart:
        return None
    one, other = (
        Compared(side.kind, side.id, side.title, {name: side.says[name] for name in apart if name in side.says}).words
        for side in (was, now)
    )
    return TriedPart(**common, change="differs", before=one, after=other)


OUTCOME_WORDS = {
    "work": tr("work"),
    "first": tr("work after what is first"),
    "find_out": tr("find out first"),
    "stop": tr("stop"),
}
"""The four outcomes in words."""


def _lines(document: Document | None) -> Iterator[Compared]:
    if document is not None:
        yield Compared("outcome", "outcome", tr("outcome"), {"is": OUTCOME_WORDS[document.outcome]})
        yield from (Compared("preparation", one.id, one.title, _says(one)) for one in document.first)
        yield from (Compared("look", one.id, one.title, _says(one)) for one in document.looks)
    if isinstance(document, Advice):
        yield from (Compared("decision", d.id, d.title, {"is": d.chosen_title}) for d in document.decisions)
        yield from (
            Compared("weight", name, amount.title, _weights(amount)) for name, amount in document.amounts.items()
        )
        yield from (Compared("expectation", e.id, e.title, _says(e)) for e in document.expectations)
    elif document is not None:
        yield from (Compared("cause", c.id, c.title, {"is": c.sure}) for c in document.causes if c.taken)
        yield Compared("decision", "remedy", tr("What to do with the piece"), {"is": document.remedy.title})
        yield from (Compared("figure", name, f.title, {"is": _figure(f)}) for name, f in document.figures.items())
        for line in document.next_batch:
            yield Compared("next_batch", f"{line.kind}.{line.id}", line.title, _says(line))
        if document.changed_plan is not None:
            yield Compared("next_plan", "changed_plan", tr("The plan of the next batch"), _says(document.changed_plan))
    if document is not None:
        yield from _shared_lines(document.hazards, document.steps, document.referrals)


def _shared_lines(
    hazards: Iterable[HazardNote], steps: Iterable[StepNote], referrals: Iterable[ReferralNote]
) -> Iterator[Compared]:
    yield from (Compared("hazard", note.id, note.title, _says(note)) for note in hazards)
    yield from (Compared("step", note.id, note.brief or note.do, _says(note)) for note in steps)
    yield from (Compared("referral", note.id, note.who, _says(note)) for note in referrals)


def _weights(amount: MaterialAmount) -> dict[str, str]:
    return {"is": weight_words(Range(amount.low_g, amount.likely_g, amount.high_g))}


def _figure(figure: FigureNote) -> str:
    likely = f"{figure.likely:g} {figure.unit}"
    if figure.low == figure.high:
        return likely
    return tr("{likely} ({low:g} to {high:g})", likely=likely, low=figure.low, high=figure.high)


def _says(part: Any) -> dict[str, str]:
    """Everything a part says, but for where it stands and who says so."""
    values = ((name, getattr(part, name)) for name in part.__slots__ if name not in _NOT_COMPARED)
    return {name: _words(value) for name, value in values if value not in (None, ())}


def _words(value: Any) -> str:
    if is_part(value):
        return " ".join(_says(value).values())
    if isinstance(value, tuple):
        return " / ".join(map(_words, value))
    if isinstance(value, dict):
        return ", ".join(f"{name} {_words(inner)}" for name, inner in value.items())
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    return str(value)


def unmet(expected: ExpectedAdvice | ExpectedDiagnosis, document: Document | None) -> list[str]:
    """What a worked case expects and this document does not give, a few words for each."""
    if document is None:
        return [tr("it can be decided")]
    found = list(_unmet_advice(expected, document) if isinstance(expected, ExpectedAdvice) else [])
    found += _unmet_diagnosis(expected, document) if isinstance(expected, ExpectedDiagnosis) else []
    if document.outcome != expected.outcome:
        found.append(tr("outcome {name}", name=expected.outcome))
    wanted = [
        (tr("preparation"), expected.first, expected.without_first, {note.id for note in document.first}),
        (tr("hazard"), expected.hazards, expected.without_hazards, {note.id for note in document.hazards}),
    ]
    if isinstance(expected, ExpectedAdvice):
        wanted.append((tr("step"), expected.steps, expected.without_steps, {note.id for note in document.steps}))
    for kind, there, not_there, shown in wanted:
        found += [f"{kind} {name}" for name in there if name not in shown]
        found += [tr("no {kind} {name}", kind=kind, name=name) for name in not_there if name in shown]
    return found


def _unmet_advice(expected: ExpectedAdvice, advice: Document) -> Iterator[str]:
    assert isinstance(advice, Advice)
    chosen = {decision.id: decision.chosen for decision in advice.decisions}
    for name in ("route", "collector", "cupel", "borax"):
        wanted = getattr(expected, name)
        if wanted is not None and chosen.get(name) != wanted:
            yield f"{name} {wanted}"
    for material, written in expected.amounts.items():
        amount = advice.amounts.get(material)
        if not _within(amount.likely_g if amount else 0.0, written, "g"):
            yield f"{material} {written}"
    counting = {a.id for d in advice.decisions for o in d.options for a in o.arguments}
    yield from (tr("argument {name}", name=name) for name in expected.because if name not in counting)


def _unmet_diagnosis(expected: ExpectedDiagnosis, diagnosis: Document) -> Iterator[str]:
    assert isinstance(diagnosis, Diagnosis)
    support = {cause.id: cause.support_now for cause in diagnosis.causes if cause.taken}
    yield from (tr("cause {name}", name=name) for name in expected.causes if name not in support)
    if expected.causes and support.get(expected.causes[0], 0) < max(support.values(), default=0):
        yield tr("cause {name} first", name=expected.causes[0])
    yield from (tr("not cause {name}", name=name) for name in expected.not_causes if name in support)
    if diagnosis.remedy.chosen != expected.remedy:
        yield tr("remedy {name}", name=expected.remedy)
    for name, written in expected.figures.items():
        figure = diagnosis.figures.get(name)
        if figure is None or not _within(unit_named(figure.unit).inside(figure.likely), written, figure.unit):
            yield f"{name} {written}"
    heard = {note.id for cause in diagnosis.causes for note in (*cause.speaks_for, *cause.speaks_against)}
    heard |= {note.id for option in diagnosis.remedy.options for note in option.arguments}
    yield from (tr("sign {name}", name=name) for name in expected.because if name not in heard)


def _within(likely: float, written: str, unit: str) -> bool:
    wanted = parse_measure(written, unit_named(unit))
    return wanted.low - 1e-6 <= likely <= wanted.high + 1e-6
