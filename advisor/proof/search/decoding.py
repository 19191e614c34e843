"""From what the solver found back to answers that a person could have given."""

from __future__ import annotations

from advisor.engine import NOT_KNOWN, Answers, NotKnown, full_domains
from advisor.proof.space.answers import Space
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import Fact, Several, Value
from advisor.rulebase.values import domain_of_range
from advisor.units import Range


def answers_found(space: Space) -> Answers:
    """The answers that the solver found last; facts about which nothing is said are left out."""
    answers: dict[str, Value | NotKnown] = {}
    for fact in space.rule_base.facts.values():
        domain = [_cells_found(space, variable) for variable in fact.variables]
        full = [bits for _, bits in full_domains(space.rule_base, fact)]
        # What is worked out is free in the proof, so it is always said, however little.
        if not space.partial or domain != full or fact.computed:
            answers[fact.name] = answer_of(space, fact, domain)
    return answers


def _cells_found(space: Space, variable: int) -> int:
    return sum(1 << place for place, bit in enumerate(space.given[variable]) if space.logic.truth(bit))


def answer_of(space: Space, fact: Fact, domain: list[int]) -> Value | NotKnown:
    """An answer that leaves exactly these cells possible for the variables of a fact."""
    kind = fact.entry.kind
    if kind == "several":
        items = [space.rule_base.variables[variable].item for variable in fact.variables]
        present = {item for item, bits in zip(items, domain, strict=True) if bits == 2}
        unsure = {item for item, bits in zip(items, domain, strict=True) if bits == 3}
        return Several(frozenset(present), frozenset(unsure))
    if kind == "quantity":
        return range_of(fact, domain[0])
    if domain[0].bit_count() > 1:
        return NOT_KNOWN
    place = domain[0].bit_length() - 1
    if kind == "yes_no":
        return bool(place)
    return space.rule_base.variables[fact.variables[0]].domain[place]


def range_of(fact: Fact, domain: int) -> Range:
    """A short range of a quantity that lies in exactly these neighbouring cells."""
    places = [cell.bit_length() - 1 for cell in single_cells(domain)]
    low, high = _inside(fact, places[0]), _inside(fact, places[-1])
    found = Range(low, low, low) if len(places) == 1 else Range.between(low, high)
    assert domain_of_range(fact, found) == domain, f"no amount of {fact.name} lies in {domain:b}"
    return found


def _inside(fact: Fact, place: int) -> float:
    """An amount in one cell of a quantity, with few figures, as near as may be to what is usual."""
    if place % 2:
        return fact.breakpoints[place // 2]
    assert fact.unit is not None
    assert fact.when_unknown is not None
    low = fact.breakpoints[place // 2 - 1] if place else fact.least
    high = fact.breakpoints[place // 2] if place < 2 * len(fact.breakpoints) else fact.most
    usual = fact.when_unknown.likely
    if not low < usual < high:
        # A little inside the nearer end, so that shares do not add up to more than the whole.
        usual = low + (high - low) * (0.1 if usual <= low else 0.9)
    for figures in range(1, 12):
        amount = fact.unit.inside(float(f"{fact.unit.shown(usual):.{figures}g}"))
        if low < amount < high:
            return amount
    return usual
