"""What computations say beside their figures stands in the rules: a shop that words it otherwise reads its words."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_advice import build_advice
from advisor.engine import conclude
from advisor.errors import FaultyFile, InputError
from advisor.metallurgy.bead.fineness import bead_density
from advisor.metallurgy.bead.fineness import water_table as water
from advisor.metallurgy.calculators import COMPUTATIONS, run_computation
from advisor.metallurgy.common.inputs import from_words
from advisor.metallurgy.common.rows import Note
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import Document
from advisor.units import Range
from tests.conftest import ROOT

TABLES = ("reckoning_notes", "correction_notes", "cupel_notes", "roast_notes")
PYRITIC = "dry_mass=100g mineral_masses.pyrite=30g mineral_masses.quartz=70g"
IN_BATCH = "feed.batch.mass=500g feed.batch.gold=2% feed.batch.deviation=0.05%"
BEAD = "products.bead.gold=95% products.bead.deviation=0.5% products.bead.mass"

SAID = {
    "balance feed_assay=20 concentrate_assay=1500 tailing_assay=4": "coarse_gold_assay",
    f"balance {IN_BATCH} {BEAD}=10.5g": "balance_no_signal",
    f"balance {IN_BATCH} {BEAD}=11.9g": "balance_more_out",
    f"balance {IN_BATCH} {BEAD}=9.9g": "balance_less_out",
    "borax_clean metal_mass_g=100g": "gold_melts",
    "brittle_metal metal_mass_g=100g suspected=antimony_arsenic collector=bismuth": "antimony_arsenic",
    "brittle_metal metal_mass_g=100g suspected=bismuth collector=lead": (
        "nitre_late ratio_for_copper_only flux_or_scorify borax_with_air nitre_in_lots bone_ash_ring bone_ash_absorbs "
        "choose_high_end"
    ),
    f"charge method=iron {PYRITIC} crucible=5ml": "pot_too_small",
    f"charge method=iron {PYRITIC} fixed.nitre=10g": "nitre_beside_rod",
    f"charge method=iron {PYRITIC} trial_button=29g": "slag_with_free_soda",
    f"charge method=iron {PYRITIC} furnace=900C": "furnace_too_cold",
    "charge method=iron trial_button=45g dry_mass=100g mineral_masses.pyrrhotite=5g mineral_masses.quartz=95g": (
        "trial_too_much_lead"
    ),
    f"charge {PYRITIC} given.soda_ash=60g given.nitre=200g": "slag_in_window nitre_takes_all",
    f"charge {PYRITIC} given.soda_ash=60g given.nitre=40g given.flour=5g": "slag_too_acid nitre_flares",
    f"charge {PYRITIC} given.soda_ash=900g given.litharge=20g rod=60g": "slag_too_alkaline",
    "concentrate dry_mass=250g density=3 heavy=pyrite light=quartz": "eye_is_wide",
    "copper_button button_mass_g=1g copper_share=20% collector=lead": "little_and_often stop_when_clean",
    "cupel metals.gold=0.3g metals.copper=0.13g collector=lead material=bone_ash": "interpolated",
    "cupel metals.gold=0.5g metals.silver=3g collector=bismuth lead_there=2g material=cement": "lead_in_bismuth",
    "cupel metals.gold=12g metals.copper=1g collector=bismuth material=magnesia": (
        "losses_are_others bead_stop bead_add_step bead_scorify scorify_large several_cupels heat_first magnesia loss "
        "bismuth_ratio trial blank bismuth_step bismuth_most never_to_correct losses_of_lead"
    ),
    "cupel metals.gold=12g metals.copper=1g collector=bismuth material=magnesia shop_ratio=2": "shop_ratio",
    "cupel metals.gold=12g metals.copper=1g collector=lead material=bone_ash": "assay_tables copper_in_doses",
    "cupel metals.silver=0.4g metals.copper=0.01g collector=lead material=bone_ash": (
        "too_little below_table copper_twice small_button spitting"
    ),
    "dull_bead bead_mass_g=10g bead_look=dull collector=lead": "several_times look_is_a_hint",
    "fineness fineness=300 in_air=1g colour=yellow": "colour_disagrees",
    "fineness in_air=1.34g in_water=1.26g scale_step=0.1g": "fineness_any",
    "fineness in_air=12.34g in_water=11.60g scale_step=0.01g": (
        "density_one_figure not_an_assay parting_is_licensed silver_for_parting"
    ),
    "fineness in_air=14g in_water=11g scale_step=1g": "lighter_than_metal",
    "fineness in_air=14g in_water=13.1g scale_step=0.1g": "fineness_not_told fineness_finer_scale",
    "fineness in_air=14g in_water=13.5g scale_step=0.001g": "heavier_than_gold",
    "fineness in_air=14g in_water=13.9g scale_step=0.01g": "heavier_than_metal",
    "fineness sample=0.5g sample_gold=0.45g": "no_check",
    "fineness sample=0.5g sample_gold=0.45g check=0.2g check_gold=0.1995g": "check_unlike",
    "frozen_cupel button_mass_g=25g temperature_c=800C collector=bismuth": (
        "raise_the_heat only_if_not_clear nothing_published"
    ),
    "frozen_cupel button_mass_g=25g temperature_c=990C collector=lead": "hot_enough",
    "fume agent=arsenic mass=1g step=arsenic_heated release_time=60min room=30m3": "fume_licensed",
    "fume agent=lead mass=0.01g step=lead_in_smelt release_time=60min room=30m3": (
        "fume_is_a_screen fume_extraction fan_missing fume_mixing mask_limit"
    ),
    "fume agent=lead mass=0.01g step=lead_in_smelt release_time=60min room=30m3 air_flow=1m3/h": "fan_too_weak",
    "fume agent=lead mass=0.01g step=lead_in_smelt release_time=60min room=30m3 air_flow=2000m3/h": "fan_not_proved",
    "fume agent=lead mass=0g step=lead_on_cupel release_time=60min room=30m3": "fume_nothing_counted",
    "fume agent=lead mass=30g step=lead_on_cupel release_time=60min room=30m3": "fume_outdoors",
    "limits agent=lead air.fire.mg_m3=0.001 air.fire.time=8h": "limits_are_examples air_within_limits",
    "limits agent=lead air.fire.mg_m3=0.12 air.fire.time=2h": "air_over_limits",
    "limits agent=lead air.fire.mg_m3=500 air.fire.time=8h": "air_deadly",
    "limits blood_lead.a=20": "blood_stay",
    "limits blood_lead.a=62": "blood_is_for_a_doctor blood_confirm",
    "limits blood_lead.a=62 blood_lead.b=61": "blood_leave",
    "limits leach.lead=1": "leach_below_limits",
    "limits leach.lead=6": "leach_hazardous",
    "limits removed=yes blood_lead.a=38": "blood_not_back",
    "limits removed=yes blood_lead.a=39 blood_lead.b=38": "blood_may_return",
    "lost_gold gold_expected_g=1g gold_found_g=0.9g slag_mass_g=100g collector=bismuth": (
        "look_for_gold red_iron_slag losses_of_lead"
    ),
    "low_fineness bead_mass_g=10g fineness_permille=800 fineness_wanted_permille=950 collector=lead": "silver_stays",
    "matte_iron matte_mass_g=10g matte_kind=unknown collector=bismuth": (
        "bismuth_no_ratio iron_sulphide_full copper_matte matte_not_hotter"
    ),
    "reheat_charge charge_mass_g=200g": "wait_for_gas",
    "roast dry_mass=250g mass_shares.galena=40%": "roast_stop roast_refused",
    "roast dry_mass=250g mass_shares.pyrite=40% mass_shares.galena=10% recovery=Pb": (
        "dust conflict sulphates recovery cooler_leads"
    ),
    "roast dry_mass=250g mass_shares.pyrite=40% mass_shares.calcite=10%": "carbonate",
    "roast dry_mass=250g mass_shares.quartz=40%": "nothing_to_roast",
    "second_cupel button_mass_g=25g collector=bismuth": "uptake_of_lead",
    "slag_shot slag_mass_g=120g collector=lead": "gold_slag_cleaned one_reductant",
    "speiss speiss_mass_g=7g": "speiss",
    "thin_slag slag_mass_g=200g slag_look=pasty_iron": "fluorspar_eats_clay flour_for_red_iron",
    "trial trial_button=6g dry_mass=100g lead_wanted=20g": "trial_rule",
    "trial trial_button=6g dry_mass=10g scale_step=5g": "trial_scale_too_coarse",
    "trial trial_button=60g dry_mass=10g": "trial_button_too_heavy",
}
"""Inputs in words, and the notes that come with what they give; all invented."""
IN_ADVICE = {
    "copper-and-no-buyer.yaml": "charge_by_rule",
    "arsenic-not-known.yaml": "find_out_first",
    "iron-smelt-trade-check-weights.yaml": "as_it_is",
}
"""Cases, and the notes that only an advice brings."""
OF_A_CALL = "weighs_too_little"
"""The note that only a caller of the function meets: the command has said before that this scale cannot tell."""


def notes_of(rules: RuleBase) -> Iterator[tuple[str, str, str]]:
    for table in TABLES:
        for row in rules.tables[table].rows:
            yield table, str(row["key"]), str(row["text"])


@pytest.fixture(scope="module")
def own(shipped: RuleBase, tmp_path_factory: pytest.TempPathFactory) -> RuleBase:
    """The shipped rules with every note worded otherwise by a shop, and two figures of its own."""
    tables: dict[str, dict[str, list[object]]] = {table: {"rows": []} for table in TABLES}
    for table, key, text in notes_of(shipped):
        tables[table]["rows"].append({"key": key, "text": f"Ours, {key}: {text}", "source": "practice"})
    cold = {"what": "heat", "low": 700, "likely": 710, "high": 720, "source": "practice"}
    told = {"permille": 62.5, "all_alloys": 300, "source": "practice"}
    tables |= {"not_measured": {"rows": [cold]}, "fineness_told": {"rows": [told]}}
    folder = tmp_path_factory.mktemp("shop")
    # YAML takes JSON as it is.
    (folder / "own.yaml").write_text(json.dumps({"tables": tables}), encoding="utf-8")
    return load_rule_base((folder,), use_cache=False)


def printed(rules: RuleBase, words: str) -> str:
    """All that a computation shows, or why it refuses."""
    name, *given = words.split()
    try:
        return str(run_computation(name, Document("command line", from_words(given), {(): 0}), rules))
    except InputError as problem:
        return str(problem)


@pytest.mark.parametrize("words", SAID)
def test_a_shop_that_words_a_note_otherwise_reads_its_own_words(shipped: RuleBase, own: RuleBase, words: str) -> None:
    said = printed(own, words)
    assert set(SAID[words].split()) <= set(re.findall(r"Ours, (\w+):", said))
    # A place that nothing is put into would stand there, or be refused.
    assert not re.search(r"\{\w+\}|nothing is put into", said)
    assert "Ours, " not in printed(shipped, words)


@pytest.mark.parametrize("case", IN_ADVICE)
def test_an_advice_says_its_notes_as_the_shop_words_them(own: RuleBase, case: str) -> None:
    batch = read_batch(ROOT / "cases" / case, own)
    advice = build_advice(conclude(own, batch.answers), batch.title, look_for_changes=False)
    assert f"Ours, {IN_ADVICE[case]}:" in str(advice)


def test_every_note_of_the_shipped_rules_is_said_somewhere(shipped: RuleBase) -> None:
    tried = {key for keys in (*SAID.values(), *IN_ADVICE.values(), OF_A_CALL) for key in keys.split()}
    assert {key for _, key, _ in notes_of(shipped)} == tried


def test_a_loss_in_water_that_the_scale_cannot_see_is_refused_in_the_words_of_the_rules(own: RuleBase) -> None:
    tables = Tables(own)
    with pytest.raises(InputError, match=f"Ours, {OF_A_CALL}: the bead loses only 0.1 g .* may be 0.03 g out"):
        bead_density(1.0, 0.9, 0.03, Range.exact(20.0), tables.once(water), Range.exact(0.0012), tables.notes)


def test_what_is_reckoned_with_where_nobody_measured_is_the_shops_to_say(shipped: RuleBase, own: RuleBase) -> None:
    for rules, likely in ((shipped, 900.0), (own, 710.0)):
        heats = {
            one.otherwise.likely
            for name in ("frozen_cupel", "thin_slag", "reheat_charge")
            for one in COMPUTATIONS[name].inputs(Tables(rules))
            if isinstance(one.otherwise, Range) and one.unit == "C"
        }
        assert heats == {likely}


def test_from_where_on_no_alloy_is_told_is_the_shops_to_say(shipped: RuleBase, own: RuleBase) -> None:
    words = "fineness in_air=14g in_water=13.1g scale_step=0.15g"
    assert "leave it open by 391 permille either way" in printed(shipped, words)
    assert "Ours, fineness_any" in printed(own, words)


def test_a_place_that_nothing_is_put_into_is_refused_with_the_places_there_are() -> None:
    note = Note("add", "Add {grams} g of {what}.", "practice")
    assert note.said(grams="5", what="soda", unused="x") == "Add 5 g of soda."
    with pytest.raises(InputError, match=r"nothing is put into \{what\} of the note 'add'; its places are grams"):
        note.said(grams="5")


def test_a_shops_note_with_a_place_that_the_shipped_one_has_not_is_a_fault_with_its_line(tmp_path: Path) -> None:
    own_row = '{key: slag_too_acid, text: "More acid than {bound}.", source: practice}'
    (tmp_path / "own.yaml").write_text(f"tables:\n  reckoning_notes:\n    rows:\n      - {own_row}\n", encoding="utf-8")
    with pytest.raises(FaultyFile) as caught:
        load_rule_base((tmp_path,), use_cache=False)
    (fault,) = map(str, caught.value.faults)
    assert "own.yaml:4" in fault
    assert "nothing is put into {bound}; places of this text are {bounds}" in fault
