"""Compiles what speaks and warns: findings, arguments, decisions, hazards, steps, referrals."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from advisor.rulebase.compiling.acts import ActCompiler
from advisor.rulebase.compiling.facts import compile_implied
from advisor.rulebase.language.conditions import AnyOf, Condition
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import (
    Argument,
    Control,
    Decision,
    Fact,
    Finding,
    Hazard,
    LookRule,
    Referral,
    Step,
)
from advisor.rulebase.reading.layers import LocatedEntry
from advisor.rulebase.reading.texts import fill, placeholder_names
from advisor.words import tr


class RuleCompiler(ActCompiler):
    """Compiles the sections with conditions."""

    def _finding(self, name: str, held: LocatedEntry) -> Finding | None:
        clash = name in self.facts or name in self.decision_variables
        if clash:
            self._refuse(held, (), tr("a fact or decision has the same name"), tr("choose another name"))
            return None
        condition = self._condition(held, held.entry.when)
        finding = Finding(name, held.entry, condition, held.origin)
        self.binder.add_finding(finding)
        return finding

    def _with_implied(self, name: str, fact: Fact) -> Fact:
        held = self.sections["facts"][name]
        implied = compile_implied(
            fact,
            held,
            lambda text, path: self._condition(held, text, path),
            self.faults,
        )
        self._sources(held, fact.entry.source)
        entry = fact.entry
        return replace(
            fact,
            implied=implied,
            ask_if=self._condition(held, entry.ask_if, ("ask_if",)) if entry.ask_if else None,
            must_be_known=self._condition(held, entry.must_be_known, ("must_be_known",))
            if entry.must_be_known
            else None,
        )

    def _argument(self, _: str, held: LocatedEntry) -> Argument | None:
        entry = held.entry
        named = [entry.about] if isinstance(entry.about, str) else entry.about
        pairs = [tuple(text.split(".", 1)) if "." in text else (text, "") for text in named]
        decision = pairs[0][0]
        for position, (about, option) in enumerate(pairs):
            known = self.sections["decisions"].get(about)
            if known is None:
                self._refuse(
                    held,
                    ("about",),
                    tr("there is no decision '{name}'", name=about),
                    tr("write decision.option") + closest(about, self.sections["decisions"]),
                )
                return None
            if option not in known.entry.options:
                self._refuse(
                    held,
                    ("about",),
                    tr("'{name}' has no option '{option}'", name=about, option=option),
                    tr("options are {options}", options=", ".join(known.entry.options))
                    + closest(option, known.entry.options),
                )
                return None
            if position and about != decision:
                self._refuse(held, ("about",), tr("this speaks about two decisions"), tr("write one argument for each"))
                return None
            if entry.says == "rule_out" and option == known.entry.fallback:
                self._refuse(
                    held,
                    ("about",),
                    tr(
                        "'{option}' is the fallback of '{decision}' and cannot be ruled out",
                        option=option,
                        decision=about,
                    ),
                    tr("speak against it instead"),
                )
        if entry.says in ("require", "rule_out") and entry.kind is None and held.path[0] == "arguments":
            right = tr(
                "write  kind: danger, means or worth; a danger or missing means hold for other work that is like it"
            )
            self._refuse(held, (), tr("a constraint says of which kind it is, and this one does not"), right)
        condition = self._condition(held, entry.when)
        weight = 0
        if entry.strength is not None:
            if entry.strength not in self.base.strengths:
                self._refuse(
                    held,
                    ("strength",),
                    tr("there is no strength '{strength}'", strength=entry.strength),
                    tr("use one of {strengths}", strengths=", ".join(self.base.strengths)),
                )
                return None
            weight = self.base.strengths[entry.strength] * (1 if entry.says == "for" else -1)
        if entry.status == "retired":
            condition = self.binder.never()
        return Argument(
            entry.id,
            entry.says,
            decision,
            tuple(option for _, option in pairs),
            weight,
            condition,
            entry,
            self._sources(held, entry.source),
            held.origin,
        )

    def _decision(self, name: str, held: LocatedEntry, arguments: Iterable[Argument]) -> Decision:
        entry = held.entry
        if not entry.options:
            self._refuse(held, (), tr("it has no options"), tr("add some under  options:"))
        for field, options in (
            ("fallback", [entry.fallback] if entry.fallback else []),
            ("stops", entry.stops),
            ("only_when_settled", entry.only_when_settled),
            ("tie_order", entry.tie_order),
        ):
            for option in options:
                if option not in entry.options:
                    self._refuse(
                        held,
                        (field,),
                        tr("'{name}' has no option '{option}'", name=name, option=option),
                        tr("options are {options}", options=", ".join(entry.options)),
                    )
        mine = tuple(argument for argument in arguments if argument.decision == name)
        variables = tuple(variable.index for variable in self.decision_variables[name])
        return Decision(name, entry, variables, tuple(entry.options), mine, held.origin, held.of_diagnosis)

    def _hazard(self, _: str, held: LocatedEntry) -> Hazard:
        entry = held.entry
        sources = self._sources(held, entry.source)
        controls = []
        for position, control in enumerate(entry.controls):
            condition = None
            if control.when is not None:
                condition = self._condition(held, control.when, ("controls", position, "when"))
            own = sources
            if control.source:
                own = self._sources(held, control.source, ("controls", position, "source"))
            controls.append(Control(control, condition, own))
        return Hazard(entry, self._there_with(held), tuple(controls), sources, held.origin)

    def _there_with(self, held: LocatedEntry) -> Condition:
        """When a hazard is there: with what is done, or by its own condition."""
        entry = held.entry
        trees = self._brought(held, self._doings)
        if entry.when is not None:
            trees.append(self._condition(held, entry.when).tree)
        if not trees:
            return self.binder.never()
        own = [f"({text})" for text in (entry.provided, entry.when) if text is not None]
        return Condition(" or ".join(own), trees[0] if len(trees) == 1 else AnyOf(tuple(trees)), self.words)

    def _step(self, name: str, held: LocatedEntry) -> Step:
        entry = held.entry
        if entry.stage not in self.base.stages:
            self._refuse(
                held,
                ("stage",),
                tr("there is no stage '{stage}'", stage=entry.stage),
                tr("use one of {stages}", stages=", ".join(self.base.stages)),
            )
        for field, wanted, known in (
            ("uses", entry.uses, self.materials),
            ("needs", entry.needs, self.facts),
            ("more_time", [entry.more_time] if entry.more_time else [], self.sections["quantities"]),
            ("hazards", entry.hazards, self.sections["hazards"]),
        ):
            for one in wanted:
                if one not in known:
                    self._refuse(
                        held,
                        (field,),
                        tr("there is no '{name}'", name=one),
                        tr("name an existing one") + closest(one, list(known)),
                    )
        for field in ("do", "brief", "look_for"):
            text = getattr(entry, field) or ""
            if any(brace in fill(text, lambda _: "") for brace in "{}"):
                self._refuse(
                    held,
                    (field,),
                    tr("a brace stands here that does not close around a name"),
                    tr("write  {soda_ash}  with the name of a material, quantity or threshold"),
                )
            for placeholder in placeholder_names(text):
                if placeholder not in self.placeholders:
                    self._refuse(
                        held,
                        (field,),
                        tr("'{{{name}}}' is not a material, quantity or threshold", name=placeholder),
                        tr("name an existing one") + closest(placeholder, list(self.placeholders)),
                    )
        self._check_handled(held)
        told = entry.temperature
        heat = told if isinstance(told, str) and told in self.sections["quantities"] else None
        shown = placeholder_names(f"{entry.do} {entry.brief or ''} {entry.look_for or ''}")
        return Step(
            entry,
            self._condition(held, entry.when),
            (*shown, heat) if heat else tuple(shown),
            heat,
            None if heat else self._range(held, told, "temperature", "C"),
            self._range(held, entry.time, "time", "min"),
            self._sources(held, entry.source),
            held.origin,
            self._brings(self._of_steps.get(name, ())),
        )

    def _look(self, name: str, held: LocatedEntry) -> LookRule:
        for place, fact in enumerate(held.entry.tells):
            if fact not in self.facts:
                right = tr("name an existing fact") + closest(fact, list(self.facts))
                self._refuse(held, ("tells", place), tr("there is no fact '{fact}'", fact=fact), right)
        return LookRule(name, held.entry, self._sources(held, held.entry.source), held.origin)

    def _referral(self, _: str, held: LocatedEntry) -> Referral:
        return Referral(
            held.entry,
            self._condition(held, held.entry.when),
            self._sources(held, held.entry.source),
            held.origin,
        )
