"""Our engine beside CLIPS: the same generated rules, the same answers, the same conclusions."""

from __future__ import annotations

import gc
import os
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import TypeVar
from unittest.mock import patch

from advisor.engine.conclude import Conclusions, conclude
from advisor.rulebase import loading
from advisor.rulebase.compiling import limits
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.model import RuleBase
from tests.benchmarks import clips_engine
from tests.benchmarks.clips_engine import Outcome, clips_facts, write_clips
from tests.benchmarks.generated import Drawn, as_answers, drawn_answers, generated_rules, write_rule_files

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Compared:
    """Processor seconds of both engines for rules of one number.

    Attributes:
        rules: How many.
        load: Ours, from the cache and ready to conclude.
        load_files: Ours, from the rule files, with every check.
        clips_load: CLIPS, from its own text.
        clips_load_binary: CLIPS, from its own binary file.
        run: Ours, from answers to conclusions with hazards; the median.
        clips_run: CLIPS, from facts to an empty agenda; the median.
        answers: How many sets of answers both came to the same conclusions for.
    """

    rules: int
    load: float
    load_files: float
    clips_load: float
    clips_load_binary: float
    run: float
    clips_run: float
    answers: int


@contextmanager
def generated_base(count: int) -> Iterator[Path]:
    """A folder with generated rules in place of the shipped ones, and a cache of its own."""
    with tempfile.TemporaryDirectory() as folder:
        files, cache = Path(folder) / "rules", Path(folder) / "cache"
        files.mkdir()
        write_rule_files(generated_rules(count), files)
        shipped = patch.object(loading, "shipped", lambda _: files)
        # The program refuses so many rules, since no shop needs them; here they show how it would grow.
        larger = patch.object(limits, "MOST_ENTRIES", 100_000)
        with shipped, larger, patch.dict(os.environ, {"ADVISOR_CACHE": str(cache)}):
            yield Path(folder)


def ready() -> RuleBase:
    """The rule base from the cache, with all that is made on first use."""
    rule_base = loading.load_rule_base()
    concluded(rule_base, drawn_answers(Random(0)))
    return rule_base


def concluded(rule_base: RuleBase, drawn: Drawn) -> tuple[Conclusions, list[str]]:
    """Decision and hazards for some answers."""
    conclusions = conclude(rule_base, as_answers(drawn))
    return conclusions, conclusions.hazards()


def our_outcome(rule_base: RuleBase, drawn: Drawn) -> Outcome:
    """What our engine concludes, in the form of the other's."""
    conclusions, hazards = concluded(rule_base, drawn)
    outcome = conclusions.outcomes["choice"]
    options = outcome.decision.options
    out = frozenset(option for place, option in enumerate(options) if outcome.tally.ruled_out(place) == HOLDS)
    assert all(low == high for low, high in outcome.support), "with every answer given no support is open"
    support = {option: low for option, (low, _) in zip(options, outcome.support, strict=True)}
    assert all(conclusions.truth(argument.condition) in (HOLDS, FAILS) for argument in outcome.decision.arguments)
    return outcome.chosen, support, out, frozenset(hazards)


def compare(count: int, answers: int = 20, loads: int = 3) -> Compared:
    """Both engines with so many rules.

    Raises:
        AssertionError: If they come to different conclusions.
    """
    drawn = [drawn_answers(Random(seed)) for seed in range(answers)]
    with generated_base(count) as folder:
        text, binary = folder / "rules.clp", folder / "rules.bin"
        write_clips(generated_rules(count), text)
        # An environment that wrote its binary form and then runs complains when it is given up, so one is for that.
        clips_engine.loaded(text).save(str(binary), binary=True)
        other = clips_engine.loaded(text)
        load_files, rule_base = timed(ready)
        for one in drawn:
            clips_engine.run(other, clips_facts(one))
            assert our_outcome(rule_base, one) == clips_engine.outcome(other), f"{count} rules, {one}"
        ways = (ready, lambda: clips_engine.loaded(text), lambda: clips_engine.loaded(binary, binary=True))
        # In turn, so that a busy moment of the machine meets all of them.
        ours, theirs, theirs_binary = zip(*([timed(way)[0] for way in ways] for _ in range(loads)), strict=True)
    runs, clips_runs = [], []
    for one in drawn:
        facts = clips_facts(one)
        runs.append(timed(lambda one=one: concluded(rule_base, one))[0])
        clips_runs.append(timed(lambda facts=facts: clips_engine.run(other, facts))[0])
    middle = statistics.median
    return Compared(
        rules=count,
        load=middle(ours),
        load_files=load_files,
        clips_load=middle(theirs),
        clips_load_binary=middle(theirs_binary),
        run=middle(runs),
        clips_run=middle(clips_runs),
        answers=answers,
    )


def timed(what: Callable[[], T]) -> tuple[float, T]:
    """Processor seconds that one call takes, and what it gives."""
    # As in a run of the program, which looks for no circles of garbage.
    gc.disable()
    start = time.process_time()
    result = what()
    seconds = time.process_time() - start
    gc.enable()
    return seconds, result
