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
from advisor.advice.next_batch import Plan, planned_answers
from advisor.engine.conclude import Conclusions, conclude
from advisor.engine.state import Answers
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase

Outcomes = dict[str, Any]


def outcomes(folder: Path, route: RuleBase, pieces: RuleBase) -> Outcomes:
    """Decisions, causes and hazards of every case, as plain data, by the name of its file."""
    found: Outcomes = {}
    for path in sorted(folder.glob("*.yaml")):
        found[path.stem] = _outcome(conclude(route, read_batch(path, route).answers))
    plans: dict[Path, Answers] = {}
    for path in sorted((folder / "diagnosis").glob("*.yaml")):
        batch = read_batch(path, pieces)
        if batch.plan is None:
            # Of a lump without a plan the room is not known, so that a danger of the room may be there or not.
            continue
        if batch.plan not in plans:
            plans[batch.plan] = _planned(path.parent / batch.plan, route, pieces)
        answers = {**plans[batch.plan], **batch.answers}
        found[f"diagnosis/{path.stem}"] = _outcome(conclude(pieces, answers))
    return found


def _planned(path: Path, route: RuleBase, pieces: RuleBase) -> Answers:
    conclusions = conclude(route, read_batch(path, route).answers)
    return planned_answers(Plan(conclusions, build_advice(conclusions, look_for_changes=False)), pieces)


def _outcome(conclusions: Conclusions) -> dict[str, Any]:
    return {
        "chosen": {name: outcome.chosen for name, outcome in conclusions.outcomes.items()},
        "taken": {name: sorted(verdict.taken) for name, verdict in conclusions.several.items()},
        "hazards": conclusions.hazards(),
        "first": [preparation.name for preparation in conclusions.preparations()],
    }


if __name__ == "__main__":
    bases = load_rule_base(use_cache=False), load_rule_base(use_cache=False, diagnosis=True)
    json.dump(outcomes(Path(sys.argv[1]), *bases), sys.stdout)
