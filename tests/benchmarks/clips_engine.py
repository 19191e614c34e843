"""The generated rules as rules of CLIPS, a long-established engine in C, reached through ``clipspy``.

Every rule asserts what it says; who sums it up does so outside. Only loading and running are measured, so the sum is
a gift to CLIPS.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import clips

from tests.benchmarks.generated import BASE_OF_FALLBACK, MASSES, OPTIONS, SHELVES, STRENGTHS, Check, Drawn, Rule

Outcome = tuple[str, dict[str, int], frozenset[str], frozenset[str]]
"""The chosen option, the support of each, the options ruled out, and the hazards attached."""


def write_clips(rules: Iterable[Rule], path: Path) -> None:
    """The rules as a text for CLIPS."""
    path.write_text("\n".join(_defrule(rule) for rule in rules) + "\n", encoding="utf-8")


def _defrule(rule: Rule) -> str:
    patterns = " ".join(_pattern(check, number) for number, check in enumerate(rule.checks))
    if rule.says == "hazard":
        action = f"(assert (hazard {rule.name}))"
    elif rule.says == "rule_out":
        action = f"(assert (ruled-out {rule.name} {rule.about}))"
    else:
        action = f"(assert (support {rule.name} {rule.about} {_weight(rule)}))"
    return f"(defrule {rule.name} {patterns} => {action})"


def _weight(rule: Rule) -> int:
    return STRENGTHS[rule.strength] * (1 if rule.says == "for" else -1)


def _pattern(check: Check, number: int) -> str:
    if check.wanted is None:
        return f"({check.fact} {'yes' if check.holds else 'no'})"
    if check.fact in MASSES:
        return f"({check.fact} ?m{number}&:({'>' if check.holds else '<='} ?m{number} {check.wanted}))"
    if check.fact in SHELVES:
        return f"({check.fact} {check.wanted} {'present' if check.holds else 'absent'})"
    return f"({check.fact} {'' if check.holds else '~'}{check.wanted})"


def clips_facts(drawn: Drawn) -> list[str]:
    """Drawn answers as facts of CLIPS."""
    return list(_facts(drawn))


def _facts(drawn: Drawn) -> Iterator[str]:
    for name, value in drawn.items():
        if isinstance(value, frozenset):
            for item in SHELVES[name]:
                yield f"({name} {item} {'present' if item in value else 'absent'})"
        elif isinstance(value, bool):
            yield f"({name} {'yes' if value else 'no'})"
        else:
            yield f"({name} {value})"


def loaded(path: Path, *, binary: bool = False) -> Any:
    """An environment with the rules of a file."""
    environment = clips.Environment()
    environment.load(str(path), binary=binary)
    return environment


def run(environment: Any, facts: list[str]) -> None:
    """Everything that follows from some facts."""
    environment.reset()
    for fact in facts:
        environment.assert_string(fact)
    environment.run()


def outcome(environment: Any) -> Outcome:
    """What a run came to, summed up."""
    support = {option: BASE_OF_FALLBACK if option == "fallback" else 0 for option in OPTIONS}
    ruled_out, hazards = set(), set()
    for fact in environment.facts():
        kind = fact.template.name
        if kind == "support":
            support[str(fact[1])] += fact[2]
        elif kind == "ruled-out":
            ruled_out.add(str(fact[1]))
        elif kind == "hazard":
            hazards.add(str(fact[0]))
    left = [option for option in OPTIONS if option not in ruled_out]
    chosen = min(left, key=lambda option: (-support[option], OPTIONS.index(option)))
    return chosen, support, frozenset(ruled_out), frozenset(hazards)
