"""All computations by name: those that are commands of their own, and the corrections that rule files name."""

from __future__ import annotations

from importlib import import_module

from advisor import __version__
from advisor.metallurgy.commands import COMMANDS
from advisor.metallurgy.common.document import Calculation, Citer
from advisor.metallurgy.common.inputs import check_inputs
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.metallurgy.correction.calculator import CORRECTIONS
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import Document


def _computation(module: str) -> Computation:
    found: Computation = import_module(f"advisor.metallurgy.{module}").COMPUTATION
    return found


_ALL = (*(_computation(module) for module, _ in COMMANDS.values()), *CORRECTIONS)
COMPUTATIONS = {computation.name: computation for computation in _ALL}


def run_computation(name: str, document: Document, rule_base: RuleBase) -> Calculation:
    """Run one computation.

    Args:
        name: Its name.
        document: The inputs as given.
        rule_base: The rules with their tables.

    Raises:
        InputError: If the inputs cannot be used.
    """
    computation = COMPUTATIONS[name]
    tables, citer = Tables(rule_base), Citer(rule_base.sources)
    inputs = check_inputs(name, computation.inputs(tables), document)
    results = computation.calculate(tables, inputs)
    return Calculation(
        program=f"advisor {__version__}",
        command=name,
        title=computation.title,
        rules_fingerprint=rule_base.fingerprint,
        inputs=inputs.written,
        stop=any(result.stop for result in results),
        groups=tuple(citer.group(result) for result in results),
    )
