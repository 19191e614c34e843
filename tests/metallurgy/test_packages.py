"""The packages of the metallurgy use each other in one direction."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from advisor import metallurgy

ROOM = Path(metallurgy.__file__).parent
_SIDE_BY_SIDE = ("charge", "cupellation", "roasting", "bead", "air", "balance")
MAY_USE: dict[str, tuple[str, ...]] = {
    "common": (),
    "concentrate": ("common",),
    **dict.fromkeys(_SIDE_BY_SIDE, ("common", "concentrate")),
    "correction": ("common", "concentrate", *_SIDE_BY_SIDE),
}
"""For each package those that its modules may import; its ``calculator`` may also use the tables of a rule base."""


def used_by(path: Path) -> set[str]:
    """The parts of the metallurgy that a module imports from."""
    return set(re.findall(r"(?:from|import) advisor\.metallurgy\.(\w+)", path.read_text(encoding="utf-8")))


def test_every_package_has_its_place_in_the_order() -> None:
    assert set(MAY_USE) == {path.parent.name for path in ROOM.glob("*/__init__.py")}


@pytest.mark.parametrize("package", MAY_USE)
def test_a_package_imports_only_those_before_it(package: str) -> None:
    modules = list((ROOM / package).glob("*.py"))
    assert len(modules) > 1
    for module in modules:
        for_calculators = {"tables", "computation"} if module.stem == "calculator" else set()
        assert used_by(module) <= {package, *MAY_USE[package], *for_calculators}, module.name


def test_what_others_use_of_a_package_is_named_at_its_head() -> None:
    used = set()
    for path in ROOM.parent.rglob("*.py"):
        for package, module in re.findall(r"from advisor\.metallurgy\.(\w+)\.(\w+) import", path.read_text("utf-8")):
            if path.parent != ROOM / package:
                used.add((package, module))
    assert len(used) > 30
    for package, module in used:
        head = (ROOM / package / "__init__.py").read_text(encoding="utf-8")
        assert f"``{module}``" in re.sub(r"[^.]*\bits own\.", "", head), f"{package}.{module}"
        assert "import " not in head, "a package that loads its modules makes every start slower"
