"""Measures what a user waits for and prints ratios: ``python -m tests.benchmarks.measure``.

Absolute times differ between machines and with what else they do; the ratios, taken in one run, hold better. A line
whose goal is missed says so, and by how much.
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.present.drawing import svg_text, terminal_lines
from tests.benchmarks import starts, within
from tests.benchmarks.engines import Compared, compare
from tests.benchmarks.proofs import SHIPPED, Proved, proved

Line = tuple[str, str, str, float, float, str]
"""What, ours, beside what, the measured ratio (or the time over its goal), its goal, and a remark."""

WHY_ADVICE = "190 modules of our own; the rule files, read to see that they are those of the image; the metallurgy"
WHY_QUESTION = "every question begins anew from all answers, and with few of them nearly every rule is open"
WHY_PROOF = "more rules about the same facts hang together more, so growth is somewhat more than even"
WHY_LOAD = "every rule becomes an object of its own; CLIPS keeps what it matches"


def main() -> None:
    """Print every measurement with its ratio and goal, each as soon as it is taken."""
    print("| what | ours | beside | ratio | goal | |")
    print("|---|---|---|---|---|---|", flush=True)
    for what, ours, beside, ratio, goal, remark in measured():
        verdict = "met" if ratio <= goal else f"missed by {ratio / goal:.1f} times: {remark}"
        print(f"| {what} | {ours} | {beside} | {ratio:.2f} | {goal:g} | {verdict} |", flush=True)


def measured() -> Iterator[Line]:
    """Every measurement, one after the other."""
    yield from _starts()
    yield from parts()
    yield from _questions()
    for count in (100, 1000, 10_000):
        yield from _engines(compare(count))
    yield from _proofs()


def ms(seconds: float) -> str:
    """Seconds as milliseconds for the table."""
    figures = 1 if seconds < 0.02 else 0
    return f"{seconds * 1000:.{figures}f} ms"


def _starts() -> Iterator[Line]:
    ours, theirs = starts.help_seconds()
    yield "`advisor --help`", ms(ours), f"bare typer and rich program {ms(theirs)}", ours / theirs, 1.2, ""
    warm, imports, model = starts.advice_seconds()
    beside = f"imports with one model declared {ms(model)} (without {ms(imports)})"
    yield "first screen from a file", ms(warm), beside, warm / model, 2, WHY_ADVICE
    cold = starts.cold_advice_seconds()
    yield (
        "the same, rules read and checked anew",
        ms(cold),
        f"from the cache {ms(warm)}",
        cold / warm,
        6,
        "reading YAML",
    )


def parts(runs: int = 9) -> Iterator[Line]:
    """Single parts of a run, each against a goal in seconds."""
    advice, changes = within.advice_parts(runs)
    yield "building one advice", ms(advice), f"of it, what would change it: {ms(changes)}", advice / 0.040, 1, ""
    for what, seconds, goal in (
        ("computed plan", within.computed_plan_seconds(runs), 0.020),
        ("smelting charge planned", within.charge_seconds(runs), 0.020),
        ("slowest correction", within.slowest_correction_seconds(runs), 0.002),
        ("drawing as letters", within.slowest_drawing_seconds(terminal_lines, runs), 0.005),
        ("drawing as SVG", within.slowest_drawing_seconds(svg_text, runs), 0.005),
    ):
        yield what, ms(seconds), ms(goal), seconds / goal, 1, ""


def _questions() -> Iterator[Line]:
    kinds = [
        ("the route", within.shipped_question_seconds(), {0.5: 0.0015, 0.99: 0.006}),
        ("a diagnosis", within.shipped_question_seconds(20, diagnosis=True), {0.5: 0.0015, 0.99: 0.006}),
        ("1,000 generated rules", within.generated_question_seconds(1000), {0.99: 0.010}),
    ]
    for name, times, goals in kinds:
        for share, goal in goals.items():
            title, taken = f"p{share * 100:.0f}", within.share_at(times, share)
            yield f"next question, {name}, {title}", ms(taken), ms(goal), taken / goal, 1, WHY_QUESTION


def _engines(one: Compared) -> Iterator[Line]:
    rules = f"{one.rules:,} rules"
    beside = f"CLIPS from text {ms(one.clips_load)}, from its binary {ms(one.clips_load_binary)}"
    yield f"load {rules} from the cache", ms(one.load), beside, one.load / one.clips_load, 0.4, WHY_LOAD
    beside = f"CLIPS {ms(one.clips_run)}; {one.answers} answer sets, the same conclusions"
    yield f"evaluate {rules}", ms(one.run), beside, one.run / one.clips_run, 0.5, ""


def _proofs() -> Iterator[Line]:
    shipped = proved(SHIPPED)
    yield "proof of the shipped rules", _proof(shipped), "60 s", shipped.seconds / 60, 1, ""
    fewer: Proved | None = None
    for count in (100, 1000, 10_000):
        one = proved(count)
        if fewer is None:
            yield f"proof of {count} generated rules", _proof(one), "60 s", one.seconds / 60, 1, ""
        else:
            beside = f"{count // fewer.rules} times {fewer.rules:,} rules: {fewer.seconds:.1f} s"
            ratio = one.seconds / fewer.seconds * fewer.rules / count
            yield f"proof of {count:,} generated rules", _proof(one), beside, ratio, 1, WHY_PROOF
        fewer = one


def _proof(one: Proved) -> str:
    return f"{one.seconds:.1f} s, {one.megabytes} MB"


if __name__ == "__main__":
    main()
