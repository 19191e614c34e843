"""From entries to the compiled rule base: names resolved, conditions compiled, everything cross-checked.

Every fault is collected with file and line, so that one run of the check shows them all.
"""

from __future__ import annotations

import contextlib
from collections.abc import Mapping

from advisor.errors import FaultyFile
from advisor.frozen import frozen
from advisor.rulebase.compiling.amounts import AmountCompiler, ComputedCompiler
from advisor.rulebase.compiling.binding import Binder
from advisor.rulebase.compiling.causes import CauseCompiler
from advisor.rulebase.compiling.circles import check_circles_of_facts, depths_of
from advisor.rulebase.compiling.context import GRAMS
from advisor.rulebase.compiling.facts import breakpoints_of, compile_facts
from advisor.rulebase.compiling.inherited_constraints import with_inherited
from advisor.rulebase.compiling.limits import MOST_FORMULA_STEPS, check_entries, check_limits, check_work, formula_steps
from advisor.rulebase.compiling.preparations import PreparationCompiler
from advisor.rulebase.compiling.promises import PromiseCompiler
from advisor.rulebase.compiling.rules import RuleCompiler
from advisor.rulebase.compiling.tables import TableCompiler
from advisor.rulebase.drawings import Drawing
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import (
    Correction,
    Decision,
    Fact,
    Piece,
    Quantity,
    RuleBase,
    Variable,
)
from advisor.rulebase.reading.entries import OpeningEntry, PhaseEntry
from advisor.rulebase.reading.expand_causes import spread_causes
from advisor.rulebase.reading.layers import Merged
from advisor.units import Dimension, unit_named
from advisor.units.measures import MeasureError
from advisor.words import tr


def compile_rule_base(merged: Merged, fingerprint: str = "") -> RuleBase:
    """Compile merged entries.

    Raises:
        FaultyFile: With every fault found in the entries.
    """
    faults = list(merged.faults)
    if merged.base is None or faults:
        raise FaultyFile(faults)
    spread_causes(merged, faults)
    check_entries(merged, faults)
    compiler = _Compiler(merged, faults)
    rule_base = compiler.run(fingerprint)
    if faults:
        raise FaultyFile(faults)
    return rule_base


@frozen
class _Declared:
    """What is compiled already when preparations are seen on a piece."""

    decisions: Mapping[str, Decision]
    facts: Mapping[str, Fact]
    pieces: Mapping[str, Piece]
    variables: tuple[Variable, ...]


class _Compiler(
    RuleCompiler, AmountCompiler, TableCompiler, CauseCompiler, PromiseCompiler, PreparationCompiler, ComputedCompiler
):
    """Compiles one rule base and checks what needs all of it."""

    def run(self, fingerprint: str) -> RuleBase:
        self._check_names()
        self._check_needs()
        self.thresholds = dict(self._each("thresholds", self._threshold))
        written = self._parse_conditions()
        limits = {
            name: (threshold.amount.likely, threshold.unit.dimension) for name, threshold in self.thresholds.items()
        }
        breakpoints = breakpoints_of(written.values(), limits)
        check_limits(self.sections["facts"], breakpoints, self.faults)
        groups = {**self.base.groups, **self.merged.groups}
        self.facts, variables = compile_facts(self.sections["facts"], breakpoints, groups, self.faults)
        self.decision_variables = {}
        for name, held in self.sections["decisions"].items():
            options = tuple(held.entry.options)
            domain = [(option, ("absent", "present")) for option in options] if held.entry.several else [("", options)]
            first = len(variables)
            variables += [Variable(first + n, name, item, words) for n, (item, words) in enumerate(domain)]
            self.decision_variables[name] = tuple(variables[first:])
        decision_entries = {name: held.entry for name, held in self.sections["decisions"].items()}
        self.binder = Binder(self.facts, variables, decision_entries, self.decision_variables, limits, self.words)
        self.written = written
        findings = dict(self._each("findings", self._finding))
        self.facts = {name: self._with_implied(name, fact) for name, fact in self.facts.items()}
        self.materials = dict(self._each("materials", self._material))
        self.dimensions: dict[str, Dimension] = {
            **{name: fact.unit.dimension for name, fact in self.facts.items() if fact.unit},
            **{name: threshold.unit.dimension for name, threshold in self.thresholds.items()},
        }
        self.facts = self._with_computed()
        self._read_acts()
        preparations = dict(self._each("preparations", self._preparation))
        arguments = dict(self._each("arguments", self._argument))
        arguments |= {argument.id: argument for argument in self._not_tonight(preparations)}
        preparations = self._with_needs_of_each_other(preparations)
        decisions = dict(self._each("decisions", lambda n, h: self._decision(n, h, arguments.values())))
        pieces = dict(self._each("pieces", self._piece))
        declared = _Declared(decisions, self.facts, pieces, tuple(variables))
        preparations = self._for_corrections(preparations, declared)
        preparations = self._with_acts(preparations)
        self.binder.preparations = preparations
        # Quantities may use each other in any order, so their units are known before their formulas are read.
        for name, held in self.sections["quantities"].items():
            with contextlib.suppress(MeasureError):
                self.dimensions[name] = unit_named(held.entry.unit).dimension
        quantities: dict[str, Quantity] = dict(self._each("quantities", self._quantity))
        amounts = dict(self._each("amounts", self._amount))
        corrections: dict[str, Correction] = dict(self._each("corrections", self._correction))
        figures = self._figures(corrections)
        self.placeholders = {*quantities, *self.thresholds, *self.materials, *figures}
        fact_dimensions = dict(self.dimensions)
        self.dimensions.update(dict.fromkeys(self.materials, GRAMS.dimension))
        self._check_placeholders(preparations)
        hazards = dict(self._each("hazards", self._hazard))
        result = RuleBase(
            entry=self.base.model_copy(update={"groups": groups, "phases": self._phases()}),
            words=self.words,
            sources={name: held.entry for name, held in self.sections["sources"].items()},
            variables=tuple(variables),
            facts=self.facts,
            thresholds=self.thresholds,
            findings=findings,
            decisions=decisions,
            arguments=arguments,
            hazards=hazards,
            steps=dict(self._each("steps", self._step)),
            materials=self.materials,
            quantities=quantities,
            amounts=amounts,
            expectations=dict(self._each("expectations", self._expectation)),
            referrals=dict(self._each("referrals", self._referral)),
            checks=dict(self._each("checks", lambda _, held: self._check(held, fact_dimensions))),
            preparations=preparations,
            looks=dict(self._each("looks", self._look)),
            acts={name: held.entry for name, held in self.sections["acts"].items()},
            kinds={name: held.entry for name, held in self.sections["kinds"].items()},
            minerals=dict(self._each("minerals", self._mineral)),
            tables=dict(self._each("tables", self._table)),
            pieces=pieces,
            causes=dict(self._each("causes", self._cause)),
            corrections=corrections,
            figures=figures,
            drawings={name: Drawing(name, held.entry) for name, held in self.sections["drawings"].items()},
            invariants=dict(self._each("invariants", lambda _, held: self._invariant(held, hazards))),
            worse=dict(self._each("worse", self._worse)),
            kept=dict(self._each("kept", self._kept)),
            fingerprint=fingerprint,
            layers=tuple(self.merged.layers),
            overrides=tuple(self.merged.overrides),
        )
        for name, decision in decisions.items():
            decisions[name] = with_inherited(result, decision, self.faults)
        self._compiled = result
        self._check_opening()
        self._check_pictures()
        self._check_order_of_decisions(result)
        self._check_circles(result)
        check_circles_of_facts(result.facts, result.variables, self.sections["facts"], self.faults)
        check_work(result, (argument.condition for d in decisions.values() for argument in d.arguments), self.faults)
        return result

    def _phases(self) -> dict[str, PhaseEntry]:
        """The phases; every stage of the work belongs to one, and only to one."""
        held = self.merged.base
        phases: dict[str, PhaseEntry] = self.base.phases
        if held is None or not phases:
            return {stage: PhaseEntry(title=title, stages=[stage]) for stage, title in self.base.stages.items()}
        of_stage = [stage for phase in phases.values() for stage in phase.stages]
        for name, phase in phases.items():
            for field, wanted, known in (
                ("stages", phase.stages, self.base.stages),
                ("hazards", phase.hazards, self.sections["hazards"]),
            ):
                for one in wanted:
                    if one not in known:
                        right = tr("name an existing one") + closest(one, list(known))
                        self._refuse(held, ("phases", name, field), tr("there is no '{name}'", name=one), right)
        for stage in self.base.stages:
            if of_stage.count(stage) != 1:
                self._refuse(
                    held,
                    ("phases",),
                    tr("the stage '{stage}' stands in {phases} phases", stage=stage, phases=of_stage.count(stage)),
                    tr("put it into one, so that each step of a plan has its place"),
                )
        return phases

    def _check_opening(self) -> None:
        """The sources of what is said before the first question must be known."""
        opening: OpeningEntry | None = self.base.opening
        if opening is not None and self.merged.base is not None:
            self._sources(self.merged.base, opening.source, ("opening", "source"))

    def _check_names(self) -> None:
        """One name must not mean two things in a condition or in a formula."""
        words = {
            "facts": tr("a fact has the same name"),
            "thresholds": tr("a threshold has the same name"),
            "quantities": tr("a quantity has the same name"),
            "materials": tr("a material has the same name"),
        }
        for section, others in (
            ("decisions", ("facts",)),
            ("thresholds", ("facts",)),
            ("materials", ("facts", "thresholds", "quantities")),
        ):
            for name, held in self.sections[section].items():
                for other in others:
                    if name in self.sections[other]:
                        self._refuse(held, (), words[other], tr("choose another name"))

    def _check_needs(self) -> None:
        """What the program reads by name must be there; an option is asked for where its fact or decision stands."""
        for section, needed, by in self.merged.needs:
            name, _, option = needed.partition(".")
            held = self.sections[section].get(name)
            if held is None:
                wrong = tr("the program reads {name} of the {section}, and it is not there", name=name, section=section)
                self._refuse(by, (), wrong, tr("put it back under  {section}:", section=section))
            elif option and option not in held.entry.options:
                wrong = tr("the program reads the option '{option}', and it is not there", option=option)
                self._refuse(held, ("options",), wrong, tr("put it back"))

    def _check_pictures(self) -> None:
        """Every picture that an answer names must be drawn."""
        drawn = self.sections["drawings"]
        for held in self.sections["facts"].values():
            for option, entry in held.entry.options.items():
                if entry.picture is not None and entry.picture not in drawn:
                    right = tr("name a drawing") + closest(entry.picture, list(drawn))
                    path = ("options", option, "picture")
                    self._refuse(held, path, tr("there is no '{name}'", name=entry.picture), right)

    def _check_order_of_decisions(self, rule_base: RuleBase) -> None:
        """A decision may only be tested by rules that are evaluated after it."""
        index = {
            variable: position
            for position, decision in enumerate(rule_base.decisions.values())
            for variable in decision.variables
        }
        for position, decision in enumerate(rule_base.decisions.values()):
            for argument in decision.arguments:
                later = [v for v in argument.condition.variables if index.get(v, -1) >= position]
                held = self.sections["arguments"].get(argument.id)
                if later and held is not None:
                    name = rule_base.variables[later[0]].name
                    self._refuse(
                        held,
                        ("when",),
                        tr("this tests '{name}', which is decided later", name=name),
                        tr("test only facts and decisions before '{name}'", name=decision.name),
                    )
        for fact in rule_base.facts.values():
            for implied in fact.implied:
                if implied.condition.variables & set(index):
                    held = self.sections["facts"][fact.name]
                    self._refuse(held, ("implied",), tr("this tests a decision"), tr("test only facts"))

    def _check_circles(self, rule_base: RuleBase) -> None:
        """No quantity or amount may need itself."""
        needs: dict[str, set[str]] = {name: set() for name in (*rule_base.quantities, *rule_base.materials)}
        for name, quantity in rule_base.quantities.items():
            needs[name] = {used for case in quantity.cases for used in case.formula.names}
        for amount in rule_base.amounts.values():
            needs.setdefault(amount.entry.material, set()).update(amount.of.names)
        steps = {
            name: max((formula_steps(case.formula) for case in quantity.cases), default=0)
            for name, quantity in rule_base.quantities.items()
        }
        for amount in rule_base.amounts.values():
            steps[amount.entry.material] = max(steps.get(amount.entry.material, 0), formula_steps(amount.of))
        depths = depths_of(needs, steps)
        for name, depth in depths.items():
            section = "quantities" if name in rule_base.quantities else "materials"
            if section == "materials" and name not in rule_base.materials:
                continue
            held = self.sections[section][name]
            if depth is None:
                wrong, right = tr("its amount is computed from itself"), tr("break the circle of formulas")
            elif depth > MOST_FORMULA_STEPS:
                wrong, right = tr("the formulas behind it build on each other too often"), tr("write it more directly")
            else:
                continue
            self._refuse(held, (), wrong, right)
