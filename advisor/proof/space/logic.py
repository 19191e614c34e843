"""The solver behind a few plain words; the only place that knows it.

A *bit* is a truth value that depends on the answers: True, False, or an expression of the solver. Constants are
folded at once and each compound bit gets a name, so that the formulas the solver sees stay shallow and shared.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import Any

from advisor.errors import InputError, install_command
from advisor.words import tr

Bit = Any
"""True, False, or a Boolean expression of the solver."""

Sum = tuple[int, tuple[tuple[Bit, int], ...]]
"""A whole number that depends on the answers: a base, and weights that count where their bit is true."""


_INTERRUPTED = (tr("interrupted from keyboard"), "interrupted", "canceled")


SOLVER = "z3-solver"
"""What the solver is called where it is installed from; the extra ``proof`` names it too."""


class SolverMissingError(InputError):
    """The optional solver is not installed."""

    def __init__(self) -> None:
        super().__init__(
            tr(
                "this needs the solver z3, which is not installed; install it with  {install_command}",
                install_command=install_command(SOLVER),
            )
        )


def solver_module() -> Any:
    """The solver.

    Raises:
        SolverMissingError: If it is not installed.
    """
    try:
        return importlib.import_module("z3")
    except ImportError:
        raise SolverMissingError from None


class Logic:
    """One solver with everything that is asserted in it."""

    def __init__(self) -> None:
        self._z3 = solver_module()
        self._solver = self._z3.SolverFor("QF_FD")
        self._named: dict[Hashable, Any] = {}
        self._kept: list[Any] = []  # Expressions are known by their number, which must not be given away again.
        self._opposites: dict[int, tuple[Any, Any]] = {}  # By number: the expression itself, and its opposite.
        self._denied: dict[int, int] = {}  # The number of what each opposite denies.
        self._count = 0
        self._model: Any = None
        self._unread = False
        self._value = (self._z3.Ast * 1)()

    def bit(self, name: str) -> Bit:
        """A free bit."""
        self._count += 1
        return self._z3.Bool(f"{name}#{self._count}")

    def opposite(self, bit: Bit) -> Bit:
        """The bit that is true where this one is false."""
        if isinstance(bit, bool):
            return not bit
        number = bit.get_id()
        found = self._opposites.get(number)
        if found is None:
            denied = self._z3.Not(bit)
            found = self._opposites[number] = bit, denied
            self._opposites[denied.get_id()] = denied, bit
            self._denied[denied.get_id()] = number
        return found[1]

    def every(self, bits: Iterable[Bit]) -> Bit:
        """True where all bits are."""
        return self._compound("every", bits, False)

    def either(self, bits: Iterable[Bit]) -> Bit:
        """True where at least one bit is."""
        return self._compound("either", bits, True)

    def _compound(self, kind: str, bits: Iterable[Bit], deciding: bool) -> Bit:
        """A conjunction or disjunction with a name; ``deciding`` is the constant that settles it."""
        parts: dict[int, Bit] = {}
        for bit in bits:
            if isinstance(bit, bool):
                if bit is deciding:
                    return deciding
                continue
            parts[bit.get_id()] = bit
        if len(parts) <= 1:
            return next(iter(parts.values()), not deciding)
        if any(self._denied.get(number) in parts for number in parts):
            return deciding
        key = (kind, tuple(sorted(parts)))
        found = self._named.get(key)
        if found is None:
            self._kept.append(parts)
            found = self._named[key] = self._name(kind, self._joined(kind, list(parts.values())))
        return found

    def _joined(self, kind: str, bits: list[Bit]) -> Bit:
        """All or any of some bits; the solver's own wrapper would look at the type of each again and again."""
        z3, context = self._z3, bits[0].ctx
        make = z3.Z3_mk_and if kind == "every" else z3.Z3_mk_or
        return z3.BoolRef(make(context.ref(), len(bits), (z3.Ast * len(bits))(*(b.as_ast() for b in bits))), context)

    def _name(self, kind: str, expression: Bit) -> Bit:
        named = self.bit(kind)
        self._add(named == expression)
        return named

    def same(self, first: Bit, second: Bit) -> Bit:
        """True where both bits agree."""
        if isinstance(first, bool):
            return second if first else self.opposite(second)
        if isinstance(second, bool):
            return first if second else self.opposite(first)
        if first.eq(second):
            return True
        one, other = sorted((first, second), key=lambda bit: int(bit.get_id()))
        self._kept.append((one, other))
        return self._once("same", one, other, lambda x, y: x == y)

    def differ(self, first: Bit, second: Bit) -> Bit:
        """True where the bits do not agree."""
        return self.opposite(self.same(first, second))

    def require(self, bit: Bit) -> None:
        """From now on this bit is true."""
        self._add(bit)

    def exactly_one(self, bits: Sequence[Bit]) -> None:
        """From now on exactly one of the bits is true."""
        self.require(self._z3.Or(list(bits)))
        for place, bit in enumerate(bits):
            for other in bits[:place]:
                self.require(self._joined("either", [self.opposite(bit), self.opposite(other)]))

    def at_least(self, first: Sum, second: Sum) -> Bit:
        """True where the first sum is not below the second."""
        weights: dict[int, tuple[Bit, int]] = {}
        need = second[0] - first[0]
        for (_, parts), sign in ((first, 1), (second, -1)):
            for bit, weight in parts:
                if isinstance(bit, bool):
                    need -= sign * weight * bit
                else:
                    weights[bit.get_id()] = bit, weights.get(bit.get_id(), (bit, 0))[1] + sign * weight
        # A weight below zero counts where its bit is false.
        terms = [
            (bit, weight) if weight > 0 else (self.opposite(bit), -weight) for bit, weight in weights.values() if weight
        ]
        need -= sum(weight for _, weight in weights.values() if weight < 0)
        if need <= 0:
            return True
        if sum(weight for _, weight in terms) < need:
            return False
        return self._comparison(need, terms)

    def _comparison(self, need: int, terms: list[tuple[Bit, int]]) -> Bit:
        key = ("at_least", need, *sorted((bit.get_id(), weight) for bit, weight in terms))
        found = self._named.get(key)
        if found is None:
            self._kept.append(terms)
            found = self._named[key] = self._name("at_least", self._z3.PbGe(terms, need))
        return found

    def equal(self, first: Sum, second: Sum) -> Bit:
        """True where two sums agree."""
        return self.every([self.at_least(first, second), self.at_least(second, first)])

    def _once(self, kind: str, first: Any, second: Any, make: Callable[[Any, Any], Bit]) -> Bit:
        key = (kind, first.get_id(), second.get_id())
        found = self._named.get(key)
        if found is None:
            found = self._named[key] = self._name(kind, make(first, second))
        return found

    def at_most_of(self, bits: Sequence[Bit], most: int) -> Bit:
        """True where no more than so many bits are."""
        most -= sum(bit is True for bit in bits)
        free = [bit for bit in bits if not isinstance(bit, bool)]
        if most < 0 or len(free) <= most:
            return most >= 0
        return self._name("few", self._z3.PbLe([(bit, 1) for bit in free], most))

    def possible(self, *bits: Bit) -> bool:
        """Whether there are answers for which all these bits are true; :meth:`truth` then reads them.

        Raises:
            KeyboardInterrupt: If the person interrupts; while the solver works, it is the solver that hears of it.
        """
        if any(bit is False for bit in bits):
            return False
        found = self._solver.check(*[bit for bit in bits if bit is not True])
        if found == self._z3.unknown:
            reason = self._solver.reason_unknown()
            if reason in _INTERRUPTED:
                raise KeyboardInterrupt
            raise RuntimeError(f"the solver gave up: {reason}")
        # The solver takes long to hand over its model, and most of the answers found are never read.
        self._model, self._unread = None, found == self._z3.sat
        return bool(self._unread)

    def _read_model(self) -> None:
        if self._unread:
            self._model, self._unread = self._solver.model(), False

    def _add(self, expression: Bit) -> None:
        self._read_model()  # Once more is asserted the solver has none to give.
        self._solver.add(expression)

    def truth(self, bit: Bit) -> bool:
        """The value of a bit in the answers to the last question, which was one that is possible."""
        if isinstance(bit, bool):
            return bit
        # Asked so often that the objects the solver's own wrapper makes would take half the time of a proof.
        self._read_model()
        z3, context = self._z3, self._model.ctx.ref()
        z3.Z3_model_eval(context, self._model.model, bit.as_ast(), True, self._value)
        return bool(z3.Z3_get_bool_value(context, self._value[0]) == z3.Z3_L_TRUE)
