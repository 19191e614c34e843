"""How wide each weighed range of the worked cases is: ``python -m tests.advice.widths`` writes ``widths.yaml`` anew.

A range is as wide as its sources. Who writes the file anew says in the commit which source made a range narrower.
"""

from __future__ import annotations

from pathlib import Path

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice
from advisor.engine import conclude
from advisor.rulebase.reading.yaml_reader import read_document
from tests.benchmarks.questions import rules
from tests.conftest import ROOT

WIDTHS = Path(__file__).with_name("widths.yaml")
OPEN = 0.0
"""The width of a range that begins at nothing."""


def widths(advice: Advice) -> dict[str, float]:
    """High over low of each weighed range, to three figures."""
    found = {}
    for name, amount in advice.amounts.items():
        ratio = amount.high_g / amount.low_g if amount.low_g > 0 else OPEN
        found[name] = float(f"{ratio:.3g}")
    return found


def pinned() -> dict[str, dict[str, float]]:
    """The widths of the file, by case."""
    return read_document(WIDTHS).data["widths"]  # type: ignore[no-any-return]


def narrower(was: dict[str, float], now: dict[str, float]) -> list[str]:
    """The ranges that are narrower than they were, or that were not written down."""
    return [
        f"{name}: {was.get(name)} was, {ratio} is"
        for name, ratio in now.items()
        if name not in was or (was[name] == OPEN and ratio != OPEN) or (ratio != OPEN and ratio < 0.97 * was[name])
    ]


def main() -> None:
    """Write the widths of all worked cases anew."""
    lines = ["# High over low of each weighed range of the worked cases; 0 where it begins at nothing.", "widths:"]
    for path in sorted((ROOT / "cases").glob("*.yaml")):
        advice = build_advice(conclude(rules(), read_batch(path, rules()).answers), look_for_changes=False)
        if advice.amounts:
            told = ", ".join(f"{name}: {ratio:g}" for name, ratio in widths(advice).items())
            lines.append(f"  {path.stem}: {{{told}}}")
    WIDTHS.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
