"""What hostile input once did to the program, each as a test of its own."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from advisor.advice.batches.batch_file import batch_of, batch_text, replace_file
from advisor.advice.plan.weighing import Weigher
from advisor.engine.conclude import conclude
from advisor.errors import FaultyFile, InputError
from advisor.rulebase.compiling.circles import circles, depths_of
from advisor.rulebase.loading import load_rule_base, rule_files
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import parse_yaml
from advisor.rulebase.values import domain_of_range
from advisor.units import Range
from tests.hostile.guard import ends
from tests.hostile.keys_input import consult
from tests.rulebase.small_base import compiled, faults_of

NEW_FACT = "label: l, group: batch, kind: yes_no, ask: A?, find_out: F., explain: E."


def says(faults: object, *words: str) -> None:
    """The faults, as they are shown, say these words."""
    text = "\n".join(map(str, faults if isinstance(faults, tuple) else (faults,)))
    for word in words:
        assert word in text, text


def quantity(name: str, formula: str) -> str:
    """One more quantity in grams."""
    return f"  {name}: {{title: t, unit: g, formula: {json.dumps(formula)}, reason: r, source: practice}}\n"


def test_facts_that_follow_from_each_other_in_a_circle_are_a_fault() -> None:
    one = f"  one: {{{NEW_FACT}, implied: [{{when: other, value: yes}}]}}\n"
    other = f"  other: {{{NEW_FACT}, implied: [{{when: one, value: no}}]}}\n"
    says(
        faults_of(f"facts:\n{one}{other}"), "facts one, implied", "facts other, implied", "let only one of them follow"
    )


def test_two_thousand_limits_of_one_fact_are_refused_at_once() -> None:
    rules = "".join(
        f"  - {{id: a{n}, about: route.melt, says: for, strength: slight, when: mass > {n} g, reason: r,"
        " source: practice}\n"
        for n in range(1, 2001)
    )
    with ends():
        says(faults_of(f"arguments:\n{rules}"), "facts mass", "different amounts", "under thresholds")


@pytest.mark.parametrize("low", [0.0, 1.0, 1.5, 2.0, 3.0, 4.0])
@pytest.mark.parametrize("high", [1.0, 1.5, 2.0, 3.0, 4.0])
def test_the_cells_of_a_range_are_those_that_hold_one_of_its_values(low: float, high: float) -> None:
    fact = compiled("findings: {own: {means: m, when: mass < 1 g or mass > 2 g or mass = 3 g}}").facts["mass"]
    if low > high:
        return
    inside = [low <= 0.999, low <= 1 <= high, low < 2 and high > 1, low <= 2 <= high, low < 3 and high > 2]
    inside += [low <= 3 <= high, high > 3]
    assert fact.breakpoints == (1.0, 2.0, 3.0)
    assert domain_of_range(fact, Range(low, low, high)) == sum(1 << n for n, holds in enumerate(inside) if holds)


def test_findings_that_double_each_other_do_not_unfold_for_ever() -> None:
    bomb = "findings:\n  f0: {means: m, when: wet or hot_enough}\n"
    bomb += "".join(f"  f{n}: {{means: m, when: f{n - 1} and not f{n - 1}}}\n" for n in range(1, 60))
    with ends():
        says(faults_of(bomb), "more than 500 tests")


def test_findings_deep_in_each_other_are_a_fault_and_not_too_deep_for_the_program() -> None:
    chain = "findings:\n  f0: {means: m, when: wet}\n"
    chain += "".join(f"  f{n}: {{means: m, when: f{n - 1}}}\n" for n in range(1, 1500))
    with ends():
        says(faults_of(chain), "60 deep")


def test_a_long_chain_of_quantities_is_a_fault_and_not_too_deep_for_the_program() -> None:
    chain = "quantities:\n" + quantity("q0", "mass")
    chain += "".join(quantity(f"q{n}", f"q{n - 1} + 1 g") for n in range(1, 2000))
    with ends():
        says(faults_of(chain), "build on each other too often")


def test_a_circle_among_thousands_of_quantities_is_found_at_once() -> None:
    needs = {f"q{n}": [f"q{(n + 1) % 4000}"] for n in range(4000)} | {"alone": ["q0"], "none": []}
    with ends():
        assert circles(needs) == {f"q{n}" for n in range(4000)}
    assert depths_of({"a": ["b"], "b": [], "c": ["c"]}, {"b": 5}) == {"a": 21, "b": 13, "c": None}


@pytest.mark.parametrize("formula", ["mass * 1e300 * 1e300", "1e300 * 1e300 * mass - mass * 1e300 * 1e300"])
def test_a_weight_beyond_all_numbers_is_refused_with_its_formula(formula: str) -> None:
    rule_base = compiled("quantities:\n" + quantity("huge", formula))
    with pytest.raises(InputError, match="beyond all numbers; correct the rule"):
        Weigher(conclude(rule_base, {}))["huge"]


@pytest.mark.parametrize("limit", ["1 / 0", "1e300 * 1e300", "1e999", "5 - 5 / (1 - 1)"])
def test_a_limit_of_a_check_that_is_no_number_is_a_fault(limit: str) -> None:
    says(faults_of(f"checks: [{{id: c, formula: share, at_most: {limit!r}, say: s}}]"), "checks c, at_most")


@pytest.mark.parametrize("kind", ["choice", "several"])
def test_a_fact_with_hundreds_of_options_is_a_fault(kind: str) -> None:
    options = ", ".join(f"o{n}: {{label: l, means: m}}" for n in range(300))
    fact = f"  own: {{{NEW_FACT.replace('yes_no', kind)}, options: {{{options}}}}}\n"
    says(faults_of(f"facts:\n{fact}"), "300 options", "at most 60")


def test_a_decision_with_hundreds_of_options_is_a_fault_before_they_are_compared_in_pairs() -> None:
    options = ", ".join(f"o{n}: {{title: t, summary: s}}" for n in range(400))
    decision = f"  own: {{title: t, question: q, fallback: o0, options: {{{options}}}}}\n"
    with ends():
        says(faults_of(f"decisions:\n{decision}"), "400 options")


def test_a_hundred_thousand_rules_are_refused_at_once() -> None:
    entry = "- {id: a%d, about: route.melt, says: require, kind: means, when: wet, reason: r, source: practice}\n"
    file = "arguments:\n" + "".join(entry % n for n in range(40_000))
    with ends():
        says(faults_of(file), "arguments", "at most 5000")


def test_conditions_that_take_too_long_to_weigh_are_refused_all_together() -> None:
    parts = " or ".join(f"(mass > {n} g and share < {n} % and not (mass > 9 g))" for n in range(1, 4))
    entry = "- {id: a%d, about: route.melt, says: require, kind: means, when: %s, reason: r, source: practice}\n"
    file = "arguments:\n" + "".join(entry % (n, parts) for n in range(3_000))
    with ends():
        says(faults_of(file), "take", "tests to weigh")


def test_a_flood_of_faults_in_rules_is_cut_short() -> None:
    entry = "- {id: a%d, abuot: route.melt, says: requires, when: wet, reason: r, source: practice}\n"
    with ends():
        faults = faults_of("arguments:\n" + "".join(entry % n for n in range(30_000)))
    assert len(faults) < 600
    says(faults, "more faults like these")


def test_a_flood_of_unknown_facts_is_refused_at_once(shipped: RuleBase) -> None:
    lines = "".join(f"  sulphide_shar{n}: 5 %\n" for n in range(100_000))
    with ends(), pytest.raises(FaultyFile, match="there are 100000 answers here"):
        batch_of(parse_yaml(f"answers:\n{lines}", "flood.yaml"), shipped)


@pytest.mark.parametrize("typed", ["9" * 5000, "1" * 5000 + "?", "1 " + "2" * 6000])
@pytest.mark.parametrize("before", ["", "1\nc\n"])
def test_thousands_of_digits_typed_are_not_a_number(tmp_path: Path, typed: str, before: str) -> None:
    consult(f"{before}{typed}\nq\n".encode(), tmp_path, diagnosis=False)


def test_of_two_values_that_always_follow_the_first_one_stands() -> None:
    always = "{when: wet or not wet, value: no}"
    rule_base = compiled(
        f"facts:\n  early: {{{NEW_FACT}, implied: [{{when: late, value: yes}}, {always}]}}\n"
        f"  late: {{{NEW_FACT}, implied: [{always.replace('value: no', 'value: yes')}]}}\n"
    )
    conclusions = conclude(rule_base, {})
    (early,) = rule_base.facts["early"].variables
    assert rule_base.variables[early].domain[conclusions.state[early].bit_length() - 1] == "yes"


def test_a_folder_of_rules_with_a_name_in_another_encoding_can_be_read(tmp_path: Path) -> None:
    folder = tmp_path / "r\udcffles"
    folder.mkdir()
    (folder / "\udcfe.yaml").write_text("arguments: [{id: X}]", encoding="utf-8")
    with pytest.raises(FaultyFile) as caught:
        load_rule_base((folder,), use_cache=False)
    assert str(caught.value).encode("utf-8")


def test_a_folder_that_is_no_folder_of_rules_is_not_searched_for_ever(tmp_path: Path) -> None:
    for number in range(5_100):
        (tmp_path / f"{number}.txt").touch()
    with pytest.raises(InputError, match="holds more than 5000 files and folders"):
        rule_files(tmp_path)


def test_a_plan_with_a_name_in_another_encoding_does_not_lose_the_answers(tmp_path: Path, shipped: RuleBase) -> None:
    text = batch_text("Night", {"dryness": "dry"}, shipped, plan=Path("/r\udcff/plan.yaml"))
    replace_file(tmp_path / "kept.yaml", text)
    assert "dryness" in (tmp_path / "kept.yaml").read_text(encoding="utf-8")


@example("a\x1b[31mb\x9b")
@given(st.text(max_size=60))
def test_whatever_a_batch_is_called_its_kept_answers_can_be_read_again(shipped: RuleBase, title: str) -> None:
    text = batch_text(title, {"dryness": "dry"}, shipped, plan=Path("/\x1b/plan.yaml"))
    again = batch_of(parse_yaml(text, "kept"), shipped)
    assert again.answers == {"dryness": "dry"}
    assert again.plan is None
    if title.isprintable():
        assert again.title == (title.strip() or None)


def test_a_text_that_cannot_be_written_is_said_so_and_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="half a letter"):
        replace_file(tmp_path / "kept.yaml", "\udcff")
    assert list(tmp_path.iterdir()) == []


def test_a_link_in_place_of_the_kept_answers_is_replaced_and_what_it_points_to_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "precious").write_text("mine", encoding="utf-8")
    (tmp_path / "kept.yaml").symlink_to(tmp_path / "precious")
    replace_file(tmp_path / "kept.yaml", "answers: {}\n")
    assert (tmp_path / "precious").read_text(encoding="utf-8") == "mine"
    assert not (tmp_path / "kept.yaml").is_symlink()


@pytest.mark.parametrize("value", ["five %", "5 handfuls", "1e999 %", "5 to"])
def test_a_faulty_threshold_gives_one_fault_and_not_one_for_each_rule_that_names_it(value: str) -> None:
    faults = faults_of(
        f"thresholds: {{own_limit: {{value: {value!r}, means: m, reason: r, source: practice}}}}\n"
        "findings: {one: {means: m, when: share > own_limit}, two: {means: m, when: share < own_limit}}\n"
        "quantities:\n" + quantity("three", "mass * own_limit")
    )
    says(faults, "thresholds own_limit, value")
    assert len(faults) == 1
