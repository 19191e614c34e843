"""Whether every hazard, control, step, amount, expectation, referral, finding and check comes up for some answers."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from advisor.engine import Answers
from advisor.proof.search.prover import Prover
from advisor.proof.search.sweeping import Witnesses, sweep
from advisor.proof.space.logic import Bit
from advisor.proof.space.world import SECTIONS, World
from advisor.rulebase.language.formulas import Formula
from advisor.rulebase.model import Check, Hazard, RuleBase
from advisor.units import Range
from advisor.words import tr

_MOST_CORNERS = 20_000


def idle_parts(prover: Prover, witnesses: Witnesses) -> Iterator[tuple[str, str]]:
    """Parts of the advice that never come up, and hazards that never stay away."""
    world = prover.full
    pending = {
        f"{section}.{name}": world.shown(section, name)
        for section in SECTIONS
        for name in getattr(prover.rule_base, section)
    }
    pending.update(_controls(world))
    pending.update((f"findings.{n}", world.holds(f.condition)) for n, f in prover.rule_base.findings.items())
    idle = list(sweep(world, pending, witnesses))
    beside = {name: prover.beside.shown(*name.split(".", 1)) for name in idle if name.startswith("hazards.")}
    for name in sweep(prover.beside, beside, witnesses):
        yield name, tr("This hazard is never attached.")
    for name in idle:
        if name not in beside:
            yield name, tr("This never comes up.")
    absent = {
        f"hazards.{name}, absent": world.logic.opposite(world.shown("hazards", name))
        for name in prover.rule_base.hazards
    }
    for name in sweep(world, absent, witnesses):
        yield name.removesuffix(", absent"), tr("This hazard is always attached, so its condition says nothing.")


def control_name(hazard: Hazard, place: int) -> str:
    """How a control with a condition is named."""
    condition = hazard.controls[place].condition
    return f"controls.{hazard.entry.id}.{condition.text if condition else place}"


def _controls(world: World) -> Iterator[tuple[str, Bit]]:
    for hazard in world.rule_base.hazards.values():
        for place, control in enumerate(hazard.controls):
            if control.condition is not None:
                yield control_name(hazard, place), world.control_shown(hazard, control)


def idle_checks(prover: Prover, witnesses: Witnesses) -> Iterator[tuple[str, str]]:
    """Checks of silly input that no answers can ever trip, tried at the ends of the sensible values."""
    world = prover.full
    for name, check in prover.rule_base.checks.items():
        if check.condition is not None and not world.logic.possible(world.holds(check.condition)):
            yield f"checks.{name}", tr("Its condition never holds.")
            continue
        tripped = {} if check.formula is None else _tripping(prover.rule_base, check, check.formula)
        if tripped is None:
            yield f"checks.{name}", tr("No sensible amounts are beyond its limit.")
        else:
            witnesses[f"checks.{name}"] = tripped


def _tripping(rule_base: RuleBase, check: Check, formula: Formula) -> Answers | None:
    """Exact answers beyond the limit of a check; names that are no answers are taken as they stand."""
    fixed = {name: rule_base.thresholds[name].amount for name in formula.names if name in rule_base.thresholds}
    facts = [rule_base.facts[name] for name in sorted(formula.names) if name in rule_base.facts]
    if len(fixed) + len(facts) < len(formula.names) or 3 ** len(facts) > _MOST_CORNERS:
        return {}
    ends = [[f.most, f.least, f.when_unknown.likely if f.when_unknown else f.least] for f in facts]
    for values in product(*ends):
        known = {fact.name: Range.exact(value) for fact, value in zip(facts, values, strict=True)}
        try:
            if check.is_beyond(formula.value({**fixed, **known})):
                return known
        except ZeroDivisionError:
            continue
    return None
