"""Laws that hold of every diagnosis as it is printed: ``python -m tests.advice.piece_laws``.

Each piece is a worked one with some of its weights and shares drawn anew, and some answers left out.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from random import Random

from advisor.advice.build_diagnosis import build_diagnosis
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.next_batch import Plan, planned_answers
from advisor.engine import ContradictionError, NotKnown, conclude
from advisor.errors import InputError
from advisor.present.text.diagnosis import cause_lines
from advisor.rulebase.model import Value
from advisor.units import Range
from tests.advice.document_laws import look_at_many
from tests.present.screens.screen_laws import LAWS as SCREENS
from tests.shipped import PIECES, piece_of, plan_of
from tests.shipped import piece_rules as rules

_NOUGHT = re.compile(r"(?<![\d.,])0 (?:g|ml|pieces|min)\b(?! (?:to|in))")
_GRAMS = re.compile(r"\d g\b|\d g \(")
_MATERIALS = {
    "borax": r"\bborax\b",
    "soda": r"\bsoda( ash)?\b",
    "nitre": r"\bnitre\b",
    "litharge": r"\blitharge\b",
    "iron": r"\b(iron|nails?|rods?)\b",
    "flour": r"\bflour\b",
    "bismuth": r"\bbismuth\b",
    "lead": r"\b(sheet )?lead\b",
    "silver": r"\bsilver\b",
    "quartz": r"\b(quartz|silica|glass)\b",
}
_ALL_OF_IT = r"|flux|collector|charge\b|mixture|mixed|pouch|all of it|slag with|them\b"
"""Words by which a step means what was weighed without naming each."""
_AT_WORK = ("charge", "mix", "heat", "cupel", "roast")
_A_LITTLE = re.compile(r"pinch|little|cover|skin|scatter|glaze|if |If |or |no |not |without|never")
_ADDED = re.compile(r"\b(Add|add|Put|put|Mix|mix|Throw|throw|Lay|lay)\b")


@cache
def _worked() -> list[tuple[Mapping[str, Value | NotKnown], Plan | None]]:
    """The answers of every worked piece, what its plan answers among them, and the plan."""
    return [({**planned_answers(plan_of(path), rules()), **piece_of(path).answers}, plan_of(path)) for path in PIECES]


def printed(seed: int) -> Diagnosis:
    """The diagnosis of a drawn piece."""
    random = Random(seed)
    while True:
        worked, plan = random.choice(_worked())
        answers = dict(worked)
        amounts = [name for name, value in answers.items() if isinstance(value, Range) and value.high > 0]
        for name in random.sample(amounts, min(2, len(amounts))):
            answers[name] = answers[name] * Range.exact(random.choice((0.25, 0.5, 2.0, 4.0)))  # type: ignore[operator]
        if random.random() < 0.3:
            answers.pop(random.choice(sorted(answers)))
        try:
            found = conclude(rules(), answers)
            return build_diagnosis(found, plan=plan, look_for_changes=False)
        except (ContradictionError, InputError):
            continue


def nothing_is_weighed_as_nought(diagnosis: Diagnosis) -> Iterator[str]:
    """No step tells to weigh 0 g or to take 0 cupels, nor to weigh what comes to nothing or cannot be reckoned."""
    for step in diagnosis.steps:
        for text in (step.do, step.look_for or "", step.brief or ""):
            yield from (f"{step.id}: {found.group()}" for found in _NOUGHT.finditer(text))
            if step.stage == "weigh_out" and "cannot be computed" in text:
                yield f"{step.id}: an amount that cannot be computed"
        for name in rules().steps[step.id].placeholders if step.only_if is None else ():
            figure = diagnosis.figures.get(name)
            if figure is not None and rules().figures[name].entry.material and figure.high <= 0:
                yield f"{step.id}: nothing of {name}"


def figures_are_numbers_that_rise(diagnosis: Diagnosis) -> Iterator[str]:
    """Each figure has its ends in order, none of them below nothing, and one value under one title."""
    by_title: dict[str, tuple[float, float, float]] = {}
    for name, figure in diagnosis.figures.items():
        least = -1e9 if figure.title.startswith("difference") else 0
        if not least <= figure.low <= figure.likely <= figure.high < 1e9:
            yield f"{name}: {figure.low} to {figure.likely} to {figure.high}"
        shown = (figure.low, figure.likely, figure.high)
        if by_title.setdefault(f"{figure.title} {figure.unit}", shown) != shown:
            yield f"{figure.title}: {shown} and {by_title[f'{figure.title} {figure.unit}']}"


def what_is_weighed_is_used(diagnosis: Diagnosis) -> Iterator[str]:
    """What a step weighs for the correction a later step uses."""
    for number, step in enumerate(diagnosis.steps):
        for material in _weighed(step.do) if step.stage == "weigh_out" else ():
            later = " ".join(f"{s.do} {s.look_for or ''}" for s in diagnosis.steps[number + 1 :])
            if not re.search(
                _MATERIALS[material] + _ALL_OF_IT, later + step.do.split("Weigh", 1)[-1].partition(". ")[2]
            ):
                yield f"{step.id} weighs {material}, and nothing uses it"


def what_is_used_is_weighed(diagnosis: Diagnosis) -> Iterator[str]:
    """What a step adds by weight was weighed before; a pinch or a cover needs no scale."""
    weighed = {m for s in diagnosis.steps for sentence in _sentences(s.do) for m in _weighed(sentence)}
    if not weighed:
        return
    for step in diagnosis.steps:
        for sentence in _sentences(step.do) if step.stage in _AT_WORK else ():
            if not _ADDED.search(sentence) or _A_LITTLE.search(sentence) or _GRAMS.search(sentence):
                continue
            for material, words in _MATERIALS.items():
                if re.search(rf"(?:Add|add|Mix|mix|Throw|throw)\b.*{words}", sentence) and material not in weighed:
                    yield f"{step.id} adds {material}, not weighed"


def hazards_of_heat_are_there(diagnosis: Diagnosis) -> Iterator[str]:
    """Where a step heats or pours, the dangers of hot metal stand in the diagnosis."""
    hot = any(step.temperature_c is not None for step in diagnosis.steps)
    if hot and not {"molten-splash", "heat-and-glare", "hot-looks-cold"} & {h.id for h in diagnosis.hazards}:
        yield "heat, and no danger of heat"


def what_it_points_toward_was_seen(diagnosis: Diagnosis) -> Iterator[str]:
    """A cause is hinted at, or taken, only by something seen of the piece, and by more than a trace."""
    for line in cause_lines(diagnosis):
        named = [cause for cause in diagnosis.causes if cause.title in line]
        if "points toward" in line and not all(cause.seen and cause.support_now >= 3 for cause in named):
            yield line


def nothing_is_fine_beside_a_fault(diagnosis: Diagnosis) -> Iterator[str]:
    """That the whole is as it should be is not said beside a fault, nor that anything is fine."""
    faults = [cause.id for cause in diagnosis.causes if cause.taken and not cause.harmless]
    well = [cause.id for cause in diagnosis.causes if cause.taken and rules().causes[cause.id].entry.all_well]
    if faults and (well or any(line.startswith("FINE") for line in cause_lines(diagnosis))):
        yield f"{faults} and {well}"


def causes_as_likely_have_both_corrections(diagnosis: Diagnosis) -> Iterator[str]:
    """Of causes that are as likely the test that parts them is told, or else each correction with what it costs."""
    if diagnosis.tied is None:
        return
    if not diagnosis.tied.until_then or len({rival.remedy for rival in diagnosis.tied.rivals}) < 2:
        yield f"{diagnosis.tied}"
    yield from (rival.cause for rival in diagnosis.tied.rivals if not rival.if_wrong)


def no_heat_while_a_danger_is_open(diagnosis: Diagnosis) -> Iterator[str]:
    """What is done while a question about heat is open, or before something is found out, has no fire in it."""
    if diagnosis.no_heat_before or diagnosis.outcome == "find_out":
        for step in diagnosis.steps:
            acts = {act.split()[0] for act in rules().steps[step.id].entry.acts}
            if step.temperature_c is not None or acts & {"heat", "melt", "add", "pour", "drive", "roast", "dry"}:
                yield step.id


def _sentences(text: str) -> list[str]:
    return re.split(r"(?<=[.;]) ", text)


def _weighed(text: str) -> list[str]:
    """Materials in the sentences that say grams of them."""
    found = []
    for sentence in _sentences(text):
        if sentence.startswith("Weigh") and _GRAMS.search(sentence):
            told = sentence.split(" g", 1)[1]
            found += [name for name, words in _MATERIALS.items() if re.search(rf"of [a-z, -]*{words}", told)]
    return found


LAWS: tuple[Callable[[Diagnosis], Iterator[str]], ...] = (
    nothing_is_weighed_as_nought,
    figures_are_numbers_that_rise,
    what_is_weighed_is_used,
    what_is_used_is_weighed,
    hazards_of_heat_are_there,
    what_it_points_toward_was_seen,
    nothing_is_fine_beside_a_fault,
    causes_as_likely_have_both_corrections,
    no_heat_while_a_danger_is_open,
)


def breaches(seed: int) -> list[str]:
    """What one drawn piece breaks of these laws and of those of its screens, each with the law's name."""
    diagnosis = printed(seed)
    return [f"{law.__name__}: {said}" for law in (*LAWS, *SCREENS) for said in law(diagnosis)]


def main() -> None:
    """Look at many drawn pieces and tell what they break."""
    look_at_many(breaches, "pieces", 5_000)


if __name__ == "__main__":
    main()
