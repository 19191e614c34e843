"""Hazards, steps, arguments, sources and answers as text, the same in every document."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import (
    Answer,
    ArgumentNote,
    HazardNote,
    Lift,
    Missing,
    OverrideNote,
    ReferralNote,
    RulesNote,
    SourceNote,
    Span,
    StepNote,
)
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.present.text.page import Page, between
from advisor.rulebase.reading.origins import Override
from advisor.units.measures import format_number
from advisor.words import said_as, tr

LAST_WORDS = tr(
    "This is advice from rules. Local law, a licensed professional and what you see in front of you come first."
)
_SEVERITY_WORDS = {"deadly": tr("CAN KILL"), "grave": tr("CAN MAIM OR POISON"), "moderate": tr("CAN HURT")}
_SEVERITY_STYLES = {"deadly": "reverse bold", "grave": "bold", "moderate": ""}
_TRUTHS = {"holds": tr("holds"), "open": tr("open"), "fails": tr("fails")}
_HOW = {
    "replaced": tr("replaced"),
    "replaced whole": tr("replaced whole"),
    "switched off": tr("switched off"),
}
_SAYS = {"require": tr("requires it"), "rule_out": tr("rules it out"), "for": tr("for"), "against": tr("against")}


def source_line(sources: Iterable[SourceNote]) -> str:
    """Sources in one line, each book once."""
    places: dict[str, list[str]] = {}
    for source in sources:
        head, bracket, place = source.text.partition("), ") if source.kind == "published" else (source.text, "", "")
        places.setdefault(head + bracket.rstrip(", "), []).append(place)
    named = "; ".join(f"{head}, {', '.join(found)}" if found[0] else head for head, found in places.items())
    return tr("Source: {sources}", sources=named)


def print_dangers(page: Page, document: Advice | Diagnosis) -> None:
    """All hazards of a document, and who decides beside it."""
    print_hazards(page, document.hazards)
    _referrals(page, document.referrals)


def print_hazards(page: Page, hazards: Sequence[HazardNote]) -> None:
    """All hazards with their controls, the worst first; none is cut off."""
    page.heading(tr("Hazards ({count}), the worst first", count=len(hazards)))
    if not hazards:
        page.say(tr("No hazard of the rule base applies to these answers. That is not a promise; look around you."))
    for hazard in hazards:
        _hazard(page, hazard)


def _hazard(page: Page, hazard: HazardNote) -> None:
    doubt = "" if hazard.certain else tr(" (kept: not excluded by what is known)")
    page.gap()
    page.say(f"{_SEVERITY_WORDS[hazard.severity]}: {hazard.title}{doubt}", style=_SEVERITY_STYLES[hazard.severity])
    page.say(hazard.harm, indent=2)
    for control in hazard.controls:
        page.say(
            control.do + (tr(" (if {only_if})", only_if=control.only_if) if control.only_if else ""),
            indent=2,
            mark="+ ",
        )
    for sign in hazard.stop_if:
        page.say(tr("STOP if: {sign}", sign=sign), indent=2, mark="! ")
    if hazard.authority:
        page.say(tr("Who decides: {authority}", authority=hazard.authority), indent=2)
    if page.explain:
        page.say(tr("Applies because: {because}", because=hazard.because), indent=2)
        page.say(source_line(hazard.sources), indent=2)


def _span(span: Span | None, unit: str) -> str:
    return "" if span is None else f"{between(span.low, span.high)} {unit}"


def step_figures(step: StepNote) -> str:
    """Heat and time of a step."""
    return "; ".join(part for part in (heat_words(step.temperature_c), _span(step.time_min, "min")) if part)


def heat_words(span: Span | None, joined: str = tr(" to ")) -> str:
    """A heat, to the degree: 1064 °C is where gold melts, and 1060 is not. ``joined`` stands between its ends."""
    ends = () if span is None else dict.fromkeys((format_number(span.low, 4), format_number(span.high, 4)))
    return f"{joined.join(ends)} °C" if ends else ""


def print_steps(page: Page, steps: Sequence[StepNote], hazards: Sequence[HazardNote]) -> None:
    """The steps, stage by stage."""
    titles = {hazard.id: hazard.title for hazard in hazards}
    stage = ""
    for step in steps:
        if step.stage != stage:
            stage = step.stage
            page.gap()
            page.say(step.stage_title, style="bold")
        _step(page, step, titles)


def _step(page: Page, step: StepNote, titles: dict[str, str]) -> None:
    mark = f"{step.number:>3}. "
    page.say(tr("Only if {only_if}: {do}", only_if=step.only_if, do=step.do) if step.only_if else step.do, mark=mark)
    if heat := step_figures(step):
        page.say(heat, indent=5, style="bold")
    if step.look_for:
        page.say(tr("Look for: {look_for}", look_for=step.look_for), indent=5)
    if step.hazards:
        page.say(tr("Take care: {hazards}", hazards="; ".join(titles[name] for name in step.hazards)), indent=5)
    if page.explain:
        if step.reason:
            page.say(tr("Why: {reason}", reason=step.reason), indent=5)
        page.say(source_line(step.sources), indent=5)


def print_argument(page: Page, argument: ArgumentNote) -> None:
    """One argument with its source."""
    says = _SAYS[argument.says]
    if argument.strength:
        says += ", " + said_as(argument.strength)
    truth = {"holds": "", "open": tr(" (not known)"), "fails": tr(" (does not apply)")}[argument.truth]
    page.say(f"{says}{truth}: {argument.reason}", indent=4, mark="- ")
    page.say(source_line(argument.sources), indent=6)
    if page.explain:
        page.say(tr("When: {condition}", condition=argument.condition), indent=6)
        for test in argument.tests:
            page.say(
                tr("{words}: {truth}; seen: {seen}", words=test.words, truth=_TRUTHS[test.truth], seen=test.seen),
                indent=8,
                mark="* ",
            )
        if argument.limits:
            page.say(tr("Known limits: {limits}", limits=argument.limits), indent=6)
        page.say(tr("Rule {id} in {file}:{line}", id=argument.id, file=argument.file, line=argument.line), indent=6)


def print_lifts(page: Page, heading: str, lifts: Sequence[Lift]) -> None:
    """What would open a way that is shut, under the way it would open."""
    if not lifts:
        return
    page.heading(heading)
    opens = None
    for lift in lifts:
        if lift.opens is not None and lift.opens != opens:
            opens = lift.opens
            page.say(tr("Toward '{opens}':", opens=opens), style="bold")
        page.say(lift.because + (f" ({lift.doubt})" if lift.doubt else ""), mark="- ")
        page.say(tr("To lift it: {lifted_by}", lifted_by=lift.lifted_by), indent=2)


def print_basis(page: Page, document: Advice | Diagnosis) -> None:
    """What a document rests on: the answers and the rules."""
    _answers(page, document.answers, document.unasked)
    _rules(page, document.program, document.rules)


def print_last_words(page: Page, hazards: Sequence[HazardNote]) -> None:
    """What kills, and what comes before any advice; at the end, where the screen stands."""
    page.gap()
    deadly = [hazard.title for hazard in hazards if hazard.severity == "deadly"]
    if deadly:
        page.say(tr("Can kill here: {hazards}.", hazards="; ".join(deadly)))
    page.say(LAST_WORDS)


def _referrals(page: Page, referrals: Sequence[ReferralNote]) -> None:
    """Who decides beside the advice."""
    if not referrals:
        return
    page.heading(tr("Where a licensed professional or local code decides"))
    for note in referrals:
        page.say(f"{note.who.rstrip('.')}: {note.decides}", mark="- ")


def _answers(page: Page, answers: Sequence[Answer], unasked: Sequence[Missing]) -> None:
    page.heading(tr("Your answers, as understood"))
    for answer in answers:
        page.say(f"{answer.label}: {answer.value}", mark="- ")
    if unasked:
        page.say(
            tr(
                "Not answered, and could still change this advice: {facts}",
                facts=", ".join(missing.label for missing in unasked),
            ),
            mark="- ",
        )


def _rules(page: Page, program: str, rules: RulesNote) -> None:
    page.heading(tr("Rules used"))
    page.say(
        tr(
            "{program}; {title}, fingerprint {fingerprint}",
            program=program,
            title=rules.title,
            fingerprint=rules.fingerprint[:12],
        )
    )
    for layer in rules.layers[1:]:
        page.say(tr("Your own rules: {layer}", layer=layer))
    for override in rules.overrides:
        say_override(page, override)


def say_override(page: Page, override: Override | OverrideNote) -> None:
    """A rule that a shop's own rules replaced or switched off."""
    reason = f" ({override.reason})" if override.reason else ""
    page.say(
        tr(
            "{section} {id}: {how} by {layer}{reason}",
            section=override.section,
            id=override.id,
            how=_HOW[override.how],
            layer=override.layer,
            reason=reason,
        ),
        mark="- ",
    )
