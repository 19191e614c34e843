"""Words apart from logic: every text has its place, may stand in another language, and decides nothing."""

from __future__ import annotations

import pickle
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from advisor import words
from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.build_diagnosis import build_diagnosis
from advisor.document import plain
from advisor.engine import conclude
from advisor.rulebase import image
from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.compiling.texts import SECTIONS, ShownText
from advisor.rulebase.engraving import written
from advisor.rulebase.entry import ROWS, Entry, as_written
from advisor.rulebase.language.conditions import Condition, Leaf, Named, leaves
from advisor.rulebase.language.words import NO_WORDS, spoken
from advisor.rulebase.loading import _parsed, _read_layers, load_rule_base, load_texts
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.layers import merge
from advisor.rulebase.reading.texts import placeholder_names
from tests.conftest import ROOT

CASES = sorted((ROOT / "cases").glob("*.yaml"))[::12]
PIECES = sorted((ROOT / "cases" / "diagnosis").glob("*.yaml"))[::30]


@cache
def texts() -> list[ShownText]:
    return load_texts()


@pytest.fixture(scope="module")
def whole() -> RuleBase:
    """The shipped rules of both consultations, with their promises."""
    return load_rule_base(use_cache=False, diagnosis=True, promises=True)


class Marked:
    """A language in which every text of the rules is itself between marks."""

    def __init__(self) -> None:
        self.asked: set[tuple[str, str]] = set()

    def gettext(self, text: str) -> str:
        return text

    def ngettext(self, one: str, many: str, count: int) -> str:
        return one if count == 1 else many

    def pgettext(self, context: str, text: str) -> str:
        self.asked.add((context, text))
        return f"«{text}»"


@pytest.fixture
def marked(monkeypatch: pytest.MonkeyPatch) -> Marked:
    language = Marked()
    monkeypatch.setattr(words, "_CATALOGUE", language)
    return language


def entries(rule_base: RuleBase) -> Iterator[Entry]:
    """Every entry of a rule base, with those inside."""
    waiting: list[Any] = [rule_base.entry]
    for section in SECTIONS:
        waiting += [getattr(thing, "entry", thing) for thing in getattr(rule_base, section).values()]
    while waiting:
        one = waiting.pop()
        if isinstance(one, Entry):
            yield one
            waiting += [getattr(one, name) for name in one.of_fields if name not in one.of_texts]
        elif isinstance(one, Mapping):
            waiting += one.values()
        elif isinstance(one, list | tuple):
            waiting += one


def strings(value: Any) -> list[str]:
    if isinstance(value, str):
        return [value]
    parts = value.values() if isinstance(value, Mapping) else value if isinstance(value, list) else []
    return [text for part in parts for text in strings(part)]


def test_every_text_of_the_rules_is_shown_in_another_language(whole: RuleBase, marked: Marked) -> None:
    another = load_rule_base(use_cache=False, diagnosis=True, promises=True)
    shown = 0
    for one, other in zip(entries(whole), entries(another), strict=True):
        for name, how in one.of_texts.items():
            if how != ROWS:
                told = strings(getattr(other, name))
                shown += len(told)
                assert all(text.startswith("«") for text in told if text), f"{other}, {name}"
            else:
                marks = [cell for row in getattr(other, name) for cell in row.values() if str(cell).startswith("«")]
                shown += len(marks)
    assert shown > 9_000
    listed = {(text.place, text.text) for text in texts()}
    assert marked.asked <= listed
    left = {place for place, _ in listed - marked.asked}
    assert left == set(), "a text that is listed for translators is shown somewhere"
    assert another.decisions["route"].arguments[0].condition.words.count("«")


def test_every_text_is_listed_once_with_its_place_and_line() -> None:
    places = [text.place for text in texts()]
    assert len(set(places)) == len(places)
    told = {text.place: text for text in texts()}
    for place, start in (
        ("facts.batch_mass.ask", "ask:"),
        ("decisions.route.options.smelt_iron.title", ""),
        ("base.groups.equipment", ""),
        ("hazards.molten-splash.controls.0.do", "do:"),
        ("tables.reagents.rows.borax_anhydrous.advice", ""),
    ):
        line = (ROOT / told[place].file).read_text(encoding="utf-8").splitlines()[told[place].line - 1]
        assert start in line, place
        assert told[place].text


def skeleton(value: Any) -> Any:
    """A document without its texts: numbers, what is so and what is not, and names of entries."""
    if isinstance(value, Mapping):
        return {key: skeleton(one) for key, one in value.items() if not isinstance(one, str) or key in NAMES}
    if isinstance(value, list):
        return [skeleton(one) for one in value if not isinstance(one, str)]
    return value


NAMES = (
    *("id", "name", "fact", "material", "route", "chosen", "fallback", "kind", "outcome", "stage", "phase", "truth"),
    *("says", "strength", "severity", "unit", "answer_kind", "option", "decision", "status", "file"),
)


def without_words(rule_base: RuleBase) -> RuleBase:
    """The rules with the place of each text in its stead."""
    parts = image.parts_of(written(rule_base))
    assert parts is not None
    places, same = pickle.loads(parts[2])
    # A translation names the same amounts as the text: the program refuses any other.
    ids = {
        place: " ".join((place, *(f"{{{name}}}" for name in placeholder_names(text)))) for place, text in places.items()
    }
    found = image.read(image.sealed(bytes(parts[0]), bytes(parts[1]), pickle.dumps((ids, same))))
    assert found is not None
    return found


@pytest.fixture(scope="module")
def route() -> tuple[RuleBase, RuleBase]:
    rule_base = load_rule_base(use_cache=False)
    return rule_base, without_words(rule_base)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_no_decision_danger_step_or_weight_hangs_on_a_word(path: Path, route: tuple[RuleBase, RuleBase]) -> None:
    told, bare = route
    answers = read_batch(path, told).answers
    one, other = (build_advice(conclude(rules, answers), look_for_changes=False) for rules in (told, bare))
    assert skeleton(plain(one)) == skeleton(plain(other))
    assert [step.id for step in one.steps] == [step.id for step in other.steps]
    assert "hazards." in str(other.hazards), "the other has places for words"


@pytest.mark.parametrize("path", PIECES, ids=lambda path: path.stem)
def test_no_cause_or_correction_hangs_on_a_word(path: Path, whole: RuleBase) -> None:
    bare = without_words(whole)
    answers = read_batch(path, whole).answers
    one, other = (build_diagnosis(conclude(rules, answers), look_for_changes=False) for rules in (whole, bare))
    assert skeleton(plain(one)) == skeleton(plain(other))


def test_the_logic_of_an_image_holds_no_text(whole: RuleBase) -> None:
    parts = image.parts_of(written(whole))
    assert parts is not None
    logic, told, kept = (bytes(part) for part in parts)
    long = [text.text for text in texts() if len(text.text) > 40]
    assert len(long) > 2_000
    assert [text for text in long if text.encode() in logic or text.encode() in told] == []
    assert all(text.encode() in kept for text in long)


def test_what_an_image_gives_is_what_was_compiled(whole: RuleBase) -> None:
    """Every entry, every condition in words: loading always hands out the form that an image gives."""
    compiled = compile_rule_base(merge(_parsed(_read_layers((), None, diagnosis=True))))
    for section in SECTIONS:
        mine, theirs = getattr(whole, section), getattr(compiled, section)
        assert list(mine) == list(theirs)
        for name, thing in mine.items():
            one, other = (getattr(each, "entry", each) for each in (thing, theirs[name]))
            assert as_written(one) == other.model_dump(exclude_none=True, exclude_defaults=True), f"{section} {name}"
            for field in vars(thing) if not isinstance(thing, Entry) else ():
                here, there = getattr(thing, field), getattr(theirs[name], field)
                if isinstance(here, Condition):
                    assert (here.text, here.tree, here.words) == (there.text, there.tree, there.words)
                elif field in ("sources", "origin"):
                    assert here == there


def test_what_a_test_says_names_only_places_that_are_there(whole: RuleBase) -> None:
    known = {text.place for text in texts()} | set(whole.words.texts[1])
    for argument in whole.arguments.values():
        for leaf in leaves(argument.condition.tree):
            assert set(_places(leaf.said)) | set(_places(leaf.opposite)) <= known


def _places(said: Any) -> Iterator[str]:
    if isinstance(said, str):
        yield said
        return
    for part in said[1:]:
        if isinstance(part, str) or (isinstance(part, tuple) and isinstance(part[0], str)):
            yield from _places(part)


def test_a_negation_is_a_form_and_no_word() -> None:
    leaf = Leaf(0, 1, 3, ("yes", "facts.wet.label"), ("no", "facts.wet.label"))
    assert spoken(leaf.said, NO_WORDS) == "facts.wet.label: yes"
    assert spoken(leaf.negated().said, NO_WORDS) == "facts.wet.label: no"
    named = Named("hot", "findings.hot.means", leaf)
    assert spoken(("not", named.said), NO_WORDS) == "not: findings.hot.means"
