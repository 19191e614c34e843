"""The guides to a new computation and a new command do what they say, each on a copy of its own."""

from __future__ import annotations

import pytest

from tests.guides.guide import Copy, copied, guide
from tests.terminal.program import crash, flat

BAD_INPUT = 2


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    """A copy of the program in which both guides were performed, the computation first."""
    return copied(tmp_path_factory.mktemp("command") / "copy", (*guide("A computation"), *guide("A command")))


def test_a_computation_touches_two_new_files_and_two_lists() -> None:
    assert [(snippet.file, snippet.new) for snippet in guide("A computation")] == [
        ("rules/metallurgy/burner.yaml", True),
        ("rules/needs.yaml", False),
        ("advisor/metallurgy/burner.py", True),
        ("advisor/metallurgy/commands.py", False),
    ]


def test_the_rules_with_its_table_have_no_faults(copy: Copy) -> None:
    assert copy.without_faults()


def test_the_computation_is_a_command_that_gives_the_figure_of_a_hand_calculation(copy: Copy) -> None:
    (group,) = copy.read("burner", "burner=large", "time=90min")["groups"]
    (figure,) = group["figures"]
    # 90 minutes are an hour and a half: 1.5 x 500, 600 and 800 g.
    assert (figure["low"], figure["likely"], figure["high"]) == (750, 900, 1200)
    assert figure["unit"] == "g"
    assert "common practice" in figure["source"]
    assert "The gas that a fire uses." in copy.fine("--help").out


def test_the_computation_says_what_it_takes_and_refuses_what_it_does_not_know(copy: Copy) -> None:
    assert "one of: small, large" in copy.fine("burner").out
    result = copy.run("burner", "burner=huge", "time=90min")
    assert result.status == BAD_INPUT
    assert "known are small, large" in flat(result.err)


def test_rules_that_lack_the_table_are_refused(copy: Copy) -> None:
    table = copy.folder / "rules" / "metallurgy" / "burner.yaml"
    kept = table.rename(table.with_suffix(".kept"))
    result = copy.run("rules", "check")
    kept.rename(table)
    assert result.status == BAD_INPUT
    assert "burner_gas" in result.err


def test_a_command_prints_what_it_is_asked_for_and_refuses_in_one_sentence(copy: Copy) -> None:
    said = copy.fine("rules", "by", "Beringer").out
    assert "A Text-book of Assaying" in said
    refused = copy.run("rules", "by", "Nobody")
    assert refused.status == BAD_INPUT
    assert not crash(refused.err)
    assert len(refused.err.splitlines()) == 1
    assert "Sources by an author." in copy.fine("rules", "--help").out
