"""The fume screen against lists of limits, arithmetic by hand and a room solved step by step."""

from __future__ import annotations

import math
import re
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import chemicals
import chempy
import periodictable
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.errors import InputError
from advisor.metallurgy.air.exposure import (
    Agent,
    ExposureLimit,
    Respirator,
    RoomAir,
    arsenic_in_trioxide_g,
    mask_limit,
    mg_m3_of_ppm,
)
from advisor.metallurgy.air.fume import FumeScreen, LimitCheck, Release, Room, fume_screen
from advisor.metallurgy.common.rows import Rows, keyed, number, range_of, text
from advisor.rulebase.reading.yaml_reader import read_document
from advisor.units import Range
from advisor.units.substances import molar_mass_g
from tests.metallurgy.charge_examples import notes

RULES = Path(__file__).resolve().parents[2] / "rules" / "metallurgy"
TABLES: dict[str, Rows] = {
    name: table["rows"] for name, table in read_document(RULES / "exposure.yaml").data["tables"].items()
}
AGENTS = keyed(Agent, TABLES["fume_agents"], "agent")
AIR = RoomAir.from_rows(TABLES["room_air"])
LIMITS = ExposureLimit.from_rows(TABLES["air_limits"], AGENTS, AIR)
MASKS = keyed(Respirator, TABLES["respirators"], "respirator")
SHARES = {text(row, "step"): range_of(row) for row in TABLES["fume_shares"]}
LEAD, SULPHUR_DIOXIDE, ARSENIC = AGENTS["lead"], AGENTS["sulphur_dioxide"], AGENTS["arsenic"]
ALL = Range.exact(1.0)
EVEN_AIR = RoomAir(Range.exact(1.0), AIR.largest_flow_m3_h, AIR.temperature_c, AIR.pressure_pa, "a test")
ROOM = Room(30.0)
NOTES = notes()


def limit(agent: str, body: str, kind: str) -> ExposureLimit:
    [found] = [item for item in LIMITS if (item.agent, item.body, item.kind) == (agent, body, kind)]
    return found


def screen(
    agent: Agent, mass_g: Range, *, release_min: float = 40.0, room: Room = ROOM, air: RoomAir = AIR
) -> FumeScreen:
    return fume_screen(agent, Release(mass_g, release_min), room, LIMITS, air, NOTES)


def against(found: FumeScreen, wanted: ExposureLimit) -> LimitCheck:
    [check] = [item for item in found.checks if item.limit == wanted]
    return check


# --- Limits against other lists ------------------------------------------------------------------------


@pytest.mark.parametrize("ppm", [0.25, 0.5, 1.0, 2.0, 5.0, 100.0])
def test_ppm_of_sulphur_dioxide_turn_into_milligrams_as_in_a_library(ppm: float) -> None:
    mass = periodictable.formula("SO2").mass
    theirs = chemicals.ppmv_to_mgm3(ppm, mass, T=298.15, P=101325.0)
    assert mg_m3_of_ppm(ppm, "SO2", 25.0, 101325.0) == pytest.approx(theirs, rel=1e-4)


def test_the_molar_mass_of_sulphur_dioxide_is_that_of_two_libraries() -> None:
    assert molar_mass_g("SO2") == pytest.approx(periodictable.formula("SO2").mass, rel=1e-4)
    assert molar_mass_g("SO2") == pytest.approx(chempy.Substance.from_formula("SO2").mass, rel=1e-4)


@pytest.mark.parametrize(("kind", "printed_mg_m3"), [("shift", 1.3), ("short", 2.7)])
def test_european_limits_for_sulphur_dioxide_agree_with_their_printed_milligrams(
    kind: str, printed_mg_m3: float
) -> None:
    # Directive (EU) 2017/164: 0.5 ppm or 1.3 mg/m3 over 8 hours, 1 ppm or 2.7 mg/m3 over 15 minutes. It
    # counts at 20 °C (2.66 mg/m3 to the ppm), we at 25 °C (2.62): ours is under 2 % stricter, rounding aside.
    ours = limit("sulphur_dioxide", "European Union", kind).mg_m3
    assert ours == pytest.approx(printed_mg_m3, rel=0.035)
    assert round(mg_m3_of_ppm({"shift": 0.5, "short": 1.0}[kind], "SO2", 20.0, 101325.0), 1) == printed_mg_m3


@pytest.mark.parametrize(
    ("agent", "cas", "formula", "kind"),
    [
        ("lead", "7439-92-1", "Pb", "shift"),
        ("arsenic", "7440-38-2", "As", "shift"),
        ("arsenic", "7440-38-2", "As", "short"),
        ("sulphur_dioxide", "7446-09-5", "SO2", "shift"),
        ("sulphur_dioxide", "7446-09-5", "SO2", "short"),
        ("antimony", "7440-36-0", "Sb", "shift"),
        ("zinc_oxide", "1314-13-2", "ZnO", "shift"),
        ("zinc_oxide", "1314-13-2", "ZnO", "short"),
    ],
)
def test_ontario_limits_agree_with_the_list_of_a_library(agent: str, cas: str, formula: str, kind: str) -> None:
    # The library chemicals carries the exposure limits of Ontario and turns them all into ppm.
    value, unit = (chemicals.TWA if kind == "shift" else chemicals.STEL)(cas)
    assert unit == "ppm"
    theirs = chemicals.ppmv_to_mgm3(value, periodictable.formula(formula).mass)
    assert limit(agent, "Ontario", kind).mg_m3 == pytest.approx(theirs, rel=1e-3)


@pytest.mark.parametrize(
    ("agent", "body", "kind", "mg_m3"),
    [
        ("lead", "OSHA, United States", "shift", 0.050),  # 29 CFR 1910.1025 (c), 1978
        ("lead", "OSHA, United States", "action", 0.030),  # 29 CFR 1910.1025 (b)
        ("lead", "California", "shift", 0.010),  # California, from 1 January 2025
        ("lead", "European Union", "shift", 0.030),  # Directive (EU) 2024/869
        ("lead", "United Kingdom", "shift", 0.150),  # Control of Lead at Work Regulations 2002
        ("lead", "NIOSH, United States", "danger", 100.0),  # IDLH 1994
        ("arsenic", "OSHA, United States", "shift", 0.010),  # 29 CFR 1910.1018 (c), 1978
        ("arsenic", "NIOSH, United States", "short", 0.002),  # IDLH documentation 1994, 15-minute ceiling
        ("arsenic", "European Union", "shift", 0.010),  # Directive 2004/37/EC as amended
        ("arsenic", "NIOSH, United States", "danger", 5.0),  # IDLH 1994
        ("arsenic", "United Kingdom", "shift", 0.1),  # Arsenic Consortium, table of limits
        ("antimony", "OSHA, United States", "shift", 0.5),  # IDLH documentation 1994, antimony compounds
        ("antimony", "NIOSH, United States", "danger", 50.0),  # the same
        ("zinc_oxide", "OSHA, United States", "shift", 5.0),  # IDLH documentation 1994, zinc oxide fume
        ("zinc_oxide", "NIOSH, United States", "short", 10.0),  # the same
    ],
)
def test_limits_in_milligrams_stand_as_printed(agent: str, body: str, kind: str, mg_m3: float) -> None:
    assert limit(agent, body, kind).mg_m3 == mg_m3


def test_lead_flies_off_a_cupel_alike_in_the_air_and_in_the_cupel() -> None:
    rows = read_document(RULES / "cupellation.yaml").data["tables"]["cupel_fume"]["rows"]
    (row,) = [row for row in rows if row["metal"] == "lead"]
    percent = [number(row, f"{end}_percent") for end in ("low", "likely", "high")]
    in_air = SHARES["lead_on_cupel"].scaled(100)
    assert [in_air.low, in_air.likely, in_air.high] == pytest.approx(percent)


def test_every_limit_says_how_it_was_read_and_a_recalled_one_is_not_shown_as_published() -> None:
    for item in LIMITS:
        assert item.read in ("text", "summary", "memory")
        assert (item.read == "memory") == (item.source == "memory")
        assert ("from memory, not checked" in item.named()) == (item.read == "memory")
        assert ("read in a summary" in item.named()) == (item.read == "summary")


def test_a_limit_is_over_at_it_or_above_it_as_its_words_have_it() -> None:
    # 29 CFR 1910.1025: (c)(1) at concentrations greater than 50; (d) and (j) at or above the action level.
    pel, action = limit("lead", "OSHA, United States", "shift"), limit("lead", "OSHA, United States", "action")
    assert [pel.is_over(value) for value in (0.049, 0.050, 0.051)] == [False, False, True]
    assert [action.is_over(value) for value in (0.029, 0.030, 0.031)] == [False, True, True]
    # Whose words were not read counts as over at the limit.
    assert {item.counts for item in LIMITS if item.read != "text"} == {"at"}


def test_sulphur_dioxide_is_told_in_ppm_too() -> None:
    # 29 CFR 1910.1000 counts ppm at 25 °C and 760 torr: 24.45 l to the mole, so 1 ppm is 64.06 / 24.45 mg/m3.
    for check in screen(SULPHUR_DIOXIDE, Range.exact(1.0)).checks:
        assert check.in_room_ppm is not None
        assert check.in_room_ppm.amount.likely == pytest.approx(check.in_room.amount.likely * 24.45 / 64.06, rel=1e-3)
        assert check.limit.ppm is not None
        assert f"{check.limit.ppm:g} ppm" in check.limit.named()
    assert all(check.in_room_ppm is None for check in screen(LEAD, Range.exact(1.0)).checks)


def test_a_ten_hour_shift_with_lead_is_held_to_forty_micrograms() -> None:
    # 29 CFR 1910.1025, appendix B, section I: ten hours a day, 40 micrograms per cubic metre.
    osha = limit("lead", "OSHA, United States", "shift")
    assert osha.for_shift(10) == pytest.approx(0.040)
    assert osha.for_shift(6) == 0.050
    assert limit("lead", "OSHA, United States", "action").for_shift(12) == pytest.approx(0.020)
    assert limit("lead", "NIOSH, United States", "danger").for_shift(12) == 100.0


def test_arsenic_oxide_is_three_quarters_arsenic() -> None:
    arsenic, oxide = periodictable.formula("As").mass, periodictable.formula("As2O3").mass
    assert arsenic_in_trioxide_g(1.0) == pytest.approx(2 * arsenic / oxide, rel=1e-4)
    by_chempy = 2 * chempy.Substance.from_formula("As").mass / chempy.Substance.from_formula("As2O3").mass
    assert arsenic_in_trioxide_g(1.0) == pytest.approx(by_chempy, rel=1e-4)
    assert arsenic_in_trioxide_g(1.0) == pytest.approx(0.757, abs=5e-4)


# --- The closed room -----------------------------------------------------------------------------------

PYRITE_SO2 = 2 * periodictable.formula("SO2").mass / periodictable.formula("FeS2").mass
ARSENOPYRITE_AS = periodictable.formula("As").mass / periodictable.formula("FeAsS").mass


@pytest.mark.parametrize(("pyrite_g", "ppm"), [(7.4, 100.0), (0.37, 5.0), (0.0184, 0.25)])
def test_little_pyrite_fills_a_closed_room(pyrite_g: float, ppm: float) -> None:
    # Worked by hand for 30 m3 at 25 °C: 7.4 g of pyrite burnt whole make 100 ppm. Two figures, so 1 %.
    found = screen(SULPHUR_DIOXIDE, Range.exact(pyrite_g * PYRITE_SO2), air=EVEN_AIR)
    in_room = found.checks[0].in_room.amount.likely
    assert in_room == pytest.approx(mg_m3_of_ppm(ppm, "SO2", 25.0, 101325.0), rel=0.01)


@pytest.mark.parametrize(("arsenopyrite_g", "mg_m3"), [(0.326, 5.0), (0.00065, 0.010)])
def test_a_grain_of_arsenopyrite_reaches_the_limits_in_a_closed_room(arsenopyrite_g: float, mg_m3: float) -> None:
    # Worked by hand for 30 m3: 0.33 g reach the level dangerous to life, 0.65 mg the limit over a shift.
    found = screen(ARSENIC, Range.exact(arsenopyrite_g * ARSENOPYRITE_AS), air=EVEN_AIR)
    assert found.checks[0].in_room.amount.likely == pytest.approx(mg_m3, rel=0.01)


def test_cupelling_thirty_grams_of_lead_passes_the_limit_three_hundred_times() -> None:
    # Worked by hand: 1.5 % of 30 g into 30 m3 without draught is 15 mg/m3, 300 times 0.050.
    found = fume_screen(LEAD, Release(Range.exact(30.0), 40, SHARES["lead_on_cupel"]), ROOM, LIMITS, EVEN_AIR, NOTES)
    check = against(found, limit("lead", "OSHA, United States", "shift"))
    assert check.in_room.amount.likely == pytest.approx(15.0)
    assert check.times.amount.likely == pytest.approx(300.0)
    assert found.verdict == "outdoors"


# --- Steady state --------------------------------------------------------------------------------------


def test_the_flow_needed_is_mass_over_limit_and_time() -> None:
    # 1 g of lead in 60 min against 0.050 mg/m3 over 8 h: 1000 / (0.050 x 8) = 2500 m3/h in evenly mixed air.
    found = screen(LEAD, Range.exact(1.0), release_min=60, air=EVEN_AIR)
    check = against(found, limit("lead", "OSHA, United States", "shift"))
    assert check.flow_needed.amount.likely == pytest.approx(2500.0)


def test_a_short_limit_counts_only_the_fume_of_a_quarter_of_an_hour() -> None:
    # 1 g of SO2 in 60 min against 1 ppm over 15 min: 1000 mg / (2.62 mg/m3 x 1 h); all of it if in 5 min.
    eu = limit("sulphur_dioxide", "European Union", "short")
    slow = against(screen(SULPHUR_DIOXIDE, Range.exact(1.0), release_min=60, air=EVEN_AIR), eu)
    quick = against(screen(SULPHUR_DIOXIDE, Range.exact(1.0), release_min=5, air=EVEN_AIR), eu)
    assert slow.flow_needed.amount.likely == pytest.approx(1000 / eu.mg_m3)
    assert quick.flow_needed.amount.likely == pytest.approx(1000 / (eu.mg_m3 * 0.25))


def test_an_average_over_ten_hours_is_held_to_eight() -> None:
    # The limit of NIOSH for SO2 is an average over up to ten hours; nobody is given the longer time.
    niosh = limit("sulphur_dioxide", "NIOSH, United States", "shift")
    found = against(screen(SULPHUR_DIOXIDE, Range.exact(1.0), air=EVEN_AIR), niosh)
    assert found.flow_needed.amount.likely == pytest.approx(1000 / (niosh.mg_m3 * 8))


def test_a_hood_that_lets_a_tenth_escape_needs_a_tenth_of_the_air() -> None:
    bare = fume_screen(LEAD, Release(ALL, 60), ROOM, LIMITS, EVEN_AIR, NOTES).checks[0]
    tenth = Range.exact(0.1)
    hooded = fume_screen(LEAD, Release(ALL, 60, escaping_share=tenth), ROOM, LIMITS, EVEN_AIR, NOTES).checks[0]
    assert hooded.flow_needed.amount.likely == pytest.approx(bare.flow_needed.amount.likely / 10)


def worst_average(mass_g: float, release_min: float, room: Room, window_min: float) -> float:
    """Highest average over the window in a well-mixed room, solved in steps of a few seconds."""
    step_h = 0.002
    steps, source_steps = round(16 / step_h), max(1, round(release_min / 60 / step_h))
    concentration, history = 0.0, [0.0]
    for step in range(steps):
        source_mg = mass_g * 1000 / source_steps if step < source_steps else 0.0
        before = concentration
        decay = math.exp(-room.flow_m3_h / room.volume_m3 * step_h)
        concentration = before * decay + source_mg / room.volume_m3 * (1 + decay) / 2
        history.append(history[-1] + (before + concentration) / 2 * step_h)
    width = max(1, round(window_min / 60 / step_h))
    return max(history[i + width] - history[i] for i in range(len(history) - width)) / (width * step_h)


@pytest.mark.parametrize("flow_m3_h", [0.0, 30.0, 300.0, 3000.0])
@pytest.mark.parametrize("release_min", [5.0, 60.0, 240.0])
@pytest.mark.parametrize(("body", "kind"), [("OSHA, United States", "shift"), ("European Union", "short")])
def test_the_screen_never_falls_below_a_room_solved_step_by_step(
    flow_m3_h: float, release_min: float, body: str, kind: str
) -> None:
    wanted = limit("sulphur_dioxide", body, kind)
    room = Room(60.0, flow_m3_h)
    found = screen(SULPHUR_DIOXIDE, Range.exact(2.0), release_min=release_min, room=room, air=EVEN_AIR)
    solved = worst_average(2.0, release_min, room, wanted.minutes)
    stated = against(found, wanted).in_room.amount.likely
    assert solved <= stated * 1.01
    # In the end it must come near: never more than four times too careful where fume and window are alike.
    assert stated <= solved * 4.5


@given(
    mass=st.floats(0.001, 100.0),
    more=st.floats(1.0, 10.0),
    volume=st.floats(5.0, 500.0),
    flow=st.floats(0.0, 5000.0),
    release=st.floats(1.0, 480.0),
)
def test_more_mass_is_worse_and_more_air_is_better(
    mass: float, more: float, volume: float, flow: float, release: float
) -> None:
    def worst(mass_g: float, room: Room) -> tuple[float, float]:
        check = screen(LEAD, Range.exact(mass_g), release_min=release, room=room).checks[0]
        return check.in_room.amount.high, check.flow_needed.amount.high

    in_room, needed = worst(mass, Room(volume, flow))
    assert worst(mass * more, Room(volume, flow))[0] >= in_room * (1 - 1e-12)
    assert worst(mass * more, Room(volume, flow))[1] == pytest.approx(needed * more)
    assert worst(mass, Room(volume * more, flow))[0] <= in_room * (1 + 1e-12)
    assert worst(mass, Room(volume, flow + 100))[0] <= in_room * (1 + 1e-12)


@given(mass=st.floats(0.0, 100.0), width=st.floats(0.0, 0.9), escape=st.floats(0.0, 1.0))
def test_ranges_hold_their_likely_value_and_a_hood_only_helps(mass: float, width: float, escape: float) -> None:
    around = Range(mass * (1 - width), mass, mass * (1 + width))
    openly = Release(around, 30, SHARES["lead_on_cupel"])
    bare = fume_screen(LEAD, openly, ROOM, LIMITS, AIR, NOTES)
    hooded = fume_screen(LEAD, replace(openly, escaping_share=Range.exact(escape)), ROOM, LIMITS, AIR, NOTES)
    for check, under_hood in zip(bare.checks, hooded.checks, strict=True):
        for figure in (check.in_room, check.times, check.flow_needed):
            assert figure.amount.low <= figure.amount.likely <= figure.amount.high
        assert under_hood.flow_needed.amount.high <= check.flow_needed.amount.high * (1 + 1e-12)
    assert bare.into_air.amount.low <= bare.into_air.amount.likely <= bare.into_air.amount.high


# --- What the screen says ------------------------------------------------------------------------------

FORBIDDEN = re.compile(r"\b(safe|safely|harmless|acceptable|no risk|no danger|fine|ok)\b", re.IGNORECASE)


@given(
    agent=st.sampled_from(sorted(AGENTS)),
    mass=st.one_of(st.just(0.0), st.floats(1e-6, 1000.0)),
    flow=st.sampled_from([0.0, 100.0, 1e6]),
)
def test_the_screen_never_clears_a_place(agent: str, mass: float, flow: float) -> None:
    found = screen(AGENTS[agent], Range.exact(mass), room=Room(30.0, flow))
    words = [found.says]
    words += [
        part
        for check in found.checks
        for figure in (check.in_room, check.times, check.flow_needed)
        for part in (figure.title, figure.how, figure.source)
    ]
    assert not any(FORBIDDEN.search(word) for word in words)
    assert "measure" in found.says or found.verdict == "licensed"


def test_nothing_counted_still_asks_for_a_measurement() -> None:
    found = screen(LEAD, Range.exact(0.0))
    assert found.verdict == "nothing_counted"
    assert "does not show that there is none" in found.says


@pytest.mark.parametrize("lead_g", [0.00101, 0.00103, 0.00106, 0.0011])
def test_a_trace_of_lead_needs_extraction_and_the_number_is_never_rounded_down(lead_g: float) -> None:
    found = screen(LEAD, Range.exact(lead_g), release_min=60)
    assert found.verdict == "extraction"
    stated = int(re.search(r"at least ([\d,]+) m3/h", found.says)[1].replace(",", ""))  # type: ignore[index]
    governing = next(check for check in found.checks if check.limit.binds)
    assert stated >= governing.flow_needed.amount.high
    assert "has none" in found.says


def test_a_strong_fan_is_not_taken_for_proof() -> None:
    found = screen(LEAD, Range.exact(0.001), release_min=60, room=Room(30.0, 1e5))
    assert "does not show that it catches the fume" in found.says


def test_the_limit_that_asks_for_most_air_decides() -> None:
    found = screen(LEAD, Range.exact(5.0))
    flows = [check.flow_needed.amount.high for check in found.checks]
    assert flows == sorted(flows, reverse=True)
    # The action level of California asks for more air still, but it only says where duties begin.
    assert found.checks[0].limit.kind == "action"
    assert "under the limit of California (2025): 0.01 mg/m3" in found.says


def test_arsenic_beyond_any_fan_goes_to_a_licensed_plant_and_not_outdoors() -> None:
    found = screen(ARSENIC, Range.exact(0.1))
    assert found.verdict == "licensed"
    assert "not outdoors either" in found.says


# --- Masks ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("mask", "mg_m3"), [("half_mask_particle", 0.5), ("full_face_particle", 2.5)])
def test_masks_against_lead_are_good_for_what_the_pocket_guide_says(mask: str, mg_m3: float) -> None:
    # NIOSH Pocket Guide to Chemical Hazards, entry lead: half mask P100 up to 0.5, full face up to 2.5 mg/m3.
    niosh = [item for item in LIMITS if item.body.startswith("NIOSH")]
    worst = mask_limit(MASKS[mask], LEAD, niosh, NOTES)
    assert worst is not None
    assert worst.amount.likely == pytest.approx(mg_m3)
    # D. Tharr, 1991, pp. 252-254: mixing dry litharge made 13 mg/m3; neither mask may be used in that.
    assert worst.amount.likely < 13.0


def test_a_dust_mask_stops_no_gas_and_no_arsenic_vapour() -> None:
    assert mask_limit(MASKS["full_face_particle"], SULPHUR_DIOXIDE, LIMITS, NOTES) is None
    assert mask_limit(MASKS["full_face_particle"], ARSENIC, LIMITS, NOTES) is None
    assert mask_limit(MASKS["full_face_combined"], SULPHUR_DIOXIDE, LIMITS, NOTES) is not None


@pytest.mark.parametrize("agent", sorted(AGENTS))
def test_no_mask_reaches_the_level_dangerous_to_life(agent: str) -> None:
    danger = min(item.mg_m3 for item in LIMITS if item.agent == agent and item.kind == "danger")
    heroic = Respirator("heroic", "a mask beyond all masks", 1e9, "both", "a test")
    worst = mask_limit(heroic, AGENTS[agent], LIMITS, NOTES)
    assert worst is not None
    assert worst.amount.high <= danger


# --- Input that cannot be ------------------------------------------------------------------------------

anything = st.one_of(st.floats(), st.floats(-1e4, 1e4), st.sampled_from([0.0, 1.0, 1e308, 5e-324]))


@given(mass=anything, release=anything, volume=anything, flow=anything, hours=anything)
def test_any_numbers_give_a_finite_answer_or_are_refused(
    mass: float, release: float, volume: float, flow: float, hours: float
) -> None:
    assume(math.isfinite(mass))
    with suppress(InputError):
        room = Room(volume, flow)
        found = fume_screen(LEAD, Release(Range.exact(mass), release), room, LIMITS, AIR, NOTES, shift_h=hours)
        assert all(math.isfinite(check.times.amount.high) for check in found.checks)


@pytest.mark.parametrize(
    "call",
    [
        lambda: Room(0.0),
        lambda: Room(-30.0),
        lambda: Room(0.2),
        lambda: Room(math.nan),
        lambda: Room(math.inf),
        lambda: Room(30.0, -1.0),
        lambda: screen(LEAD, Range(-1.0, 1.0, 2.0)),
        lambda: screen(LEAD, Range.exact(1.0), release_min=0.0),
        lambda: screen(LEAD, Range.exact(1.0), release_min=math.nan),
        lambda: fume_screen(LEAD, Release(ALL, 30, Range(0.0, 0.5, 1.5)), ROOM, LIMITS, AIR, NOTES),
        lambda: fume_screen(LEAD, Release(ALL, 30, escaping_share=Range(-0.1, 0.0, 0.1)), ROOM, LIMITS, AIR, NOTES),
        lambda: fume_screen(LEAD, Release(ALL, 30), ROOM, [], AIR, NOTES),
        lambda: fume_screen(LEAD, Release(ALL, 30), ROOM, LIMITS, AIR, NOTES, shift_h=0.0),
        lambda: mask_limit(MASKS["half_mask_particle"], LEAD, [], NOTES),
        lambda: mg_m3_of_ppm(1.0, "SO2", -300.0, 101325.0),
        lambda: arsenic_in_trioxide_g(-1.0),
    ],
)
def test_impossible_input_is_refused_in_one_sentence(call: object) -> None:
    assert callable(call)
    with pytest.raises(InputError) as refused:
        call()
    assert len(str(refused.value)) > 30
    assert "\n" not in str(refused.value)
