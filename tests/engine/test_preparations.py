"""What can be mended stands under FIRST; what is worked out is known before deciding; four outcomes. Invented rules."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.engine import NOT_KNOWN, Answers, Conclusions, at_work, conclude, looks, next_question, still_possible
from advisor.engine.state import state_of
from advisor.proof.promises.invariants import safe
from advisor.proof.promises.mendable import mendable
from advisor.proof.search.prover import Prover
from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.model import RuleBase, Several, Value
from advisor.rulebase.reading.layers import merge
from advisor.rulebase.reading.yaml_reader import parse_yaml
from advisor.rulebase.values import domain_of_range
from advisor.units import Range
from tests.engine.law_draws import drawn_truth, randoms, some_answers
from tests.rulebase.small_base import BASE, faults_of
from tests.rulebase.test_cause_faults import DIAGNOSIS

WET = """\
  - {id: wet-spits, about: route.melt, says: rule_out, kind: danger, when: wet, reason: Steam.,
     source: practice}"""
ALIKE = """\
  - {id: nowhere, about: [route.melt, route.roast], says: rule_out, kind: means, when: place is none, reason: No place.,
     source: practice}
  - {id: prefer-melt, about: route.melt, says: for, strength: slight, when: share >= 0 %, reason: It is quick.,
     source: practice}"""
MENDABLE = BASE.replace("strong: 8}", "strong: 8, not_tonight: 14}").replace(WET, ALIKE)
FIRST = """\
preparations:
  get_soda:
    {title: Get soda, order: 2, lacking: shelf lacks soda, wanted: "route is roast", waits: the roast, do: Buy it.,
     done_when: It is there., time: 3 d, tonight: false, source: practice}
  dry_it:
    {title: Dry it, order: 1, lacking: wet, wanted: "route in (melt, roast)", waits: every fire, do: "Dry {dry_mass}.",
     done_when: It runs., time: 1 h, changes: [mass], hazards: [steam], source: practice}
"""


def rules(*texts: str, base: str = MENDABLE) -> RuleBase:
    """The small rule base with what can be mended."""
    documents = [parse_yaml(base, "base.yaml"), *(parse_yaml(text, f"more-{n}.yaml") for n, text in enumerate(texts))]
    return compile_rule_base(merge([("invented rules", documents)]))


def _several(*present: str) -> Value:
    return Several(frozenset(present))


DRY: Answers = {"wet": False, "place": "shed", "share": Range.exact(0.02), "shelf": _several()}


def of(answers: Answers, *texts: str) -> Conclusions:
    return conclude(rules(FIRST, *texts), answers)


def first(conclusions: Conclusions) -> list[str]:
    return [one.name for one in conclusions.preparations()]


def test_what_is_lacking_strikes_nothing_and_stands_under_first() -> None:
    wet = of({**DRY, "wet": True})
    assert (wet.outcomes["route"].chosen, wet.kind, first(wet)) == ("melt", "first", ["dry_it"])
    dry = of(DRY)
    assert (dry.outcomes["route"].chosen, dry.kind, first(dry)) == ("melt", "work", [])


def test_a_lack_that_is_not_known_counts_as_one() -> None:
    unknown = of({**DRY, "wet": NOT_KNOWN})
    assert (unknown.kind, first(unknown)) == ("first", ["dry_it"])


def test_nothing_is_prepared_for_work_that_is_not_done() -> None:
    stopped = of({**DRY, "wet": True, "place": "none"})
    assert (stopped.kind, first(stopped)) == ("stop", [])


def test_what_takes_longer_than_tonight_lets_work_that_can_do_without_it_go_before() -> None:
    sulphidic: Answers = {**DRY, "share": Range.exact(0.3)}
    assert of({**sulphidic, "shelf": NOT_KNOWN}).outcomes["route"].chosen == "melt"
    there = conclude(rules(FIRST), {**sulphidic, "shelf": _several("soda")})
    assert there.outcomes["route"].chosen == "roast"
    forced = of({**sulphidic, "shelf": _several()}, _ARGUMENT.format("route.melt", "share > 10 %"))
    assert (forced.outcomes["route"].chosen, first(forced)) == ("roast", ["get_soda"])
    assert not forced.preparations()[0].entry.tonight


def test_tonight_comes_before_not_tonight_whatever_their_order() -> None:
    both = of(
        {**DRY, "wet": True, "share": Range.exact(0.3), "shelf": _several()},
        _ARGUMENT.format("route.melt", "share > 10 %"),
    )
    assert first(both) == ["dry_it", "get_soda"]


_ARGUMENT = """\
arguments:
  - {{id: out, about: {}, says: rule_out, kind: worth, when: "{}", reason: Invented., source: practice}}
"""


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (_ARGUMENT.format("route.melt", "first has dry_it") + FIRST, "not known before the decisions are taken"),
        (FIRST.replace("lacking: wet", "lacking: route is melt"), "a decision"),
        (FIRST.replace("tonight: false", "tonight: no, waits_too: x"), "waits_too"),
        (FIRST.replace("hazards: [steam]", "hazards: [smoke]"), "there is no 'smoke'"),
        (FIRST.replace("changes: [mass]", "changes: [masses]"), "there is no 'masses'"),
        (FIRST.replace("{dry_mass}", "{wet_mass}"), "'{wet_mass}'"),
        (FIRST, "there is no strength 'not_tonight'"),
    ],
)
def test_a_faulty_preparation_is_told_with_what_would_be_right(text: str, words: str) -> None:
    assert any(words in f"{fault.wrong} {fault.right}" for fault in faults_of(text))


def test_a_computed_fact_that_is_asked_or_goes_in_a_circle_is_told() -> None:
    asked = _GANGUE.replace("    unit: g", "    ask: How much?\n    unit: g")
    assert any("never asked" in fault.right for fault in faults_of(asked))
    circle = _GANGUE.replace("mass * share", "gangue + gangue")
    assert any("computed from itself" in fault.wrong for fault in faults_of(circle))
    other = _GANGUE.replace("mass * share", "heat")
    assert any("does not give g" in fault.wrong for fault in faults_of(other))


PROMISE = """\
invariants:
  - {{id: dry-or-first, means: Dry., when: route is not stop, then: {}, reason: Steam.,
     source: practice}}
"""


def test_a_promise_may_say_that_it_holds_or_stands_under_first_and_is_proved_so() -> None:
    kept = safe(Prover(rules(FIRST, PROMISE.format("not wet or first has dry_it"))))
    assert not kept.failures
    broken = safe(
        Prover(rules(FIRST.replace("(melt, roast)", "(melt)"), PROMISE.format("not wet or first has dry_it")))
    )
    assert [failure.subject for failure in broken.failures] == ["dry-or-first"]


def test_what_can_be_mended_never_stops_the_work_and_a_rule_that_makes_it_is_found() -> None:
    assert not mendable(Prover(rules(FIRST))).failures
    stopping = """\
arguments:
  - {id: wet-stops, about: route.stop, says: require, kind: danger, when: wet and place is shed, reason: Invented.,
     source: practice}
"""
    assert [failure.subject for failure in mendable(Prover(rules(FIRST, stopping))).failures] == ["dry_it"]


def test_a_correction_has_the_preparations_of_the_work_it_is_like_on_the_piece_in_hand() -> None:
    shelf = FIRST.replace("route is roast", "route in (melt, roast)")
    seen: Answers = {"look_at": "bead", "bead_top": "dull", "work_done": "melt", "wet": True, "shelf": _several()}
    again = conclude(rules(shelf, DIAGNOSIS), {**seen, "place": "shed"})
    assert again.outcomes["remedy"].chosen == "again"
    # The bead is dry, whatever the concentrate is; soda is missing all the same.
    assert first(at_work(again)) == first(again) == ["get_soda"]
    aside = conclude(rules(shelf, DIAGNOSIS), {**seen, "look_at": "bar"})
    assert first(at_work(aside)) == []


def test_a_promise_of_the_diagnosis_may_name_what_stands_under_first() -> None:
    promise = """\
consultation: diagnose
invariants:
  - {id: soda-or-first, means: Soda is there., when: remedy is again, then: shelf has soda or first has get_soda,
     reason: Invented., source: practice}
"""
    every = FIRST.replace("route is roast", "vessel is pot")
    assert not safe(Prover(rules(every, DIAGNOSIS, promise))).failures
    assert safe(Prover(rules(FIRST, DIAGNOSIS, promise))).failures


def test_worth_is_not_taken_over_by_a_correction_but_danger_is() -> None:
    def struck(kind: str) -> bool:
        argument = _ARGUMENT.format("route.melt", "place is shed").replace("worth", kind)
        seen: Answers = {"look_at": "bead", "bead_top": "dull", "work_done": "melt", "place": "shed"}
        return conclude(rules(FIRST, DIAGNOSIS, argument), seen).outcomes["remedy"].chosen == "set_aside"

    assert struck("danger")
    assert struck("means")
    assert not struck("worth")


_GANGUE = """\
facts:
  gangue:
    label: gangue
    group: batch
    kind: quantity
    unit: g
    least: 0 g
    most: 5000 g
    computed:
      - {when: wet, formula: mass * share * 50 %}
      - {formula: mass * share}
"""
_DECIDES = _GANGUE + _ARGUMENT.format("route.melt", "gangue > 20 g")


def test_what_is_worked_out_decides_and_its_inputs_are_asked() -> None:
    base = rules(_DECIDES)
    asked: dict[str, object] = {}
    told: Answers = {"place": "shed", "wet": False, "mass": Range.exact(2000.0), "share": Range.exact(0.04)}
    conclusions = conclude(base, {})
    while (question := next_question(conclusions)) is not None:
        asked[question.fact] = told.get(question.fact, NOT_KNOWN)
        conclusions = conclude(base, asked)  # type: ignore[arg-type]
    assert {"mass", "share", "wet"} <= asked.keys()
    assert "gangue" not in asked
    assert conclusions.outcomes["route"].chosen == "roast"
    assert conclude(base, {**told, "mass": Range.exact(100.0)}).outcomes["route"].chosen == "melt"


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.floats(1, 5000), st.floats(0, 1), st.booleans())
def test_with_its_inputs_known_it_is_plain_arithmetic(mass: float, share: float, wet: bool) -> None:
    base = rules(_DECIDES)
    fact = base.facts["gangue"]
    state = state_of(base, {"mass": Range.exact(mass), "share": Range.exact(share), "wet": wet})
    expected = mass * share * (0.5 if wet else 1.0)
    assert state[fact.variables[0]] == domain_of_range(fact, Range.exact(expected))


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.permutations(["mass", "share", "wet"]), st.floats(1, 5000), st.floats(0, 1), st.booleans())
def test_a_further_answer_only_narrows_what_is_worked_out(
    order: list[str], mass: float, share: float, wet: bool
) -> None:
    base = rules(_DECIDES)
    values: Answers = {"mass": Range.exact(mass), "share": Range.exact(share), "wet": wet}
    (variable,) = base.facts["gangue"].variables
    before = state_of(base, {})[variable]
    for count in range(1, 4):
        now = state_of(base, {name: values[name] for name in order[:count]})[variable]
        assert now & ~before == 0
        before = now


def test_a_stop_hangs_on_what_is_known_and_what_is_not_known_has_to_be_found_out() -> None:
    unknown = of({**DRY, "place": NOT_KNOWN})
    assert unknown.kind == "find_out"
    assert [look.fact for look in looks(unknown)] == ["place"]
    assert [(one.option, one.hangs_on) for one in still_possible(unknown)] == [
        ("melt", ("place",)),
        ("roast", ("place",)),
    ]
    assert of({**DRY, "place": "none"}).kind == "stop"
    assert of({**DRY, "place": "shed"}).kind == "work"


def test_no_work_is_planned_without_a_fact_that_must_be_known() -> None:
    base = MENDABLE.replace("{label: mass, group: batch,", "{label: mass, group: batch, must_be_known: route is melt,")
    for answers, kind in (
        ({**DRY, "mass": NOT_KNOWN}, "find_out"),
        (DRY, "find_out"),
        ({**DRY, "mass": Range.exact(50.0)}, "work"),
        ({**DRY, "mass": NOT_KNOWN, "place": "none"}, "stop"),
    ):
        assert conclude(rules(FIRST, base=base), answers).kind == kind


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(random=randoms)
def test_a_stop_stays_one_whatever_turns_out_about_what_is_not_known(shipped: RuleBase, random: Random) -> None:
    truth = drawn_truth(shipped, random, harmless=random.random() < 0.5)
    said = some_answers(truth, random, 0.6, 0.2)
    if conclude(shipped, said).kind == "stop":
        assert conclude(shipped, truth).kind == "stop"
