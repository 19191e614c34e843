"""Advices to hold laws against, and what a law reads of them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from random import Random

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.checking import doubtful, facts_of, impossible
from advisor.advice.documents.advice import Advice
from advisor.engine import Conclusions, ContradictionError, NotKnown, conclude
from advisor.errors import InputError
from advisor.rulebase.model import Several, Value
from advisor.units import Range
from tests.benchmarks.questions import batch, rules
from tests.conftest import ROOT

_DRAWN_AGAIN = ("batch_mass", "gold_share", "sulphide_share", "black_sand_share", "quartz_share", "scale_step")


def printed(seed: int) -> Advice:
    """The advice of a drawn batch; every other one is a worked case with some answers drawn anew.

    Drawn at random hardly any batch may use lead, or holds galena or copper; the cases do. Answers that cannot be are
    asked back about and get no advice.
    """
    drawn = batch(seed) if seed % 2 == 0 else {}
    if not drawn or _cannot_be(conclude(rules(), drawn)):
        drawn = _like_a_case(seed)
    return build_advice(conclude(rules(), drawn), look_for_changes=False)


def _cannot_be(found: Conclusions) -> bool:
    """Whether answers exclude each other; a trial fusion that no such sand can give is one of them."""
    doubts = [fact.name for check in doubtful(found) for fact in facts_of(check, rules())]
    return bool(impossible(found)) or "trial_button" in doubts


def _like_a_case(seed: int) -> Mapping[str, Value | NotKnown]:
    random = Random(seed)
    while True:
        answers = dict(random.choice(_worked()))
        for name in random.sample(_DRAWN_AGAIN, 2):
            if isinstance(answers.get(name), Range):
                answers[name] = answers[name] * Range.exact(random.choice((0.5, 0.8, 1.2, 2.0)))  # type: ignore[operator]
        reagents = answers.get("reagents")
        if isinstance(reagents, Several) and random.random() < 0.5:
            gone = random.choice(sorted(reagents.present) or [""])
            answers["reagents"] = Several(reagents.present - {gone}, reagents.unsure)
            answers.pop(f"stock_{gone}", None)
        try:
            found = conclude(rules(), answers)
            if found.kind in ("work", "first") and not _cannot_be(found):
                return answers
        except (ContradictionError, InputError):
            continue


@cache
def _worked() -> list[Mapping[str, Value | NotKnown]]:
    """The answers of every worked case that is worked."""
    read = (read_batch(path, rules()) for path in sorted((ROOT / "cases").glob("*.yaml")))
    return [one.answers for one in read if one.expected is not None and one.expected.outcome in ("work", "first")]


def scale_step(advice: Advice) -> float:
    """The step of the scale in g; 0 where it is not known."""
    answer = next((a.value for a in advice.answers if a.fact == "scale_step" and a.origin == "given"), "")
    found = re.match(r"([\d.]+) (m?g)", answer)
    return 0.0 if found is None else float(found.group(1)) * (0.001 if found.group(2) == "mg" else 1)


def figures(advice: Advice) -> dict[str, tuple[float, float, float]]:
    """Every computed figure by its name; of two of one name the first, which is the charge's."""
    found: dict[str, tuple[float, float, float]] = {}
    for group in advice.computed.groups if advice.computed else ():
        for figure in group.figures:
            found.setdefault(figure.name, (figure.low, figure.likely, figure.high))
    return found
