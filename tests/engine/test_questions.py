"""Which questions are asked, and in which order."""

from __future__ import annotations

from random import Random

from advisor.engine.ask.questions import next_question, open_questions
from advisor.engine.ask.stakes import stakes
from advisor.engine.conclude import conclude
from advisor.engine.state import NOT_KNOWN
from advisor.rulebase.model import RuleBase
from tests.batches import PYRITIC, answers_of, conclusions_of
from tests.engine.law_draws import drawn_truth


def stopping_facts(shipped: RuleBase) -> set[str]:
    names = {
        shipped.variables[variable].name
        for argument in shipped.decisions["route"].arguments
        if argument.entry.says == "require"
        for variable in argument.condition.variables
    }
    drivers = {
        shipped.variables[variable].name
        for name in names
        if name in shipped.facts
        for implied in shipped.facts[name].implied
        for variable in implied.condition.variables
    }
    found = names | drivers
    # What is worked out hangs on what it is worked out from; each computed fact stands after those it uses.
    for fact in reversed(shipped.facts.values()):
        if fact.computed and fact.name in found:
            found |= {name for case in fact.computed for name in case.formula.names}
            tested = {v for case in fact.computed if case.condition is not None for v in case.condition.variables}
            found |= {shipped.variables[variable].name for variable in tested}
    return found


def test_questions_that_can_stop_the_work_come_before_all_others(shipped: RuleBase) -> None:
    stopping = stopping_facts(shipped)
    for seed in range(30):
        truth = drawn_truth(shipped, Random(seed), harmless=True)
        answers: dict = {}
        others_began = False
        while (question := next_question(conclude(shipped, answers))) is not None:
            if question.purpose != "stop":
                others_began = True
            else:
                assert not others_began, question
                assert question.fact in stopping
            answers[question.fact] = truth[question.fact]


def test_mercury_is_the_first_question(shipped: RuleBase) -> None:
    question = next_question(conclude(shipped, {}))
    assert question is not None
    assert question.fact == "mercury_history"


def test_once_mercury_is_in_use_nothing_more_is_asked(shipped: RuleBase) -> None:
    answers = answers_of(shipped, {"mercury_history": "now"})
    conclusions = conclude(shipped, answers)
    assert conclusions.outcomes["route"].chosen == "stop"
    assert conclusions.outcomes["route"].settled
    assert open_questions(conclusions) == []


def test_a_complete_batch_leaves_nothing_to_ask(shipped: RuleBase) -> None:
    assert open_questions(conclusions_of(shipped)) == []


def test_prices_are_asked_only_when_a_cost_is_wanted(shipped: RuleBase) -> None:
    wanted = {q.fact for q in open_questions(conclusions_of(shipped, cost_wanted="yes"))}
    assert "price_litharge" in wanted
    assert "price_bismuth" not in wanted
    assert open_questions(conclusions_of(shipped, cost_wanted="no")) == []


def test_how_much_sulphide_is_asked_only_where_a_sulphide_mineral_was_seen(shipped: RuleBase) -> None:
    def asked(minerals: list[str] | None) -> set[str]:
        conclusions = conclusions_of(shipped, sulphide_share=None, sulphide_minerals=minerals)
        return {q.fact for q in open_questions(conclusions)} & {"sulphide_minerals", "sulphide_share"}

    assert [asked(None), asked(["pyrite"]), asked([])] == [{"sulphide_minerals"}, {"sulphide_share"}, set()]


def test_what_is_at_stake_names_the_routes_the_answer_may_rule_out(shipped: RuleBase) -> None:
    answers = answers_of(shipped, PYRITIC, sulphide_share=None, sulphide_minerals=None, gold_share="50 %")
    found = stakes(conclude(shipped, answers), shipped.facts["sulphide_share"])
    assert any(
        "rule out 'Soda smelt, with iron if needed, then cupel'" in verb for verb, _ in found.may_rule_out
    ) or any("Smelt with nitre" in verb for verb, _ in found.may_rule_out)


def test_nothing_is_at_stake_for_an_answer_that_cannot_matter_any_more(shipped: RuleBase) -> None:
    found = stakes(conclude(shipped, answers_of(shipped, {"mercury_history": "now"})), shipped.facts["mould"])
    assert not found.undecided
    assert not found.hazards


def test_what_is_decided_is_at_stake_no_more(shipped: RuleBase) -> None:
    known = conclusions_of(shipped, sulphide_share="2 %", gold_share="60 %", black_sand_share="5 %", batch_mass="20 g")
    assert known.outcomes["route"].settled
    found = stakes(known, shipped.facts["sulphide_share"])
    assert not found.undecided
    assert not found.may_rule_out
    assert not found.may_speak
    answers = {name: value for name, value in known.answers.items() if name != "sulphide_share"}
    assert stakes(conclude(shipped, answers), shipped.facts["sulphide_share"]).may_rule_out


def test_nothing_speaks_of_a_route_that_is_out(shipped: RuleBase) -> None:
    answers = answers_of(shipped, PYRITIC, sulphide_share=None, sulphide_minerals=None, gold_share="50 %")
    conclusions = conclude(shipped, answers)
    route = conclusions.outcomes["route"]
    out = [o for place, o in enumerate(route.decision.options) if not route.possible >> place & 1]
    assert out
    found = stakes(conclusions, shipped.facts["sulphide_share"])
    spoken = " ".join(verb for verb, _ in (*found.may_speak, *found.may_rule_out))
    assert not [o for o in out if f"'{route.decision.title_of(o)}'" in spoken]


def test_not_knowing_the_sulphide_never_leads_past_the_slag_that_holds_it(shipped: RuleBase) -> None:
    known = conclusions_of(shipped, sulphide_share="2 %", gold_share="60 %", black_sand_share="5 %", batch_mass="20 g")
    assert known.outcomes["route"].chosen in ("cupel_direct", "melt_clean")
    answers = {**known.answers, "sulphide_share": NOT_KNOWN}
    assert conclude(shipped, answers).outcomes["route"].chosen not in ("cupel_direct", "melt_clean")
