"""Binds written conditions to the variables of a rule base."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor.rulebase.compiling.facts import Limits, amount_value
from advisor.rulebase.compiling.limits import check_tree
from advisor.rulebase.language import grammar
from advisor.rulebase.language.conditions import AllOf, AnyOf, Condition, Leaf, Named, Tree, negation
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.language.grammar import GrammarError
from advisor.rulebase.language.words import Said, Words
from advisor.rulebase.model import Fact, Finding, Preparation, Variable
from advisor.rulebase.reading.entries import DecisionEntry
from advisor.rulebase.values import domain_of_range, possible_domain
from advisor.units import Range, format_measure
from advisor.units.measures import kind_of
from advisor.words import tr

FIRST = "first"
"""The name under which conditions test preparations."""

_OPPOSITE = {"<": ">=", ">": "<=", "<=": ">", ">=": "<", "=": "!="}


class Binder:
    """Compiles conditions against the declared facts, findings, decisions and thresholds."""

    def __init__(
        self,
        facts: Mapping[str, Fact],
        variables: list[Variable],
        decisions: Mapping[str, DecisionEntry],
        decision_variables: Mapping[str, tuple[Variable, ...]],
        limits: Limits,
        words: Words,
    ) -> None:
        self.facts = facts
        self.variables = variables
        self.decisions = decisions
        self.decision_variables = decision_variables
        self.limits = limits
        self.words = words
        self.findings: dict[str, Finding] = {}
        self.preparations: dict[str, Preparation] | None = None
        # The same condition, and the same test, stands in many rules; each is kept once.
        self._bound: dict[str, Condition] = {}
        self._leaves: dict[Leaf, Leaf] = {}
        self._items_of: dict[str, dict[str, Tree]] = {}

    def add_finding(self, finding: Finding) -> None:
        """Let later conditions use this finding."""
        self.findings[finding.name] = finding

    def condition(self, text: str, written: grammar.Written) -> Condition:
        """The compiled condition.

        Raises:
            GrammarError: If a name, option or unit does not fit the declarations.
        """
        found = self._bound.get(text)
        if found is None:
            tree = self._bind(written)
            check_tree(tree)
            found = self._bound[text] = Condition(text, tree, self.words)
        return found

    def never(self) -> Condition:
        """A condition that always fails."""
        full = self.variables[0].full if self.variables else 1
        return Condition("never", Leaf(0, 0, full, ("never",), ("always",)), self.words)

    def _bind(self, tree: grammar.Written) -> Tree:
        bound = self._bound_again(tree)
        return self._leaves.setdefault(bound, bound) if isinstance(bound, Leaf) else bound

    def _bound_again(self, tree: grammar.Written) -> Tree:
        if isinstance(tree, AllOf):
            return AllOf(tuple(self._bind(part) for part in tree.parts))
        if isinstance(tree, AnyOf):
            return AnyOf(tuple(self._bind(part) for part in tree.parts))
        if isinstance(tree, grammar.Not):
            return negation(self._bind(tree.part))
        if isinstance(tree, grammar.Word):
            return self._word(tree.name)
        if isinstance(tree, grammar.IsOneOf):
            return self._is_one_of(tree)
        if isinstance(tree, grammar.Has):
            return self._has(tree)
        return self._compares(tree)

    def _unknown(self, name: str) -> GrammarError:
        known = [*self.facts, *self.findings, *self.decision_variables]
        return GrammarError(
            tr("'{name}' is not a fact, a finding declared earlier, or a decision", name=name),
            tr("name a declared one") + closest(name, known),
        )

    def _fact(self, name: str, kinds: Sequence[str], right: str) -> Fact:
        fact = self.facts.get(name)
        if fact is None:
            raise self._unknown(name)
        if fact.entry.kind not in kinds:
            raise GrammarError(tr("'{name}' is of kind {kind}", name=name, kind=fact.entry.kind), right)
        return fact

    def _word(self, name: str) -> Tree:
        if name in self.findings:
            finding = self.findings[name]
            return Named(name, f"findings.{name}.means", finding.condition.tree)
        fact = self._fact(
            name,
            ("yes_no",),
            tr("write a test, for example  place is outdoors,  reagents has nitre,  batch_mass > 100 g"),
        )
        label = f"facts.{name}.label"
        return Leaf(fact.variables[0], 2, 3, ("yes", label), ("no", label))

    def _is_one_of(self, tree: grammar.IsOneOf) -> Tree:
        if tree.name in self.decision_variables:
            entry = self.decisions[tree.name]
            if entry.several:
                raise GrammarError(
                    tr("several options of '{name}' may be taken", name=tree.name),
                    tr("write  {name} has OPTION", name=tree.name),
                )
            variable = self.decision_variables[tree.name][0]
            subject = f"decisions.{tree.name}"
            told = f"{subject}.title", *(f"{subject}.options.{option}.title" for option in tree.options)
        else:
            fact = self._fact(tree.name, ("choice",), tr("'is' and 'in' test a choice or a decision"))
            variable = self.variables[fact.variables[0]]
            subject = f"facts.{tree.name}"
            told = f"{subject}.label", *(f"{subject}.options.{option}.label" for option in tree.options)
        inside = 0
        for option in tree.options:
            if option not in variable.domain:
                raise GrammarError(
                    tr("'{name}' has no option '{option}'", name=tree.name, option=option),
                    tr("options are {options}", options=", ".join(variable.domain))
                    + closest(option, list(variable.domain)),
                )
            inside |= 1 << variable.domain.index(option)
        leaf = Leaf(variable.index, inside, variable.full, ("is", *told), ("is not", *told))
        return leaf.negated() if tree.negated else leaf

    def chosen(self, decision: str, inside: int) -> Leaf:
        """The test that one of some options of a decision is chosen; the options as bits in their order."""
        variable = self.decision_variables[decision][0]
        options = tuple(option for place, option in enumerate(variable.domain) if inside >> place & 1)
        leaf = self._is_one_of(grammar.IsOneOf(decision, options, negated=False))
        assert isinstance(leaf, Leaf)
        return leaf

    def _has(self, tree: grammar.Has) -> Tree:
        items = self._first() if tree.name == FIRST else self._item_tests(tree.name)
        parts: list[Tree] = []
        for option in tree.options or items:
            if option not in items:
                raise GrammarError(
                    tr("'{name}' has no option '{option}'", name=tree.name, option=option),
                    tr("options are {options}", options=", ".join(items)) + closest(option, list(items)),
                )
            parts.append(items[option])
        if tree.how == "none":
            parts = [negation(part) for part in parts]
        if len(parts) == 1:
            return parts[0]
        whole: Tree = AnyOf(tuple(parts)) if tree.how == "any" else AllOf(tuple(parts))
        return whole if tree.options else Named(tree.name, self._whole_list(tree), whole)

    def _whole_list(self, tree: grammar.Has) -> Said:
        """What a test of a whole list says: that something of it is there, or nothing."""
        form = "some" if tree.how == "any" else "none"
        return (f"{form} first",) if tree.name == FIRST else (form, self._items(tree.name)[0])

    def _first(self) -> dict[str, Tree]:
        """What stands under FIRST: each preparation by the condition under which it does."""
        if self.preparations is None:
            wrong = tr("'{name}' is not known before the decisions are taken", name=FIRST)
            raise GrammarError(wrong, tr("leave it out: the work is planned as if every preparation were done"))
        return {
            name: Named(
                f"{FIRST} has {name}",
                ("first", f"preparations.{name}.title"),
                one.condition.tree,
            )
            for name, one in self.preparations.items()
        }

    def _item_tests(self, name: str) -> dict[str, Tree]:
        if name not in self._items_of:
            subject, items = self._items(name)
            self._items_of[name] = {
                option: Leaf(index, 2, 3, ("has", subject, label), ("lacks", subject, label))
                for option, (index, label) in items.items()
            }
        return self._items_of[name]

    def _items(self, name: str) -> tuple[str, dict[str, tuple[int, str]]]:
        """Where it stands what a list is called, and for each of its items the variable and where its label stands."""
        if name in self.decision_variables and self.decisions[name].several:
            place = f"decisions.{name}"
            variables = self.decision_variables[name]
            return f"{place}.title", {v.item: (v.index, f"{place}.options.{v.item}.title") for v in variables}
        fact = self._fact(name, ("several",), tr("'has' and 'lacks' test a list"))
        place, options = f"facts.{name}", fact.entry.options
        return f"{place}.label", {
            option: (index, f"{place}.options.{option}.label")
            for option, index in zip(options, fact.variables, strict=True)
        }

    def _compares(self, tree: grammar.Compares | grammar.Between) -> Tree:
        fact = self._fact(tree.name, ("quantity",), tr("amounts are compared with a quantity"))
        assert fact.unit is not None
        if isinstance(tree, grammar.Between):
            low, high = self._limit(fact, tree.low), self._limit(fact, tree.high)
            if low > high:
                raise GrammarError(tr("this stretch runs backwards"), tr("write the smaller amount first"))
            inside = domain_of_range(fact, Range(low, low, high))
            forms, limits = ("between", "not between"), [low, high]
        else:
            limit = self._limit(fact, tree.amount)
            inside = self._side(fact, tree.operator, limit)
            forms, limits = (tree.operator, _OPPOSITE[tree.operator]), [limit]
        full = possible_domain(fact)
        told = f"facts.{fact.name}.label", *((limit, fact.unit.symbol) for limit in limits)
        return Leaf(fact.variables[0], inside & full, full, (forms[0], *told), (forms[1], *told))

    def _shown(self, fact: Fact, value: float) -> str:
        assert fact.unit is not None
        return format_measure(Range.exact(value), fact.unit, 6)

    def _limit(self, fact: Fact, amount: grammar.Amount) -> float:
        assert fact.unit is not None
        value, dimension = amount_value(amount, self.limits)
        if dimension is None and value != 0 and fact.unit.symbol != "pieces":
            raise GrammarError(
                tr("'{amount}' has no unit", amount=amount.text),
                tr("write it with a unit, for example {amount} {symbol}", amount=amount.text, symbol=fact.unit.symbol),
            )
        if dimension is not None and dimension != fact.unit.dimension:
            raise GrammarError(
                tr(
                    "'{amount}' is {measured}, but {name} is {wanted}",
                    amount=amount.text,
                    measured=kind_of(dimension),
                    name=fact.name,
                    wanted=kind_of(fact.unit.dimension),
                ),
                tr("write it in {symbol}", symbol=fact.unit.symbol),
            )
        if not fact.least <= value <= fact.most:
            raise GrammarError(
                tr("'{amount}' is outside the sensible values of {name}", amount=amount.text, name=fact.name),
                tr(
                    "use a limit from {least} to {most}",
                    least=self._shown(fact, fact.least),
                    most=self._shown(fact, fact.most),
                ),
            )
        return value

    def _side(self, fact: Fact, operator: str, limit: float) -> int:
        position = 2 * fact.breakpoints.index(limit) + 1
        at = 1 << position
        below = at - 1
        above = ((1 << (2 * len(fact.breakpoints) + 1)) - 1) & ~(below | at)
        return {"<": below, "<=": below | at, ">": above, ">=": above | at, "=": at}[operator]
