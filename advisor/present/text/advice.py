"""The advice as text: readable at 80 columns, in a pipe and without colour. Hazards are never cut off."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from advisor.advice.documents.advice import Advice, MaterialAmount
from advisor.advice.documents.common import ArgumentNote, DecisionNote, OptionNote
from advisor.advice.plan.weighing import is_wide, weight_words
from advisor.present.text.changes import print_changes
from advisor.present.text.computed import print_computed, print_side_by_side
from advisor.present.text.notes import (
    print_argument,
    print_basis,
    print_dangers,
    print_last_words,
    print_lifts,
    print_steps,
    source_line,
)
from advisor.present.text.outcomes import (
    hours_line,
    print_first,
    print_no_work,
    print_sittings,
    provisional_words,
    said_words,
)
from advisor.present.text.page import Page, between
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.words import tr

_STATES = {
    "chosen": tr("chosen"),
    "possible": tr("possible"),
    "ruled_out": tr("ruled out"),
    "set_aside": tr("set aside, not known"),
}


_NOTICEABLE = 0.05


def print_advice(page: Page, advice: Advice) -> None:
    """The whole advice: the verdict, then every part."""
    _verdict(page, advice)
    for part in PARTS.values():
        # What comes first stands beside the verdict already.
        (_plan if part is _work else part)(page, advice)
    print_last_words(page, advice.hazards)


def _work(page: Page, advice: Advice) -> None:
    """What is done: what comes first, the sittings, then the work."""
    print_first(page, advice)
    print_sittings(page, advice)
    _plan(page, advice)


def _plan(page: Page, advice: Advice) -> None:
    """What is done, step by step, and what comes out; where work stops, what is done instead."""
    if advice.outcome in ("stop", "find_out"):
        print_no_work(page, advice)
    if advice.steps:
        page.heading(tr("The plan, step by step"))
        print_steps(page, advice.steps, advice.hazards)
    _expectations(page, advice)


def _numbers(page: Page, advice: Advice) -> None:
    _weights(page, advice)
    print_computed(page, advice)


def _why(page: Page, advice: Advice) -> None:
    if advice.outcome in ("work", "first"):
        print_lifts(page, tr("What keeps other routes out, and what would lift it"), advice.lifts)
    _arguments(page, advice)


def _change(page: Page, advice: Advice) -> None:
    print_changes(page, advice, page.explain)


def _ways(page: Page, advice: Advice) -> None:
    print_side_by_side(page, advice.side_by_side)


def _answers(page: Page, advice: Advice) -> None:
    _assumptions(page, advice)
    print_basis(page, advice)


PARTS: Mapping[str, Callable[[Page, Advice], None]] = {
    "dangers": print_dangers,
    "numbers": _numbers,
    "work": _work,
    "why": _why,
    "change": _change,
    "ways": _ways,
    "answers": _answers,
}
"""The parts of the whole advice, in order; together they show all of it."""


_HEADS = {
    "work": tr("ROUTE      "),
    "first": tr("ROUTE      "),
    "stop": tr("STOP       "),
    "find_out": tr("FIND OUT   "),
}


def _verdict(page: Page, advice: Advice) -> None:
    page.gap()
    if advice.title:
        page.say(tr("Batch: {title}", title=advice.title))
    title = tr("The route hangs on what is not known yet") if advice.outcome == "find_out" else advice.route_title
    page.say(title, mark=_HEADS[advice.outcome], style="reverse bold")
    if advice.collector != "none" and advice.outcome != "find_out":
        page.say(tr("COLLECTOR  {collector_title}", collector_title=advice.collector_title), style="bold")
    if hours := hours_line(advice):
        page.say(hours, mark=tr("HOURS      "))
    print_first(page, advice)
    print_sittings(page, advice)
    if advice.outcome in ("stop", "find_out"):
        said = said_words(advice.lifts[0]) if advice.lifts else ""
        page.say(advice.reason + said, mark=tr("WHY        "))
        return
    page.gap()
    page.say(advice.reason)
    if not advice.settled:
        page.gap()
        page.say(tr("Some answers are missing. This advice holds whatever they are."))


def _weights(page: Page, advice: Advice) -> None:
    if not advice.amounts and not advice.quantities:
        return
    if advice.amounts:
        page.heading(tr("Weigh out"))
        if words := provisional_words(advice):
            page.say(words, style="bold")
        width = max(len(amount.title) for amount in advice.amounts.values())
        for amount in advice.amounts.values():
            _weight(page, amount, min(width, 34))
        if advice.cost_low is not None and advice.cost_high is not None:
            page.say(
                tr(
                    "Reagents with a price cost {cost_low} in your money.",
                    cost_low=between(advice.cost_low, advice.cost_high),
                )
            )
    if advice.quantities:
        page.heading(tr("Worked out for this batch"))
        for quantity in advice.quantities.values():
            unit = "" if quantity.unit == "pieces" else f" {quantity.unit}"
            likely = (
                ""
                if quantity.low == quantity.high
                else tr(" (likely {quantity})", quantity=format_number(quantity.likely))
            )
            # As the steps say it: one figure in the whole advice.
            ends = dict.fromkeys((format_number(quantity.low), format_number(quantity.high)))
            page.say(f"{quantity.title}: {' to '.join(ends)}{unit}{likely}")
            if page.explain:
                page.say(f"{quantity.how} {source_line(quantity.sources)}", indent=4)


def _to_get(amount: MaterialAmount) -> str:
    """What of it is not on the shelf, in brackets."""
    if not amount.to_get_g:
        return ""
    return (
        tr("  (to get)")
        if amount.to_get_g >= amount.likely_g
        else tr("  (to get: {to_get_g} g)", to_get_g=format_number(amount.to_get_g))
    )


def _weight(page: Page, amount: MaterialAmount, width: int) -> None:
    words = weight_words(Range(amount.low_g, amount.likely_g, amount.high_g))
    if amount.at_least:
        words = tr("at least {weight}", weight=words)
    words += _to_get(amount) + (
        tr("   from {source}", source=amount.learned.source) if amount.learned is not None else ""
    )
    words += tr("   only if {only_if}", only_if=amount.only_if) if amount.only_if else ""
    page.say(words, mark=f"[ ] {amount.title:<{width}}  ")
    if is_wide(Range(amount.low_g, amount.likely_g, amount.high_g)):
        leave_it_open = tr(
            "Answers and sources leave it open, {ends} g: begin with this, and go on by what the steps tell you to "
            "look for.",
            ends=between(amount.low_g, amount.high_g),
        )
        page.say(
            " ".join((leave_it_open, *([amount.narrower] if amount.narrower else []))),
            indent=4,
        )
    if amount.learned is not None:
        by_rules = amount.learned.by_rules_g
        alone = weight_words(Range(by_rules.low, by_rules.likely, by_rules.high))
        page.say(tr("{why}. By the rules alone it would be {alone}.", why=amount.learned.why, alone=alone), indent=4)
    if amount.care:
        page.say(amount.care, indent=4)
    if page.explain and amount.computed is not None:
        page.say(tr("How: {how}. Source: {source}", how=amount.computed.how, source=amount.computed.source), indent=4)
    if page.explain:
        for line in amount.lines:
            share = weight_words(Range(line.low_g, line.likely_g, line.high_g))
            page.say(f"{share}: {line.how} {source_line(line.sources)}", indent=4)
    if amount.cost_low is not None and amount.cost_high is not None:
        page.say(tr("costs {cost}", cost=between(amount.cost_low, amount.cost_high)), indent=4)


def _expectations(page: Page, advice: Advice) -> None:
    if not advice.expectations:
        return
    page.heading(tr("What to expect"))
    for note in advice.expectations:
        mass = "" if note.mass_g is None else f", {between(note.mass_g.low, note.mass_g.high)} g"
        condition = tr(" (if {only_if})", only_if=note.only_if) if note.only_if else ""
        page.say(f"{note.title}{mass}{condition}: {note.looks}", mark="- ")
        if note.shop is not None:
            own = note.shop.mass_g
            page.say(
                tr("By your own batches: {own} g. {words}", own=between(own.low, own.high), words=note.shop.words),
                indent=2,
            )
        if page.explain:
            page.say((f"{note.reason} " if note.reason else "") + source_line(note.sources), indent=2)


def _assumptions(page: Page, advice: Advice) -> None:
    if not advice.assumptions:
        return
    page.heading(tr("What was assumed where you do not know"))
    for note in advice.assumptions:
        page.say(f"{note.label}: {note.assumed}.", mark="- ")
        if note.sets_aside:
            page.say(tr("Set aside because of it: {ways}", ways="; ".join(note.sets_aside)), indent=2)
        if note.keeps:
            page.say(tr("Kept because of it: {dangers}", dangers="; ".join(note.keeps)), indent=2)
        page.say(tr("To find out: {find_out}", find_out=note.find_out), indent=2)


def _arguments(page: Page, advice: Advice) -> None:
    page.heading(tr("Why: the arguments for and against"))
    for decision in advice.decisions:
        page.gap()
        chosen = f"{decision.title}: {decision.chosen_title}"
        page.say(
            chosen if decision.settled else tr("{chosen} (answers are missing)", chosen=chosen),
            style="bold",
        )
        stops = advice.outcome in ("stop", "find_out")
        _options(page, decision, advice_stops=stops and decision is advice.decisions[0])


def _options(page: Page, decision: DecisionNote, advice_stops: bool) -> None:
    required = [a for a in decision.options[0].arguments if a.says == "require"]
    if required and not page.explain and not advice_stops:
        # What is chosen because nothing else makes sense on this route needs no long table.
        for argument in required:
            print_argument(page, argument)
        return
    for option in decision.options:
        support = between(option.support_low, option.support_high)
        page.say(
            tr(
                "{title} ({states}; support {support})",
                title=option.title,
                states=_STATES[option.state],
                support=support,
            ),
            indent=2,
        )
        shown = [a for a in option.arguments if a.says != "require" or option.state == "chosen"]
        for argument in shown if page.explain else _brief(option, shown):
            print_argument(page, argument)
        if option.state in ("ruled_out", "set_aside") and required and not any(a.says == "rule_out" for a in shown):
            page.say(tr("- out because '{chosen_title}' is required", chosen_title=decision.chosen_title), indent=4)
        if not shown and option.state not in ("ruled_out", "set_aside"):
            page.say(tr("- no argument speaks about it"), indent=4)
        if page.explain:
            for argument in option.silent:
                if argument.says != "require" or option.state == "chosen":
                    print_argument(page, argument)


def _brief(option: OptionNote, arguments: list[ArgumentNote]) -> list[ArgumentNote]:
    """For an option that is out, what rules it out; for the others everything that holds or is open."""
    if option.state in ("ruled_out", "set_aside"):
        outcome = [a for a in arguments if a.says == "rule_out"]
        return outcome or arguments
    return arguments
