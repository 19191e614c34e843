"""Fixtures of the whole-program tests: every test has its own home; what is costly is run once."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Self

import pytest

from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.rulebase.model import RuleBase
from advisor.terminal.consult.keys import LEAVE
from tests.batches import PYRITIC
from tests.terminal.preloaded import Preloaded, Warm
from tests.terminal.program import Program, Result, Talk, flat

PERHAPS: dict[str, Any] = {
    **PYRITIC,
    "sulphide_minerals": ["pyrite", "chalcopyrite?"],
    "gold_share": "4 to 6 %",
    "quartz_share": "not known",
}
"""The ordinary batch with a range, a perhaps and an answer that nobody knows. Invented."""

STOPPED: dict[str, Any] = {**PYRITIC, "mercury_signs": "yes"}
"""The ordinary batch with signs of mercury. Invented."""


@pytest.fixture
def program(tmp_path: Path, warm_cache: Path) -> Program:
    """The program with a home and a working folder that belong to this test alone."""
    folder = tmp_path / "work"
    folder.mkdir()
    return Program(tmp_path / "own home", warm_cache, folder)


@pytest.fixture
def warm(program: Program, quick: Preloaded) -> Warm:
    """The same for tests that are not about the process itself: its start, its encoding, its cache or its signals."""
    return Warm(program.home, program.cache, program.folder, quick)


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory, warm_cache: Path) -> Program:
    """The program for runs that are made once and looked at by many tests."""
    folder = tmp_path_factory.mktemp("shared")
    return Program(folder / "own home", warm_cache, folder)


@pytest.fixture(scope="session")
def quick(tmp_path_factory: pytest.TempPathFactory, warm_cache: Path) -> Iterator[Preloaded]:
    """The program with the rules loaded already, for tests that run it many times."""
    folder = tmp_path_factory.mktemp("quick")
    with Preloaded(Program(folder / "own home", warm_cache, folder)) as process:
        yield process


@pytest.fixture(scope="session")
def advised(shared: Program) -> Result:
    """The whole text for the ordinary batch."""
    return shared.route(PERHAPS, "--all")


@pytest.fixture(scope="session")
def advised_json(shared: Program) -> Result:
    """The JSON document for the ordinary batch."""
    return shared.route(PERHAPS, "--json")


@pytest.fixture(scope="session")
def explained(quick: Preloaded) -> Result:
    """The explained text for the ordinary batch."""
    return quick.run("route", "--answers", quick.program.write("perhaps.json", PERHAPS), "--explain")


@pytest.fixture(scope="session")
def stopped(shared: Program) -> Result:
    """The whole text for a batch that must not be heated."""
    return shared.route(STOPPED, "--all")


@pytest.fixture(scope="session")
def stopped_json(quick: Preloaded) -> Result:
    """The JSON document for a batch that must not be heated."""
    return quick.run("route", "--answers", quick.program.write("stopped.json", STOPPED), "--json")


@pytest.fixture(scope="session")
def explained_stop(quick: Preloaded) -> Result:
    """The explained text for a batch that must not be heated."""
    return quick.run("route", "--answers", quick.program.write("stopped.json", STOPPED), "--explain")


KEYS = "6 numbers 7 all"
"""What of the keys stands under every first screen."""


class Operator:
    """Someone at the terminal who knows the ordinary batch.

    Attributes:
        talk: The consultation.
        asked: The facts asked so far, in their order.
        lines: Those of them that were asked in one go with others, a line for each.
        page: What was shown after the last answer: the first screen of the advice.
    """

    KEPT = "unfinished-route.yaml"

    def __init__(self, talk: Talk, rule_base: RuleBase) -> None:
        self.talk = talk
        self.rule_base = rule_base
        self.asked: list[str] = []
        self.lines: set[str] = set()
        self.page = ""

    def __enter__(self) -> Self:
        self.talk.__enter__()
        return self

    def __exit__(self, *problem: Any) -> None:
        self.talk.__exit__(*problem)

    @property
    def question(self) -> str:
        """The fact that was asked last."""
        if self.line is not None:
            return self.line
        seen = flat(self.talk.everything)
        asked = {name: fact.entry.ask for name, fact in self.rule_base.facts.items() if not fact.computed}
        found = {seen.rfind(flat(ask)): name for name, ask in asked.items()}
        place = max(found)
        assert place >= 0, f"no question is shown in: {self.talk.everything}"
        return found[place]

    @property
    def line(self) -> str | None:
        """The fact whose line is asked now, where one look tells several; otherwise nothing."""
        lines = self.talk.shown.rstrip().removesuffix(">").rstrip().splitlines()
        asked = re.fullmatch(r"\d+  (.+)\?", lines[-1]) if lines else None
        labels = {fact.label: name for name, fact in self.rule_base.facts.items() if not fact.computed}
        return None if asked is None else labels[asked[1]]

    def answer(self, typed: str | None = None) -> str:
        """Answer the question, as the ordinary batch has it unless told otherwise."""
        name = self.question
        if self.line is not None:
            self.lines.add(name)
        shown = self.talk.say(typed if typed is not None else ordinary(name))
        assert "Understood: " in shown, f"{name} was not accepted: {shown}"
        self.asked.append(name)
        if "about your gold room" in shown:
            self.talk.say("n")
        return shown

    @property
    def advised(self) -> bool:
        """Whether all questions are answered."""
        shown = flat(self.talk.shown)
        return self.talk.ended or KEYS in shown

    def until(self, *names: str) -> Self:
        """Answer as the ordinary batch has it until one of these facts is asked."""
        while not self.advised and self.question not in names:
            self.answer()
        assert not self.advised, f"none of {names} was asked, but {self.asked}"
        return self

    def to_the_advice(self, typed: str | None = None) -> Self:
        """Answer everything, each question in the same way or as the ordinary batch has it."""
        while not self.advised:
            self.answer(typed)
        self.page = self.talk.shown
        return self

    def to_the_end(self, typed: str | None = None) -> Self:
        """Answer everything and want nothing more."""
        self.to_the_advice(typed)
        if not self.talk.ended:
            self.talk.say(LEAVE)
        assert self.talk.ended
        return self

    def kept(self, path: Path | None = None) -> BatchFile:
        """What stands in the file of the unfinished consultation, or in another one."""
        return read_batch(path or self.talk.program.home / self.KEPT, self.rule_base)


def through_the_room(talk: Talk, rule_base: RuleBase) -> None:
    """Say that the gold room is still so, and how it is tonight, as the ordinary batch has it."""
    assert "Still so today?" in talk.shown, talk.shown
    talk.say("")
    assert "How it is tonight" in talk.shown, talk.shown
    names = {fact.label: name for name, fact in rule_base.facts.items()}
    while "Right? Enter" not in talk.shown:
        (label,) = re.findall(r"\d+  (.+)\?$", talk.shown.rstrip())
        talk.say(ordinary(names[label]))
    talk.say("")


def ordinary(name: str) -> str:
    """What the operator types for a fact of the ordinary batch."""
    value = PYRITIC.get(name, "u")
    return (", ".join(value) or "0") if isinstance(value, list) else str(value)


@pytest.fixture
def operator(quick: Preloaded, program: Program, shipped: RuleBase) -> Iterator[Operator]:
    """Someone who has just typed ``advisor route``."""
    with Operator(quick.talk(program), shipped) as person:
        yield person


@pytest.fixture(scope="module")
def finished(shared: Program, shipped: RuleBase) -> Iterator[Operator]:
    """Someone who has answered everything about the ordinary batch."""
    with Operator(shared.talk("--title", "Invented batch"), shipped) as person:
        yield person.to_the_end()
