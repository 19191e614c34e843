"""What comes out of every worked case: ``python -m tests.guides.outcomes FOLDER`` prints it as JSON.

The program that runs may belong to a copy of the checkout; ``FOLDER`` holds the cases.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.build_diagnosis import build_diagnosis
from advisor.advice.next_batch import Plan
from advisor.engine.conclude import conclude
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from advisor.terminal.consult.diagnose import planned_answers

Outcomes = dict[str, Any]


def outcomes(folder: Path, route: RuleBase, pieces: RuleBase) -> Outcomes:
    """Decisions, hazards, steps and amounts of every case, as plain data, by the name of its file."""
    found: Outcomes = {}
    for path in sorted(folder.glob("*.yaml")):
        advice = build_advice(conclude(route, read_batch(path, route).answers))
        found[path.stem] = {
            "chosen": {decision.id: decision.chosen for decision in advice.decisions},
            "hazards": [hazard.id for hazard in advice.hazards],
            "steps": [step.id for step in advice.steps],
            "amounts": {name: amount.model_dump(mode="json") for name, amount in advice.amounts.items()},
        }
    for path in sorted((folder / "diagnosis").glob("*.yaml")):
        batch = read_batch(path, pieces)
        plan = None if batch.plan is None else _plan(path.parent / batch.plan, route)
        diagnosis = build_diagnosis(
            conclude(pieces, {**planned_answers(plan, pieces), **batch.answers}), batch.title, plan
        )
        found[f"diagnosis/{path.stem}"] = {
            "causes": [cause.id for cause in diagnosis.causes if cause.taken],
            "remedy": diagnosis.remedy.chosen,
            "hazards": [hazard.id for hazard in diagnosis.hazards],
        }
    return found


def _plan(path: Path, route: RuleBase) -> Plan:
    answers = read_batch(path, route).answers
    return Plan(route, answers, build_advice(conclude(route, answers)))


if __name__ == "__main__":
    bases = load_rule_base(use_cache=False), load_rule_base(use_cache=False, diagnosis=True)
    json.dump(outcomes(Path(sys.argv[1]), *bases), sys.stdout)
