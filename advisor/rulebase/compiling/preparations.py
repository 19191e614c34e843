"""Compiles preparations: what a person can mend before anything is lit.

A condition tests one with ``first has NAME``; that stands for its own condition, as a finding does. In the diagnosis
it is that of the work which each correction is like, on the piece in hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import replace

from advisor.rulebase.compiling.acts import ActCompiler, Doing
from advisor.rulebase.compiling.inherited_constraints import Declared, LikeWork, chosen_among, like_work, seen_on_piece
from advisor.rulebase.language.alternatives import Way, any_of, ways_of
from advisor.rulebase.language.conditions import AllOf, AnyOf, Condition, Leaf, Named, Tree, joined, leaves
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import Argument, Decision, Preparation
from advisor.rulebase.reading.entries import ArgumentEntry
from advisor.rulebase.reading.expand_causes import REMEDY
from advisor.rulebase.reading.layers import LocatedEntry
from advisor.rulebase.reading.texts import placeholder_names
from advisor.units import Range
from advisor.words import tr

NOT_TONIGHT = "not_tonight"
"""The strength with which a preparation that takes longer than tonight speaks against what needs it."""


class PreparationCompiler(ActCompiler):
    """Compiles the section of preparations."""

    _corrections: tuple[Decision, dict[str, LikeWork]] | None

    def _preparation(self, name: str, held: LocatedEntry) -> Preparation:
        entry = held.entry
        lacking = self._condition(held, entry.lacking, ("lacking",))
        decided = {v.index: name for name, variables in self.decision_variables.items() for v in variables}
        tested = [decided[variable] for variable in lacking.variables if variable in decided]
        if tested:
            self._refuse(
                held,
                ("lacking",),
                tr("this tests '{decision}', a decision", decision=tested[0]),
                tr("test it under  wanted:"),
            )
        for field, named, known in (
            ("changes", entry.changes, self.facts),
            ("mends", entry.mends, {self.binder.variables[v].name: v for v in lacking.variables}),
            ("hazards", entry.hazards, self.sections["hazards"]),
        ):
            for one in named:
                if one not in known:
                    right = tr("name an existing one") + closest(one, list(known))
                    self._refuse(held, (field,), tr("there is no '{name}'", name=one), right)
        wanted = self._wanted(held)
        return Preparation(
            name,
            entry,
            lacking,
            wanted,
            _both(lacking, wanted),
            tuple(placeholder_names(entry.do)),
            self._range(held, entry.time, "time", "min") or Range.exact(0.0),
            self._sources(held, entry.source),
            held.origin,
        )

    def _wanted(self, held: LocatedEntry) -> Condition:
        """When the work needs it: with what is done, or by its own condition."""
        entry = held.entry
        trees = self._brought(held, self._needing)
        if entry.wanted is not None:
            trees.append(self._condition(held, entry.wanted, ("wanted",)).tree)
        own = [f"({text})" for text in (entry.provided, entry.wanted) if text is not None]
        tree = trees[0] if len(trees) == 1 else any_of(way for one in trees for way in ways_of(one))
        if tree is False:
            tree = self.binder.never().tree
        assert not isinstance(tree, bool)
        return Condition(" or ".join(own), tree, self.words)

    def _with_needs_of_each_other(self, preparations: Mapping[str, Preparation]) -> dict[str, Preparation]:
        """What a preparation does has needs too: collector metal that is tried beforehand wants its pot and mould."""
        own = self._needing
        for name, held in self.sections["preparations"].items():
            self._check_done(held)
            if name in preparations and not self.faults:
                self._needing = [*self._needing, *self._done_by(preparations[name])]
        found = dict(preparations)
        for name, preparation in preparations.items():
            if preparation.entry.comes_with and not self.faults:
                wanted = self._wanted(self.sections["preparations"][name])
                condition = _both(preparation.lacking, wanted)
                found[name] = replace(preparation, wanted=wanted, condition=condition)
        self._needing = own
        return found

    def _done_by(self, preparation: Preparation) -> list[Doing]:
        ways = ways_of(preparation.condition.tree)
        pairs = (text.split(" ") for text in preparation.entry.acts)
        return [one for act, material in pairs for one in self._expanded(Doing(act, material, True, ways))]

    def _with_acts(self, preparations: Mapping[str, Preparation]) -> dict[str, Preparation]:
        """What preparations do counts among what is done, for the hazards."""
        found = {}
        for name, preparation in preparations.items():
            doings = self._done_by(preparation)
            self._doings += doings
            self._needing += doings
            found[name] = replace(preparation, brings=self._brings(doings))
        return found

    def _not_tonight(self, preparations: Mapping[str, Preparation]) -> Iterator[Argument]:
        """For each preparation that takes longer than tonight, what it says against the options that need it."""
        for name, preparation in preparations.items():
            if not preparation.entry.tonight:
                yield from self._against(self.sections["preparations"][name], preparation)

    def _against(self, held: LocatedEntry, preparation: Preparation) -> Iterator[Argument]:
        if NOT_TONIGHT not in self.base.strengths:
            self._refuse(
                held,
                ("tonight",),
                tr("there is no strength '{strength}'", strength=NOT_TONIGHT),
                tr("name it under  base: strengths:"),
            )
            return
        number = 0
        for decision, wanted in self._by_decision(held, preparation).items():
            variable = self.decision_variables[decision][0]
            options: dict[Tree, list[str]] = {}
            for place, option in enumerate(variable.domain):
                tree = seen_on_piece(wanted, LikeWork({variable.index: 1 << place}, {}, {}))
                if tree is not False:
                    both = preparation.lacking.tree if tree is True else AllOf((preparation.lacking.tree, tree))
                    options.setdefault(both, []).append(option)
            for tree, named in options.items():
                number += 1
                yield self._argument_of(held, preparation, (decision, number, tree, named))

    def _by_decision(self, held: LocatedEntry, preparation: Preparation) -> dict[str, Tree]:
        """The work that needs it, parted by the last decision that each way of needing it tests."""
        wanted = preparation.wanted.tree
        ways = self._each_told_once(ways_of(wanted)) if held.entry.comes_with else [wanted]
        found: dict[str, list[Tree]] = {}
        for way in ways:
            if isinstance(way, bool):
                continue
            if not any(lack.and_also(one) for lack in ways_of(preparation.lacking.tree) for one in ways_of(way)):
                continue  # Where the work needs it, it is never lacking.
            tested = {leaf.variable for leaf in leaves(way)}
            decisions = [
                name
                for name, variables in self.decision_variables.items()
                if not self.sections["decisions"][name].of_diagnosis and variables[0].index in tested
            ]
            if decisions:
                found.setdefault(decisions[-1], []).append(way)
            elif not any(v.index in tested for variables in self.decision_variables.values() for v in variables):
                right = tr("say which work needs it, for example  hot_work")
                self._refuse(held, ("wanted",), tr("this tests no decision"), right)
        together = {name: joined(AnyOf, ways) for name, ways in found.items()}
        return {name: tree for name, tree in together.items() if not isinstance(tree, bool)}

    def _each_told_once(self, ways: Iterable[Way]) -> Iterator[Tree | bool]:
        """The ways in which work needs something, without the options of a decision that need it in any case."""
        whole = {leaf.variable: leaf for way in ways if (leaf := way.alone) is not None}
        decisions = {v[0].index: name for name, v in self.decision_variables.items()}
        for way in ways:
            told = way
            for variable, leaf in way.tests.items():
                if variable in decisions and variable in whole and way.alone is None:
                    told = told.replaced(self.binder.chosen(decisions[variable], leaf.inside & ~whole[variable].inside))
            if all(leaf.inside for leaf in told.tests.values()):
                yield told.tree

    def _argument_of(
        self, held: LocatedEntry, preparation: Preparation, what: tuple[str, int, Tree, list[str]]
    ) -> Argument:
        decision, number, tree, options = what
        entry = ArgumentEntry(
            id=f"{preparation.name.replace('_', '-')}-takes-longer-{number}",
            about=[f"{decision}.{option}" for option in options],
            says="against",
            strength=NOT_TONIGHT,
            when=preparation.entry.lacking,
            reason=f"{preparation.entry.title}: this takes longer than tonight.",
            lifted_by=preparation.entry.do,
            source=preparation.entry.source,
        )
        weight = -self.base.strengths[NOT_TONIGHT]
        condition = Condition(preparation.condition.text, tree, self.words)
        told = entry, preparation.sources, held.origin
        return Argument(entry.id, entry.says, decision, tuple(options), weight, condition, *told)

    def _check_placeholders(self, preparations: Mapping[str, Preparation]) -> None:
        """Texts show amounts that there are; known once all of these are compiled."""
        for name, preparation in preparations.items():
            for placeholder in preparation.placeholders:
                if placeholder not in self.placeholders:
                    right = tr("name a material, quantity or threshold") + closest(placeholder, list(self.placeholders))
                    held = self.sections["preparations"][name]
                    self._refuse(held, ("do",), tr("'{{{name}}}' is none of the amounts", name=placeholder), right)

    def _for_corrections(self, preparations: Mapping[str, Preparation], declared: Declared) -> dict[str, Preparation]:
        """In the diagnosis, the preparations of the work that each correction is like, on the piece in hand.

        What runs short of a whole batch, by a computed fact, says nothing of a piece and is not taken over.
        """
        remedy, like = declared.decisions.get(REMEDY), dict[str, LikeWork]()
        self._corrections = None if remedy is None else (remedy, like)
        if remedy is None:
            return dict(preparations)
        for option, entry in remedy.entry.options.items():
            try:
                work = like_work(declared, entry)
                chosen = {remedy.variable: 1 << remedy.options.index(option)}
                like[option] = replace(work, fixed={**work.fixed, **chosen})
            except (KeyError, ValueError):
                continue  # Said where the constraints are taken over.
        computed = {name for name, fact in declared.facts.items() if fact.entry.computed}
        reckoned = {variable.index for variable in declared.variables if variable.name in computed}
        return {
            name: replace(
                one,
                condition=Condition(
                    one.condition.text,
                    _of_corrections(one, remedy, {} if _tests(one.lacking.tree, reckoned) else like),
                    self.words,
                ),
            )
            for name, one in preparations.items()
        }

    def _at_work(self, condition: Condition) -> Condition:
        """A condition as it is for the work that is done: in the diagnosis for the correction chosen, on the piece."""
        if self._corrections is None:
            return condition
        remedy, like = self._corrections
        return Condition(condition.text, _chosen_where(condition.tree, remedy, like), self.words)


def _both(lacking: Condition, wanted: Condition) -> Condition:
    """When a preparation stands under FIRST."""
    text = f"({lacking.text})" + (f" and ({wanted.text})" if wanted.text else "")
    return Condition(text, AllOf((lacking.tree, wanted.tree)), lacking.table)


def _chosen_where(tree: Tree, remedy: Decision, like: Mapping[str, LikeWork]) -> Tree:
    """That a correction is chosen for which a condition holds."""
    alike: dict[Tree | bool, int] = {}
    for option, work in like.items():
        seen = any_of(ways_of(seen_on_piece(tree, work)))
        alike[seen] = alike.get(seen, 0) | 1 << remedy.options.index(option)
    found = joined(AnyOf, (joined(AllOf, [chosen_among(remedy, inside), seen]) for seen, inside in alike.items()))
    return chosen_among(remedy, 0) if isinstance(found, bool) else found


def _tests(tree: Tree, variables: Set[int]) -> bool:
    """Whether a condition itself, without the findings it names, tests one of these variables."""
    if isinstance(tree, Leaf):
        return tree.variable in variables
    return not isinstance(tree, Named) and any(_tests(part, variables) for part in tree.parts)


def _of_corrections(preparation: Preparation, remedy: Decision, like: Mapping[str, LikeWork]) -> Tree:
    """When a preparation is lacking for the correction chosen, as far as the work that it is like wants it.

    What is lacking is mostly the same for all of them; it is tested once, beside the corrections that want it.
    """
    alike: dict[Tree | bool, dict[Tree | bool, int]] = {}
    for option, work in like.items():
        wanting = alike.setdefault(seen_on_piece(preparation.lacking.tree, work), {})
        wanted = any_of(ways_of(seen_on_piece(preparation.wanted.tree, work)))
        wanting[wanted] = wanting.get(wanted, 0) | 1 << remedy.options.index(option)
    found = []
    for lacking, wanting in alike.items():
        chosen = (joined(AllOf, [chosen_among(remedy, inside), wanted]) for wanted, inside in wanting.items())
        found.append(joined(AllOf, [lacking, joined(AnyOf, chosen)]))
    tree = joined(AnyOf, found)
    return chosen_among(remedy, 0) if isinstance(tree, bool) else tree
