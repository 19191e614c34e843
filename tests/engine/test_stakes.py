"""What still hangs on one answer, on a small rule base."""

from __future__ import annotations

from advisor.engine import conclude, stakes
from advisor.units import Range
from tests.rulebase.small_base import compiled
from tests.rulebase.test_cause_faults import DIAGNOSIS, STEP


def test_every_option_that_may_still_win_is_named_and_what_the_answer_may_do_to_it() -> None:
    rules = compiled()
    found = stakes(conclude(rules, {}), rules.facts["wet"])
    assert found.undecided == (("Route", ("Melt", "Roast")),)
    assert found.may_rule_out == (("rule out 'Melt'", "Steam."),)
    assert found.may_speak == ()
    assert found.hazards == ("Steam",)
    assert found.causes == ()


def test_an_argument_about_several_options_names_each_that_may_still_win() -> None:
    rules = compiled(
        "arguments:\n"
        "  - {id: one-of-two, about: [route.melt, route.stop], says: against, strength: slight, when: hot_enough,\n"
        "     reason: Hot., source: practice}\n"
        "  - {id: only-roast, about: route.roast, says: require, kind: means, when: place is shed, reason: Roof.,\n"
        "     source: practice}\n"
    )
    conclusions = conclude(rules, {"wet": False})
    assert stakes(conclusions, rules.facts["heat"]).may_speak == (("speak against 'Melt'", "Hot."),)
    assert stakes(conclusions, rules.facts["place"]).may_rule_out == (("require 'Roast'", "Roof."),)


def test_what_speaks_names_the_strength_of_nothing_but_its_side() -> None:
    rules = compiled()
    found = stakes(conclude(rules, {"wet": False}), rules.facts["share"])
    assert found.may_speak == (("speak for 'Roast'", "It burns off."),)
    assert found.may_rule_out == ()


def test_steps_and_weights_that_depend_on_an_answer_are_counted_once() -> None:
    rules = compiled(
        "steps:\n  - {id: rinse, stage: before, order: 2, when: wet, do: Rinse., source: practice}\n"
        "amounts:\n"
        "  - {id: more-soda, material: soda, when: wet, of: dry_mass, parts: {low: 1, likely: 2, high: 3},\n"
        "     reason: invented, source: practice}\n"
        "  - {id: yet-more-soda, material: soda, when: not wet, of: dry_mass, parts: {low: 1, likely: 2, high: 3},\n"
        "     reason: invented, source: practice}\n"
    )
    found = stakes(conclude(rules, {}), rules.facts["wet"])
    assert found.steps == 1
    assert found.weights == ("Soda ash",)


def test_nothing_hangs_on_an_answer_once_the_decision_is_settled() -> None:
    rules = compiled()
    settled = conclude(rules, {"wet": False, "share": Range.exact(0.0)})
    found = stakes(settled, rules.facts["share"])
    assert (found.undecided, found.may_rule_out, found.may_speak) == ((), (), ())


def test_a_cause_that_a_look_may_speak_for_is_at_stake_until_it_is_settled() -> None:
    rules = compiled(DIAGNOSIS, STEP)
    look = conclude(rules, {"look_at": "bead"})
    assert stakes(look, rules.facts["bead_top"]).causes == ("Metal is left in it",)
    assert stakes(look, rules.facts["bead_mass"]).causes == ()
    seen = conclude(rules, {"look_at": "bead", "bead_top": "dull"})
    assert stakes(seen, rules.facts["bead_top"]).causes == ()
