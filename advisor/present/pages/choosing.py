"""From an advice to the words of a sheet, by the rules of one level of detail."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

from advisor.advice.documents.advice import Advice, ExpectationNote
from advisor.advice.documents.common import HazardNote, StepNote
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.plan.weighing import weight_words
from advisor.present.pages.detail import LONG_MIN, Detail
from advisor.present.pages.model import (
    ExpectedLine,
    FirstLine,
    HazardLine,
    LookLine,
    PhaseBlock,
    Sheet,
    StepLine,
    StopLine,
    WeightLine,
)
from advisor.present.pages.words import (
    LONGEST_TITLE,
    between,
    clean,
    cut,
    first_sentence,
    shortened,
    time_words,
)
from advisor.present.screens.common import weight_of
from advisor.present.text.diagnosis import cause_lines
from advisor.present.text.notes import heat_words
from advisor.present.text.outcomes import (
    MOST_LOOKS,
    hours_line,
    minutes_words,
    provisional_words,
    remaining_lines,
    said_words,
    sitting_lines,
    told_words,
)
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.words import tr, tr_many

_BANNERS = {"stop": tr("STOP"), "find_out": tr("FIND OUT FIRST")}
_LONGEST_LOOK = 90
_LONGEST_CONDITION = 60


def make_sheet(document: Advice | Diagnosis, detail: Detail, again: str) -> Sheet:
    """The words of a sheet.

    Args:
        document: The advice, or the diagnosis, that it condenses.
        detail: How much of it is shown.
        again: The command that shows the whole of it.
    """
    idle = document.outcome in ("stop", "find_out")
    advice = document if isinstance(document, Advice) else None
    table = {} if idle or advice is None else _weighing_steps(advice)
    shown = [hazard for hazard in document.hazards if hazard.certain or not idle]
    steps = [step for step in document.steps if step.id not in {s.id for found in table.values() for s in found}]
    route, collector = _verdict(document)
    return Sheet(
        title=cut(clean(document.title or ""), LONGEST_TITLE) or tr("Batch without a name"),
        route=route,
        collector=collector,
        banner=_BANNERS.get(document.outcome, ""),
        stop=document.stop,
        first=tuple(_first(document, detail)),
        without=clean(f"{document.without.title}. {document.without.summary}") if document.without else "",
        hours=() if advice is None else tuple(map(clean, filter(None, (hours_line(advice), *sitting_lines(advice))))),
        looks=tuple(_find_out(document)),
        remaining=tuple(map(clean, remaining_lines(document.remaining))),
        provisional="" if advice is None else clean(provisional_words(advice)),
        cautious=not idle and (not document.settled or bool(advice and advice.assumptions)),
        kills=clean("; ".join(dict.fromkeys(one.called for one in shown if one.severity == "deadly"))),
        signs=clean("; ".join(dict.fromkeys(one.sign for one in shown if one.severity == "deadly"))),
        stops=tuple(_stops(document)),
        hazards=tuple(_hazard(hazard, detail) for hazard in shown),
        weights=() if idle else tuple(_weights(advice, table) if advice else _figures(document)),
        phases=tuple(_phases(document, steps, detail)),
        expected=() if idle or advice is None else tuple(_expected(advice, detail)),
        licences=tuple(dict.fromkeys(clean(note.called) for note in document.referrals if note.certain or not idle)),
        sources=_sources(document),
        left_out=tuple(_left_out(document, detail, shown)),
        again=again,
        made_by=tr(
            "{program}, rules {fingerprint}", program=document.program, fingerprint=document.rules.fingerprint[:12]
        ),
    )


def _verdict(document: Advice | Diagnosis) -> tuple[str, str]:
    """What is done, and with which collector; of a piece also the cause."""
    if isinstance(document, Diagnosis):
        return clean(f"{document.remedy.title}. {' '.join(cause_lines(document))}"), ""
    if document.outcome == "find_out":
        return clean(document.reason), ""
    none = document.collector == "none" or document.outcome == "stop"
    return clean(document.route_title), "" if none else clean(document.collector_title)


def _figures(diagnosis: Advice | Diagnosis) -> Iterable[WeightLine]:
    """What is weighed for a correction."""
    figures = diagnosis.figures.values() if isinstance(diagnosis, Diagnosis) else ()
    for figure in figures:
        if figure.unit == "g" and figure.likely > 0:
            exact = figure.low == figure.high
            yield WeightLine(
                title=clean(figure.title),
                likely=weight_words(Range.exact(figure.likely)),
                range="" if exact else between(figure.low, figure.high, "g"),
                step="",
                note="",
            )


def _stops(document: Advice | Diagnosis) -> Iterable[StopLine]:
    """Why work stops. Each is said in full: nobody may guess why a fire stays out."""
    if not document.stop:
        return
    for lift in document.lifts:
        doubt = f"{lift.doubt.capitalize()}: " if lift.doubt else ""
        yield StopLine(doubt + clean(lift.because + said_words(lift)), clean(lift.lifted_by))
    if not document.lifts:
        reason = document.reason if isinstance(document, Advice) else document.remedy.reason
        yield StopLine(clean(reason), tr("Answer the questions again when that has changed."))


def _first(document: Advice | Diagnosis, detail: Detail) -> Iterable[FirstLine]:
    for one in document.first:
        doubt = "" if one.certain else tr("Not known whether it is lacking: ")
        does = f" {one.do}" if detail.first == "full" else ""
        yield FirstLine(
            clean(f"{doubt}{one.title}.{does}"), minutes_words(one.time_min), clean(one.done_when), one.tonight
        )


def _find_out(document: Advice | Diagnosis) -> Iterable[LookLine]:
    for look in document.looks[:MOST_LOOKS]:
        minutes = f"{look.minutes:g} min"
        yield LookLine(clean(f"{look.title}, {minutes}"), clean(look.do), clean(told_words(look.tells)))


def _hazard(hazard: HazardNote, detail: Detail) -> HazardLine:
    if hazard.severity in detail.named:
        return HazardLine(clean(hazard.title), hazard.severity, hazard.certain, (), ())
    if hazard.severity in detail.controls:
        controls = tuple(
            clean(control.do + (tr(" (if {only_if})", only_if=control.only_if) if control.only_if else ""))
            for control in hazard.controls
        )
    else:
        controls = (shortened(hazard.brief, hazard.controls[0].do),)
    signs = hazard.stop_if if hazard.severity in detail.signs else (f"{hazard.sign[:1].upper()}{hazard.sign[1:]}.",)
    return HazardLine(clean(hazard.title), hazard.severity, hazard.certain, controls, tuple(map(clean, signs)))


def _weighing_steps(advice: Advice) -> dict[str, list[StepNote]]:
    """For each material the steps that weigh it and do nothing else; they stand in the table of weights."""
    found: dict[str, list[StepNote]] = {}
    for step in advice.steps:
        plain = step.stage == "weigh_out" and len(step.uses) == 1 and step.temperature_c is None
        if plain and step.uses[0] in advice.amounts:
            found.setdefault(step.uses[0], []).append(step)
    return found


def _weights(advice: Advice, table: dict[str, list[StepNote]]) -> Iterable[WeightLine]:
    for name, amount in advice.amounts.items():
        steps = table.get(name, [])
        notes = [tr("From {clean}.", clean=clean(amount.learned.source))] if amount.learned is not None else []
        notes += [f"{_condition(amount.only_if)}."] if amount.only_if else []
        notes += [tr("To get: {to_get_g} g.", to_get_g=format_number(amount.to_get_g))] if amount.to_get_g else []
        notes += [
            (f"{_condition(step.only_if)}: " if step.only_if else "") + shortened(step.brief, step.do) for step in steps
        ]
        exact = amount.low_g == amount.high_g
        yield WeightLine(
            title=clean(amount.title),
            likely=weight_of(amount),
            range="" if exact else between(amount.low_g, amount.high_g, "g"),
            step=" ".join(str(step.number) for step in steps),
            note=" ".join(notes),
        )


def _phases(document: Advice | Diagnosis, steps: list[StepNote], detail: Detail) -> Iterable[PhaseBlock]:
    """The steps under the names of the phases in which they are led; where nothing is begun, of their stages."""
    phase_of = {number: phase.title for phase in document.phases for number in phase.steps}

    def title_of(step: StepNote) -> str:
        return phase_of.get(step.number, step.stage_title)

    for title, those in groupby(steps, title_of):
        yield PhaseBlock(clean(title), tuple(_step(step, detail) for step in those))


def _step(step: StepNote, detail: Detail) -> StepLine:
    do = clean(step.do) if detail.steps == "full" else shortened(step.brief, step.do)
    if step.only_if:
        do = f"{_condition(step.only_if)}: {do}"
    time = time_words(step.time_min) if _timed(step, detail) else ""
    figures = ", ".join(part for part in (heat_words(step.temperature_c, "–"), time) if part)
    return StepLine(step.number, do, figures, _look(step, detail))


def _timed(step: StepNote, detail: Detail) -> bool:
    """Whether the time of a step is shown."""
    if step.time_min is None:
        return False
    return detail.times == "all" or step.temperature_c is not None or step.time_min.likely >= LONG_MIN


def _condition(words: str) -> str:
    """A condition that is open; one too long for the sheet is never cut, since half of it would say something else."""
    said = clean(words)
    return tr("Only if {said}", said=said) if len(said) <= _LONGEST_CONDITION else tr("Not sure if this applies")


def _looks_there(step: StepNote, detail: Detail) -> bool:
    return bool(step.look_for) and (
        detail.look_for == "all" or (detail.look_for == "heat" and step.temperature_c is not None)
    )


def _look(step: StepNote, detail: Detail) -> str:
    if not step.look_for or not _looks_there(step, detail):
        return ""
    text = clean(step.look_for)
    return text if detail.steps == "full" else cut(first_sentence(text), _LONGEST_LOOK)


def _expected(advice: Advice, detail: Detail) -> Iterable[ExpectedLine]:
    for note in advice.expectations:
        yield ExpectedLine(_expected_title(note), _mass(note), _looks(note, detail))
    if any(step.stage == "finish" for step in advice.steps) and advice.route not in ("clean_up", "send_out"):
        wanted = next((a.value for a in advice.answers if a.fact == "fineness_wanted" and a.origin == "given"), None)
        yield ExpectedLine(tr("Fineness"), tr("wanted {clean}", clean=clean(wanted)) if wanted else "", "")


def _expected_title(note: ExpectationNote) -> str:
    return clean(note.title) + (f" ({_condition(note.only_if)})" if note.only_if else "")


def _looks(note: ExpectationNote, detail: Detail) -> str:
    if detail.steps == "full":
        return clean(note.looks)
    return cut(first_sentence(clean(note.looks)), _LONGEST_LOOK) if detail.looks else ""


def _mass(note: ExpectationNote) -> str:
    return "" if note.mass_g is None else between(note.mass_g.low, note.mass_g.high, "g")


def _sources(document: Advice | Diagnosis) -> str:
    """How many sources of each kind stand behind what is on the sheet."""
    parts: tuple[HazardNote | StepNote | ExpectationNote, ...] = (
        *document.hazards,
        *document.steps,
        *(document.expectations if isinstance(document, Advice) else ()),
    )
    used = [source for part in parts for source in part.sources]
    published = {source.text.split("), ")[0] for source in used if source.kind == "published"}
    others = {"practice": tr("common practice"), "memory": tr("memory, not checked")}
    words = [tr("{count} published", count=len(published))] if published else []
    words += [said for kind, said in others.items() if any(source.kind == kind for source in used)]
    return tr("Sources: {words}; --explain names each.", words=", ".join(words))


def _left_out(document: Advice | Diagnosis, detail: Detail, shown: list[HazardNote]) -> Iterable[str]:
    """What this level leaves to the full advice, counted."""
    if hidden := len(document.hazards) - len(shown):
        yield tr_many(
            "{count} hazard of work that is not begun, not ruled out",
            "{count} hazards of work that is not begun, not ruled out",
            hidden,
        )
    full = [hazard for hazard in shown if hazard.severity in detail.controls]
    if rest := [hazard for hazard in shown if hazard not in full]:
        yield tr(
            "{controls} of {hazards} in full",
            controls=tr_many("{count} control", "{count} controls", sum(len(h.controls) for h in rest)),
            hazards=tr_many("{count} hazard", "{count} hazards", len(rest)),
        )
    signs = sum(
        len(h.stop_if) - (0 if h.severity in detail.named else 1) for h in shown if h.severity not in detail.signs
    )
    if signs:
        yield tr("{signs} more stop signs", signs=signs)
    if detail.steps == "brief" and document.steps:
        yield tr_many("the full text of {count} step", "the full text of {count} steps", len(document.steps))
    looks = sum(bool(step.look_for) and not _looks_there(step, detail) for step in document.steps)
    if looks:
        yield tr("what to look for in {looks} of them", looks=looks)
    times = sum(step.time_min is not None and not _timed(step, detail) for step in document.steps)
    if times:
        yield tr("the times of {times} short ones", times=times)
    yield tr("reasons, what was worked out, and sources")
