"""The guide to a new material does what it says: with it on the shelf it is weighed out, without it is not."""

from __future__ import annotations

import pytest

from tests.guides.guide import Copy, copied, guide

SNIPPETS = guide("A material")
BATCH = """\
invented: for this test
room: licensed-lead
lot: ordinary
answers:
  reagents: [borax_anhydrous, soda_ash, silica, iron, litharge, flour{more}]
"""


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    """A copy of the program in which the guide was performed."""
    done = copied(tmp_path_factory.mktemp("material") / "copy", SNIPPETS)
    for name, more in (("with", ", potash"), ("without", "")):
        (done.folder / f"{name}.yaml").write_text(BATCH.format(more=more), encoding="utf-8")
    return done


def test_the_guide_touches_one_new_file_its_kind_and_the_shelf() -> None:
    assert [(snippet.file, snippet.new) for snippet in SNIPPETS] == [
        ("rules/potash.yaml", True),
        ("rules/acts.yaml", False),
        ("rules/facts/reagents.yaml", False),
    ]


def test_the_rules_with_the_material_have_no_faults(copy: Copy) -> None:
    assert copy.without_faults()


def test_it_is_weighed_out_where_it_is_on_the_shelf_and_only_there(copy: Copy) -> None:
    there, not_there = (copy.read("route", "--answers", f"{name}.yaml") for name in ("with", "without"))
    potash = there["amounts"]["potash"]
    # The ordinary lot is 100 g, and the guide takes 4 to 6 parts of 100.
    assert (potash["low_g"], potash["likely_g"], potash["high_g"]) == pytest.approx((4, 5, 6))
    (step,) = [step for step in there["steps"] if step["id"] == "iron-smelt-weigh-potash"]
    assert "5 g" in step["do"]
    # The guide names no hazard: potash is a flux, so weighing it brings its dust.
    assert "flux-dust" in step["hazards"]
    assert "potash" not in not_there["amounts"]
    assert "iron-smelt-weigh-potash" not in {step["id"] for step in not_there["steps"]}
