"""Faulty files of the diagnosis: causes, kinds of pieces, figures of corrections, drawings and what they name."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.advice.plan.correction import Corrections
from advisor.engine.conclude import conclude
from advisor.errors import Fault, FaultyFile
from advisor.metallurgy.calculators import COMPUTATIONS
from advisor.metallurgy.check import computation_faults
from advisor.metallurgy.common.inputs import Value
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase import loading
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import CAUSE, REMEDY
from advisor.units import Range
from tests.rulebase.small_base import BASE, compiled, faults_of

DIAGNOSIS = """\
consultation: diagnose
groups: {look: What you look at}
facts:
  look_at:
    label: what is looked at
    group: look
    kind: choice
    ask: What do you look at?
    find_out: Look.
    explain: Invented.
    options:
      bead: {label: the bead, means: a cold bead}
      bar: {label: the bar, means: a cold bar}
  bead_top:
    label: top of the bead
    group: look
    kind: choice
    ask: How does it look?
    find_out: Look.
    explain: Invented.
    ask_if: look_at is bead
    options:
      bright: {label: bright, means: it shines}
      dull: {label: dull, means: no shine, picture: dull_bead}
  bead_mass:
    label: weight of the bead
    group: look
    kind: quantity
    ask: How heavy?
    find_out: Weigh.
    explain: Invented.
    unit: g
    least: 0 g
    most: 500 g
    when_unknown: {low: 1 g, likely: 5 g, high: 20 g}
  work_done:
    label: the work
    group: look
    kind: choice
    ask: Which work?
    find_out: Read the plan.
    explain: Invented.
    from_plan: decision.route
    options:
      melt: {label: melted, means: melted only}
      roast: {label: roasted, means: roasted first}
      other: {label: other work, means: something else}
tables:
  not_measured:
    title: What is reckoned with where nobody measured it
    columns: {what: text, low: share, likely: share, high: share}
    rows:
      - {what: gold_in_bead, low: 0, likely: 0.5, high: 1, source: practice}
decisions:
  cause: {title: Cause, question: Why?, several: true, taken_at: 8}
  remedy:
    title: What to do
    question: What now?
    fallback: set_aside
    stops: [set_aside]
    options:
      set_aside: {title: Set it aside, summary: No fire., works_like: {route: stop, vessel: none}}
      again:
        title: Once more
        summary: Once more in the fire.
        base: -3
        works_like: {route: fact work_done, vessel: pot}
        piece: metal
pieces:
  metal:
    title: a bead
    facts: {wet: no, share: 0 %}
drawings:
  dull_bead:
    title: Dull bead
    caption: No shine.
    shapes:
      - {kind: polygon, fill: metal_dull, label: bead, points: [[4, 16], [92, 16], [84, 64], [12, 64]]}
causes:
  metal_left:
    title: Metal is left in it
    stages: [bead]
    means: Something else is in it.
    signs:
      - {when: bead_top is dull, says: for, strength: strong, reason: Dull., source: practice}
      - {when: bead_top is bright, says: against, strength: slight, reason: Bright., source: practice}
    put_right:
      - {remedy: again, strength: strong, reason: It burns out., source: practice}
    next_batch:
      - {amount: lead, factor: {low: 1.1, likely: 1.2, high: 1.5}, do: Take more., source: practice}
      - {step: weigh, do: Weigh twice.}
      - {fact: share, do: Count anew., when: bead_top is dull}
      - {note: shorter, do: Stop earlier.}
    now_known: {share: 20 to 60 %}
    source: practice
corrections:
  bead_with_lead:
    computation: dull_bead
    inputs:
      bead_mass_g: bead_mass
      bead_look: = dull
      collector: = lead
    outputs:
      lead_to_add: {output: collector_to_add_g, title: lead to add}
      cupel_to_take: {output: cupel_mass_g, title: cupel for bead and lead}
"""
"""What a diagnosis needs, over the small base: where one looks, one cause, two corrections, a piece and two figures."""

STEP = """\
steps:
  - {id: once-more, stage: fire, order: 5, when: remedy is again, do: "Add {lead_to_add}.", source: practice}
"""


def placed(old: str, new: str) -> tuple[str, int]:
    """The rules of the diagnosis with one piece of text exchanged, and the line on which the new text begins."""
    assert DIAGNOSIS.count(old) == 1, f"{old!r} stands {DIAGNOSIS.count(old)} times in it"
    return DIAGNOSIS.replace(old, new), DIAGNOSIS[: DIAGNOSIS.index(old)].count("\n") + 1


def fault_with(old: str, new: str) -> tuple[Fault, int]:
    """The only fault with one piece of text exchanged, and the line on which the new text begins."""
    text, line = placed(old, new)
    faults = faults_of(text)
    assert len(faults) == 1, [str(fault) for fault in faults]
    return faults[0], line


def test_the_rules_of_the_diagnosis_have_no_fault() -> None:
    rule_base = compiled(DIAGNOSIS, STEP)
    assert list(rule_base.causes) == ["metal_left"]
    assert {"metal-left-1", "metal-left-2", "metal-left-put-right-1"} <= set(rule_base.arguments)
    assert rule_base.drawings["dull_bead"].title == "Dull bead"


def test_a_cause_becomes_an_option_and_its_signs_become_arguments_about_it() -> None:
    rule_base = compiled(DIAGNOSIS, STEP)
    conclusions = conclude(rule_base, {"look_at": "bead", "bead_top": "dull", "work_done": "melt"})
    assert conclusions.several[CAUSE].taken == ["metal_left"]
    assert conclusions.outcomes[REMEDY].chosen == "again"
    elsewhere = conclude(rule_base, {"look_at": "bar"})
    assert elsewhere.several[CAUSE].taken == []
    assert elsewhere.outcomes[REMEDY].chosen == "set_aside"


NAMED: dict[str, tuple[str, str, str, str]] = {
    # what is wrong: old text, new text, words of what is wrong, words of what would be right
    "unknown remedy": ("remedy: again,", "remedy: agan,", "agan", "again"),
    "unknown material": ("amount: lead,", "amount: lad,", "there is no 'lad'", "lead"),
    "unknown step": ("step: weigh,", "step: weight,", "there is no 'weight'", "weigh"),
    "unknown fact of a changed line": ("fact: share,", "fact: shere,", "there is no 'shere'", "share"),
    "unknown fact of a further condition": ("when: bead_top is dull}", "when: bed_top is dull}", "bed_top", "bead_top"),
    "unknown option of a further condition": ("when: bead_top is dull}", "when: bead_top is dll}", "dll", "dull"),
    "now known of an unknown fact": ("now_known: {share:", "now_known: {shere:", "no such fact", "share"),
    "now known beyond the limits": ("20 to 60 %", "20 to 160 %", "160", "value"),
    "now known of another unit": ("20 to 60 %", "20 to 60 g", "'g'", "value"),
    "sign with an unknown fact": ("{when: bead_top is dull, says", "{when: bead_tap is dull, says", "bead_tap", "top"),
    "sign with an unknown strength": ("says: for, strength: strong", "says: for, strength: huge", "huge", "strong"),
    "sign with an unknown source": ("reason: Dull., source: practice", "reason: Dull., source: nobody", "nobody", ""),
    "cause with an unknown source": ("share: 20 to 60 %}\n    source: practice", "share: 1 %}\n    source: x", "x", ""),
    "piece with an unknown fact": ("facts: {wet: no,", "facts: {wett: no,", "no such fact", "wet"),
    "piece with a wrong value": ("facts: {wet: no,", "facts: {wet: perhaps,", "perhaps", "value"),
    "correction with an unknown fact": ("bead_mass_g: bead_mass\n", "bead_mass_g: bead_mas\n", "bead_mas", "bead_mass"),
    "figure with the name of a material": ("lead_to_add:", "lead:", "a material has the same name", "another name"),
    "figure with the name of a fact": ("cupel_to_take:", "bead_mass:", "a fact has the same name", "another name"),
    "unknown picture": ("picture: dull_bead", "picture: dul_bead", "there is no 'dul_bead'", "dull_bead"),
    "asked on an unknown condition": ("ask_if: look_at is bead", "ask_if: look_at is bed", "bed", "bead"),
    "asked on an unknown fact": ("ask_if: look_at is bead", "ask_if: lok_at is bead", "lok_at", "look_at"),
}


@pytest.mark.parametrize("name", NAMED)
def test_a_name_or_value_that_does_not_exist_is_one_fault_with_its_line_and_the_closest_name(name: str) -> None:
    old, new, wrong, right = NAMED[name]
    fault, line = fault_with(old, new)
    assert fault.file == "more-1.yaml"
    assert line <= fault.line <= line + new.count("\n"), str(fault)
    assert wrong in fault.wrong, str(fault)
    assert right in fault.right, str(fault)


def test_an_unknown_stage_is_a_fault_of_the_cause_with_its_line_and_the_closest_name() -> None:
    text, line = placed("stages: [bead]", "stages: [bed]")
    faults = faults_of(text)
    assert {fault.line for fault in faults} == {line}
    own = [fault for fault in faults if fault.where.startswith("causes metal_left, stages.0")]
    assert len(own) == 1
    assert own[0].wrong == "'look_at' has no option 'bed'"
    assert "closest: bead" in own[0].right


SHAPED: dict[str, tuple[str, str, str]] = {
    "sign without strength": ("says: for, strength: strong, reason: Dull.", "says: for, reason: Dull.", "strength"),
    "constraint with strength": (
        "says: against, strength: slight",
        "says: rule_out, strength: slight",
        "rules out",
    ),
    "sign that requires": ("says: against, strength: slight", "says: require", "'for', 'against' or 'rule_out'"),
    "correction without strength": ("remedy: again, strength: strong", "remedy: again", "strength"),
    "required correction with strength": ("remedy: again,", "remedy: again, says: require,", "require and rule_out"),
    "changed line that names nothing": ("{note: shorter, do", "{do", "amount, step, fact or note"),
    "changed line that names two": ("{note: shorter,", "{note: shorter, step: weigh,", "amount, step, fact or note"),
    "factor without amount": ("{step: weigh, do", "{step: weigh, factor: {low: 1, likely: 1, high: 2}, do", "amount"),
    "no title": ("    title: Metal is left in it\n", "", "title"),
    "long title": ("Metal is left in it", "Metal " * 20, "80"),
    "no stage": ("stages: [bead]", "stages: []", "1"),
    "no source": ("now_known: {share: 20 to 60 %}\n    source: practice", "now_known: {share: 20 %}", "source"),
    "correction without figures": (
        "    outputs:\n      lead_to_add: {output: collector_to_add_g, title: lead to add}\n"
        "      cupel_to_take: {output: cupel_mass_g, title: cupel for bead and lead}\n",
        "    outputs: {}\n",
        "outputs",
    ),
    "figure without an output": ("{output: cupel_mass_g, title: cupel", "{title: cupel", "output"),
    "input given twice": (
        "      bead_look: = dull\n",
        "      bead_look: = dull\n      bead_look: bead_top\n",
        "bead_look",
    ),
    "figure given twice": ("      cupel_to_take:", "      lead_to_add:", "lead_to_add"),
    "unknown key": ("wet: no, share: 0 %}", "wet: no, share: 0 %}\n    colour: red", "colour"),
    "drawing without shapes": (
        "    shapes:\n      - {kind: polygon, fill: metal_dull, label: bead, points: [[4, 16], [92, 16], [84, 64], "
        "[12, 64]]}\n",
        "",
        "shapes",
    ),
    "plan answer of no kind": ("from_plan: decision.route", "from_plan: route", "from_plan"),
}


@pytest.mark.parametrize("name", SHAPED)
def test_an_entry_of_the_wrong_shape_is_one_fault_near_its_line(name: str) -> None:
    old, new, said = SHAPED[name]
    text, line = placed(old, new)
    faults = faults_of(text)
    assert len(faults) == 1, [str(fault) for fault in faults]
    assert faults[0].file == "more-1.yaml"
    # What is missing is reported where the entry begins.
    assert line - 20 <= faults[0].line <= line + 1, str(faults[0])
    assert said in str(faults[0]), str(faults[0])


def test_one_sign_is_too_few() -> None:
    old = "      - {when: bead_top is bright, says: against, strength: slight, reason: Bright., source: practice}\n"
    text, _ = placed(old, "")
    (fault,) = faults_of(text)
    assert "signs" in str(fault)


def test_a_cause_declared_twice_in_one_layer_names_both_places() -> None:
    again = DIAGNOSIS[DIAGNOSIS.index("causes:") : DIAGNOSIS.index("corrections:")]
    (fault,) = faults_of(DIAGNOSIS, again)
    assert (fault.file, fault.line) == ("more-2.yaml", 2)
    assert "metal_left" in str(fault)
    assert f"more-1.yaml:{DIAGNOSIS[: DIAGNOSIS.index('  metal_left:')].count(chr(10)) + 1}" in str(fault)


def test_causes_without_a_decision_for_several_are_refused() -> None:
    several = "  cause: {title: Cause, question: Why?, several: true, taken_at: 8}\n"
    text, _ = placed(several, "")
    faults = faults_of(text)
    assert any("there is no decision 'cause' for several" in fault.wrong for fault in faults), faults
    assert any("several: true" in fault.right for fault in faults)


def test_a_decision_about_causes_that_takes_only_one_is_refused() -> None:
    several = "  cause: {title: Cause, question: Why?, several: true, taken_at: 8}\n"
    single = "  cause: {title: Cause, question: Why?, fallback: none, options: {none: {title: No, summary: No.}}}\n"
    text, _ = placed(several, single)
    assert any("for several" in fault.wrong for fault in faults_of(text))


@pytest.mark.parametrize("new", ["several: true}", "several: true, taken_at: 8, fallback: metal_left}"])
def test_a_decision_for_several_needs_a_height_and_no_fallback(new: str) -> None:
    fault, line = fault_with("several: true, taken_at: 8}", new)
    assert fault.line == line
    assert "taken_at" in str(fault)


LIKE = "works_like: {route: fact work_done, vessel: pot}"


@pytest.mark.parametrize(
    ("new", "said"),
    [
        ("works_like: {route: fact work_done}", "works_like names no 'vessel'"),
        ("works_like: {route: fact work_dne, vessel: pot}", "work_dne"),
        ("works_like: {route: melted, vessel: pot}", "melted"),
        ("works_like: {route: fact work_done, vessel: jug}", "jug"),
        ("works_like: {route: fact work_done, vessel: pot, vessl: pot}", "vessl"),
    ],
)
def test_work_that_is_likened_to_nothing_or_not_to_every_decision_is_refused(new: str, said: str) -> None:
    fault, _ = fault_with(LIKE, new)
    assert said in str(fault)
    assert "decisions remedy, options.again" in str(fault)
    assert fault.file == "more-1.yaml"


def test_a_piece_that_is_not_described_is_refused() -> None:
    fault, _ = fault_with("piece: metal", "piece: mettle")
    assert "mettle" in str(fault)


def test_a_piece_on_which_the_work_is_always_ruled_out_is_refused() -> None:
    text, _ = placed(LIKE, "works_like: {route: melt, vessel: pot}")
    text = text.replace("facts: {wet: no,", "facts: {wet: yes,")
    (fault,) = faults_of(text)
    assert "'wet-spits' always rules it out" in fault.wrong


def test_the_rulings_of_the_work_it_is_like_hold_for_the_piece_too() -> None:
    entry = (
        "{id: no-pot, about: vessel.pot, says: rule_out, kind: means,\n"
        "     when: pots < 1, reason: None., source: practice}"
    )
    rule = f"arguments:\n  - {entry}\n"
    rule_base = compiled(DIAGNOSIS, STEP, rule)
    assert "again-like-no-pot" in {argument.id for argument in rule_base.decisions[REMEDY].arguments}
    assert "again-like-wet-spits" not in {argument.id for argument in rule_base.decisions[REMEDY].arguments}


def test_a_placeholder_that_is_no_figure_of_a_correction_is_refused() -> None:
    (fault,) = faults_of(DIAGNOSIS, STEP.replace("{lead_to_add}", "{lead_to_ad}"))
    assert (fault.file, fault.line) == ("more-2.yaml", 2)
    assert "lead_to_ad" in fault.wrong
    assert "lead_to_add" in fault.right


def test_a_figure_that_no_correction_declares_is_refused_where_a_step_names_it() -> None:
    text, _ = placed("      lead_to_add: {output: collector_to_add_g, title: lead to add}\n", "")
    (fault,) = faults_of(text, STEP)
    assert (fault.file, fault.line) == ("more-2.yaml", 2)
    assert "lead_to_add" in fault.wrong


# Corrections


def test_a_correction_is_one_computation_with_its_figures_by_the_names_that_steps_use() -> None:
    rule_base = compiled(DIAGNOSIS, STEP)
    assert list(rule_base.corrections) == ["bead_with_lead"]
    assert list(rule_base.figures) == ["lead_to_add", "cupel_to_take"]
    assert list(computation_faults(rule_base)) == []
    for name, figure in rule_base.figures.items():
        assert figure.correction is rule_base.corrections["bead_with_lead"]
        assert figure.origin.line == DIAGNOSIS[: DIAGNOSIS.index(f"{name}:")].count("\n") + 1
    assert list(rule_base.steps["once-more"].placeholders) == ["lead_to_add"]


def test_the_figures_of_a_correction_are_those_of_its_computation(shipped: RuleBase) -> None:
    conclusions = conclude(compiled(DIAGNOSIS, STEP), {"look_at": "bead", "bead_mass": Range.exact(8)})
    corrections = Corrections(conclusions, Tables(shipped))
    values: dict[str, Value] = {"bead_mass_g": Range.exact(8), "bead_look": "dull", "collector": "lead"}
    computed = COMPUTATIONS["dull_bead"].figures(Tables(shipped), values)
    assert corrections.figure("lead_to_add") == computed["collector_to_add_g"]
    assert corrections.figure("cupel_to_take") == computed["cupel_mass_g"]


def test_one_figure_in_two_corrections_is_a_fault_that_names_both_places() -> None:
    again = "corrections:\n" + DIAGNOSIS[DIAGNOSIS.index("  bead_with_lead:") :].replace("bead_with_lead", "bead_again")
    faults = faults_of(DIAGNOSIS, again)
    assert [fault.line for fault in faults] == [9, 10]
    for fault, name in zip(faults, ("lead_to_add", "cupel_to_take"), strict=True):
        line = DIAGNOSIS[: DIAGNOSIS.index(f"{name}:")].count("\n") + 1
        assert fault.file == "more-2.yaml"
        assert f"more-1.yaml:{line}" in fault.wrong


UNKNOWN: dict[str, tuple[str, str, str, str]] = {
    # what is wrong: old text, new text, words of what is wrong, words of what would be right
    "computation": ("computation: dull_bead", "computation: dul_bead", "no computation 'dul_bead'", "dull_bead"),
    "computation that is a command": ("computation: dull_bead", "computation: cupel", "no computation 'cupel'", "use"),
    "input": ("bead_mass_g:", "bead_mas_g:", "unknown input 'bead_mas_g'", "closest: bead_mass_g"),
    "output": ("output: cupel_mass_g", "output: cupel_mas_g", "no output 'cupel_mas_g'", "closest: cupel_mass_g"),
    "fixed word": ("collector: = lead", "collector: = tin", "'tin' is not known", "collector"),
    "fixed amount": ("bead_mass_g: bead_mass\n", "bead_mass_g: = 5 min\n", "min", "10g"),
    "word for an amount": ("bead_mass_g: bead_mass\n", "bead_mass_g: bead_top\n", "'bead_top' is no amount", "10g"),
    "amount for a word": ("bead_look: = dull", "bead_look: bead_mass", "'bead_mass' is an amount", "bead_look=shiny"),
    "amount of another kind": ("bead_mass_g: bead_mass\n", "bead_mass_g: heat\n", "measured in C, not in g", "10g"),
    "input left out": ("      bead_look: = dull\n", "", "'bead_look' (look of the bead) is missing", "fact"),
}


@pytest.mark.parametrize("name", UNKNOWN)
def test_a_correction_that_cannot_be_worked_out_is_a_fault_with_its_line_and_what_would_be_right(name: str) -> None:
    old, new, wrong, right = UNKNOWN[name]
    text, line = placed(old, new)
    found = list(computation_faults(compiled(text, STEP)))
    faults = [fault for fault in found if wrong in fault.wrong]
    assert len(faults) == 1, found
    assert "corrections bead_with_lead, " in faults[0].where
    assert right in faults[0].right
    # What is missing, and the computation itself, is reported where the correction begins.
    begins = text[: text.index("  bead_with_lead:")].count("\n") + 1
    assert (faults[0].file, faults[0].line) == (
        "more-1.yaml",
        begins if "is missing" in wrong or "computation" in name else line,
    )


def test_all_faults_of_all_corrections_are_told_at_once() -> None:
    text, _ = placed("output: cupel_mass_g", "output: cupel_mas_g")
    text = text.replace("output: collector_to_add_g", "output: colector").replace(
        "collector: = lead", "colector: = lead"
    )
    # Two figures, an input that does not exist, and the one that is now missing.
    assert len(list(computation_faults(compiled(text, STEP.replace("lead_to_add", "cupel_to_take"))))) == 4


# Shop folders


@pytest.fixture
def layers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The small base with its diagnosis in place of the shipped rules."""
    lower = tmp_path / "lower"
    lower.mkdir()
    (lower / "base.yaml").write_text(BASE, encoding="utf-8")
    (lower / "diagnosis.yaml").write_text(DIAGNOSIS, encoding="utf-8")
    (lower / "steps.yaml").write_text("consultation: diagnose\n" + STEP, encoding="utf-8")
    monkeypatch.setattr(loading, "shipped", lambda _: lower)
    return tmp_path


def own(folder: Path, text: str) -> Path:
    """A shop's own folder with one rule file."""
    (folder / "own").mkdir()
    (folder / "own" / "rules.yaml").write_text(text, encoding="utf-8")
    return folder / "own"


def test_the_files_of_the_diagnosis_are_left_out_of_the_route(layers: Path) -> None:
    route = load_rule_base()
    assert not route.causes
    assert "look_at" not in route.facts
    assert REMEDY not in route.decisions
    both = load_rule_base(diagnosis=True)
    assert list(both.causes) == ["metal_left"]
    assert set(route.facts) < set(both.facts)
    assert list(both.agenda) == [CAUSE, REMEDY]
    assert list(route.agenda) == ["route", "vessel"]
    assert layers.is_dir()


def test_a_faulty_file_of_the_diagnosis_does_not_stop_the_route(layers: Path) -> None:
    (layers / "lower" / "diagnosis.yaml").write_text(DIAGNOSIS.replace("stages: [bead]", "stages: [bed]"))
    assert load_rule_base().title == "Invented rules"
    with pytest.raises(FaultyFile):
        load_rule_base(diagnosis=True)


def test_a_shop_folder_replaces_a_cause_and_the_replacement_is_told(layers: Path) -> None:
    cause = DIAGNOSIS[DIAGNOSIS.index("causes:") : DIAGNOSIS.index("corrections:")]
    changed = cause.replace("Metal is left in it", "Lead is left in it").replace("strength: strong", "strength: slight")
    rule_base = load_rule_base([own(layers, "consultation: diagnose\n" + changed)], diagnosis=True)
    assert rule_base.causes["metal_left"].entry.title == "Lead is left in it"
    assert ("causes", "metal_left") in {(override.section, override.id) for override in rule_base.overrides}
    conclusions = conclude(rule_base, {"look_at": "bead", "bead_top": "dull"})
    assert conclusions.several[CAUSE].taken == []


def test_a_shop_folder_retires_a_cause_with_all_its_arguments(layers: Path) -> None:
    retired = (
        "consultation: diagnose\n"
        "retire:\n  - {section: causes, id: metal_left, reason: Ours never holds any.}\n"
        + DIAGNOSIS[DIAGNOSIS.index("causes:") : DIAGNOSIS.index("corrections:")].replace("metal_left", "other_metal")
    )
    rule_base = load_rule_base([own(layers, retired)], diagnosis=True)
    assert list(rule_base.causes) == ["other_metal"]
    assert not [name for name in rule_base.arguments if name.startswith("metal-left")]
    assert list(rule_base.decisions[CAUSE].entry.options) == ["other_metal"]


def test_a_shop_folder_cannot_retire_a_cause_that_does_not_exist(layers: Path) -> None:
    retired = "consultation: diagnose\nretire:\n  - {section: causes, id: metal_lft, reason: Never seen.}\n"
    with pytest.raises(FaultyFile) as caught:
        load_rule_base([own(layers, retired)], diagnosis=True)
    (fault,) = caught.value.faults
    assert "metal_lft" in str(fault)
    assert fault.line == 3


def test_a_shop_folder_for_the_diagnosis_alone_does_not_stop_the_route(layers: Path) -> None:
    cause = DIAGNOSIS[DIAGNOSIS.index("causes:") : DIAGNOSIS.index("corrections:")]
    folder = own(layers, "consultation: diagnose\n" + cause)
    assert list(load_rule_base([folder]).agenda) == ["route", "vessel"]


def test_any_other_consultation_is_a_fault_with_its_line() -> None:
    fault, line = fault_with("consultation: diagnose", "consultation: diagnosis")
    assert fault.line == line
    assert "diagnose" in str(fault)


# What the author wrote


def test_a_fault_in_a_sign_names_the_cause_and_which_sign_it_is() -> None:
    text, _ = placed("{when: bead_top is bright", "{when: bead_topp is bright")
    (fault,) = faults_of(text, STEP)
    assert fault.where == "causes metal_left, second sign, when"
    assert "arguments" not in str(fault)
