"""The empty answer form: everything stands in it once, and what is filled in is read back."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest

from advisor.advice.batches.answers import read_answer
from advisor.advice.batches.batch_file import read_batch
from advisor.present.text.form import form_text
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import Fact, RuleBase
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, crash, flat

FINE, BAD_INPUT = 0, 2
LINE = re.compile(r"^  #(?P<name>[a-z0-9_]+):$", re.MULTILINE)
KINDS = {"route": "--answers", "diagnose": "--observations"}


@pytest.fixture(params=KINDS)
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def rule_base(kind: str, shipped: RuleBase, diagnosing: RuleBase) -> RuleBase:
    return diagnosing if kind == "diagnose" else shipped


@pytest.fixture
def form(kind: str, quick: Preloaded) -> str:
    result = quick.run("form", kind)
    assert (result.status, result.err) == (FINE, "")
    return result.out


def asked(rule_base: RuleBase) -> dict[str, Fact]:
    """The facts that a person answers; others are worked out."""
    return {name: fact for name, fact in rule_base.facts.items() if not fact.computed}


def truthful(fact: Fact, chance: random.Random) -> str:
    """Some answer to a fact, as a person would write it into the form."""
    if chance.random() < 0.15:
        return "not known"
    if fact.entry.kind == "yes_no":
        return chance.choice(["yes", "no"])
    if fact.entry.kind == "choice":
        return chance.choice(list(fact.entry.options))
    if fact.entry.kind == "several":
        options = chance.sample(list(fact.entry.options), chance.randint(0, len(fact.entry.options)))
        return f"[{', '.join(option + chance.choice(['', '?']) for option in options)}]"
    assert fact.unit is not None
    low, high = sorted(round(fact.unit.shown(chance.uniform(fact.least, fact.most)), 3) for _ in range(2))
    symbol = fact.unit.symbol
    return chance.choice([f"{low} {symbol}", f"{low} to {high} {symbol}"])


@pytest.mark.parametrize("seed", range(5))
def test_a_form_that_is_filled_in_is_read_back(seed: int, form: str, rule_base: RuleBase, tmp_path: Path) -> None:
    chance = random.Random(seed)
    wanted = {
        name: truthful(fact, chance) for name, fact in asked(rule_base).items() if seed == 0 or chance.random() < 0.6
    }
    filled = LINE.sub(
        lambda match: f"  {match['name']}: {wanted[match['name']]}" if match["name"] in wanted else match[0], form
    )
    path = tmp_path / "form.yaml"
    path.write_text(filled.replace("#title: a name for it", "title: Invented"), encoding="utf-8")
    batch = read_batch(path, rule_base)
    assert batch.title == "Invented"
    listed = {name: value[1:-1].split(", ") if value.startswith("[") else value for name, value in wanted.items()}
    assert batch.answers == {
        name: read_answer(rule_base.facts[name], [] if value == [""] else value) for name, value in listed.items()
    }


def test_every_fact_option_and_unit_stands_there_once(form: str, rule_base: RuleBase) -> None:
    facts = asked(rule_base)
    assert LINE.findall(form) == list(facts)
    parts = re.split(LINE, form)[::2]
    prose = [flat(part.replace("#", " ")) for part in parts]
    for fact, said in zip(facts.values(), prose, strict=False):
        assert said.lower().count(flat(fact.entry.ask).lower()) == 1
        assert said.lower().startswith(fact.label.lower()) or f" {fact.label.lower()}: " in said.lower()
        for name, option in fact.entry.options.items():
            assert said.count(flat(f"{name} {option.label}: {option.means}")) == 1, name
        if fact.unit is not None:
            assert f"an amount in {fact.unit.symbol}, " in said
        if fact.ask_if is not None:
            assert flat(f"Only where {fact.ask_if.words}.") in said
    for title in rule_base.groups.values():
        used = {rule_base.groups[fact.entry.group] for fact in facts.values()}
        assert form.count(f"# {title.upper()}\n") == (title in used)


def test_the_form_of_a_gold_room_holds_the_room_alone_and_becomes_one(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    form = quick.run("form", "room").out
    in_form = set(LINE.findall(form))
    assert in_form == {name for name, fact in shipped.facts.items() if fact.entry.belongs_to == "room"}
    command = re.search(r"run: advisor (.+) FILE", form)
    assert command is not None
    path = program.write("form.yaml", form.replace("  #mould:", "  mould: bar"))
    result = quick.run(*command[1].split(), path, at=program)
    assert result.status == FINE, result.err
    assert "mould: bar mould" in flat(result.out)
    assert "mould: bar" in (program.home / "room.yaml").read_text(encoding="utf-8")


def test_a_form_in_which_nothing_is_filled_in_is_refused_in_one_sentence(
    kind: str, form: str, quick: Preloaded, program: Program
) -> None:
    result = quick.run(kind, KINDS[kind], program.write("form.yaml", form), at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "nothing is filled in here" in result.err
    assert len(result.err.splitlines()) == 1


def test_a_fact_without_an_answer_is_named_with_its_line(
    kind: str, form: str, quick: Preloaded, program: Program
) -> None:
    text = form.replace("  #dryness:", "  dryness:")
    result = quick.run(kind, KINDS[kind], program.write("form.yaml", text), at=program)
    assert result.status == BAD_INPUT
    line = text.splitlines().index("  dryness:") + 1
    assert f"form.yaml:{line}: dryness: nothing is written; give a value or write  not known" in result.err


def test_the_filled_form_gives_advice_by_the_command_it_names(quick: Preloaded, program: Program) -> None:
    form = quick.run("form").out
    command = re.search(r"run: advisor (.+) FILE", form)
    assert command is not None
    path = program.write("form.yaml", form.replace("  #mercury_signs:", "  mercury_signs: yes"))
    assert quick.run(*command[1].split(), path, at=program).status == 3


def test_no_line_is_too_wide_for_an_editor(form: str) -> None:
    assert [line for line in form.splitlines() if len(line) > 100] == []
    assert "\t" not in form


def test_the_own_rules_of_a_shop_stand_in_its_form(program: Program) -> None:
    own = (
        "facts:\n  ours: {label: our fact, group: place, ask: Is it ours?, find_out: Ask., explain: Ours.,\n"
        "    kind: yes_no, source: practice}\n"
        "arguments:\n- {id: ours-out, about: route.smelt_iron, says: rule_out, kind: means,\n"
        "     when: ours, reason: Ours.,\n"
        "    source: practice}\n"
    )
    folder = program.write("own/own.yaml", own).parent
    result = program.run("form", "--rules", folder)
    assert "  #ours:\n" in result.out
    assert result.out == form_text(load_rule_base([folder]), "advisor route --answers")


def test_an_unknown_form_is_refused(quick: Preloaded) -> None:
    result = quick.run("form", "rout")
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "route" in result.err
    assert crash(result.err) == ""
