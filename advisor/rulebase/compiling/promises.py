"""Compiles the promises of a rule base: invariants, orders of danger, and rules kept as a second net."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.rulebase.compiling.preparations import PreparationCompiler
from advisor.rulebase.language.conditions import AllOf, Condition, Tree, single_cells
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import NO_CONTROL, Fact, Hazard, Invariant, Worse
from advisor.rulebase.reading.layers import LocatedEntry
from advisor.rulebase.reading.promise_entries import KeptEntry
from advisor.rulebase.values import possible_domain
from advisor.words import tr

_KEPT_SECTIONS = (
    *(
        "facts",
        "thresholds",
        "preparations",
        "findings",
        "decisions",
        "arguments",
        "hazards",
        "controls",
        "steps",
        "amounts",
    ),
    *("preparations", "expectations", "referrals", "checks"),
)


class PromiseCompiler(PreparationCompiler):
    """Compiles the sections that a proof reads."""

    def _invariant(self, held: LocatedEntry, hazards: Mapping[str, Hazard]) -> Invariant:
        entry = held.entry
        self._not_about_shown_parts(held)
        for field, section in (
            ("hazards", "hazards"),
            ("without_hazards", "hazards"),
            ("steps", "steps"),
            ("without_steps", "steps"),
        ):
            for position, wanted in enumerate(getattr(entry, field)):
                self._known(held, section, wanted, (field, position))
        return Invariant(
            entry,
            self._promised_when(held),
            None if entry.then is None else self._condition(held, entry.then, ("then",)),
            tuple(self._promised_controls(held)),
            {
                name: self._at_work(hazards[name].condition)
                for name in (*entry.hazards, *entry.without_hazards)
                if name in hazards
            },
            self._sources(held, entry.source),
            held.origin,
            held.of_diagnosis,
        )

    def _promised_when(self, held: LocatedEntry) -> Condition:
        """When a promise is made: with what is done, and under its own condition."""
        entry, trees = held.entry, list[Tree]()
        if entry.acts:
            done = self._one_done(held, "acts", entry.acts, self._needing)
            if done is None:
                return self.binder.never()
            trees.append(self._at_work(Condition("", done, self.words)).tree)
        if entry.when is not None:
            trees.append(self._condition(held, entry.when).tree)
        return Condition(entry.when or "", trees[0] if len(trees) == 1 else AllOf(tuple(trees)), self.words)

    def _not_about_shown_parts(self, held: LocatedEntry) -> None:
        """In the diagnosis the steps are those of the correction, on the piece in hand."""
        for field in ("steps", "without_steps", "controls"):
            if held.of_diagnosis and getattr(held.entry, field):
                wrong = tr("an invariant of the diagnosis cannot promise this, since it depends on the piece in hand")
                self._refuse(held, (field,), wrong, tr("promise a condition with  then:"))

    def _overridden(self, section: str, name: str) -> bool:
        """Whether a higher layer has replaced or switched off an entry.

        A promise about it is then no fault of the file: the shop goes on working, and a proof names what is broken.
        """
        return any((one.section, one.id) == (section, name) for one in self.merged.overrides)

    def _known(self, held: LocatedEntry, section: str, wanted: str, path: tuple[str | int, ...]) -> bool:
        known = self.sections[section]
        if wanted in known or self._overridden(section, wanted):
            return True
        right = tr("name one of the {section}", section=section) + closest(wanted, list(known))
        self._refuse(held, path, tr("there is no '{name}' in {section}", name=wanted, section=section), right)
        return False

    def _promised_controls(self, held: LocatedEntry) -> list[tuple[str, int]]:
        found = []
        for position, promised in enumerate(held.entry.controls):
            path = ("controls", position)
            if not self._known(held, "hazards", promised.hazard, (*path, "hazard")):
                continue
            hazard = self.sections["hazards"].get(promised.hazard)
            controls = hazard.entry.controls if hazard is not None else ()
            places = [place for place, control in enumerate(controls) if promised.says in " ".join(control.do.split())]
            if len(places) != 1 and self._overridden("hazards", promised.hazard):
                places = [NO_CONTROL]
            if len(places) != 1:
                wrong = tr(
                    "'{words}' stands in {controls} controls of '{hazard}'",
                    words=promised.says,
                    controls=len(places),
                    hazard=promised.hazard,
                )
                right = tr("quote words that stand in exactly one of them")
                self._refuse(held, (*path, "says"), wrong, right)
                continue
            found.append((promised.hazard, places[0]))
        return found

    def _worse(self, _: str, held: LocatedEntry) -> Worse | None:
        entry = held.entry
        if held.of_diagnosis:
            wrong = tr("an order of danger belongs to the route consultation")
            self._refuse(held, (), wrong, tr("write it in a file without  consultation:"))
        fact = self.facts.get(entry.fact)
        if fact is None:
            right = tr("name a declared fact") + closest(entry.fact, list(self.facts))
            self._refuse(held, ("fact",), tr("there is no fact '{fact}'", fact=entry.fact), right)
            return None
        never = tuple(
            self._condition(held, text, ("never_adds", position)) for position, text in enumerate(entry.never_adds)
        )
        sources = self._sources(held, entry.source)
        return Worse(entry, self._orders(held, fact), never, sources, held.origin)

    def _orders(self, held: LocatedEntry, fact: Fact) -> tuple[tuple[int, tuple[int, ...]], ...]:
        entry = held.entry
        options = ("no", "yes") if fact.entry.kind == "yes_no" else tuple(fact.entry.options)
        named = entry.items if fact.entry.kind == "several" else entry.order
        unknown = [] if isinstance(named, str) else [item for item in named if item not in options]
        fits = isinstance(entry.order, str) == (fact.entry.kind in ("quantity", "several"))
        if unknown or not fits or (entry.items and fact.entry.kind != "several"):
            wrong = (
                tr("'{value}' is not a value of '{name}'", value=unknown[0], name=fact.name)
                if unknown
                else tr("this does not fit the fact")
            )
            right = tr(
                "list values of a choice; write  more  or  less  for a quantity or a list (with items if you like)"
            )
            self._refuse(held, ("order",), wrong, right)
            return ()
        if fact.entry.kind == "quantity":
            domain = tuple(single_cells(possible_domain(fact)))
            return ((fact.variables[0], domain if entry.order == "more" else domain[::-1]),)
        if fact.entry.kind == "several":
            meant = [v for v, item in zip(fact.variables, options, strict=True) if not named or item in named]
            return tuple((v, (1, 2) if entry.order == "more" else (2, 1)) for v in meant)
        return ((fact.variables[0], tuple(1 << options.index(value) for value in entry.order)),)

    def _kept(self, _: str, held: LocatedEntry) -> KeptEntry:
        for position, rule in enumerate(held.entry.rules):
            section, _, rest = rule.partition(".")
            known = self.sections.get("hazards" if section == "controls" else section, {})
            wanted = rest.split(".", 1)[0]
            if self._overridden("hazards" if section == "controls" else section, wanted):
                continue
            if section not in _KEPT_SECTIONS or wanted not in known:
                wrong, right = (
                    tr("there is no rule '{rule}'", rule=rule),
                    tr("write  section.id") + closest(wanted, list(known)),
                )
                self._refuse(held, ("rules", position), wrong, right)
        self._sources(held, held.entry.source)
        return held.entry  # type: ignore[no-any-return]
