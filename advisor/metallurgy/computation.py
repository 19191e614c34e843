"""What a computation is: inputs in, figures out, by a name that commands and rule files use."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from advisor.frozen import frozen
from advisor.metallurgy.common.document import Result
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Inputs, Value, given_inputs
from advisor.metallurgy.common.tables import Tables


@frozen
class Computation:
    """One computation.

    Attributes:
        name: Its name.
        title: What it gives, or what it puts right.
        inputs: Its inputs, for a book.
        calculate: Its function; raises InputError where the inputs do not fit.
        outputs: Names of the figures that it always gives and rule files may name.
        sometimes: Names of such figures that it gives only with some inputs.
        command: Whether it is a command of its own.
    """

    name: str
    title: str
    inputs: Callable[[Tables], tuple[Input, ...]]
    calculate: Callable[[Tables, Inputs], tuple[Result, ...]]
    outputs: tuple[str, ...] = ()
    sometimes: tuple[str, ...] = ()
    command: bool = True

    def figures(self, tables: Tables, values: Mapping[str, Value]) -> Mapping[str, Figure]:
        """The figures for values that were read before, by name.

        Args:
            tables: The tables of the rules.
            values: Values by name of input, amounts in inside units; one that nobody knows is a wide range.

        Raises:
            InputError: If an input is missing, unknown, of the wrong kind or impossible.
        """
        results = self.calculate(tables, given_inputs(self.name, self.inputs(tables), values))
        return {figure.name: figure for result in results for figure in result.figures if figure is not None}
