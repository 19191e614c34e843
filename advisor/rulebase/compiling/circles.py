"""Finds what would need itself: formulas that use each other in a circle, and facts that follow from each other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from advisor.errors import Fault
from advisor.rulebase.model import Fact, Variable
from advisor.rulebase.reading.layers import LocatedEntry
from advisor.words import tr

_LINK = 8
"""How much deeper each link of a chain of formulas goes than the formula itself."""


def depths_of(needs: Mapping[str, Iterable[str]], steps: Mapping[str, int]) -> dict[str, int | None]:
    """How deep the computation of each name goes; None for a name that needs itself.

    Args:
        needs: The names that each name is computed from.
        steps: How deep the formulas of each name nest.
    """
    depths: dict[str, int | None] = {}
    on_circle = circles(needs)
    for start in needs:
        waiting = [start]
        while waiting:
            name = waiting[-1]
            after = [other for other in needs.get(name, ()) if other in needs and other not in on_circle]
            missing = [other for other in after if other not in depths]
            if name in on_circle or name in depths or not missing:
                waiting.pop()
                below = (depths.get(other) or 0 for other in after)
                depths[name] = None if name in on_circle else steps.get(name, 0) + _LINK + max(below, default=0)
            else:
                waiting += missing
    return depths


def circles(needs: Mapping[str, Iterable[str]]) -> set[str]:
    """The names that need themselves, directly or by others: those left in a group that can reach all of itself."""
    number: dict[str, int] = {}
    lowest: dict[str, int] = {}
    held: list[str] = []
    inside: set[str] = set()
    found: set[str] = set()
    for start in needs:
        if start in number:
            continue
        waiting = [(start, iter(needs[start]))]
        number[start] = lowest[start] = len(number)
        held.append(start)
        inside.add(start)
        while waiting:
            name, rest = waiting[-1]
            other = next((one for one in rest if one in needs and (one not in number or one in inside)), None)
            if other is None:
                waiting.pop()
                if waiting:
                    before = waiting[-1][0]
                    lowest[before] = min(lowest[before], lowest[name])
                if lowest[name] == number[name]:
                    group: list[str] = []
                    while not group or group[-1] != name:
                        group.append(held.pop())
                        inside.discard(group[-1])
                    if len(group) > 1 or name in needs[name]:
                        found.update(group)
            elif other in number:
                lowest[name] = min(lowest[name], number[other])
            else:
                number[other] = lowest[other] = len(number)
                held.append(other)
                inside.add(other)
                waiting.append((other, iter(needs[other])))
    return found


def check_circles_of_facts(
    facts: Mapping[str, Fact], variables: Sequence[Variable], held: Mapping[str, LocatedEntry], faults: list[Fault]
) -> None:
    """No value of a fact may follow from itself by way of other facts."""
    needs = {
        name: {variables[index].name for implied in fact.implied for index in implied.condition.variables}
        for name, fact in facts.items()
    }
    direct = {name for name in needs if name in needs[name]}  # Remark already where its condition is compiled.
    for name in sorted(circles(needs) - direct):
        wrong = tr("its value follows from facts whose values follow from it")
        faults.append(held[name].fault(("implied",), wrong, tr("let only one of them follow")))
