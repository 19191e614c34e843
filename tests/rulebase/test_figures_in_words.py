"""Figures of law, heat, mass and time in sentences are those of the rules; none stands there unaccounted for."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from copy import deepcopy
from functools import cache

import pytest

from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import parse_yaml
from tests.conftest import ROOT
from tests.rulebase.told import NUMBERS, ON_ITS_OWN, TOLD, Rows, Told, row

RULES = ROOT / "rules"
NO_WORDS = {"source", "sources", "advice_source", "id", "columns", "every", "rising", "draw", "when_unknown", "time"}
NO_WORDS |= {"formula", "when", "lacking", "of", "provided", "then", "wanted"}
NO_WORDS |= {"reaction", "gives", "least", "low", "likely", "high", "most"}
"""Keys under which no sentence stands, but data, a condition or a formula."""

_DIGITS = r"(?<![\w.])\d[\d,]*(?:\.\d+)?"
_WORDS = rf"(?:{_DIGITS}|\b(?:{'|'.join(NUMBERS)})\b)"
_MASS = r"(?:micrograms|milligrams|mg|kg|kilograms?|g|grams?|parts|%|per\s?cent)(?!\w)"
_TIME = r"(?:seconds?|minutes?|min|hours?|h|days?|months?)\b(?!')"
COUNTED = re.compile(
    rf"{_DIGITS}(?:(?: to | or | and |-){_DIGITS})? ?{_MASS}|{_WORDS}(?:(?: to | or | and |-){_WORDS})? ?{_TIME}",
    re.IGNORECASE,
)
"""Figures of mass, of parts and of time, which a table or the words of ``ON_ITS_OWN`` have to account for."""

AMOUNT = re.compile(rf"(?:{COUNTED.pattern})(?:/\w+)?", re.IGNORECASE)
"""A text that is an amount and no sentence."""

FIGURE = re.compile(rf"\d|{_WORDS} ?{_TIME}", re.IGNORECASE)


def texts_of(value: object, place: str) -> Iterator[tuple[str, str]]:
    """Every text of the rules with its place; a rule is named by its id."""
    if isinstance(value, dict):
        for key, one in value.items():
            if key not in NO_WORDS:
                yield from texts_of(one, f"{place}.{key}")
    elif isinstance(value, list):
        for number, one in enumerate(value):
            yield from texts_of(one, f"{place}.{one['id'] if isinstance(one, dict) and 'id' in one else number}")
    elif isinstance(value, str) and FIGURE.search(value) and not AMOUNT.fullmatch(value):
        yield place, " ".join(value.split())


@cache
def files() -> dict[str, object]:
    """What stands in each file of the rules."""
    paths = (path for path in sorted(RULES.rglob("*.yaml")) if not {"drawings", "sources"} & set(path.parts))
    names = {str(path.relative_to(RULES)): path.read_text(encoding="utf-8") for path in paths}
    return {name: parse_yaml(text, name).data for name, text in names.items()}


@cache
def shipped_texts() -> dict[str, str]:
    """The texts of all rules with a figure in them, by their places."""
    return dict(one for name, data in files().items() for one in texts_of(data, name))


def conditions_of(value: object, place: str) -> Iterator[dict[str, str]]:
    """Every condition and formula of the rules with its place."""
    if isinstance(value, dict):
        for key, one in value.items():
            if key in {"when", "of", "lacking", "formula"} and isinstance(one, str):
                yield {"place": f"{place}.{key}", "text": " ".join(one.split())}
            else:
                yield from conditions_of(one, f"{place}.{key}")
    elif isinstance(value, list):
        for number, one in enumerate(value):
            yield from conditions_of(one, f"{place}.{one['id'] if isinstance(one, dict) and 'id' in one else number}")


@pytest.fixture(scope="module")
def rows(diagnosing: RuleBase) -> Rows:
    found = {name: [dict(one) for one in table] for name, table in Tables(diagnosing).by_name.items()}
    amounts = {name: one.amount.likely for name, one in diagnosing.thresholds.items()}
    times = {**diagnosing.preparations, **diagnosing.steps}
    return {
        **found,
        "thresholds": [{"name": name, "value": value} for name, value in amounts.items()],
        "checks": [{"check": name, "bound": one.at_most or one.at_least} for name, one in diagnosing.checks.items()],
        "minerals": [{"mineral": name, "formula": one.entry.formula} for name, one in diagnosing.minerals.items()],
        "amounts": [{"amount": name, "likely": one.entry.parts.likely} for name, one in diagnosing.amounts.items()],
        "times": [
            {"of": name, "low": one.time_min.low, "likely": one.time_min.likely, "high": one.time_min.high}
            for name, one in times.items()
            if one.time_min
        ],
        "conditions": [one for name, data in files().items() for one in conditions_of(data, name)],
    }


def value_of(said: str) -> float:
    """A figure as it is said, in digits or as a word."""
    return NUMBERS.get(said.lower()) or float(said.replace(",", ""))


@cache
def matches(words: str, said: str) -> tuple[tuple[tuple[int, int], tuple[str, ...]], ...]:
    """Where a pattern is found in a text, with its figures; most texts are looked at again and again."""
    return tuple((one.span(), one.groups()) for one in re.finditer(words, said))


@cache
def counted(said: str) -> tuple[tuple[int, int], ...]:
    """Where the figures of a text stand that have to be accounted for."""
    return tuple(one.span() for one in COUNTED.finditer(said))


@cache
def accounted(said: str) -> tuple[tuple[str, tuple[int, int]], ...]:
    """The words of a text that account for figures without a table, and where they first stand."""
    return tuple((words, (at, at + len(words))) for words in ON_ITS_OWN if (at := said.find(words)) >= 0)


def agree(told: Told, said: tuple[str, ...], wanted: tuple[float, ...]) -> bool:
    """Whether figures are those of the tables; what is calculated, as closely as it is said."""
    if told.calculated:
        wanted = tuple(
            round(one + 1e-9, len(figure.partition(".")[2])) for figure, one in zip(said, wanted, strict=True)
        )
    return tuple(value_of(figure) for figure in said) == pytest.approx(wanted)


def faults_in(place: str, said: str, wanted: Mapping[Told, tuple[float, ...]]) -> Iterator[str]:
    """Figures of one text that are not those of the tables, and figures that nothing accounts for."""
    known = [span for _, span in accounted(said)]
    for told, figures in wanted.items():
        for span, found in matches(told.words, said) if place.endswith(told.where) else ():
            known.append(span)
            if not agree(told, found, figures):
                yield f"{place}: {said[slice(*span)]!r}, and the tables say {figures}"
    for start, end in counted(said):
        if not any(first <= start and end <= last for first, last in known):
            yield f"{place}: {said[start:end]!r} is in no table"


def wanted_by(rows: Rows) -> dict[Told, tuple[float, ...]]:
    """The figures that the tables want in the words of ``TOLD``."""
    return {told: told.figures(rows) for told in TOLD}


def test_every_figure_in_a_sentence_is_that_of_its_table(rows: Rows) -> None:
    wanted = wanted_by(rows)
    assert [fault for place, said in shipped_texts().items() for fault in faults_in(place, said, wanted)] == []


def test_every_word_of_these_tests_is_said_by_a_rule() -> None:
    texts = shipped_texts()
    kept = {words for said in texts.values() for words, _ in accounted(said)}
    assert [words for words in ON_ITS_OWN if words not in kept] == []
    assert [
        told.words
        for told in TOLD
        if not any(matches(told.words, said) for place, said in texts.items() if place.endswith(told.where))
    ] == []


def test_no_figure_of_a_sentence_can_become_another_unseen(rows: Rows) -> None:
    wanted = wanted_by(rows)
    unseen = []
    for place, said in shipped_texts().items():
        for start, end in counted(said):
            for figure in re.finditer(_WORDS, said[start:end], re.IGNORECASE):
                before, after = said[: start + figure.start()], said[start + figure.end() :]
                other = "thirty" if figure[0].lower() in NUMBERS else format(value_of(figure[0]) * 3 + 1, "g")
                if not any(faults_in(place, before + other + after, wanted)):
                    unseen.append(f"{place}: {other} for {figure[0]} in {said[start:end]!r}")
    assert unseen == []


@pytest.mark.parametrize(
    ("ends", "old", "new"),
    [
        ("lead-fume.authority", "50 micrograms", "500 micrograms"),
        ("lead-fume.authority", "action at 30", "action at 40"),
        ("lead-fume.controls.3.do", "limit of 50", "limit of 150"),
        ("arsenic-fume.authority", "10 micrograms", "100 micrograms"),
        ("arsenic-fume.authority", "action at 5", "action at 15"),
        ("arsenic-stays-cold-here.reason", "0.01 mg", "0.1 mg"),
        ("arsenic-fume.controls.1.do", "5 milligrams", "50 milligrams"),
        ("sulphur-dioxide.authority", "5 parts per million", "15 parts per million"),
        ("sulphur-dioxide.authority", "2 advised", "3 advised"),
        ("sulphur-dioxide.controls.0.do", "100 parts", "1000 parts"),
        ("antimony-fume.authority", "0.5 milligrams", "5 milligrams"),
        ("zinc-fume.authority", "5 milligrams", "8 milligrams"),
        ("spent-lead-cupels.controls.1.do", "5 milligrams", "50 milligrams"),
        ("lead-builds-up-unseen.authority", "60 micrograms", "80 micrograms"),
        ("lead-builds-up-unseen.authority", "a mean of 50", "a mean of 60"),
        ("silica-dust.authority", "50 micrograms", "500 micrograms"),
        ("carbon-monoxide.authority", "35 parts", "350 parts"),
        ("get_a_fire.done_when", "1064", "1046"),
        ("roast-burn-off.do", "650 °C", "750 °C"),
        ("cupel-finish-hot.reason", "120 to 130 °C", "20 to 30 °C"),
        ("smelt-litharge.reason", "20 g for", "200 g for"),
        ("iron-smelt-weigh-soda.reason", "200 g", "20 g"),
        ("too-much-sulphide-for-nitre.reason", "2.5 g", "25 g"),
        ("trial-fusion-weigh.brief", "50 g", "5 g"),
        ("keep-what-it-will-need.brief", "soda 3.8", "soda 8.3"),
        ("roast-matte-smelt.do", "45 g", "54 g"),
        ("recupel-lead-make-lead.do", "0.8 g", "8 g"),
        ("button_charge.explain", "11 g", "1.1 g"),
        ("flour_short.next_batch.0.do", "12 g", "21 g"),
        ("nitre_ate_collector.means", "4 g", "40 g"),
        ("cupel-choose-after-weighing.do", "15 g", "50 g"),
        ("nickel_in_cupel.put_right.0.reason", "4 g", "40 g"),
        ("batch-too-large.say", "20 kg", "2 kg"),
        ("batch-of-a-pinch.say", "10 g", "100 g"),
        ("hydrated-borax.controls.0.do", "47 g", "74 g"),
        ("get_soda_ash.do", "1.6 g", "6.1 g"),
        ("test_the_lead.do", "2 g of flour", "20 g of flour"),
        ("facts.gold_share.find_out", "20 g", "200 g"),
        ("matte_in_clean_melt.next_batch.0.do", "5 %", "50 %"),
        ("gold-left-in-cupels.reason", "0.16 %", "1.6 %"),
        ("iron-smelt-full-heat.do", "20 minutes", "2 minutes"),
        ("pot_settled.ask", "1 to 2 minutes", "10 to 20 minutes"),
        ("cupel-spitting.brief", "5 to 10 minutes", "1 to 2 minutes"),
        ("frozen_at_start.next_batch.0.do", "10 minutes", "2 minutes"),
        ("keep-fire-charge.look_for", "ten minutes", "two minutes"),
        ("matte-heat.do", "20 to 30 minutes", "20 to 30 hours"),
        ("rerun-melt.do", "half an hour", "two hours"),
        ("borax-melt-heat.do", "five to twenty minutes", "one to two minutes"),
        ("ready-the-mould.do", "quarter of an hour", "half an hour"),
        ("roast-smelt-mix.do", "five minutes", "twenty minutes"),
        ("molten-splash.controls.4.do", "20 minutes", "2 minutes"),
        ("leave-cool.do", "three hours", "one hour"),
        ("hours_for_the_correction.do", "Two hours", "One hour"),
        ("cupels_dry.ask", "three days", "three hours"),
        ("lead-builds-up-unseen.controls.0.do", "every three months", "every six months"),
    ],
)
def test_another_figure_in_a_sentence_is_found(rows: Rows, ends: str, old: str, new: str) -> None:
    (place,) = (one for one in shipped_texts() if one.endswith(ends))
    said = shipped_texts()[place]
    assert old in said
    assert list(faults_in(place, said.replace(old, new, 1), wanted_by(rows))) != []


@pytest.mark.parametrize(
    ("table", "key", "column"),
    [
        ("air_limits", {"agent": "lead", "body": "OSHA, United States", "kind": "action"}, "value"),
        ("air_limits", {"agent": "sulphur_dioxide", "body": "NIOSH, United States", "kind": "danger"}, "value"),
        ("leach_limits", {"element": "arsenic"}, "value"),
        ("blood_lead_limits", {"rule": "mean"}, "value"),
        ("cupel_heat", {"collector": "lead", "material": "any", "stage": "drive"}, "low"),
        ("gas_heat", {"stage": "late"}, "heat"),
        ("thresholds", {"name": "melting_temperature_gold"}, "value"),
        ("reductants", {"reductant": "flour"}, "likely"),
        ("oxidants", {"oxidant": "nitre"}, "likely"),
        ("nitre_most", {}, "high"),
        ("trial_fusion", {"what": "litharge"}, "mass"),
        ("cupel_sizes", {"size": "small"}, "button_at_most_g"),
        ("cupel_loss_curves", {"metal": "gold", "lead_per_precious": 20}, "loss_percent"),
        ("correction_lost_gold", {"case": "cupel_smelt", "what": "soda_per_g"}, "likely"),
        ("correction_frozen", {"case": "any", "what": "preheat_min"}, "high"),
        ("correction_reheat", {"case": "any", "what": "after_quiet_min"}, "likely"),
        ("thresholds", {"name": "sulphide_limit_direct"}, "value"),
        ("checks", {"check": "batch-too-large"}, "bound"),
        ("amounts", {"amount": "smelt-litharge"}, "likely"),
        ("times", {"of": "iron-smelt-full-heat"}, "likely"),
        ("times", {"of": "leave-cool"}, "low"),
    ],
)
def test_another_figure_in_a_table_is_found(rows: Rows, table: str, key: dict[str, object], column: str) -> None:
    other = deepcopy(rows)
    row(other, table, **key)[column] *= 1.1
    wanted = wanted_by(other)
    assert any(fault for place, said in shipped_texts().items() for fault in faults_in(place, said, wanted))


def strangers(brief: str, rest: str) -> set[float]:
    """The figures of a brief that the rest of its rule does not say; those that the plan fills in are none."""
    digits = re.findall(_DIGITS, re.sub(r"{\w+}", "", brief))
    said = re.findall(_WORDS, re.sub(r"{\w+}", "", rest), re.IGNORECASE)
    return {value_of(one) for one in digits} - {value_of(one) for one in said}


@pytest.fixture(scope="module")
def briefs(diagnosing: RuleBase) -> dict[str, tuple[str, str]]:
    """The brief of every step and hazard that has one, and what else it says, in words and of heat and time."""
    found = {}
    for name, step in diagnosing.steps.items():
        entry, times, heat = step.entry, step.time_min, step.temperature_c
        minutes = (times.low, times.high, times.low / 60, times.high / 60) if times else ()
        figures = (*minutes, heat.low, heat.high) if heat else minutes
        rest = (entry.do, entry.look_for or "", entry.reason or "", *(format(one, "g") for one in figures))
        found[name] = (entry.brief or "", " ".join(rest))
    for name, hazard in diagnosing.hazards.items():
        rest = (hazard.entry.harm, hazard.entry.authority or "", *(one.do for one in hazard.entry.controls))
        found[name] = (hazard.entry.brief, " ".join(rest))
    return found


def test_a_brief_says_no_figure_that_its_rule_does_not(briefs: Mapping[str, tuple[str, str]]) -> None:
    assert {name: found for name, (brief, rest) in briefs.items() if (found := strangers(brief, rest))} == {}


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("trial-fusion-weigh", "3 g baking", "4 g baking"),
        ("roast-matte-smelt", "borax 16", "borax 61"),
        ("cupel-heat-cupels", "cement 20", "cement 25"),
        ("melt-sandy-hold", "15 to 30", "15 to 20"),
        ("leave-cool", "3 h", "1 h"),
        ("molten-splash", "20 minutes", "2 minutes"),
        ("lead-builds-up-unseen", "3 months", "9 months"),
    ],
)
def test_another_figure_in_a_brief_is_found(
    briefs: Mapping[str, tuple[str, str]], name: str, old: str, new: str
) -> None:
    brief, rest = briefs[name]
    assert old in brief
    assert strangers(brief.replace(old, new), rest)
