"""How large a rule base may be, so that every question comes at once whatever a shop's own folder holds.

The shipped rules stay far below: their largest section holds 1,700 entries, their longest condition 17 tests.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from advisor.errors import Fault, FaultyFile
from advisor.rulebase.language.conditions import Condition, Leaf, Named, Tree
from advisor.rulebase.language.formulas import Formula
from advisor.rulebase.language.grammar import FormulaTree, GrammarError, Term
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.layers import LocatedEntry, Merged
from advisor.words import tr

MOST_ENTRIES = 5_000
MOST_ROWS = 20_000
MOST_OPTIONS = 60
MOST_CAUSES = 1_000
MOST_LIMITS = 100
MOST_FAULTS = 1_000
"""Faults after which no more are looked for; nobody corrects so many from one list."""
MOST_TESTS, DEEPEST = 500, 60
MOST_WORK = 2_000_000
MOST_FORMULA_STEPS = 250

_SPLIT = tr("write them as several entries, or leave out what no batch needs")


def check_entries(merged: Merged, faults: list[Fault]) -> None:
    """Refuse a rule base that is too large, before any work is done on it.

    Raises:
        FaultyFile: If it is.
    """
    for section, entries in merged.sections.items():
        if len(entries) > MOST_ENTRIES:
            held = list(entries.values())[MOST_ENTRIES]
            wrong = tr(
                "there are {entries} {section}, and at most {most} can be worked with",
                entries=len(entries),
                section=section,
                most=MOST_ENTRIES,
            )
            faults.append(held.fault((), wrong, tr("take rules away that say the same")))
    for held, options, most in _with_options(merged):
        if options > most:
            wrong = tr("this has {options} options, and at most {most} can be worked with", options=options, most=most)
            faults.append(held.fault(("options",), wrong, tr("join options that mean the same")))
    rows = sum(len(held.rows) for held in merged.sections["tables"].values())
    if rows > MOST_ROWS:
        faults.append(
            Fault(
                tr("the rule base"),
                0,
                "tables",
                tr("they hold {rows} rows", rows=rows),
                tr("keep them under {most}", most=MOST_ROWS),
            )
        )
    if faults:
        raise FaultyFile(faults)


def _with_options(merged: Merged) -> Iterator[tuple[LocatedEntry, int, int]]:
    for held in merged.sections["facts"].values():
        yield held, len(held.entry.options), MOST_OPTIONS
    for held in merged.sections["decisions"].values():
        yield held, len(held.entry.options), MOST_CAUSES if held.entry.several else MOST_OPTIONS


def check_limits(
    held_facts: Mapping[str, LocatedEntry], breakpoints: Mapping[str, Iterable[object]], faults: list[Fault]
) -> None:
    """Refuse a quantity that is compared with more amounts than can be told apart quickly.

    Raises:
        FaultyFile: If there is one.
    """
    found = []
    for name, held in held_facts.items():
        many = len(set(breakpoints.get(name, ())))
        if many > MOST_LIMITS:
            wrong = tr(
                "rules compare this with {amounts} different amounts, and at most {most} can be worked with",
                amounts=many,
                most=MOST_LIMITS,
            )
            found.append(held.fault((), wrong, tr("let rules share limits; name them under thresholds")))
    if found:
        raise FaultyFile([*faults, *found])


def check_tree(tree: Tree) -> None:
    """Refuse a condition that is too long or too deep once its findings are written out.

    Raises:
        GrammarError: If it is.
    """
    left = MOST_TESTS
    waiting: list[tuple[Tree, int]] = [(tree, 0)]
    while waiting:
        part, depth = waiting.pop()
        if depth > DEEPEST:
            raise GrammarError(
                tr("its findings lie more than {deepest} deep in each other", deepest=DEEPEST),
                tr("write it more directly"),
            )
        if isinstance(part, Leaf):
            left -= 1
            if left < 0:
                raise GrammarError(
                    tr("with its findings written out this holds more than {most} tests", most=MOST_TESTS), _SPLIT
                )
        elif isinstance(part, Named):
            waiting.append((part.inner, depth + 1))
        else:
            waiting.extend((inner, depth + 1) for inner in part.parts)


def check_work(rule_base: RuleBase, conditions: Iterable[Condition], faults: list[Fault]) -> None:
    """Refuse rules that all together take too long to weigh: to find a question, each cell of each fact is tried.

    Raises:
        FaultyFile: If they do.
    """
    domain = [len(variable.domain) for variable in rule_base.variables]
    work = sum(one.work * sum(domain[variable] for variable in one.variables) for one in conditions)
    if work > MOST_WORK:
        wrong = tr(
            "all conditions together take {work} tests to weigh for one question, and at most {most} can be worked"
            " with",
            work=work,
            most=MOST_WORK,
        )
        where = rule_base.layers[-1] if rule_base.layers else tr("the rule base")
        raise FaultyFile([*faults, Fault(where, 0, "", wrong, tr("test each fact in one place of a condition only"))])


def formula_steps(formula: Formula) -> int:
    """How deep a formula nests."""
    deepest = 0
    waiting: list[tuple[FormulaTree, int]] = [(formula.tree, 1)]
    while waiting:
        tree, depth = waiting.pop()
        deepest = max(deepest, depth)
        if not isinstance(tree, Term):
            waiting += [(tree.left, depth + 1), (tree.right, depth + 1)]
    return deepest
