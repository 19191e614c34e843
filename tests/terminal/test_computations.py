"""The computations through the real command line: exit statuses, and screens of 80 columns."""

from __future__ import annotations

import re

import pytest

from tests.terminal.preloaded import Warm
from tests.terminal.program import crash

ADVICE, STOP = 0, 3
WIDTH = 80

STOPS = [
    "roast dry_mass=250g mass_shares.stibnite=40%",
    "fume agent=arsenic mass=1g step=arsenic_heated release_time=60min room=30m3",
    "charge method=nitre dry_mass=9g volume_shares.pyrite=100% given.soda_ash=9g given.nitre=40g given.flour=5g",
    "limits blood_lead.may=62",
]
WORKS = [
    "fume agent=sulphur_dioxide mass=30g step=sulphur_dioxide_formed release_time=60min room=30m3 shift=10h",
    "fineness in_air=14g in_water=13.1g scale_step=0.1g price=60",
    "limits agent=lead air.fire.mg_m3=0.12 air.fire.time=2h shift=10h leach.lead=5",
]


@pytest.mark.parametrize("command", [*WORKS, *STOPS])
def test_every_line_keeps_to_the_screen_and_a_stop_has_the_status_of_a_stop(warm: Warm, command: str) -> None:
    result = warm.run(*command.split(), COLUMNS=str(WIDTH))
    assert result.status == (STOP if command in STOPS else ADVICE), result.err
    assert not crash(result.err)
    assert max(map(len, result.lines)) <= WIDTH
    # A figure folded beside a long title would stand in lines of a letter or two.
    assert not [line for line in result.lines if line.startswith(" " * 40) and len(line.strip()) <= 2]


def test_a_scale_that_cannot_tell_says_so_before_any_figure(warm: Warm) -> None:
    lines = warm.run(*WORKS[1].split(), COLUMNS=str(WIDTH)).lines
    said = next(place for place, line in enumerate(lines) if "cannot tell the fineness" in line)
    assert said < next(place for place, line in enumerate(lines) if line.startswith("step that is fine enough"))
    assert not any("money" in line for line in lines)


# C. and J. J. Beringer, A Text-book of Assaying (1904), pp. 95 and 96.
def test_half_pyrite_throws_down_5_5_g_and_takes_20_g_of_nitre_for_30_g_of_lead(warm: Warm) -> None:
    result = warm.run("trial", "trial_button=16.5g", "dry_mass=20g", "lead_wanted=30g", "mineral=pyrite", "--json")
    found = {figure["name"]: figure for group in result.json["groups"] for figure in group["figures"]}
    assert found["lead_thrown_down_g"]["likely"] == pytest.approx(110)
    assert found["nitre_g"]["likely"] == pytest.approx(20)
    assert found["sulphide_g"]["likely"] == pytest.approx(10)
    with_red_lead = warm.run("trial", "trial_button=16.5g", "dry_mass=20g", "lead_wanted=30g", "red_lead=80g", "--json")
    found = {figure["name"]: figure for group in with_red_lead.json["groups"] for figure in group["figures"]}
    assert found["nitre_g"]["likely"] == pytest.approx(16)
    assert "flour_g" not in found


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("trial_button=47g", "hold only 46.4 g of lead"),
        ("trial_button=-1g", "-1"),
        ("trial_button=6g scale_step=5g", "use a finer one"),
        ("trial_button=6g gold=200%", "200"),
    ],
)
def test_a_weighing_that_cannot_be_gets_one_sentence(warm: Warm, given: str, says: str) -> None:
    result = warm.run("trial", "dry_mass=100g", *given.split())
    assert result.status == 2
    assert says in " ".join(result.err.split())
    assert not crash(result.err)


def test_a_charge_says_of_its_nitre_that_the_trial_found_it(warm: Warm) -> None:
    batch = "charge method=nitre collector=bismuth dry_mass=150g volume_shares.pyrite=4% volume_shares.quartz=74%"
    batch += " volume_shares.gold=2% volume_shares.magnetite=20%"
    spans = []
    for trial in ("", " trial_button=2.6g scale_step=0.01g"):
        result = warm.run(*(batch + trial).split(), "--json")
        nitre = next(f for g in result.json["groups"] for f in g["figures"] if f["name"] == "nitre_g")
        spans.append(nitre["high"] / max(nitre["low"], 1e-9))
        assert bool(re.search("by the trial fusion, .* of lead to 1 g", nitre["how"])) == bool(trial)
    assert spans[0] > 3 > spans[1]


# C. and J. J. Beringer, A Text-book of Assaying (1904), p. 85: tailings of 3.0; 4 of galena with 5 of blende.
@pytest.mark.parametrize(
    ("given", "measured", "grams"),
    [
        ("dry_mass=100g density=3 heavy=pyrite light=quartz", "densities.pyrite=5.1 densities.quartz=2.6", 27.2),
        (
            "dry_mass=60g displaced_water=20ml heavy=pyrite light=quartz",
            "densities.pyrite=5.1 densities.quartz=2.6",
            16.3,
        ),
        ("dry_mass=9g density=5.056 heavy=galena light=sphalerite", "densities.galena=7.5 densities.sphalerite=4", 4),
    ],
)
def test_a_measured_density_parts_two_minerals_as_in_the_book(
    warm: Warm, given: str, measured: str, grams: float
) -> None:
    result = warm.run("concentrate", *given.split(), *measured.split(), "--json")
    mineral = measured.partition("=")[0].partition(".")[2]
    found = {figure["name"]: figure for group in result.json["groups"] for figure in group["figures"]}
    assert found[f"{mineral}_g"]["likely"] == pytest.approx(grams, rel=0.01)


def test_a_measured_loose_density_sets_the_room_that_a_charge_takes(warm: Warm) -> None:
    batch = "charge method=iron mineral_masses.pyrite=20g mineral_masses.quartz=80g loose_density="
    room = [
        next(
            f["likely"]
            for g in warm.run(*f"{batch}{density}".split(), "--json").json["groups"]
            for f in g["figures"]
            if f["name"] == "charge_volume_ml"
        )
        for density in ("2g/ml", "4g/ml")
    ]
    assert room[0] - room[1] == pytest.approx(100 / 2 - 100 / 4)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("fixed.soda_ash=20g given.soda_ash=20g", "'given' judges one"),
        ("fixed.soda_ash=20g fixed.baking_soda=20g", "hold one kind of soda"),
        ("loose_density=90g/ml", "90"),
        ("degree=0", "0"),
        ("fixed.soda_ash=-3g", "-3"),
    ],
)
def test_what_cannot_be_held_gets_one_sentence(warm: Warm, given: str, says: str) -> None:
    result = warm.run("charge", "method=flux", "mineral_masses.quartz=50g", *given.split())
    assert result.status == 2
    assert says in " ".join(result.err.split())
    assert not crash(result.err)
