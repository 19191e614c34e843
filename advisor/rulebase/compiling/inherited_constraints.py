"""What rules out work on a piece: the constraints of the work it is like, seen with the piece, not the concentrate.

A correction that cupels a bead is like direct cupelling. Whatever forbids direct cupelling in this place (no
extraction, people near, no gear) forbids the correction, for the same reason and from the same source. Only the
properties of the concentrate are replaced by those of the piece. What rules a route out because it is not worth it, or
does not suit the concentrate, says nothing about a piece, and is not taken over.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

from advisor.errors import Fault
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import AllOf, Condition, Leaf, Named, Tree, joined
from advisor.rulebase.language.words import negated
from advisor.rulebase.model import Argument, Decision, Fact, Piece, RuleBase, Variable
from advisor.rulebase.values import domains_of_value
from advisor.words import tr

if TYPE_CHECKING:
    from advisor.rulebase.reading.entries import DecisionOptionEntry


class Declared(Protocol):
    """What has to be known of a rule base to see work on a piece."""

    @property
    def decisions(self) -> Mapping[str, Decision]: ...

    @property
    def facts(self) -> Mapping[str, Fact]: ...

    @property
    def pieces(self) -> Mapping[str, Piece]: ...

    @property
    def variables(self) -> tuple[Variable, ...]: ...


@frozen
class LikeWork:
    """What stands for what while the work of one option is looked at.

    Attributes:
        fixed: Cells of variables that are settled by the piece or by what the work is like.
        taken_from: Variables whose cells are those of another variable, in another order: the other variable, and
            for each cell of the first the cell of the other.
        unlike: For each such variable the cells of the other that stand for none of its own: work of another kind,
            which may be like any.
    """

    fixed: Mapping[int, int]
    taken_from: Mapping[int, tuple[int, tuple[int, ...]]]
    unlike: Mapping[int, int]

    def state(self, state: list[int] | tuple[int, ...]) -> list[int]:
        """A state as it is for the work on the piece."""
        seen = list(state)
        for variable, (other, domain) in self.taken_from.items():
            like_any = state[other] & self.unlike[variable]
            seen[variable] = sum(1 << place for place, cell in enumerate(domain) if like_any or state[other] & cell)
        for variable, settled in self.fixed.items():
            seen[variable] = settled
        return seen


def like_work(rule_base: Declared, option: DecisionOptionEntry) -> LikeWork:
    """What stands for what while the work of an option is looked at.

    Raises:
        KeyError: If the option names a decision, an option or a fact that does not exist.
    """
    fixed: dict[int, int] = {}
    taken_from: dict[int, tuple[int, tuple[int, ...]]] = {}
    unlike: dict[int, int] = {}
    if option.piece is not None:
        for name, value in rule_base.pieces[option.piece].facts.items():
            fixed.update(domains_of_value(rule_base.facts[name], value, rule_base.variables))
    for name, written in option.works_like.items():
        decision = rule_base.decisions[name]
        word, _, fact_name = written.partition(" ")
        if word == "fact":
            other = rule_base.variables[rule_base.facts[fact_name].variables[0]]
            domain = tuple(1 << other.domain.index(o) if o in other.domain else 0 for o in decision.options)
            taken_from[decision.variable] = (other.index, domain)
            unlike[decision.variable] = other.full & ~sum(domain)
        else:
            fixed[decision.variable] = 1 << {o: place for place, o in enumerate(decision.options)}[written]
    return LikeWork(fixed, taken_from, unlike)


def with_inherited(rule_base: RuleBase, decision: Decision, faults: list[Fault]) -> Decision:
    """The decision with the constraints that its options take over from the work they are like."""
    if not any(option.works_like for option in decision.entry.options.values()):
        return decision
    inherited = [
        argument
        for name, option in decision.entry.options.items()
        if option.works_like
        for argument in _inherited(rule_base, decision, name, option, faults)
    ]
    return replace(decision, arguments=(*decision.arguments, *inherited))


def _inherited(
    rule_base: RuleBase, decision: Decision, name: str, option: DecisionOptionEntry, faults: list[Fault]
) -> Iterator[Argument]:
    where = f"decisions {decision.name}, options.{name}"
    for other in rule_base.decisions.values():
        if not other.of_diagnosis and other.name not in option.works_like:
            right = tr("say for every decision of the route what this work is like")
            faults.append(
                Fault(
                    decision.origin.file,
                    decision.origin.line,
                    where,
                    tr("works_like names no '{name}'", name=other.name),
                    right,
                )
            )
            return
    if option.banned_like:
        option = option.model_copy(update={"works_like": option.banned_like})
    try:
        like = like_work(rule_base, option)
    except (KeyError, ValueError) as problem:
        origin = decision.origin
        wrong = tr("{name} is named under works_like or piece, and there is none", name=problem)
        faults.append(
            Fault(origin.file, origin.line, where, wrong, tr("name an existing decision, option, fact or piece"))
        )
        return
    for about, written in option.works_like.items():
        other = rule_base.decisions[about]
        for argument, struck in _constraints(other, written):
            tree = seen_on_piece(_guarded(other, struck, argument), like)
            if tree is True:
                wrong = tr("'{id}' always rules it out", id=argument.id)
                right = tr("name other work that it is like, or describe the piece in another way")
                faults.append(Fault(decision.origin.file, decision.origin.line, where, wrong, right))
            elif tree is not False:
                yield _for_option(decision, name, argument, tree)


def _constraints(decision: Decision, written: str) -> Iterator[tuple[Argument, list[str]]]:
    """The constraints that strike what the work is like, with the options struck."""
    for argument in decision.arguments:
        if argument.entry.kind == "worth":
            continue
        if argument.says == "rule_out":
            struck = list(argument.options)
        elif argument.says == "require":
            struck = [option for option in decision.options if option not in argument.options]
        else:
            continue
        if not written.startswith("fact "):
            struck = [option for option in struck if option == written]
        if struck:
            yield argument, struck


def _guarded(decision: Decision, struck: list[str], argument: Argument) -> Tree:
    """The constraint's condition together with the test that one of the struck options is meant."""
    inside = sum(1 << decision.options.index(option) for option in struck)
    return AllOf((chosen_among(decision, inside), argument.condition.tree))


def chosen_among(decision: Decision, inside: int) -> Leaf:
    """The test that one of some options is chosen.

    Args:
        decision: The decision.
        inside: Its options, as bits in their order.
    """
    full = (1 << len(decision.options)) - 1
    if not inside:
        return Leaf(decision.variable, inside, full, ("never",), ("always",))
    place = f"decisions.{decision.name}"
    options = [o for bit, o in enumerate(decision.options) if inside >> bit & 1]
    said = ("is", f"{place}.title", *(f"{place}.options.{option}.title" for option in options))
    return Leaf(decision.variable, inside, full, said, negated(said))


def seen_on_piece(tree: Tree, like: LikeWork) -> Tree | bool:
    """The tree as it is for the piece; true or false where nothing is left to test.

    A test that the piece leaves undecided counts as true: what may rule the work out does.
    """
    if isinstance(tree, Leaf):
        return _seen_leaf(tree, like)
    if isinstance(tree, Named):
        inner = seen_on_piece(tree.inner, like)
        return inner if isinstance(inner, bool) else Named(tree.name, tree.said, inner)
    return joined(type(tree), (seen_on_piece(part, like) for part in tree.parts))


def _seen_leaf(leaf: Leaf, like: LikeWork) -> Tree | bool:
    domain = like.fixed.get(leaf.variable)
    if domain is not None:
        return bool(domain & leaf.inside)
    if leaf.variable not in like.taken_from:
        return leaf
    other, places = like.taken_from[leaf.variable]
    unlike = like.unlike[leaf.variable]
    inside = unlike | sum(cell for place, cell in enumerate(places) if leaf.inside >> place & 1)
    full = unlike | sum(places)
    return Leaf(other, inside, full, leaf.said, leaf.opposite) if inside else False


def _for_option(decision: Decision, option: str, argument: Argument, tree: Tree) -> Argument:
    entry = argument.entry.model_copy(
        update={
            "id": f"{option.replace('_', '-')}-like-{argument.id}",
            "about": f"{decision.name}.{option}",
            "says": "rule_out",
            "strength": None,
        }
    )
    return replace(
        argument,
        id=entry.id,
        says=entry.says,
        entry=entry,
        decision=decision.name,
        options=(option,),
        weight=0,
        condition=Condition(argument.condition.text, tree, argument.condition.table),
    )
