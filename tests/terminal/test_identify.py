"""A lump that nobody can name, at a terminal of 80 columns and 24 lines."""

from __future__ import annotations

import re
from typing import Any

import pytest

from advisor.rulebase.model import RuleBase
from tests.advice.diagnosis.test_lumps import LUMPS, told
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import COLUMNS, LINES, Program
from tests.terminal.test_diagnose import Observer
from tests.terminal.test_route_from_file import as_yaml

DONE, STOP = 0, 3


@pytest.mark.parametrize(
    ("name", "title", "status"), [("lump_platinum", "Platinum", DONE), ("lump_amalgam", "Mercury", STOP)]
)
def test_a_lump_is_asked_for_the_poisons_first_and_named_on_one_screen(
    quick: Preloaded, program: Program, diagnosing: RuleBase, name: str, title: str, status: int
) -> None:
    seen: dict[str, Any] = told(LUMPS[name])
    with Observer(quick.talk(program, command="identify"), diagnosing, seen) as person:
        person.to_the_end()
    assert person.asked[:2] == ["lump_smear", "lump_garlic"][: len(person.asked)]
    assert "look_at" not in person.asked
    assert re.search(rf"IT IS     {title}", person.page)
    assert "KNOWN BY" in person.page
    assert "CAN KILL  mercury" in person.page or status == DONE
    assert "density of the lump" in person.page or status == STOP
    # What comes before it is the last answer, understood; the screen itself is one.
    screen = person.page[person.page.index("IT COLD") :].splitlines()
    assert len(screen) < LINES
    assert max(map(len, screen)) <= COLUMNS
    assert person.talk.status == status


def test_the_same_lump_from_a_file_is_the_same(quick: Preloaded, program: Program) -> None:
    answers = {key: value for key, value in told(LUMPS["lump_lead"]).items() if key != "lump_found"}
    file = program.write("lump.yaml", as_yaml(answers, title="Invented lump"))
    shown = quick.run("diagnose", "--observations", file)
    assert shown.status == DONE, shown.err
    assert re.search(r"^IT IS +Lead \(", shown.out, re.MULTILINE)
    assert "CAUSE" not in shown.out
    assert "CAN KILL  lead on the hands" in shown.out
    assert "NO HEAT YET" not in shown.out
