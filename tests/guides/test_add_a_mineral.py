"""The guide to a new mineral does what it says: it is reckoned with, an answer names it, a row left out is refused."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from tests.guides.guide import Copy, copied, guide
from tests.terminal.program import flat

SNIPPETS = guide("A mineral")
FILE = SNIPPETS[0]
BAD_INPUT = 2
BATCH = """\
invented: for this test
room: licensed-lead
lot: ordinary
answers: {sulphide_minerals: [bornite], sulphide_share: 30 %}
"""


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    """A copy of the program in which the guide was performed."""
    done = copied(tmp_path_factory.mktemp("mineral") / "copy", SNIPPETS)
    (done.folder / "batch.yaml").write_text(BATCH, encoding="utf-8")
    return done


def test_the_guide_touches_one_new_file_and_the_fact_that_names_the_mineral() -> None:
    assert [(snippet.file, snippet.new) for snippet in SNIPPETS] == [
        ("rules/metallurgy/bornite.yaml", True),
        ("rules/facts/batch.yaml", False),
    ]


def test_the_rules_with_the_mineral_have_no_faults(copy: Copy) -> None:
    assert copy.without_faults()


@pytest.mark.parametrize(("method", "wanted"), [("iron", "iron_taken_up_g"), ("nitre", "nitre_g")])
def test_a_charge_takes_iron_or_nitre_for_the_mineral(copy: Copy, method: str, wanted: str) -> None:
    words = (f"method={method}", "collector=litharge", "dry_mass=60g", "mineral_masses.bornite=60g")
    groups = copy.read("charge", *words)["groups"]
    (figure,) = [figure for group in groups for figure in group["figures"] if figure["name"] == wanted]
    assert figure["likely"] > 0


def test_a_batch_whose_answer_names_the_mineral_gets_a_plan_with_iron_for_it(copy: Copy) -> None:
    advice = copy.read("route", "--answers", "batch.yaml")
    assert not advice["stop"]
    iron = advice["amounts"]["iron"]
    assert iron["computed"] is not None
    assert iron["likely_g"] > 0
    shown = copy.fine("route", "--answers", "batch.yaml", "--all").out
    assert "bornite" in shown
    assert not re.search(r"\w_\w|Traceback", shown), "a word of the rule files is shown"


@pytest.fixture
def lacking(copy: Copy, request: pytest.FixtureRequest) -> Iterator[Copy]:
    """The copy without the rows of one table."""
    path = copy.folder / FILE.file
    whole = path.read_text(encoding="utf-8")
    rows = re.compile(rf"^  {request.param}:.*\n(?:    .*\n)*", re.MULTILINE)
    path.write_text(rows.sub("", whole), encoding="utf-8")
    yield copy
    path.write_text(whole, encoding="utf-8")


@pytest.mark.parametrize("lacking", ["iron_uptake", "roasting", "sulphides_as_minerals"], indirect=True)
def test_a_row_left_out_is_refused_with_its_line_and_the_row_to_add(
    lacking: Copy, request: pytest.FixtureRequest
) -> None:
    table = request.node.callspec.params["lacking"]
    result = lacking.run("rules", "check")
    said = flat(result.err)
    assert result.status == BAD_INPUT
    assert re.search(r"(bornite|batch)\.yaml:\d+: ", said)
    assert re.search(rf"{table}: {{rows: \[{{(mineral|option): bornite", said)
