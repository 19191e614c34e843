"""Laws of every screen of an advice or a diagnosis at 80 by 24: ``python -m tests.present.screens.screen_laws``.

Each law looks at the lines that a person reads. A breach is told as a sentence.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from itertools import pairwise
from random import Random
from typing import TypeVar

from advisor.advice.build_advice import build_advice
from advisor.advice.checking import impossible
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import HazardNote
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.plan.weighing import weight_words
from advisor.engine import NOT_KNOWN, ContradictionError, conclude
from advisor.errors import InputError
from advisor.present.screens import diagnosis as of_diagnosis
from advisor.present.screens import first as of_advice
from advisor.present.screens.layout import WIDTH, Line
from advisor.present.screens.phases import PhaseScreen, phase_screens
from advisor.terminal.consult.keys import keys_line
from advisor.terminal.consult.work import KEYS
from advisor.units import Range
from tests.advice.document_laws import look_at_many
from tests.benchmarks.questions import batch, rules
from tests.terminal.program import flat

ROWS, COLUMNS = 24, 80
_SEVERAL = 5


T = TypeVar("T")


def once(make: Callable[[Advice | Diagnosis], T]) -> Callable[[Advice | Diagnosis], T]:
    """What is made of a document, made once for all laws that look at the same one in turn."""
    made: list[tuple[Advice | Diagnosis, T]] = []

    def of(document: Advice | Diagnosis) -> T:
        if not made or made[-1][0] is not document:
            made[:] = [(document, make(document))]
        return made[-1][1]

    return of


@once
def first_lines(document: Advice | Diagnosis) -> list[str]:
    """The first screen as it is printed at 80 columns."""
    ending = [Line(keys_line(document))]
    if isinstance(document, Advice):
        return [line.text for line in of_advice.first_screen(document, WIDTH, ending)]
    return [line.text for line in of_diagnosis.first_screen(document, WIDTH, ending)]


@once
def work_screens(document: Advice | Diagnosis) -> list[PhaseScreen]:
    """The work as it is led at 80 by 24: two lines are for the keys and what is typed."""
    return phase_screens(document, WIDTH, ROWS - 2)


def first_screen_fits(document: Advice | Diagnosis) -> Iterator[str]:
    """One screen is one screen; the last line is for typing."""
    lines = first_lines(document)
    if len(lines) >= ROWS:
        yield f"{len(lines)} lines"
    yield from (f"too wide: {line}" for line in lines if len(line) >= COLUMNS)


def first_screen_names_what_kills(document: Advice | Diagnosis) -> Iterator[str]:
    """Every deadly danger by name and sign; where nothing is begun, or a lump has its name, those there in any case."""
    shown = flat(" ".join(first_lines(document)))
    works = document.outcome in ("work", "first") and not is_named_lump(document)
    for hazard in document.hazards:
        if hazard.severity == "deadly" and (hazard.certain or works):
            yield from (f"{hazard.id}: no '{words}'" for words in (hazard.called, hazard.sign) if words not in shown)


def is_named_lump(document: Advice | Diagnosis) -> bool:
    """Whether it says what a lump is: it is kept under its name, and nobody works with it."""
    return isinstance(document, Diagnosis) and any(cause.taken and cause.names_it for cause in document.causes)


def _told_looks(document: Advice | Diagnosis) -> list[str]:
    """The looks that have to stand there: as many as a hand can do, or the first ones, and that there are others."""
    titles = [look.title for look in document.looks]
    if isinstance(document, Advice) or (document.likely is None and document.tied is None):
        return titles[:_SEVERAL]
    most = 2 if document.tied is None else 1
    left = len(titles) - most
    return [*titles[:most], *([f"{left} other look"] if left > 0 else [])]


def first_screen_says_what_to_do(document: Advice | Diagnosis) -> Iterator[str]:
    """What to do, what is lacking, how much; of a stop why, what lifts it and what is done now."""
    shown = flat(" ".join(first_lines(document)))
    wanted: list[str] = []
    if document.outcome in ("work", "first"):
        wanted += [one.called for one in document.first]
    elif document.outcome == "find_out":
        wanted += _told_looks(document)
    elif document.lifts and isinstance(document, Advice):
        wanted += [document.lifts[0].because, document.lifts[0].lifted_by]
    if isinstance(document, Advice):
        wanted += [document.route_title.upper()] if document.outcome != "find_out" else []
        for amount in document.amounts.values():
            wanted += [weight_words(Range.exact(amount.likely_g)), *amount.title.split()]
    elif document.outcome != "find_out":
        wanted.append(document.remedy.title.upper())
    if isinstance(document, Diagnosis) and document.likely is not None:
        wanted.append(document.likely.title)
    if document.outcome == "stop" and document.steps:
        wanted.append("NOW")
    yield from (f"no '{words}'" for words in map(flat, wanted) if words not in shown)


def first_screen_shows_every_heat(document: Advice | Diagnosis) -> Iterator[str]:
    """Each heat of the work lies within the rows of the table, and each row is one that a step asks for."""
    if not isinstance(document, Advice) or document.outcome not in ("work", "first"):
        return
    shown = " ".join(first_lines(document))
    for step in document.steps:
        if step.temperature_c is not None:
            ends = {f"{step.temperature_c.low:.0f}", f"{step.temperature_c.high:.0f}"}
            missing = [end for end in ends if f"{end}-" not in shown and f"-{end} °C" not in shown]
            if len(missing) == len(ends) and step.called not in (None, "open", "drive", "cupels, empty"):
                yield f"step {step.id}: {ends} on no row"


def phases_fit(document: Advice | Diagnosis) -> Iterator[str]:
    """A phase is as many screens as it takes, each no larger than the terminal with its keys."""
    for screen in work_screens(document):
        lines = [*(line.text for line in screen.lines), KEYS]
        if len(lines) >= ROWS:
            yield f"{screen.phase.id}: {len(lines)} lines"
        yield from (f"{screen.phase.id}: too wide: {line}" for line in lines if len(line) >= COLUMNS)


def figures_keep_their_units(document: Advice | Diagnosis) -> Iterator[str]:
    """No line ends with a figure whose unit begins the next one."""
    for lines in (first_lines(document), *([line.text for line in one.lines] for one in work_screens(document))):
        for line, following in pairwise(lines):
            if re.search(r"\d$", line) and re.match(r"\s*(?:g|kg|mg|ml|l|min|h|°C|%|parts?)(?!\w)", following):
                yield f"{line.split()[-1]} and then {following.strip()[:10]}"


def every_step_stands_in_one_phase(document: Advice | Diagnosis) -> Iterator[str]:
    """No step and no preparation is dropped or told twice to make it fit."""
    screens = work_screens(document)
    steps = Counter(number for one in screens for number in one.steps)
    prepared = Counter(name for one in screens for name in one.preparations)
    if steps != Counter(step.number for step in document.steps):
        yield f"steps {sorted(steps.elements())}"
    if document.phases and prepared != Counter(one.id for one in document.first):
        yield f"preparations {sorted(prepared)}"


def every_danger_stands_at_a_phase(document: Advice | Diagnosis) -> Iterator[str]:
    """A hazard is told where it is met, by name and sign: a deadly one at the head of each screen of its phase, another
    one on some screen of it; its control once."""
    if not document.phases:
        return
    screens = work_screens(document)
    controls = Counter(name for one in screens for name in one.controls)
    if controls != Counter(hazard.id for hazard in document.hazards):
        yield f"controls of {sorted((controls - Counter(h.id for h in document.hazards)).elements())} or not all"
    for phase in document.phases:
        ours = [screen for screen in screens if screen.phase.id == phase.id]
        for hazard in document.hazards:
            named = [is_named(hazard, screen) for screen in ours]
            if hazard.id in phase.hazards and not (all(named) if hazard.severity == "deadly" else any(named)):
                yield f"{phase.id}: {hazard.id} is not named"


def is_named(hazard: HazardNote, screen: PhaseScreen) -> bool:
    """Whether a screen of the work names a hazard and its sign at its head."""
    head = [line.text for line in screen.lines]
    shown = flat(" ".join(head[: next(n for n, line in enumerate(head) if line.startswith("---"))]))
    return hazard.called in shown and hazard.sign in shown


def a_step_is_told_with_its_dangers(document: Advice | Diagnosis) -> Iterator[str]:
    """What a step, or what is prepared, can do to people stands at the head of its own screen."""
    hazards = {hazard.id: hazard for hazard in document.hazards}
    for screen in work_screens(document):
        met = [(one.id, name) for one in document.steps if one.number in screen.steps for name in one.hazards]
        met += [(one.id, name) for one in document.first if one.id in screen.preparations for name in one.hazards]
        for what, name in met:
            if name in hazards and not is_named(hazards[name], screen):
                yield f"{what}: {name} stands elsewhere"


LAWS = (
    first_screen_fits,
    first_screen_names_what_kills,
    first_screen_says_what_to_do,
    first_screen_shows_every_heat,
    phases_fit,
    figures_keep_their_units,
    every_step_stands_in_one_phase,
    every_danger_stands_at_a_phase,
    a_step_is_told_with_its_dangers,
)


def drawn(seed: int) -> Advice | None:
    """An advice for a drawn batch: as it is, with answers left out, or with answers not known."""
    rule_base, dice = rules(), Random(seed)
    written = batch(seed)
    kind = seed % 3
    if kind:
        names = sorted(written)
        for name in dice.sample(names, dice.randint(1, max(1, len(names) // (1 + kind)))):
            if kind == 1:
                del written[name]
            else:
                written[name] = NOT_KNOWN
    try:
        conclusions = conclude(rule_base, written)
        if impossible(conclusions):
            return None
        return build_advice(conclusions, f"Batch {seed}", look_for_changes=False)
    except (ContradictionError, InputError):
        return None


def breaches(seed: int) -> list[str]:
    """What the screens of one drawn batch break."""
    advice = drawn(seed)
    return [] if advice is None else [f"{law.__name__}: {said}" for law in LAWS for said in law(advice)]


def main() -> None:
    """Look at many drawn batches and tell what they break."""
    look_at_many(breaches, "batches", 10_000)


if __name__ == "__main__":
    main()
