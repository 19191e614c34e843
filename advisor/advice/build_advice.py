"""Builds the advice of one batch from its conclusions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.advice.checking import doubtful
from advisor.advice.documents.advice import (
    Advice,
    Assumption,
    ExpectationNote,
    LearnedNote,
    MaterialAmount,
    QuantityNote,
    ShopNote,
    Weight,
)
from advisor.advice.documents.common import Sitting
from advisor.advice.experience import SOURCE as EXPERIENCE_SOURCE
from advisor.advice.experience import Evidence, Experience, Learned, in_words, shifted
from advisor.advice.notes.arguments import only_if, source_notes
from advisor.advice.notes.changes import change_notes
from advisor.advice.notes.common import shared_parts, step_notes
from advisor.advice.notes.computed import computed_note
from advisor.advice.notes.decisions import decision_note, reason_paragraph
from advisor.advice.notes.phases import phase_notes
from advisor.advice.notes.preparations import kind_with, parting, way_without
from advisor.advice.notes.sittings import sittings
from advisor.advice.notes.spans import shown_figure, shown_range, span
from advisor.advice.plan.hours import hours_at_hand, hours_of, planned_steps
from advisor.advice.plan.narrowing import narrowers, trial_fact
from advisor.advice.plan.planned_batch import evidence_for, work_out
from advisor.advice.plan.side_by_side import side_by_side
from advisor.advice.plan.weighing import Weigher, parts_words, rule_words, weight_words, whole_pieces
from advisor.engine import Conclusions, NotKnown, needed_names
from advisor.metallurgy.common.document import Citer
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.language.conditions import FAILS, OPEN
from advisor.rulebase.language.results import METAL
from advisor.rulebase.model import Fact, WeighedAmount
from advisor.units import Range, Unit, format_measure
from advisor.words import one_of, tr

"""Ids of expectations that name the precious metal in the end begin so."""


def build_advice(
    conclusions: Conclusions,
    title: str | None = None,
    beside: tuple[str, ...] = (),
    experience: Experience | None = None,
    *,
    look_for_changes: bool = True,
) -> Advice:
    """The advice for these conclusions.

    Args:
        conclusions: What follows from the answers.
        title: What the batch is called.
        beside: Routes to lay beside the chosen one even if they are ruled out.
        experience: What the shop's own batches say; it moves expected beads, and the bismuth to begin with.
        look_for_changes: Whether to look for answers that would change the advice, which takes most of the time.

    Raises:
        InputError: If the answers add up to something impossible.
    """
    tables, citer = Tables(conclusions.rule_base), Citer(conclusions.rule_base.sources)
    worked = work_out(conclusions, tables, experience)
    weigher = worked.weigher
    # While something has to be found out first nothing is weighed and nothing is lit.
    planned = conclusions.kind != "find_out"
    decisions = tuple(decision_note(conclusions, outcome) for outcome in conclusions.outcomes.values())
    amounts = _amounts(weigher, citer) if planned else {}
    rules = planned_steps(weigher) if planned else []
    told: set[str] = set()

    def words(name: str) -> str:
        told.add(name)
        return _placeholder_words(weigher, name)

    def to_get(name: str) -> str:
        told.add(name)
        return _to_get_words(weigher, name)

    steps = step_notes(
        conclusions,
        rules,
        words=words,
        uses=lambda name: weigher[name].high > 0,
        heat=lambda name: weigher[name] if weigher[name].high > 0 else None,
    )
    timed = _is_timed(conclusions)
    at_hand = hours_at_hand(conclusions) if timed else None
    parted = sittings(weigher, rules, steps) if timed else ()
    also = parting(conclusions, parted)
    changes = change_notes(conclusions) if look_for_changes else ()
    expectations = _expectations(weigher, evidence_for(conclusions, experience)) if planned else ()
    shared = shared_parts(conclusions, title, conclusions, to_get, also)
    quantities = _quantities(weigher, told) if planned else {}
    route, collector = decisions[0], next((note for note in decisions if note.id == "collector"), None)
    costs = [(a.cost_low, a.cost_high) for a in amounts.values() if a.cost_low is not None and a.cost_high is not None]
    return Advice(
        **shared,
        route=route.chosen,
        route_title=route.chosen_title,
        collector=collector.chosen if collector else "none",
        collector_title=collector.chosen_title if collector else tr("none"),
        reason=reason_paragraph(conclusions, route, conclusions.kind),
        without=way_without(conclusions) if conclusions.kind == "first" else None,
        hours=span(hours_of(weigher, rules)) if timed else None,
        hours_at_hand=None if at_hand is None else span(at_hand),
        sittings=parted,
        provisional=tuple(_provisional(conclusions)) if amounts else (),
        decisions=decisions,
        quantities=quantities,
        amounts=amounts,
        trial=trial_fact(weigher) if planned else None,
        steps=steps,
        phases=phase_notes(conclusions.rule_base, shared["first"], steps, shared["hazards"]),
        expectations=expectations,
        assumptions=tuple(_assumptions(weigher)),
        changes=tuple(change for change in changes if change.hazard is None),
        hazard_changes=tuple(change for change in changes if change.hazard is not None),
        computed=computed_note(worked, tables, citer) if planned else None,
        side_by_side=side_by_side(worked, tables, beside) if planned else (),
        warnings=tuple(check.entry.say for check in doubtful(conclusions)),
        cost_low=sum(low for low, _ in costs) if costs else None,
        cost_high=sum(high for _, high in costs) if costs else None,
    )


def comes_first(conclusions: Conclusions) -> frozenset[str]:
    """What the advice has under FIRST, where to part the work among it; where it has nothing there, its outcome."""
    parted: tuple[Sitting, ...] = ()
    if _is_timed(conclusions):
        weigher = work_out(conclusions, Tables(conclusions.rule_base)).weigher
        parted = sittings(weigher, planned_steps(weigher), ())
    also = parting(conclusions, parted)
    kind = kind_with(conclusions, also)
    return frozenset(one.name for one in (*conclusions.preparations(), *also)) if kind == "first" else frozenset({kind})


def _is_timed(conclusions: Conclusions) -> bool:
    """Whether hours count: none do while nothing is planned, and without fire nothing is brought to its end at once."""
    fire = conclusions.truth(conclusions.rule_base.findings["hot_work"].condition) != FAILS
    return fire and conclusions.kind != "find_out"


def _provisional(conclusions: Conclusions) -> Iterable[str]:
    """Labels of the facts that weights hang on and that change under first."""
    needed = needed_names(conclusions)
    changed = dict.fromkeys(name for one in conclusions.preparations() for name in one.entry.changes)
    return (conclusions.rule_base.facts[name].label for name in changed if name in needed)


def _amounts(weigher: Weigher, citer: Citer) -> dict[str, MaterialAmount]:
    rule_base = weigher.conclusions.rule_base
    alone = Weigher(weigher.conclusions, computed=weigher.computed, figures=weigher.figures)
    amounts: dict[str, MaterialAmount] = {}
    narrower = narrowers(weigher)
    for name, material in rule_base.materials.items():
        whole = shown_range(weigher[name])
        if whole.high <= 0:
            continue
        rules, figure = weigher.rules_for(name), weigher.computed.get(name)
        by_rule = [rule for rule in rules if figure is None or rule.entry.beside_the_pot]
        learned = weigher.learned.get(name)
        cost = weigher.cost(material)
        amounts[name] = MaterialAmount(
            title=material.entry.title,
            low_g=whole.low,
            likely_g=whole.likely,
            high_g=whole.high,
            at_least=material.entry.at_least,
            to_get_g=shown_figure(weigher.to_get(material)),
            computed=None if figure is None else citer.note(figure),
            only_if=only_if(weigher.conclusions, rules[0].condition) if len(rules) == 1 else None,
            narrower=narrower.get(name),
            learned=None if learned is None else _learned_note(learned, alone[name]),
            care=material.entry.care,
            cost_low=cost.low if cost else None,
            cost_high=cost.high if cost else None,
            lines=tuple(_weight(weigher, rule) for rule in by_rule),
        )
    return amounts


def _learned_note(learned: Learned, by_rules: Range) -> LearnedNote:
    return LearnedNote(
        source=learned.source, why=learned.why, factor=span(learned.factor), by_rules_g=span(shown_range(by_rules))
    )


def _weight(weigher: Weigher, rule: WeighedAmount) -> Weight:
    amount = shown_range(weigher.by_rule(rule))
    learned = weigher.learned.get(rule.entry.material)
    how = rule_words(rule)
    if learned is not None:
        times = parts_words(learned.factor)
        how += " " + tr("Here {times} times the middle of that, from {batches}.", times=times, batches=learned.source)
    return Weight(
        rule=rule.entry.id,
        low_g=amount.low,
        likely_g=amount.likely,
        high_g=amount.high,
        how=how,
        only_if=only_if(weigher.conclusions, rule.condition),
        sources=source_notes(rule.sources),
    )


def _placeholder_words(weigher: Weigher, name: str) -> str:
    rule_base = weigher.conclusions.rule_base
    if name in rule_base.materials:
        return weight_words(shown_range(weigher[name]))
    if name in rule_base.thresholds:
        # A limit is shown to the last figure; rounded, it would be another limit.
        return format_measure(weigher[name], rule_base.thresholds[name].unit, 6)
    unit = rule_base.quantities[name].unit
    amount = weigher[name]
    if unit.symbol == "g":
        return weight_words(shown_range(weigher.to_the_scale(amount)))
    return format_measure(_countable(amount, unit), unit)


def _to_get_words(weigher: Weigher, name: str) -> str:
    """An amount as a preparation tells it; of what is used in pinches, or just suffices, no weight is asked for."""
    rule_base, amount = weigher.conclusions.rule_base, weigher[name]
    grams = name in rule_base.quantities and rule_base.quantities[name].unit.symbol == "g"
    nothing = (name in rule_base.materials or grams) and weigher.to_the_scale(amount).high <= 0
    return tr("a little") if nothing else _placeholder_words(weigher, name)


def _countable(amount: Range, unit: Unit) -> Range:
    """The amount, a number of pieces rounded up."""
    return whole_pieces(amount) if unit.symbol == "pieces" else amount


def _expectations(weigher: Weigher, evidence: Evidence) -> tuple[ExpectationNote, ...]:
    conclusions = weigher.conclusions
    notes = []
    for expectation in conclusions.rule_base.expectations.values():
        if conclusions.truth(expectation.condition) == FAILS:
            continue
        entry = expectation.entry
        mass = shop = None
        if expectation.formula is not None:
            expected = (weigher.formula(expectation.formula) * expectation.parts).most(Range.exact(0.0))
            mass = span(expected)
            if entry.counts_as in METAL and evidence.speaks:
                shop = _shop_note(expected, evidence, weigher["dry_mass"].high)
        notes.append(
            ExpectationNote(
                id=entry.id,
                title=entry.title,
                mass_g=mass,
                counts_as=entry.counts_as,
                shop=shop,
                looks=entry.looks,
                reason=entry.reason,
                only_if=only_if(conclusions, expectation.condition),
                sources=source_notes(expectation.sources),
            )
        )
    return tuple(notes)


def _shop_note(expected: Range, evidence: Evidence, most_g: float) -> ShopNote:
    """An expected mass as the shop's own batches have it; a bead never outweighs its batch."""
    own = shifted(expected, evidence, most=max(most_g, expected.high))
    return ShopNote(
        mass_g=span(own),
        batches=evidence.batches,
        words=in_words(evidence, moved=own != expected),
        source=EXPERIENCE_SOURCE,
    )


def _quantities(weigher: Weigher, told: set[str]) -> dict[str, QuantityNote]:
    """What a step or a preparation tells, and what a weight by rule of thumb is reckoned from."""
    rule_base = weigher.conclusions.rule_base
    reckoned = needed_names(weigher.conclusions) & weigher.known.keys()
    notes = {}
    for name in told | reckoned:
        if name in rule_base.quantities and (name in told or rule_base.quantities[name].entry.figure is None):
            quantity = rule_base.quantities[name]
            amount = _countable(weigher[name], quantity.unit)
            amount = weigher.to_the_scale(amount) if quantity.unit.symbol == "g" else amount
            if amount.high == 0 or quantity.unit.symbol == "C":
                continue  # The heats stand in the steps.
            figure = weigher.figure_of(quantity)
            got = figure.how if figure else one_of(weigher.formulas_used(quantity), ";")
            shown = shown_range(Range(*map(quantity.unit.shown, (amount.low, amount.likely, amount.high))))
            notes[name] = QuantityNote(
                title=quantity.entry.title,
                called=quantity.entry.called,
                unit=quantity.unit.symbol,
                low=shown.low,
                likely=shown.likely,
                high=shown.high,
                how=f"{got}. {quantity.entry.reason}",
                sources=source_notes(quantity.sources),
            )
    return {name: notes[name] for name in rule_base.quantities if name in notes}


def _assumptions(weigher: Weigher) -> Iterable[Assumption]:
    """What was assumed for each fact that is not known and still matters here."""
    conclusions = weigher.conclusions
    kept, set_aside = list(_kept_while_open(conclusions)), list(_set_aside_while_open(conclusions))
    for fact in conclusions.rule_base.facts.values():
        answer = conclusions.answers.get(fact.name)
        known = answer is not None and not isinstance(answer, NotKnown)
        if known and not any(conclusions.state[v] & (conclusions.state[v] - 1) for v in fact.variables):
            continue
        keeps, aside = _because_of(fact, kept), _because_of(fact, set_aside)
        used = fact.name in weigher.assumed
        if keeps or aside or used:
            yield Assumption(
                fact=fact.name,
                label=fact.label,
                assumed=_assumed_words(weigher, fact, used),
                keeps=keeps,
                sets_aside=aside,
                find_out=fact.entry.find_out,
            )


_WhileOpen = tuple[frozenset[int], str]
"""What is so while a condition is open, with the variables that can still settle it."""


def _because_of(fact: Fact, open_: Iterable[_WhileOpen]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(title for variables, title in open_ if not variables.isdisjoint(fact.variables)))


def _kept_while_open(conclusions: Conclusions) -> Iterator[_WhileOpen]:
    rule_base = conclusions.rule_base
    for hazard in rule_base.hazards.values():
        if variables := hazard.condition.open_variables(conclusions.state):
            yield variables, tr("hazard: {title}", title=hazard.entry.title)
    for amount in rule_base.amounts.values():
        if variables := amount.condition.open_variables(conclusions.state):
            yield variables, tr("weight: {title}", title=rule_base.materials[amount.entry.material].entry.title)


def _set_aside_while_open(conclusions: Conclusions) -> Iterator[_WhileOpen]:
    for outcome in conclusions.outcomes.values():
        decision, prepared = outcome.decision, outcome.tally.prepared
        for argument, options in zip(prepared.constraints, prepared.struck_options, strict=True):
            if variables := argument.condition.open_variables(conclusions.state):
                for option in options:
                    if outcome.tally.ruled_out(option) == OPEN:
                        yield variables, f"{decision.entry.title}: {decision.title_of(decision.options[option])}"


def _assumed_words(weigher: Weigher, fact: Fact, used: bool) -> str:
    if used and fact.unit is not None:
        return tr(
            "{amount} in the weights; every value it may have in the decisions",
            amount=format_measure(weigher[fact.name], fact.unit),
        )
    return tr("every value it may have; the cautious one decides")
