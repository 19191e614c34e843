"""Joins what is done to what it brings: acts of steps, amounts and preparations to hazards and preparations.

A step says what is done in it, such as ``melt litharge``; a hazard says with which acts it comes. The condition of the
hazard is then that one of these acts may be done. No hazard can be forgotten where such an act stands in a plan, and
none has to be named there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet

from advisor.frozen import frozen
from advisor.rulebase.compiling.binding import FIRST
from advisor.rulebase.compiling.context import Context
from advisor.rulebase.language.alternatives import Way, any_of, ways_of
from advisor.rulebase.language.conditions import AllOf, Condition, Named, Tree, joined, negation
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.language.grammar import GrammarError
from advisor.rulebase.language.words import Said
from advisor.rulebase.reading.layers import LocatedEntry
from advisor.rulebase.reading.texts import placeholder_names
from advisor.rulebase.reading.yaml_reader import Path_
from advisor.words import tr

WEIGH = "weigh"
"""The act that every amount does with its material."""


@frozen
class Doing:
    """One act on one material, thing or kind, and when it is done.

    Attributes:
        given: When it is done in the step, preparation or amount; true where it always is.
        ways: The ways in which it comes to be done, with those in which the step is taken.
    """

    act: str
    material: str
    given: Tree | bool
    ways: tuple[Way, ...]


class ActCompiler(Context):
    """Compiles acts and kinds, and what comes with them."""

    _doings: list[Doing]
    _needing: list[Doing]
    _of_steps: dict[str, list[Doing]]
    _figure_materials: dict[str, str]
    _known_bringers: dict[tuple[str, str], list[str]]

    def _read_acts(self) -> None:
        """What every step and amount does; before preparations, which follow from it.

        A correction has the hazards of the work that it is like, so the steps of the route count in the diagnosis too,
        all but what they do with a thing that is no longer there. What has to be at hand goes by its own steps alone.
        """
        self._check_kinds()
        self._check_figures()
        self._doings, self._needing, self._of_steps, self._known_bringers = [], [], {}, {}
        weighed: list[Doing] = []
        diagnosis = any(held.of_diagnosis for held in self.sections["decisions"].values())
        for section in ("amounts", "steps"):
            for name, held in self.sections[section].items():
                found = list(self._done_in(section, held))
                if diagnosis and not held.of_diagnosis:
                    found = [one for one in found if not self._is_gone(one.material)]
                weighed += [one for one in found if one.act == WEIGH]
                if section == "steps":
                    self._of_steps[name] = found
                else:
                    self._doings += found
        charge = self._charge(weighed)
        for name, found in self._of_steps.items():
            self._of_steps[name] = [more for one in found for more in self._with_charge(one, charge)]
            self._doings += self._of_steps[name]
            if not diagnosis or self.sections["steps"][name].of_diagnosis:
                self._needing += self._of_steps[name]

    def _is_gone(self, material: str) -> bool:
        kind = self.sections["kinds"].get(material)
        return kind is not None and kind.entry.gone_with_the_batch

    def _check_kinds(self) -> None:
        acts, kinds = self.sections["acts"], self.sections["kinds"]
        for name, held in acts.items():
            self._check_named(held, ("of",), held.entry.of, {other: None for other in acts if other != name})
        things = {**self.sections["materials"], **kinds}
        for name, held in kinds.items():
            if name in self.sections["materials"]:
                self._refuse(held, (), tr("a material has the same name"), tr("choose another name"))
            for field in ("of", "stands_for"):
                self._check_named(held, (field,), getattr(held.entry, field), things)

    def _check_named(
        self, held: LocatedEntry, path: tuple[str, ...], named: Iterable[str], known: Mapping[str, object]
    ) -> None:
        for one in named:
            if one not in known:
                self._refuse(
                    held,
                    path,
                    tr("there is no '{name}'", name=one),
                    tr("name an existing one") + closest(one, list(known)),
                )

    def _done_in(self, section: str, held: LocatedEntry) -> Iterator[Doing]:
        """What one step or amount does, each kind beside what it stands for."""
        ways = ways_of(self._early(held))
        written = [f"{WEIGH} {held.entry.material}"] if section == "amounts" else self._check_done(held)
        for text in written:
            act, material = text.split(" ")
            yield from self._expanded(Doing(act, material, True, ways))

    def _check_done(self, held: LocatedEntry) -> list[str]:
        """The acts of a step or a preparation that are in order; the others are told as faults."""
        return [text for place, text in enumerate(held.entry.acts) if self._is_done(held, place, *text.split(" "))]

    def _early(self, held: LocatedEntry) -> Tree | bool:
        """The condition of a step or an amount; a fault in it is told where the entry itself is compiled."""
        try:
            return self.binder.condition(held.entry.when, self.written[held.entry.when]).tree
        except GrammarError as problem:
            if getattr(held.entry, "acts", ()) and FIRST in held.entry.when.split():
                self._refuse(
                    held, ("when",), problem.wrong, tr("a step with acts cannot hang on what stands under FIRST")
                )
        except KeyError:
            pass
        return False

    def _is_done(self, held: LocatedEntry, place: int, act: str, material: str) -> bool:
        """Whether a step may say so: one act, on something that can be in hand."""
        acts, kinds, materials = (self.sections[section] for section in ("acts", "kinds", "materials"))
        path = ("acts", place)
        if act not in acts:
            self._refuse(
                held,
                path,
                tr("there is no act '{act}'", act=act),
                tr("acts are {acts}", acts=", ".join(acts)) + closest(act, acts),
            )
        elif acts[act].entry.of:
            self._refuse(
                held,
                path,
                tr("'{act}' gathers several acts", act=act),
                tr("say which: {names}", names=", ".join(acts[act].entry.of)),
            )
        elif material not in kinds and material not in materials:
            known = [*materials, *kinds]
            wrong = tr("there is no material or thing '{material}'", material=material)
            self._refuse(held, path, wrong, tr("name one") + closest(material, known))
        elif material in kinds and kinds[material].entry.of:
            right = tr("say which: {names}", names=", ".join(kinds[material].entry.of))
            self._refuse(held, path, tr("'{material}' gathers several materials", material=material), right)
        else:
            return True
        return False

    def _expanded(self, doing: Doing) -> Iterator[Doing]:
        yield doing
        kind = self.sections["kinds"].get(doing.material)
        if kind is None:
            return
        for name, text in kind.entry.stands_for.items():
            condition = self._condition(kind, text, ("stands_for", name))
            yield from self._expanded(_only_if(doing, name, condition.tree))

    def _charge(self, weighed: Sequence[Doing]) -> dict[str, Tree | bool]:
        """Each material that is weighed out, and when."""
        found: dict[str, list[Way]] = {}
        for one in weighed:
            if one.material in self.sections["materials"]:
                found.setdefault(one.material, []).extend(one.ways)
        return {material: any_of(ways) for material, ways in found.items()}

    def _with_charge(self, doing: Doing, charge: Mapping[str, Tree | bool]) -> Iterator[Doing]:
        yield doing
        kind = self.sections["kinds"].get(doing.material)
        if kind and kind.entry.weighed:
            for material, tree in charge.items():
                yield _only_if(doing, material, tree)

    def _covers(self, section: str, pattern: str, seen: AbstractSet[str] = frozenset()) -> set[str]:
        """An act or kind together with all that it gathers."""
        held = self.sections[section].get(pattern)
        inner = held.entry.of if held and pattern not in seen else ()
        return {pattern}.union(*(self._covers(section, one, seen | {pattern}) for one in inner))

    def _matching(self, bringing: str, doings: Iterable[Doing]) -> Iterator[Doing]:
        act, _, material = bringing.partition(" ")
        acts = self._covers("acts", act)
        materials = self._covers("kinds", material) if material else None
        for one in doings:
            if one.act in acts and (materials is None or one.material in materials):
                yield one

    def _brought(self, held: LocatedEntry, doings: Sequence[Doing]) -> list[Tree]:
        """That one of the acts is done with which something comes, as a list of at most one condition."""
        entry = held.entry
        done = self._one_done(held, "comes_with", entry.comes_with, doings)
        if done is None:
            return []
        if entry.provided is not None:
            done = AllOf((done, self._condition(held, entry.provided, ("provided",)).tree))
        return [done]

    def _one_done(self, held: LocatedEntry, field: str, acts: Sequence[str], doings: Sequence[Doing]) -> Tree | None:
        """That one of some acts is done; nothing where none ever is."""
        named = [one for place, one in enumerate(acts) if self._is_bringing(held, (field, place), one)]
        tree = any_of(way for one in named for doing in self._matching(one, doings) for way in doing.ways)
        if tree is True:
            tree = negation(self.binder.never().tree)
        return None if tree is False else Named("acts", self._said(acts), tree)

    def _is_bringing(self, held: LocatedEntry, path: Path_, bringing: str) -> bool:
        act, _, material = bringing.partition(" ")
        acts, things = self.sections["acts"], {**self.sections["materials"], **self.sections["kinds"]}
        if act not in acts:
            self._refuse(
                held,
                path,
                tr("there is no act '{act}'", act=act),
                tr("acts are {acts}", acts=", ".join(acts)) + closest(act, acts),
            )
        elif material and material not in things:
            right = tr("name one") + closest(material, list(things))
            self._refuse(held, path, tr("there is no material, thing or kind '{material}'", material=material), right)
        else:
            return True
        return False

    def _said(self, comes_with: Iterable[str]) -> Said:
        """What is said of acts: that litharge is weighed out or mixed."""
        done: dict[str, list[str]] = {}
        for bringing in comes_with:
            act, _, material = bringing.partition(" ")
            done.setdefault(material, []).append(f"acts.{act}.title")
        return ("done", *((self._thing(material), *acts) for material, acts in done.items()))

    def _thing(self, name: str) -> str:
        """Where the title of a material or kind stands; empty for whatever it is."""
        for section in ("kinds", "materials"):
            if name in self.sections[section]:
                return f"{section}.{name}.title"
        return ""

    def _brings(self, doings: Iterable[Doing]) -> tuple[tuple[str, Condition | None], ...]:
        """The hazards that acts bring by their own name, with the condition if it hangs on one.

        What comes with a whole group of acts, such as all work with fire, is a hazard of the plan, not of one step.
        """
        given: dict[str, list[Tree | bool]] = {}
        for doing in doings:
            for hazard in self._bringers(doing):
                given.setdefault(hazard, []).append(doing.given)
        found: list[tuple[str, Condition | None]] = []
        for hazard, trees in given.items():
            tree = True if True in trees else any_of(way for one in trees for way in ways_of(one))
            if tree is not False:
                found.append((hazard, None if tree is True else Condition("", tree, self.words)))
        return tuple(found)

    def _bringers(self, doing: Doing) -> list[str]:
        """The hazards that an act on a material brings by its own name."""
        key = (doing.act, doing.material)
        if key not in self._known_bringers:
            self._known_bringers[key] = [
                hazard
                for hazard, held in self.sections["hazards"].items()
                if any(next(self._matching(b, [doing]), None) for b in held.entry.comes_with if not self._gathers(b))
            ]
        return self._known_bringers[key]

    def _gathers(self, bringing: str) -> bool:
        held = self.sections["acts"].get(bringing.partition(" ")[0])
        return held is None or bool(held.entry.of)

    def _is_thing(self, name: str) -> bool:
        return name in self.sections["materials"] or name in self.sections["kinds"]

    def _weighed_by(self, text: str) -> Iterator[str]:
        """The materials whose weights a text shows, of a batch or of a correction."""
        for name in placeholder_names(text):
            if name in self.sections["materials"] and name not in self.sections["quantities"]:
                yield name
            elif self._figure_materials.get(name) is not None:
                yield self._figure_materials[name]

    def _check_figures(self) -> None:
        """What the figures of corrections weigh must be there."""
        self._figure_materials = {}
        for held in self.sections["corrections"].values():
            for name, figure in held.entry.outputs.items():
                if figure.material is None:
                    continue
                self._figure_materials[name] = figure.material
                if not self._is_thing(figure.material):
                    known = [*self.sections["materials"], *self.sections["kinds"]]
                    wrong = tr("there is no material or thing '{material}'", material=figure.material)
                    self._refuse(
                        held, ("outputs", name, "material"), wrong, tr("name one") + closest(figure.material, known)
                    )

    def _check_handled(self, held: LocatedEntry) -> None:
        """A step says what is done with each material that it weighs or uses, and with what it heats."""
        entry = held.entry
        taken = {text.split(" ")[1] for text in entry.acts}
        kinds = [self.sections["kinds"][name].entry for name in taken if name in self.sections["kinds"]]
        taken |= {material for kind in kinds for material in kind.stands_for}
        whole = any(kind.weighed for kind in kinds)
        for material in dict.fromkeys((*self._weighed_by(entry.do), *entry.uses)):
            if self._is_thing(material) and material not in taken and not whole:
                wrong = tr("this uses {material}, and no act says what is done with it", material=material)
                self._refuse(held, ("acts",), wrong, tr("add it, for example  weigh {material}", material=material))
        if entry.temperature is not None and not entry.acts:
            self._refuse(
                held, (), tr("this has a temperature, and no act says what is heated"), tr("write  acts: [...]")
            )


def _only_if(doing: Doing, material: str, tree: Tree | bool) -> Doing:
    """The same act on one of the materials that it is done with, while a condition holds."""
    given = joined(AllOf, (doing.given, tree))
    ways = tuple(both for way in doing.ways for other in ways_of(tree) if (both := way.and_also(other)) is not None)
    return Doing(doing.act, material, given, ways)
