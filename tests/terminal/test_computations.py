"""The computations through the real command line: exit statuses, and screens of 80 columns."""

from __future__ import annotations

import pytest

from tests.terminal.program import Program, crash

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
def test_every_line_keeps_to_the_screen_and_a_stop_has_the_status_of_a_stop(program: Program, command: str) -> None:
    result = program.run(*command.split(), COLUMNS=str(WIDTH))
    assert result.status == (STOP if command in STOPS else ADVICE), result.err
    assert not crash(result.err)
    assert max(map(len, result.lines)) <= WIDTH
    # A figure folded beside a long title would stand in lines of a letter or two.
    assert not [line for line in result.lines if line.startswith(" " * 40) and len(line.strip()) <= 2]


def test_a_scale_that_cannot_tell_says_so_before_any_figure(program: Program) -> None:
    lines = program.run(*WORKS[1].split(), COLUMNS=str(WIDTH)).lines
    said = next(place for place, line in enumerate(lines) if "cannot tell the fineness" in line)
    assert said < next(place for place, line in enumerate(lines) if line.startswith("step that is fine enough"))
    assert not any("money" in line for line in lines)
